"""Every code of every signal, both ways, against the standards' formulas at 50 digits.

Decoding is float64. Its worst places are PQ, where E'**(1/m2) - c1 and c2 - c3 E'**(1/m2) both
cancel and the power 1/m1 = 6.3 magnifies what is left, and BT.1886 just above V = -b; the largest
relative error over all codes of 8 to 12 bits is 1.2e-13. BELOW leaves a hundred times that for
other machines' power functions, and is still less than a millionth of the step between two codes.
Encoding is exact: the code itself has to come back.
"""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from patterns.signal.primaries import PRIMARIES
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886, Hlg, Pq

BELOW = 1e-11
SIGNALS = [("bt1886", 100, 0), ("pq", 10_000, 0), ("hlg", 1000, 0)]
OTHERS = [
    *(("bt1886", white, black) for white, black in ((100, "0.1"), (120, "0.05"), (48, "0.01"))),
    *(("hlg", peak, black) for peak, black in ((1000, "0.005"), (400, 0), (4000, "0.01"))),
    *(("hlg", peak, 0) for peak in (203, 600, 2000, 10_000)),
]
QUANTISED = [(bits, range_) for bits in (8, 10, 12) for range_ in ("narrow", "full")]


def made(name, peak, black):
    if name == "pq":
        return Pq()
    return {"bt1886": Bt1886, "hlg": Hlg}[name](Decimal(peak), Decimal(black))


def known(reference, name, peak, black):
    """Give the reference's grey EOTF, and the signals of which it is one to one."""
    if name == "pq":
        return reference.pq_eotf, 0, 1
    display = {"bt1886": reference.Bt1886, "hlg": reference.Hlg}[name](peak, black)
    lift = display.b if name == "bt1886" else display.beta / (1 - display.beta)
    return display.eotf, -lift, 2


def compare(reference, chosen, bits, range_, every=1):
    """Largest relative error of decoding, codes that did not come back, and how many codes."""
    transfer = made(*chosen)
    eotf, low, high = known(reference, *chosen)
    codes = np.array(reference.video_codes(bits, range_))
    picked = (codes % every == 0) | (codes <= codes[0] + 200) | (codes >= codes[-1] - 200)
    codes = codes[picked]
    signals = [reference.signal(code, bits, range_) for code in codes.tolist()]
    luminances = [eotf(signal) for signal in signals]
    exact = np.array([float(luminance) for luminance in luminances])
    largest = 0.0
    for primaries in PRIMARIES.values():
        signal = Signal(transfer, primaries, bits, range_)
        greys = np.stack([codes] * 3, axis=-1).astype(np.uint16)
        found = np.column_stack((signal.light(greys), signal.luminance(greys)))
        # dark both ways is an agreement; otherwise the error is relative
        error = abs(found - exact[:, None]) / np.where(exact > 0, exact, 1)[:, None]
        largest = max(largest, float(error.max()))
    quantiser = Signal(transfer, primaries, bits, range_).quantiser
    lost = []
    for code, signal, luminance in zip(codes.tolist(), signals, luminances, strict=True):
        if low <= signal <= high:
            light = reference.as_decimal(luminance)
            back = quantiser.code(transfer.encode((light, light, light))[0])
            if back != code:
                lost.append((code, back))
    return largest, lost, len(codes)


@pytest.mark.parametrize(("bits", "range_"), QUANTISED)
@pytest.mark.parametrize("chosen", SIGNALS, ids=lambda chosen: chosen[0])
def test_codes_agree_with_fifty_digits_both_ways(reference, chosen, bits, range_):
    """All codes of 8 and 10 bits; at 12 bits the 200 next to each end and every 7th between."""
    largest, lost, count = compare(reference, chosen, bits, range_, every=7 if bits == 12 else 1)
    assert count >= 254
    assert largest < BELOW
    assert not lost


@pytest.mark.parametrize("chosen", OTHERS, ids=str)
def test_codes_agree_on_displays_of_other_peaks_and_blacks(reference, chosen):
    for bits, range_ in ((8, "full"), (10, "narrow")):
        largest, lost, _ = compare(reference, chosen, bits, range_, every=7)
        assert largest < BELOW
        assert not lost


@pytest.mark.campaign
@pytest.mark.parametrize(("bits", "range_"), [*QUANTISED, (16, "narrow"), (16, "full")])
@pytest.mark.parametrize("chosen", [*SIGNALS, *OTHERS], ids=str)
def test_every_code_agrees_with_fifty_digits_both_ways(reference, chosen, bits, range_):
    """All codes of 8, 10 and 12 bits, and every 61st of 16 bits."""
    largest, lost, count = compare(reference, chosen, bits, range_, every=61 if bits == 16 else 1)
    print(f"\n{chosen} {bits} {range_}: {count} codes, largest error {largest:.2e}")  # noqa: T201 - its result
    assert largest < BELOW
    assert not lost


CODE = st.integers(0, 1023)


@given(st.tuples(CODE, CODE, CODE), st.sampled_from([(1000, "0"), (600, "0"), (4000, "0.005")]))
def test_colours_of_hlg_share_one_gain_and_come_back(reference, triple, display):
    """HLG's OOTF couples the channels (BT.2100-3 Table 5), so colours need a check of their own."""
    transfer = made("hlg", *display)
    signal = Signal(transfer, PRIMARIES["bt2020"], 10, "full")
    exact = reference.Hlg(*display).light(
        tuple(reference.signal(code, 10, "full") for code in triple)
    )
    found = signal.light(np.array([triple], np.uint16))[0]
    for each, channel in zip(exact, found, strict=True):
        assert float(channel) == pytest.approx(float(each), rel=BELOW)
    signals = transfer.encode(tuple(reference.as_decimal(each) for each in exact))
    assert tuple(signal.quantiser.code(each) for each in signals) == triple


@given(st.tuples(CODE, CODE, CODE), st.sampled_from(["bt1886", "pq"]))
def test_xyz_of_colours_agrees_with_fifty_digits(reference, triple, name):
    eotf = known(reference, name, 100, 0)[0]
    light = reference.REAL.matrix([eotf(reference.signal(code, 10, "full")) for code in triple])
    for primaries in PRIMARIES.values():
        signal = Signal(made(name, 100, 0), primaries, 10, "full")
        found = signal.xyz(np.array([triple], np.uint16))[0]
        exact = reference.rgb_to_xyz(primaries.name) * light
        for row in range(3):
            assert found[row] == pytest.approx(float(exact[row]), rel=BELOW, abs=1e-300)
