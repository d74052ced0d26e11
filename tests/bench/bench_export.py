"""Export of the catalogue at 7680x4320 against 3840x2160: four times the pixels."""

import tempfile
from pathlib import Path

from measure import Promises, interleaved, machine

from patterns.files import Item
from patterns.files.export import export
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas

ROUNDS = 5


def catalogue(canvas: Canvas):
    for number, (name, kind) in enumerate(KINDS.items(), 1):
        pattern = kind()
        yield Item(number, name, pattern, pattern.frame(canvas, kind.usual_signal("pq10")))


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:

        def run(canvas: Canvas) -> None:
            export(catalogue(canvas), Path(folder) / str(canvas))

        sizes = [Canvas(3840, 2160), Canvas(7680, 4320)]
        timed = interleaved({str(each): lambda each=each: run(each) for each in sizes}, ROUNDS)
    print(f"Export of {len(KINDS)} kinds as PNG; {machine()}; medians of {ROUNDS} rounds")
    for name, seconds in timed.items():
        print(f"{name:<12}{1e3 * seconds:8.0f} ms")
    promises = Promises()
    promises.at_most("7680x4320 over 3840x2160", timed["7680x4320"] / timed["3840x2160"], 2.2)
    promises.leave()


if __name__ == "__main__":
    main()
