"""Codes of 8, 10 or 12 bits in a file of 16 bits.

Narrow range: c << (16 - b), which is also the 16-bit code of the same signal. Full range:
Round(c * 65535 / (2**b - 1)), so that the largest code stays the largest. Both give c back by a
shift, c16 >> (16 - b), and by rounded scaling, Round(c16 * (2**b - 1) / 65535) in full range and
Round(c16 / 2**(16 - b)) in narrow range.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.picture.frame import Frame, Rows
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Codes, Signal


def container16(frame: Frame) -> Frame:
    """The frame in 16-bit codes of the same transfer, primaries and range.

    Raises:
        PatternError: a code of the frame is larger than its bit depth holds.
    """
    require_depth(frame)
    signal = frame.signal
    if signal.bits == 16:
        return frame
    table = codes16(signal.quantiser)

    def carried(codes: Codes) -> Codes:
        red, green, blue = (int(table[code]) for code in codes)
        return red, green, blue

    inks = {name: carried(codes) for name, codes in frame.inks.items()}
    wide = signal.shown_at(16, signal.range)
    return Frame(rows16(frame.rows, signal), frame.order, wide, inks, frame.facts)


def rows16(rows: Rows, signal: Signal) -> Rows:
    """Rows of the signal's codes in 16 bits, of the same shape."""
    if signal.bits == 16:
        return rows
    if signal.range == "narrow":  # what the table says, in an eighth of the time
        return np.left_shift(rows, np.uint16(16 - signal.bits))
    return codes16(signal.quantiser)[rows]


def require_depth(frame: Frame) -> None:
    """PatternError where a code of the frame is larger than its bit depth holds."""
    largest, bits = int(frame.rows.max()), frame.signal.bits
    if largest >> bits:
        raise PatternError(
            f"The frame holds code {largest}, and {bits} bits end at {(1 << bits) - 1}."
        )


def container_rule(signal: Signal) -> str:
    """The rule that carries the signal's codes to 16 bits, as text for files and manifests."""
    if signal.bits == 16:
        return "16-bit codes as they are"
    if signal.range == "narrow":
        return f"{signal.bits}-bit code << {16 - signal.bits}"
    return f"Round({signal.bits}-bit code * 65535 / {(1 << signal.bits) - 1})"


def container_text(signal: Signal) -> str:
    """The signal and the rule in words, ASCII, for people who open the file elsewhere."""
    return f"{signal_text(signal)}; {container_rule(signal)}"


def signal_text(signal: Signal) -> str:
    """The signal alone in words, ASCII."""
    return ", ".join(f"{key} {value}" for key, value in signal.describe().items())


@lru_cache(maxsize=8)
def codes16(quantiser: Quantiser) -> NDArray[np.uint16]:
    """The 16-bit code of every code of the quantiser, shape (2**bits,)."""
    codes = np.arange(1 << quantiser.bits, dtype=np.uint64)
    if quantiser.range == "narrow":
        wide = codes << np.uint64(16 - quantiser.bits)
    else:
        largest = np.uint64((1 << quantiser.bits) - 1)
        # Round(x) = floor(x + 1/2), in whole numbers
        wide = (2 * 65_535 * codes + largest) // (2 * largest)
    table = wide.astype(np.uint16)
    table.setflags(write=False)
    return table
