"""16-bit RGB PNG, written from a frame's distinct rows.

W3C PNG Specification (Third Edition), 2025-06-24: chunks in clauses 5 and 11, filters in clause 9.
A row that is the same as the one above is filter Up with nothing but zeros, and such rows are
compressed once for each width. The time hardly depends on the height, then.
"""

from __future__ import annotations

import os
import struct
import zlib
from collections import Counter, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from patterns.files.base import Item, sampled_room
from patterns.files.container import container_rule, container_text, require_depth, rows16
from patterns.picture.frame import Frame, Rows
from patterns.picture.light import Light, Stated, chromaticity_units, light_of
from patterns.signal.signal import Signal

ADLER_BASE = 65_521
ZLIB_HEADER = b"\x78\x01"
"""Deflate with a window of 32 KiB, fastest level (RFC 1950 clause 2.2)."""
LAST_BLOCK = b"\x03\x00"
"""An empty last block with fixed codes (RFC 1951 clause 3.2.6)."""


@dataclass(frozen=True)
class Piece:
    """Some bytes, compressed.

    Args:
        body: deflate blocks that end on a whole byte and refer to nothing before them.
        adler: Adler-32 of the bytes.
        length: number of the bytes before compression.
    """

    body: bytes
    adler: int
    length: int

    def times(self, count: int) -> Piece:
        """The same bytes ``count`` times (0 or more)."""
        adler, length = 1, 0
        power = (self.adler, self.length)
        left = count
        while left:
            if left & 1:
                adler, length = adler32_combine(adler, *power), length + power[1]
            power = (adler32_combine(power[0], *power), 2 * power[1])
            left >>= 1
        return Piece(self.body * count, adler, length)


def adler32_combine(first: int, second: int, length: int) -> int:
    """Adler-32 of two stretches of bytes from theirs; ``length`` is that of the second."""
    a1, b1 = first & 0xFFFF, first >> 16
    a2, b2 = second & 0xFFFF, second >> 16
    # the second sum started from a = 1 and not from a1: each of its bytes adds a1 - 1 to b
    a = (a1 + a2 - 1) % ADLER_BASE
    b = (b1 + b2 + length * (a1 - 1)) % ADLER_BASE
    return b << 16 | a


def quick_piece(data: bytes) -> Piece:
    """Compress any bytes quickly."""
    from isal import isal_zlib

    packer = isal_zlib.compressobj(1, isal_zlib.DEFLATED, -15)
    body = packer.compress(data) + packer.flush(isal_zlib.Z_SYNC_FLUSH)
    return Piece(body, isal_zlib.adler32(data), len(data))


def run_length_piece(data: bytes) -> Piece:
    """Compress long runs of one byte, to half the size of :func:`quick_piece`, if slower."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15, zlib.DEF_MEM_LEVEL, zlib.Z_RLE)
    body = packer.compress(data) + packer.flush(zlib.Z_SYNC_FLUSH)
    return Piece(body, zlib.adler32(data), len(data))


def short_piece(data: bytes) -> Piece:
    """Compress a few bytes, with fixed codes, so that no table of codes takes more than they do."""
    packer = zlib.compressobj(1, zlib.DEFLATED, -15, 1, zlib.Z_FIXED)
    body = packer.compress(data) + packer.flush(zlib.Z_SYNC_FLUSH)
    return Piece(body, zlib.adler32(data), len(data))


def zlib_stream(pieces: Iterable[Piece]) -> bytes:
    """The whole stream with zlib's header and Adler-32 (RFC 1950)."""
    return b"".join(zlib_parts(pieces))


def zlib_parts(pieces: Iterable[Piece]) -> Iterator[bytes]:
    """The same stream in parts, for one that is too long to be in memory as a whole."""
    adler = 1
    yield ZLIB_HEADER
    for piece in pieces:
        yield piece.body
        adler = adler32_combine(adler, piece.adler, piece.length)
    yield LAST_BLOCK + adler.to_bytes(4, "big")


SIGNATURE = b"\x89PNG\r\n\x1a\n"
NONE, SUB, UP = 0, 1, 2
PIXEL = 6
"""Bytes of a pixel: three samples of 16 bits, the high byte first."""
LONG_RUN = 8
"""Shorter runs of one row are compressed along with their neighbours."""
BATCH = 48
"""Rows compressed together: many periods divide it, and then batches are alike."""
UNIT = 16
"""Rows "same as above" that make one piece."""
AT_ONCE = 256
"""Rows to compress from which on several processors are worth their start."""
IDAT = 1 << 20
"""Bytes from which on image data goes into another chunk."""
MOST_THREADS = 4
PLAIN = -1
"""Marks a row of one colour in the plan; no row has this number."""


class PngFormat:
    """PNG with cICP, and with mDCV and cLLI where the signal is PQ."""

    suffix = ".png"
    states_light = True
    summary = "16-bit RGB stills with their signal written in (cICP, mDCV, cLLI, sBIT)"

    def rule(self, signal: Signal) -> str:
        return container_rule(signal)

    def room(self, item: Item) -> int:
        return sampled_room(item.frame)

    def write(self, item: Item, path: Path) -> None:
        with path.open("xb") as file:
            file.writelines(png_parts(item.frame, item.label, item.light))


def png_parts(frame: Frame, title: str = "", light: Stated = "file") -> Iterator[bytes]:
    """The frame as a PNG file, in parts, so that a large one is never in memory as a whole.

    Args:
        frame: codes of any depth; those below 16 bits are carried to 16 (``container16``).
        title: what the picture shows; left out where empty.
        light: static HDR metadata to state; by default those of a PQ frame itself.

    Raises:
        PatternError: a code of the frame is larger than its bit depth holds.
    """
    require_depth(frame)
    signal = frame.signal
    # colour type 2 (truecolour), deflate, adaptive filters, not interlaced: clause 11.2.1
    header = struct.pack(">IIBBBBB", frame.width, frame.height, 16, 2, 0, 0, 0)
    yield SIGNATURE + chunk(b"IHDR", header) + cicp(signal)
    yield from _light(light_of(frame) if light == "file" else light)
    if signal.bits < 16:
        yield chunk(b"sBIT", bytes([signal.bits] * 3))
    if title:
        yield _text("Title", title)
    yield _text("Description", container_text(signal)) + _text("Software", "Litfield")
    for data in gathered(zlib_parts(_image(frame)), IDAT):
        yield chunk(b"IDAT", data)
    yield chunk(b"IEND", b"")


def chunk(name: bytes, data: bytes) -> bytes:
    """Length, name, data and CRC of one chunk: clause 5.3."""
    check = zlib.crc32(data, zlib.crc32(name))
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", check)


def gathered(parts: Iterable[bytes], size: int) -> Iterator[bytes]:
    """The bytes of parts in stretches of ``size`` or a little more; the last may be shorter."""
    waiting: list[bytes] = []
    length = 0
    for part in parts:
        waiting.append(part)
        length += len(part)
        if length >= size:
            yield b"".join(waiting)
            waiting, length = [], 0
    if waiting:
        yield b"".join(waiting)


def cicp(signal: Signal) -> bytes:
    """Coding-independent code points, clause 11.3.2.6; the numbers are Rec. ITU-T H.273's."""
    full = signal.range == "full"
    points = (signal.primaries.code_point, signal.transfer.code_point, 0, int(full))
    return chunk(b"cICP", bytes(points))


def _light(light: Light | None) -> list[bytes]:
    """Mastering display, clause 11.3.2.7, and content light level, clause 11.3.2.8."""
    if light is None:
        return []
    space = light.primaries
    points = [chromaticity_units(p) for p in (space.red, space.green, space.blue, space.white)]
    places = [each for point in points for each in point]
    mastering = struct.pack(">8H2I", *places, light.max_mastering, light.min_mastering)
    content = struct.pack(">2I", light.max_cll, light.max_fall)
    return [chunk(b"mDCV", mastering), chunk(b"cLLI", content)]


def _text(keyword: str, text: str) -> bytes:
    """A text chunk: tEXt where Latin-1 holds it, otherwise iTXt; clauses 11.3.3.2 and 11.3.3.4."""
    text = "".join(each if each.isprintable() else " " for each in text)
    try:
        return chunk(b"tEXt", keyword.encode("latin-1") + b"\0" + text.encode("latin-1"))
    except UnicodeEncodeError:
        return chunk(b"iTXt", keyword.encode("latin-1") + bytes(5) + text.encode("utf-8"))


def _image(frame: Frame) -> Iterator[Piece]:
    """The filtered rows in 16-bit codes, from the top; each piece is let go once it is taken."""
    plan = _plan(frame)
    uses = Counter(each for each in plan if isinstance(each, tuple) and each[0] != PLAIN)
    packed = _packed(frame, list(uses))
    kept: dict[tuple[int, ...], Piece] = {}
    rest_of_row = _zeros((frame.width - 1) * PIXEL)
    for each in plan:
        if isinstance(each, int):
            units, rest = divmod(each, UNIT)
            if units:
                yield _same_as_above(frame.width, UNIT).times(units)
            if rest:
                yield _same_as_above(frame.width, 1).times(rest)
        elif each[0] == PLAIN:
            # one colour: filter Sub leaves nothing of the other pixels
            first = _samples(frame.rows[each[1] :][:1, :1], frame.signal)
            yield short_piece(bytes([SUB]) + first.tobytes())
            yield rest_of_row
        else:
            # those that come again are kept for as long as they do
            piece = kept.pop(each) if each in kept else next(packed)
            uses[each] -= 1
            if uses[each]:
                kept[each] = piece
            yield piece


def _samples(rows: Rows, signal: Signal) -> NDArray[np.uint8]:
    """Rows of codes as the bytes of their samples in 16 bits, (n, 6 * width)."""
    wide = np.ascontiguousarray(rows16(rows, signal).astype(">u2"))
    return wide.view(np.uint8).reshape(len(rows), -1)


def _packed(frame: Frame, batches: list[tuple[int, ...]]) -> Iterator[Piece]:
    """Batches of rows, compressed; on several processors where that is worth their start."""

    def packed(batch: tuple[int, ...]) -> Piece:
        return quick_piece(filtered(_samples(frame.rows[list(batch)], frame.signal)))

    if sum(map(len, batches)) < AT_ONCE:
        yield from map(packed, batches)
        return
    from concurrent.futures import Future, ThreadPoolExecutor

    # isal and most of numpy run beside each other; more threads would only take memory
    workers = min(os.cpu_count() or 1, MOST_THREADS)
    with ThreadPoolExecutor(workers) as pool:
        waiting: deque[Future[Piece]] = deque()
        for batch in batches:
            waiting.append(pool.submit(packed, batch))
            if len(waiting) > 2 * workers:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _plan(frame: Frame) -> list[tuple[int, ...] | int]:
    """What the picture is made of, from the top.

    A tuple names rows to compress together, or PLAIN and one row of a single colour; a number
    says how many rows "same as above" follow.
    """
    plan: list[tuple[int, ...] | int] = []
    waiting: list[int] = []
    plain = [bool((row[1:] == row[:-1]).all()) for row in frame.rows]

    def flush() -> None:
        plan.extend(tuple(waiting[at : at + BATCH]) for at in range(0, len(waiting), BATCH))
        waiting.clear()

    for _, length, row in frame.runs():
        if plain[row]:
            flush()
            plan += [(PLAIN, row), length - 1]
        elif length < LONG_RUN:
            waiting.extend([row] * length)
        else:
            waiting.append(row)
            flush()
            plan.append(length - 1)
    flush()
    return plan


@lru_cache(maxsize=8)
def _same_as_above(width: int, rows: int) -> Piece:
    return run_length_piece((bytes([UP]) + bytes(width * PIXEL)) * rows)


@lru_cache(maxsize=8)
def _zeros(count: int) -> Piece:
    return run_length_piece(bytes(count))


def filtered(rows: NDArray[np.uint8]) -> bytes:
    """Rows of samples (n, 6 * width), each with the filter that looks easiest to compress.

    The measure is the usual one, clause 12.7, the least sum of absolute differences, here of
    every seventh pixel. The first row never refers to the one above, so that the result stands
    for itself.
    """
    pixels = rows.reshape(len(rows), -1, PIXEL)
    some = pixels[:, 1::7]
    up_some = some.copy()
    up_some[1:] -= some[:-1]
    tries = np.stack([some, some - pixels[:, :-1:7], up_some])
    weight = np.abs(tries.view(np.int8).astype(np.int16)).sum(axis=(2, 3), dtype=np.int64)
    weight[UP, 0] = np.iinfo(np.int64).max
    best = weight.argmin(axis=0)
    out = np.empty((len(rows), 1 + rows.shape[1]), np.uint8)
    out[:, 0] = best
    out[:, 1:] = rows
    sub, up = np.flatnonzero(best == SUB), np.flatnonzero(best == UP)
    out[sub, 1 + PIXEL :] -= rows[sub, :-PIXEL]
    out[up, 1:] -= rows[up - 1]
    return out.tobytes()
