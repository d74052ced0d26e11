"""Pieces of a deflate stream, put together."""

import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.files.png import (
    Piece,
    adler32_combine,
    quick_piece,
    run_length_piece,
    short_piece,
    zlib_stream,
)

MAKERS = [quick_piece, run_length_piece, short_piece]


@given(st.binary(max_size=300), st.binary(max_size=300))
def test_adler_of_two_stretches_follows_from_theirs(first: bytes, second: bytes):
    both = adler32_combine(zlib.adler32(first), zlib.adler32(second), len(second))
    assert both == zlib.adler32(first + second)


def test_adler_of_a_published_example_in_two_parts():
    # "Wikipedia" is the usual worked example of RFC 1950's checksum, 0x11E60398; from memory
    assert adler32_combine(zlib.adler32(b"Wiki"), zlib.adler32(b"pedia"), 5) == 0x11E60398


@pytest.mark.parametrize("length", [65_520, 65_521, 65_522, 131_042])
def test_adler_holds_where_the_length_passes_its_modulus(length: int):
    tail = b"\xff" * length
    assert adler32_combine(zlib.adler32(b"\xfe"), zlib.adler32(tail), length) == zlib.adler32(
        b"\xfe" + tail
    )


@pytest.mark.parametrize("make", MAKERS)
@pytest.mark.parametrize("count", [0, 1, 2, 3, 7, 64, 1000])
def test_a_piece_repeats_as_often_as_asked(make, count: int):
    data = b"\x02" + bytes(50)
    piece = make(data).times(count)
    assert piece.adler == zlib.adler32(data * count)
    assert piece.length == 51 * count
    assert zlib.decompress(zlib_stream([piece])) == data * count


@given(
    st.lists(st.tuples(st.sampled_from(MAKERS), st.binary(max_size=100), st.integers(0, 5))),
)
def test_any_pieces_in_any_order_make_one_stream(parts):
    stream = zlib_stream(make(data).times(count) for make, data, count in parts)
    assert zlib.decompress(stream) == b"".join(data * count for _, data, count in parts)


def test_a_wrong_adler_would_be_noticed():
    piece = quick_piece(b"light")
    with pytest.raises(zlib.error, match="incorrect data check"):
        zlib.decompress(zlib_stream([Piece(piece.body, piece.adler ^ 1, piece.length)]))
