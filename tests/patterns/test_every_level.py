"""Levels become the codes of the standards' formulas at 50 digits, each correctly rounded."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.signal.levels import Ink
from patterns.signal.measures import Measure
from patterns.signal.primaries import PRIMARIES
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Signal, named_signal, signal_names
from patterns.signal.transfer import Bt1886, Hlg, Pq

BITS = (8, 10, 12, 16)
QUANTISED = [(bits, range_) for bits in BITS for range_ in ("narrow", "full")]
HLG = [(1000, 0), (400, 0), (600, 0), (2000, 0), (4000, "0.005"), (1000, "0.01")]
SDR = [(100, 0), (100, "0.1"), (120, "0.05"), (203, 0)]


def signal_of(transfer, bits=10, range_="narrow"):
    return Signal(transfer, PRIMARIES["bt2020"], bits, range_)


def wrong_codes(reference, transfer, inverse, luminances):
    """Luminances whose code differs from the formula's, at any depth and range."""
    signal = signal_of(transfer)
    wrong = []
    for luminance in luminances:
        found = signal.grey(Decimal(luminance))[0]
        exact = inverse(reference.number(luminance))
        wrong += [
            (luminance, bits, range_)
            for bits, range_ in QUANTISED
            if Quantiser(bits, range_).code(found) != reference.code(exact, bits, range_)
        ]
    return wrong


def hundredths(peak, black, every):
    """Luminances from black to peak in ten thousandths of the way, every so many of them."""
    low, high = Decimal(black), Decimal(peak)
    return [str(low + (high - low) * step / 10_000) for step in range(0, 10_001, every)]


@pytest.mark.parametrize("range_", ["narrow", "full"])
@pytest.mark.parametrize("bits", BITS)
def test_every_hundredth_of_a_percent_gives_its_rounded_code(reference, bits, range_):
    ink = Ink(signal_of(Pq(), bits, range_))
    wrong = []
    for step in range(10_001):
        exact = reference.code_of_percent(Fraction(step, 100), bits, range_)
        if ink("level", Measure(Decimal(step).scaleb(-2), "%")) != (exact,) * 3:
            wrong.append(step)
    assert not wrong


@pytest.mark.parametrize("name", signal_names())
def test_percent_means_signal_whatever_the_transfer(reference, name):
    signal = named_signal(name)
    ink = Ink(signal)
    for tenth in range(0, 1001, 13):
        exact = reference.code_of_percent(Fraction(tenth, 10), signal.bits, signal.range)
        assert ink("level", Measure(Decimal(tenth).scaleb(-1), "%")) == (exact,) * 3


def test_luminances_of_pq_give_their_rounded_codes(reference):
    """Whole cd/m2: all to 203, the top 100, and every 7th between; then below 1 cd/m2."""
    whole = sorted({*range(204), *range(0, 10_001, 7), *range(9900, 10_001)})
    small = [str(Decimal(step).scaleb(-4)) for step in range(1, 10_000, 37)]
    luminances = [*(str(each) for each in whole), *small]
    assert not wrong_codes(reference, Pq(), reference.pq_inverse, luminances)


@pytest.mark.parametrize(("peak", "black"), HLG)
def test_luminances_of_hlg_give_their_rounded_codes(reference, peak, black):
    transfer = Hlg(Decimal(peak), Decimal(black))
    whole = [str(each) for each in range(1, peak + 1, 7)]
    luminances = [*whole, *hundredths(peak, black, 97)]
    assert not wrong_codes(reference, transfer, reference.Hlg(peak, black).inverse, luminances)


@pytest.mark.parametrize(("white", "black"), SDR)
def test_luminances_of_bt1886_give_their_rounded_codes(reference, white, black):
    transfer = Bt1886(Decimal(white), Decimal(black))
    luminances = hundredths(white, black, 47)[1:-1]
    inverse = reference.Bt1886(white, black).inverse
    assert not wrong_codes(reference, transfer, inverse, luminances)


@pytest.mark.parametrize(("white", "black"), SDR)
def test_white_and_black_of_bt1886_are_exactly_its_ends(white, black):
    for bits, range_ in QUANTISED:
        signal = signal_of(Bt1886(Decimal(white), Decimal(black)), bits, range_)
        ink = Ink(signal)
        assert ink("w", Measure(Decimal(white), "cd/m2")) == (signal.quantiser.white,) * 3
        assert ink("k", Measure(Decimal(black), "cd/m2")) == (signal.quantiser.black,) * 3


@given(st.decimals(0, 10_000, places=6))
def test_any_luminance_of_pq_gives_its_rounded_code(reference, luminance):
    exact = reference.pq_inverse(reference.number(luminance))
    for bits, range_ in QUANTISED:
        found = Ink(signal_of(Pq(), bits, range_))("level", Measure(luminance, "cd/m2"))
        assert found == (reference.code(exact, bits, range_),) * 3


@given(st.integers(20, 10_000), st.decimals(0, 1, places=4), st.decimals(0, "0.01", places=3))
def test_any_luminance_of_any_hlg_display_gives_its_rounded_code(reference, peak, share, dark):
    black = dark * peak / 10
    luminance = black + (peak - black) * share
    display = reference.Hlg(peak, black)
    exact = display.inverse(reference.number(luminance))
    for bits, range_ in QUANTISED:
        signal = signal_of(Hlg(Decimal(peak), black), bits, range_)
        found = Ink(signal)("level", Measure(luminance, "cd/m2"))
        # 50 digits leave a crumb of black's own signal, 0, which no rounding sees
        assert found == (reference.code(exact, bits, range_),) * 3


@pytest.mark.campaign
def test_every_whole_luminance_of_pq_gives_its_rounded_code(reference):
    luminances = [str(each) for each in range(10_001)]
    assert not wrong_codes(reference, Pq(), reference.pq_inverse, luminances)


@pytest.mark.campaign
@pytest.mark.parametrize(("peak", "black"), HLG)
def test_every_whole_luminance_of_hlg_gives_its_rounded_code(reference, peak, black):
    transfer = Hlg(Decimal(peak), Decimal(black))
    luminances = [*(str(each) for each in range(1, peak + 1)), *hundredths(peak, black, 1)]
    assert not wrong_codes(reference, transfer, reference.Hlg(peak, black).inverse, luminances)


@pytest.mark.campaign
@pytest.mark.parametrize(("white", "black"), SDR)
def test_every_ten_thousandth_of_bt1886_gives_its_rounded_code(reference, white, black):
    transfer = Bt1886(Decimal(white), Decimal(black))
    luminances = hundredths(white, black, 1)[1:-1]
    inverse = reference.Bt1886(white, black).inverse
    assert not wrong_codes(reference, transfer, inverse, luminances)
