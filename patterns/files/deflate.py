"""Pieces of a deflate stream that are compressed once and put together as often as needed.

Each piece is compressed for itself and ends on a whole byte (a sync flush, RFC 1951 clause 3.2.4),
so that pieces follow one another in any order. The Adler-32 of the whole (RFC 1950 clause 8.2)
follows from those of the pieces by arithmetic, without the bytes.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

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
