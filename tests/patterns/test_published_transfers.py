"""PQ, HLG and BT.1886 give the published numbers; the tables and sources are in tests/data."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from patterns.signal.primaries import BT709
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Signal, named_signal
from patterns.signal.transfer import Bt1886, Hlg, Pq, hlg, pq


def decoded(transfer, signal):
    return float(transfer.decode(np.array([float(signal)] * 3))[0])


def encoded(transfer, luminance):
    light = Decimal(luminance)
    return transfer.encode((light, light, light))[0]


def test_constants_of_pq_are_the_exact_ratios(vectors):
    rows = {row["name"]: row for row in vectors("constants")}
    for name in ("m1", "m2", "c1", "c2", "c3"):
        ratio = Fraction(int(rows[name]["numerator"]), int(rows[name]["denominator"]))
        assert getattr(pq, name.upper()) == ratio == Fraction(rows[name]["decimal"]), name
    assert pq.C1 == pq.C3 - pq.C2 + 1


def test_constants_of_hlg_are_derived_from_a(vectors, agrees):
    rows = {row["name"]: row["decimal"] for row in vectors("constants")}
    assert Decimal(rows["a"]) == hlg.A
    assert Decimal(rows["b"]) == hlg.B
    assert agrees(hlg.C, rows["c"])
    assert sum(hlg.WEIGHTS) == 1


def test_pq_encodes_as_published(vectors, agrees):
    wrong = []
    for row in vectors("pq_encode"):
        signal = encoded(Pq(), row["cd_m2"])
        if not agrees(signal, row["signal"], digits=12):
            wrong.append((row["cd_m2"], signal))
        for column in ("narrow_10", "narrow_12", "narrow_16", "full_8", "full_10", "full_12"):
            range_, bits = column.split("_")
            code = Quantiser(int(bits), range_).code(signal)
            if code != int(row[column]):
                wrong.append((row["cd_m2"], column, code))
        if Quantiser(16, "full").code(signal) != int(row["full_16"]):
            wrong.append((row["cd_m2"], "full_16"))
    assert not wrong


def test_pq_decodes_as_published(vectors, agrees):
    rows = vectors("pq_decode")
    wrong = [row for row in rows if not agrees(decoded(Pq(), row["signal"]), row["cd_m2"], 12)]
    assert not wrong


@pytest.mark.parametrize("range_", ["narrow", "full"])
def test_ten_bit_codes_of_pq_decode_as_published(vectors, agrees, range_):
    signal = Signal(Pq(), BT709, 10, range_)
    for row in vectors("pq_decode_codes"):
        code = int(row["code"])
        quantised = float(signal.quantiser.signal(code))
        assert agrees(quantised, row[f"{range_}_signal"], 8), code
        luminance = float(signal.luminance(np.array([code] * 3)))
        if quantised > 1:
            assert luminance == 10_000
        else:
            assert agrees(luminance, row[f"{range_}_cd_m2"], 9), code


def test_pq_of_zero_is_not_zero_but_its_code_is_black_at_every_depth():
    zero = encoded(Pq(), "0")
    assert 7.309559025e-7 < zero < 7.309559026e-7
    assert [Quantiser(bits, "narrow").code(zero) for bits in (8, 10, 12, 16)] == [16, 64, 256, 4096]
    assert [Quantiser(bits, "full").code(zero) for bits in (8, 10, 12, 16)] == [0, 0, 0, 0]


def test_hlg_decodes_as_published(vectors, agrees):
    for row in vectors("hlg_decode"):
        signal = row["signal"]
        assert Quantiser(10, "narrow").code(Fraction(signal)) == int(row["narrow_10"]), signal
        assert Quantiser(12, "narrow").code(Fraction(signal)) == int(row["narrow_12"]), signal
        scene = float(hlg.inverse_oetf(np.array([float(signal)]))[0])
        assert agrees(scene, row["scene"], 10), signal
        assert agrees(decoded(Hlg(), signal), row["cd_m2"], 10), signal


def test_hlg_encodes_its_published_luminances(vectors):
    """The luminances have ten digits, so that their signals agree to nine or better."""
    for row in vectors("hlg_decode"):
        found = encoded(Hlg(), row["cd_m2"])
        assert found == pytest.approx(Decimal(row["signal"]), rel=Decimal("1e-9")), row


def test_hlg_gamma_follows_the_formula_of_its_peak(vectors, agrees):
    """1.2 + 0.42 log10 holds from 400 to 2000 cd/m2, the extended power elsewhere."""
    for row in vectors("hlg_system_gamma"):
        peak = int(row["peak"])
        formula = "log10" if 400 <= peak <= 2000 else "power"
        display = Hlg(Decimal(peak))
        assert agrees(display.gamma, row[f"gamma_{formula}"], 8), peak
        assert agrees(decoded(display, "0.75"), row[f"cd_m2_{formula}"], 8), peak


def test_hlg_white_agrees_with_a_second_publication(vectors, agrees):
    for row in vectors("ebu_r167_hlg75"):
        display = Hlg(Decimal(row["peak"]))
        assert agrees(display.gamma, row["gamma"]), row
        assert agrees(decoded(display, "0.75"), row["cd_m2"]), row


def test_hlg_lifts_black_as_the_recommendation_says(agrees):
    """Rec. ITU-R BT.2100-3 Table 5, beta for LB 0.005 and LW 1000 cd/m2; computed."""
    display = Hlg(Decimal(1000), Decimal("0.005"))
    assert agrees(display.lift, "0.0107102135", 9)
    assert decoded(display, "0") == pytest.approx(0.005, rel=1e-12)
    assert decoded(display, "-0.05") == 0
    assert Hlg().lift == 0


def test_bt1886_has_the_computed_a_and_b(vectors, agrees):
    for row in vectors("bt1886_constants"):
        display = Bt1886(Decimal(row["white"]), Decimal(row["black"]))
        assert agrees(display.gain, row["a"]), row
        assert agrees(display.lift, row["b"]), row


def test_bt1886_gives_the_computed_luminances(vectors, agrees):
    for row in vectors("bt1886_luminance"):
        display = Bt1886(Decimal(row["white"]), Decimal(row["black"]))
        assert agrees(decoded(display, Decimal(row["percent"]) / 100), row["cd_m2"]), row


def test_codes_under_bt1886_give_the_computed_luminances(vectors, agrees):
    for row in vectors("bt1886_codes"):
        signal = Signal(Bt1886(Decimal(100), Decimal(row["black"])), BT709, 10, "narrow")
        code = int(row["code"])
        assert agrees(float(signal.quantiser.signal(code)), row["signal"]), row
        assert agrees(float(signal.luminance(np.array([code] * 3))), row["cd_m2"]), row


def test_bt1886_gives_light_below_black_until_minus_b():
    """A black of 0.1 cd/m2 has b = 0.05958483: light ends 5.96 % below black."""
    display = Bt1886(Decimal(100), Decimal("0.1"))
    assert 0 < decoded(display, "-0.0595") < 1e-7
    assert decoded(display, "-0.0596") == 0


def test_reference_levels_of_bt2408_hold_within_their_rounding(vectors):
    """Luminance against PQ and HLG signal, to the table's half percent."""
    for row in vectors("bt2408_levels"):
        luminance = row["cd_m2"]
        assert abs(100 * encoded(Pq(), luminance) - int(row["pq_percent"])) <= Decimal("0.5"), row
        assert abs(100 * encoded(Hlg(), luminance) - int(row["hlg_percent"])) <= Decimal("0.5"), row


def test_hdr_white_has_the_codes_of_production_practice():
    """203 cd/m2 (Report ITU-R BT.2408-9 Table 1, second-hand): PQ 573 and HLG 721 at 10 bits."""
    assert named_signal("pq10").quantiser.code(encoded(Pq(), "203")) == 573
    assert named_signal("hlg10").quantiser.code(encoded(Hlg(), "203")) == 721
