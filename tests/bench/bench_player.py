"""The player's next step at 3840x2160: drawn and uploaded as rows, against the whole image.

Both go to the same driver, without a window, and the clock stops when the driver is done. The
whole image lies ready and is only uploaded; the step is drawn from its parameters and uploaded.
Drawing on screen costs both the same and is printed beside it: in software it is most of the time.
"""

import sys
from pathlib import Path
from statistics import median
from time import perf_counter

from measure import Promises, interleaved, machine

sys.path.append(str(Path(__file__).parents[2]))

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from tests.gpu.offscreen import FULL, Offscreen, context, driver, whole_image

CANVAS = Canvas(3840, 2160)
ROUNDS = 3
PROMISED = 10


def main() -> None:
    window = context()
    from pyglet import gl

    print(f"{machine()}; {driver(window)}")
    signal = named_signal("sdr8")
    ratios, drawing = [], []
    with (
        Offscreen(CANVAS.width, CANVAS.height, 8) as screen,
        Offscreen(CANVAS.width, CANVAS.height, 8, FULL) as whole,
    ):
        for kind, pattern in KINDS.items():
            try:
                image = whole_image(pattern().frame(CANVAS, signal))
            except (PatternError, ValueError):
                continue

            def ours(pattern=pattern):
                screen.program.upload(pattern().frame(CANVAS, signal), 8)
                gl.glFinish()

            def theirs(image=image):
                whole.program.upload(image, 8)
                gl.glFinish()

            times = interleaved({"ours": ours, "theirs": theirs}, ROUNDS)
            ratios.append(times["theirs"] / times["ours"])
            begun = perf_counter()
            screen.show(pattern().frame(CANVAS, signal))
            drawing.append(perf_counter() - begun)
            print(
                f"  {kind:18} {1000 * times['ours']:7.2f} ms, whole image "
                f"{1000 * times['theirs']:7.1f} ms, {ratios[-1]:6.1f} times"
            )
    print(
        f"drawn from its parameters, uploaded and drawn: {1000 * median(drawing):.1f} ms (median)"
    )
    promises = Promises()
    promises.at_least("prepare and upload, median over the catalogue", median(ratios), PROMISED)
    promises.leave()


if __name__ == "__main__":
    main()
