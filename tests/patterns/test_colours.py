"""Chromaticities, lines between them, and the light of a strongest channel."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.signal import colours
from patterns.signal.primaries import BT709, BT2020, D65, PRIMARIES
from patterns.signal.signal import named_signal, signal_from_parts

SIGNALS = [
    named_signal("sdr10"),
    named_signal("pq10"),
    named_signal("hlg10"),
    signal_from_parts({"transfer": "hlg", "peak": 4000}),
    signal_from_parts({"transfer": "bt1886", "black": "0.05", "primaries": "p3-d65"}),
]


def positive(light):
    return tuple(max(each, Decimal(0)) for each in light)


def test_d65_has_its_published_u_v(agrees):
    """CIE 1976 u'v' of D65 x 0.3127, y 0.3290, computed."""
    u, v = colours.to_uv(D65)
    assert agrees(float(u), "0.19783001")
    assert agrees(float(v), "0.46831999")


@given(st.fractions(0, 1), st.fractions(Fraction(1, 100), 1))
def test_u_v_and_back_is_the_same_point(x, y):
    if -2 * x + 12 * y + 3 > 0 and y + x <= 1:
        assert colours.from_uv(colours.to_uv((x, y))) == (x, y)


@pytest.mark.parametrize("primaries", PRIMARIES.values(), ids=PRIMARIES)
def test_named_mixes_are_the_primaries_and_white(primaries):
    assert colours.chromaticity(primaries, (1, 0, 0)) == primaries.red
    assert colours.chromaticity(primaries, (0, 1, 0)) == primaries.green
    assert colours.chromaticity(primaries, (0, 0, 1)) == primaries.blue
    assert colours.chromaticity(primaries, (1, 1, 1)) == D65


def test_secondaries_of_bt709_lie_where_they_are_known_to():
    """CIE 1931 x, y of BT.709 (BT.709-6 item 1.3) cyan, magenta, yellow; computed."""
    known = {(0, 1, 1): (0.2246, 0.3287), (1, 0, 1): (0.3209, 0.1542), (1, 1, 0): (0.4193, 0.5053)}
    for mix, point in known.items():
        found = colours.chromaticity(BT709, mix)
        assert [round(float(each), 4) for each in found] == list(point)


@pytest.mark.parametrize("diagram", ["uv", "xy"])
def test_a_line_begins_and_ends_at_its_ends_and_is_straight_in_its_diagram(diagram):
    start, end = D65, BT2020.green
    assert colours.along(start, end, Fraction(0), diagram) == start
    assert colours.along(start, end, Fraction(1), diagram) == end
    seen = colours.to_uv if diagram == "uv" else tuple
    a, middle, b = (seen(colours.along(start, end, Fraction(n, 2), diagram)) for n in range(3))
    assert [(p + q) / 2 for p, q in zip(a, b, strict=True)] == list(middle)


@pytest.mark.parametrize(
    ("signal", "share", "printed"),
    [
        # BT.2100-3 Table 4, computed; the same for HLG at 1000 cd/m2, Table 5; BT.1886 Annex 1
        ("pq10", "0.5", "92.2457089941"),
        ("pq10", "0.75", "983.377855587"),
        ("pq10", "1", "10000"),
        ("hlg10", "0.5", "50.69702849"),
        ("hlg10", "0.75", "203.1521459"),
        ("sdr10", "0.5", "18.946457"),
        ("sdr10", "0.75", "50.135694"),
    ],
)
def test_light_of_a_grey_is_the_published_luminance(agrees, signal, share, printed):
    signal = named_signal(signal)
    light = colours.light_at(signal, D65, Fraction(share))
    assert max(light) - min(light) < Decimal("1e-40")
    assert agrees(light[0], printed)
    assert agrees(float(colours.luminance_of(signal, light)), printed)


@settings(max_examples=60)
@given(
    st.sampled_from(SIGNALS),
    st.fractions(Fraction(1, 1000), 1, max_denominator=4095),
    st.sampled_from([(1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 1, 1), (1, 0, 1), (1, 1, 0), (3, 2, 1)]),
)
def test_the_strongest_channel_gets_the_signal_that_was_asked(signal, share, mix):
    point = colours.chromaticity(signal.primaries, mix)
    light = colours.light_at(signal, point, share)
    strongest = max(signal.transfer.encode(positive(light)))
    assert abs(Fraction(strongest) - share) < Fraction(1, 10**40)
    # and the light is in these parts
    most = max(light)
    for part, each in zip(mix, light, strict=True):
        assert abs(each / most - Decimal(part) / max(mix)) < Decimal("1e-25")


def test_a_colour_outside_the_primaries_has_a_channel_below_nothing():
    light = colours.light_at(named_signal("sdr10"), BT2020.green, Fraction(1, 2))
    assert light[0] < 0
    assert light[1] == max(light)


def test_no_signal_is_the_black_of_the_signal():
    assert colours.light_at(SIGNALS[4], BT709.red, Fraction(0)) == (Decimal("0.05"),) * 3
