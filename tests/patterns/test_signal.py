"""Signals have names and parts, and canvases and measures are read as people write them."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas, parse_canvas, split
from patterns.signal.measures import Measure, parse_measure, pixels, seconds
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import named_signal, signal_from_parts, signal_names


def test_there_are_twelve_short_names():
    names = signal_names()
    assert names == [f"{kind}{bits}" for kind in ("sdr", "pq", "hlg") for bits in (8, 10, 12, 16)]
    for name in names:
        assert named_signal(name).name == name


@pytest.mark.parametrize(
    ("name", "transfer", "primaries", "bits", "range_"),
    [
        ("sdr8", "bt1886", "bt709", 8, "full"),
        ("sdr10", "bt1886", "bt709", 10, "narrow"),
        ("pq10", "pq", "bt2020", 10, "narrow"),
        ("pq16", "pq", "bt2020", 16, "full"),
        ("hlg12", "hlg", "bt2020", 12, "narrow"),
    ],
)
def test_a_short_name_stands_for_these_parts(name, transfer, primaries, bits, range_):
    parts = named_signal(name).describe()
    assert parts["transfer"] == transfer
    assert parts["primaries"] == primaries
    assert parts["bits"] == bits
    assert parts["range"] == range_


@pytest.mark.parametrize(
    "parts",
    [
        *(named_signal(name).describe() for name in ("sdr8", "pq12", "hlg10")),
        {"transfer": "bt1886", "primaries": "p3-d65", "bits": 12, "range": "full"}
        | {"white": 48.0, "black": 0.01},
        {"transfer": "hlg", "primaries": "bt2020", "bits": 10, "range": "narrow"}
        | {"peak": 4000.0, "black": 0.005},
    ],
)
def test_a_signal_is_read_back_from_its_parts(parts):
    assert signal_from_parts(parts).describe() == parts
    assert signal_from_parts(signal_from_parts(parts).describe()) == signal_from_parts(parts)


def test_a_signal_without_a_short_name_spells_out_its_parts():
    assert named_signal("pq10").shown_at(8, "full").name == "pq8"
    assert named_signal("pq10").shown_at(10, "full").name == "pq/bt2020/10 bits/full"


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"transfer": "log"}, "There is no transfer 'log'"),
        ({"transfer": "pq", "primaries": "ntsc"}, "There are no primaries 'ntsc'"),
        ({"transfer": "pq", "bits": 9}, "8, 10, 12 or 16 bits, not 9"),
        ({"transfer": "pq", "bits": "ten"}, "bits of a signal is a number"),
        ({"transfer": "pq", "bits": 10.5}, "8, 10, 12 or 16 bits, not 10.5"),
        ({"transfer": "pq", "range": "wide"}, "narrow or full, not 'wide'"),
        ({"transfer": "bt1886", "white": "bright"}, "white of a signal is a number"),
        ({"transfer": "bt1886", "white": "Infinity"}, "white of a signal is a number"),
        ({"transfer": "bt1886", "white": 100, "black": 100}, "0 <= black < white"),
        ({"transfer": "bt1886", "white": 100, "black": -1}, "0 <= black < white"),
        ({"transfer": "hlg", "peak": 0}, "0 <= black < peak"),
        ({"transfer": "hlg", "peak": "NaN"}, "peak of a signal is a number"),
        ({"transfer": "hlg", "peak": 1000, "black": 100}, "no black as high as 100 cd/m2"),
        ({}, "There is no transfer"),
    ],
)
def test_parts_that_make_no_signal_are_refused(parts, said):
    with pytest.raises(PatternError) as error:
        signal_from_parts(parts)
    assert said in str(error.value)


@pytest.mark.parametrize("name", ["pq", "pq9", "PQ10", "log10", "", "10", "pq10 "])
def test_a_name_that_is_none_is_refused_with_the_names_there_are(name):
    with pytest.raises(PatternError, match=r"sdr8, sdr10, .*hlg16"):
        named_signal(name)


def test_a_depth_that_no_signal_has_is_refused():
    with pytest.raises(PatternError, match="not 9"):
        Quantiser(9, "full")
    with pytest.raises(PatternError, match="not 'wide'"):
        Quantiser(10, "wide")


# Canvas


@pytest.mark.parametrize(
    ("text", "canvas"),
    [
        ("3840x2160", Canvas(3840, 2160)),
        (" 1920 X 1080 ", Canvas(1920, 1080)),
        ("1366x768@50", Canvas(1366, 768, Fraction(50))),
        ("1920x1080@23.976", Canvas(1920, 1080, Fraction(24_000, 1001))),
    ],
)
def test_a_size_is_read_as_people_write_it(text, canvas):
    assert parse_canvas(text) == canvas


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("3840", "WIDTHxHEIGHT"),
        ("3840x2160x2", "WIDTHxHEIGHT"),
        ("-3840x2160", "WIDTHxHEIGHT"),
        ("62x64", "64 to 16384 pixels"),
        ("16386x64", "64 to 16384 pixels"),
        ("1921x1080", "both sides are even"),
        ("1920x1080@0", "between 1 and 1000 Hz"),
        ("1920x1080@2000", "between 1 and 1000 Hz"),
    ],
)
def test_a_size_that_cannot_be_is_refused(text, said):
    with pytest.raises(PatternError, match=said):
        parse_canvas(text)


# Measures


@given(st.integers(1, 16384), st.integers(1, 500))
def test_parts_of_a_side_fill_it_and_differ_by_a_pixel_at_most(side, parts):
    edges = split(side, parts)
    assert (edges[0], edges[-1], len(edges)) == (0, side, parts + 1)
    lengths = {b - a for a, b in pairwise(edges)}
    assert max(lengths) - min(lengths) <= 1


def test_edges_between_two_pixels_go_to_the_right():
    assert split(1080, 16)[:4] == [0, 68, 135, 203]
    assert split(1366, 4) == [0, 342, 683, 1025, 1366]


def test_times_and_lengths_are_exact():
    assert seconds(Measure(Decimal("1.5"), "min")) == 90
    assert seconds(Measure(Decimal(50), "ms")) == Fraction(1, 20)
    assert seconds(Measure(Decimal("0.1"), "s")) == Fraction(1, 10)
    assert pixels(Measure(Decimal("12.5"), "%"), 1366) == Fraction(683, 4)
    assert pixels(Measure(Decimal(64), "px"), 1366) == 64


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        *(("120 cd/m²", "120", "cd/m2"), ("50%", "50", "%"), ("+.5 %", "0.5", "%")),
        *(("5. %", "5", "%"), ("code 502", "502", "code"), ("  7 cd/m2 ", "7", "cd/m2")),
    ],
)
def test_a_measure_is_read_as_people_write_it(text, number, unit):
    found = parse_measure(text, ("%", "cd/m2", "code"), "50 %")
    assert found == Measure(Decimal(number), unit)


@given(st.decimals(-1000, 10**6, places=20))
def test_a_measure_is_written_without_exponent_and_reads_back(number):
    written = str(Measure(number, "%"))
    assert "E" not in written
    assert parse_measure(written, ("%",), "50 %") == Measure(number, "%")
