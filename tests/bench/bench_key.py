"""From a key to the swap at 3840x2160: the player itself, on an X server, drawn in software.

The clock runs from the start of the key's handler: to the start of the drawing, which is all that
is the player's own; to the return of the swap, with the drawing and its copy, by a processor here
and by a graphics card elsewhere (`make gpu` has those times); and to the end of the comparison.
"""

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from measure import Promises, machine

sys.path.append(str(Path(__file__).parents[2]))

from tests.player.playing import Playing
from tests.x_server import x_server

WIDTH, HEIGHT = 3840, 2160
BESIDE = 1280
ROUNDS = 3
REFRESH = 1000 / 60
SEQUENCE = f"""
title: One of each sort, {ROUNDS} times
signal: sdr8
steps:
  - each: {{level: {[f"{10 * each} %" for each in range(1, ROUNDS + 1)]}}}
    show: {{window: {{}}}}
    read: luminance
  - each: {{to: {[f"{30 * each} %" for each in range(1, ROUNDS + 1)]}}}
    show: {{zone-plate: {{}}}}
    read: luminance
  - each: {{level: {[f"{10 * each} %" for each in range(1, ROUNDS + 1)]}}}
    show: {{checkerboard: {{}}}}
    read: luminance
"""


def played(env: dict[str, str], folder: Path, *, typed: bool) -> list[tuple[float, ...]]:
    """Each key: 1 where the step was taken ahead, and milliseconds.

    They are those to the drawing, to the swap's call, to its return, and to the end.
    """
    sequence, times = folder / "steps.yaml", folder / f"times-{typed}"
    sequence.write_text(SEQUENCE)
    options = {
        "sequence": str(sequence),
        "visit": str(folder / f"{typed}.visit"),
        "halves": BESIDE,
        "times": str(times),
    }
    with Playing(env, folder, **options) as player:
        for step in range(1, 3 * ROUNDS + 1):
            player.shows(step)
            time.sleep(1)  # as long as anybody takes; the next step is prepared meanwhile
            if typed:
                player.type(str(step))
            player.key("Return" if typed else "Right")
        time.sleep(1)
        player.key("Return")
        player.ended()
    lines = times.read_text().splitlines()
    # the last key shows black, where all is read
    return [tuple(map(float, line.split()[1:])) for line in lines[: 3 * ROUNDS - 1]]


def main() -> None:
    server = shutil.which("Xvfb")
    if server is None or shutil.which("xdotool") is None:
        sys.exit("Xvfb and xdotool are not installed.")
    size = f"{BESIDE + WIDTH}x{HEIGHT}x24"
    print(f"From a key to the swap at {WIDTH}x{HEIGHT}, in software; {machine()}")
    with x_server(server, "-screen", "0", size) as display, tempfile.TemporaryDirectory() as at:
        env = os.environ | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
        env["PYTHONPATH"] = os.pathsep.join(sys.path[1:])
        own: list[float] = []
        for typed in (False, True):
            found = played(env, Path(at), typed=typed)
            what = "Enter, a reading kept" if typed else "right arrow"
            ahead, begun, _, swapped, ended = (list(each) for each in zip(*found, strict=True))
            print(
                f"  {what}, {len(found)} times, {sum(ahead):.0f} of them taken ahead; medians and "
                "slowest:"
            )
            for name, times in (("the drawing", begun), ("the swap", swapped), ("the end", ended)):
                print(f"    to {name:12}{median(times):7.1f} ms {max(times):7.1f} ms")
            if not typed:
                own += begun
    within = sum(each <= REFRESH for each in own)
    print(f"  {within} of {len(own)} right arrows began to draw within {REFRESH:.1f} ms")
    promises = Promises()
    promises.at_most("right arrow to the drawing, median, in refreshes", median(own) / REFRESH, 1)
    promises.leave()


if __name__ == "__main__":
    main()
