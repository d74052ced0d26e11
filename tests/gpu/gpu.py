"""The player's program on this machine's graphics card: exact over all codes, and how fast.

Run it by `make gpu`. It needs EGL and no screen. Nothing here speaks of the cable or the display.
With sizes as arguments (`640x360`) it draws those alone.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from statistics import median
from time import perf_counter

import numpy as np

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas, parse_canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal, named_signal
from tests.gpu.from_a_key import Times, from_a_key, told
from tests.gpu.offscreen import FULL, Offscreen, context, driver, whole_image

CANVASES = (Canvas(3840, 2160), Canvas(7680, 4320))
DEPTHS = ((8, "sdr8"), (10, "pq10"))
ROUNDS = 5
PROMISED = 10
"""Times that preparing and uploading a step is faster than uploading the whole image."""


def all_codes(signal: Signal) -> Frame:
    """Every code of the depth in each channel alone and in all three, one code a column."""
    codes = np.arange(1 << signal.bits, dtype=np.uint16)
    rows = np.zeros((4, len(codes), 3), np.uint16)
    for channel in range(3):
        rows[channel, :, channel] = codes
    rows[3] = codes[:, np.newaxis]
    return Frame(rows, np.arange(4, dtype=np.uint16), signal)


def exact_codes() -> bool:
    """Whether every code comes back as it went, at each depth."""
    right = True
    for bits, name in DEPTHS:
        frame = all_codes(named_signal(name).shown_at(bits, "full"))
        with Offscreen(frame.width, frame.height, bits) as screen:
            screen.show(frame)
            wrong = screen.wrong(frame)
        right = right and not wrong
        told = wrong or f"all {1 << bits} codes, alone and together, are right"
        print(f"  {bits:2} bits: {told}")
    return right


def steps(canvas: Canvas, signal: Signal) -> Iterator[tuple[str, Frame, float]]:
    """Each kind that the signal can hold: its name, its frame, and the seconds to draw it."""
    for kind, pattern in KINDS.items():
        begun = perf_counter()
        try:
            frame = pattern().frame(canvas, signal)
        except (PatternError, ValueError):
            continue
        yield kind, frame, perf_counter() - begun


def timed(canvas: Canvas, bits: int, name: str) -> tuple[bool, float]:
    """Show each kind, compare every pixel, print the times; whether all were right, the ratio."""
    signal = named_signal(name)
    right, ours, theirs, prepared = True, [], [], []
    keys: dict[str, Times] = {}
    with (
        Offscreen(canvas.width, canvas.height, bits) as screen,
        Offscreen(canvas.width, canvas.height, bits, FULL) as whole,
    ):
        for kind, frame, drawing in steps(canvas, signal):
            image = whole_image(frame)
            mine, full = [], []
            for _ in range(ROUNDS):
                begun = perf_counter()
                screen.show(frame)
                mine.append(perf_counter() - begun)
                begun = perf_counter()
                whole.show(image)
                full.append(perf_counter() - begun)
            keys[kind], miscopied = from_a_key(screen, frame, ROUNDS)
            wrong = miscopied or screen.wrong(frame) or whole.wrong(image)
            if wrong:
                right = False
                print(f"    {kind}: {wrong}")
            ours.append(median(mine))
            theirs.append(median(full))
            prepared.append(drawing)
    both = [a + b for a, b in zip(prepared, ours, strict=True)]
    ratio = median(full / own for full, own in zip(theirs, both, strict=True))
    print(
        f"  {canvas} at {bits:2} bits, {len(ours)} kinds: upload and draw "
        f"{1000 * median(ours):.2f} ms (slowest {1000 * max(ours):.1f}), prepared too "
        f"{1000 * median(both):.2f} ms, whole image {1000 * median(theirs):.1f} ms; "
        f"{ratio:.1f} times faster (median); "
        f"{'every pixel is right' if right else 'PIXELS ARE WRONG'}"
    )
    print("\n".join(told(keys)))
    return right, ratio


def main() -> int:
    """0 where every pixel of everything was right and the promise of speed is kept."""
    window = context()
    print(f"Driver: {driver(window)}")
    print("Every code:")
    right = exact_codes()
    print(f"Every kind of pattern, median of {ROUNDS} rounds:")
    ratios = []
    for canvas in [parse_canvas(size) for size in sys.argv[1:]] or CANVASES:
        for bits, name in DEPTHS:
            found, ratio = timed(canvas, bits, name)
            right = right and found
            ratios += [ratio] if canvas.width == 3840 else []
    if not ratios:
        return 0 if right else 1
    kept = min(ratios) >= PROMISED
    print(f"{'kept' if kept else 'BROKEN'}: {min(ratios):.1f} times (promised {PROMISED})")
    return 0 if right and kept else 1


if __name__ == "__main__":
    sys.exit(main())
