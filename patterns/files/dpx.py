"""DPX with the signal's own codes: 8, 10, 12 or 16 bits, nothing converted.

SMPTE ST 268-1:2014, from memory, read back with FFmpeg. One element of R, G, B, big-endian; ten
bits as three in a word of 32 with two empty bits below them (method A), twelve bits in the upper
part of a word of 16. DPX has no number for PQ or HLG that players agree on, so that transfer and
colorimetry are "user defined" there, and the signal stands in words as the name of the project.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray

from patterns.files.base import Item
from patterns.files.container import require_depth, signal_text
from patterns.files.manifest import ascii_letters
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal

HEADER = 2048
"""Bytes of the headers: file 768, image 640, orientation 256, film 256, television 128."""
UNDEFINED = 0xFFFF_FFFF
RGB, USER_DEFINED, ITU_R_709 = 50, 0, 6
METHOD_A = 1
AT_ONCE = 64
"""Rows packed together."""


class DpxFormat:
    """DPX, for grading and playout systems."""

    suffix = ".dpx"
    states_light = False
    summary = "DPX stills with the signal's own codes, for grading and playout systems"

    def rule(self, signal: Signal) -> str:
        return f"{signal.bits}-bit codes as they are"

    def room(self, item: Item) -> int:
        return HEADER + item.frame.height * _line(item.frame) + 4096

    def write(self, item: Item, path: Path) -> None:
        with path.open("xb") as file:
            write_dpx(item.frame, file, item.label)


def write_dpx(frame: Frame, file: BinaryIO, title: str = "") -> None:
    """Write the frame as DPX to a file open for writing.

    Raises:
        PatternError: a code of the frame is larger than its bit depth holds.
    """
    require_depth(frame)
    file.write(_header(frame, title))
    for top in range(0, frame.height, AT_ONCE):
        used, lines = np.unique(frame.order[top : top + AT_ONCE], return_inverse=True)
        file.write(_packed(frame.rows[used], frame.signal.bits)[lines].tobytes())


def _packed(rows: NDArray[np.uint16], bits: int) -> NDArray[np.uint8]:
    """Rows (n, width, 3) as bytes (n, length of a line); lines end on words of 32 bits."""
    words: NDArray[np.generic]
    if bits == 10:
        wide = rows.astype(np.uint32)
        words = (wide[..., 0] << 22 | wide[..., 1] << 12 | wide[..., 2] << 2).astype(">u4")
    elif bits == 8:
        words = rows.astype(np.uint8)
    else:
        words = np.left_shift(rows, np.uint16(16 - bits)).astype(">u2")
    lines = np.ascontiguousarray(words).reshape(len(rows), -1).view(np.uint8)
    return np.pad(lines, ((0, 0), (0, -lines.shape[1] % 4)))


def _line(frame: Frame) -> int:
    """Bytes of a line."""
    samples = 3 * frame.width
    bits = frame.signal.bits
    if bits == 10:
        return 4 * frame.width
    return -(-(samples if bits == 8 else 2 * samples) // 4) * 4


def _header(frame: Frame, title: str) -> bytes:
    """The headers of ST 268-1; what is not known is all ones, as it asks for."""
    signal, length = frame.signal, HEADER + frame.height * _line(frame)
    code = ITU_R_709 if signal.transfer.name == "bt1886" else USER_DEFINED
    colour = ITU_R_709 if signal.primaries.name == "bt709" else USER_DEFINED
    quantiser = signal.quantiser
    words = "; ".join(filter(None, [signal_text(signal), title]))
    head = bytearray(b"\xff" * HEADER)

    def put(at: int, form: str, *values: object) -> None:
        struct.pack_into(">" + form, head, at, *values)

    # generic: file information
    put(0, "4sI8s5I", b"SDPX", HEADER, b"V2.0", length, 1, 1664, 384, 0)
    put(36, "100s24s100s200s200s", b"", b"", b"Litfield", _text(words, 200), b"")
    put(660, "I104s", UNDEFINED, b"")
    # generic: image information, of one element
    put(768, "HHII", 0, 1, frame.width, frame.height)
    put(780, "I", 0)  # codes without a sign
    # reference low and high codes, and what they mean in cd/m2
    put(784, "IfIf", quantiser.black, 0.0, quantiser.white, float(signal.transfer.peak))
    packing = METHOD_A if signal.bits in (10, 12) else 0
    put(800, "4BHHI", RGB, code, colour, signal.bits, packing, 0, HEADER)
    put(812, "II32s", 0, 0, b"R, G, B")
    # orientation: nothing is cut off, and the pixels are square
    put(1408, "IIffII", 0, 0, frame.width / 2, frame.height / 2, frame.width, frame.height)
    put(1432, "100s24s32s32s", b"", b"", b"", b"")
    put(1628, "2I", 1, 1)
    # film: only words
    put(1664, "2s2s2s6s4s32s", b"", b"", b"", b"", b"", b"")
    put(1732, "32s100s", b"", b"")
    return bytes(head)


def _text(text: str, room: int) -> bytes:
    """ASCII that ends with a zero."""
    plain = "".join(each if each.isascii() else ascii_letters(each) or "?" for each in text)
    return plain.encode()[: room - 1]
