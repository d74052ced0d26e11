"""Clips beside encoding every frame: a still of 60 s, and patterns that move.

Both sides have the same encoder and settings. The plain side of the still codes all 1440 frames
with ``--full``; otherwise 120 of them, and the time of one frame beyond the first is taken for the
rest, as every one of them is alike.
"""

import sys
import tempfile
from fractions import Fraction
from pathlib import Path
from time import perf_counter

from measure import Promises, machine

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from patterns.video import Picture, Settings, clip
from patterns.video.encoder import Encoder, repeat_unit
from patterns.video.planes import planes_of

UHD = Canvas(3840, 2160)
RATE = 24
STILL, SOME, MOVING = 60 * RATE, 120, 48
STILLS = ("window", "ramp", "circles")
MOVES = ("moving-box", "pan", "flash", "frame-counter")


def timed(call) -> float:
    start = perf_counter()
    call()
    return perf_counter() - start


def plain(settings: Settings, pictures) -> float:
    """Seconds to code pictures one by one, and nothing else."""
    encoder = Encoder(settings, None)
    return timed(lambda: sum(len(unit) for unit, _ in encoder.coded(pictures)))


def still(folder: Path, kind: str, settings: Settings) -> tuple[float, float]:
    """Seconds of a clip of 60 s, and of coding each of its frames."""
    frame = KINDS[kind]().frame(UHD, settings.signal)
    repeat_unit.cache_clear()  # each starts as a first clip does
    ours = timed(lambda: clip([Picture(frame, STILL)], folder / "still.mp4", settings))
    planes = planes_of(frame, settings)
    if "--full" in sys.argv:
        return ours, plain(settings, (planes for _ in range(STILL)))
    first, some = plain(settings, [planes]), plain(settings, (planes for _ in range(SOME)))
    return ours, first + (some - first) / (SOME - 1) * (STILL - 1)


def moving(folder: Path, kind: str, settings: Settings) -> tuple[float, float]:
    """Seconds of a clip of a moving pattern, and of coding its frames, drawn before."""
    picture = Picture(KINDS[kind](), MOVING)
    ours = timed(lambda: clip([picture], folder / "moving.mp4", settings))
    ready = [planes_of(picture.frame(settings, n), settings) for n in range(MOVING)]
    return ours, plain(settings, ready)


def main() -> None:
    settings = Settings(UHD, Fraction(RATE), named_signal("pq10"))
    promises = Promises()
    print(f"3840x2160, HDR10, {RATE} frames a second, lossless; {machine()}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for kind in STILLS:
            ours, theirs = still(folder, kind, settings)
            size = (folder / "still.mp4").stat().st_size / 1e6
            print(f"{kind:<14}60 s: {ours:6.2f} s, every frame {theirs:7.1f} s; {size:.1f} MB")
            promises.at_least(f"60 s of {kind}, every frame over a clip", theirs / ours, 15)
        for kind in MOVES:
            ours, theirs = moving(folder, kind, settings)
            print(
                f"{kind:<14}{MOVING / ours:6.2f} frames/s drawn, coded and written; "
                f"{MOVING / theirs:6.2f} frames/s coded alone; ratio {theirs / ours:.2f}"
            )
    promises.leave()


if __name__ == "__main__":
    main()
