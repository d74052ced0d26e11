"""Tone: where greys of PQ and HLG follow their curve, where they leave it, where they end."""

import numpy as np
import pytest

from patterns.signal.signal import signal_from_parts
from readings.colorimetry.eetf import eetf
from readings.findings import findings_from
from readings.visit.records import Specification
from tests.readings.grey_readings import SDR, STEPS, greys
from tests.readings.made_readings import HLG, PQ, said

CURVE = signal_from_parts(PQ).transfer
CODES = (64, 152, 239, 327, 414, 502, 546, 573, 590, 612, 634, 656, 677, 699, 721, 743, 765, 940)
"""Up to 60 % in steps of 10 %, then of 2.5 % to 80 %; and white."""


def asked(signal):
    """cd/m2 that PQ asks for."""
    return float(CURVE.decode(np.full(3, signal))[0])


def only(readings):
    (finding,) = findings_from(readings, ["tone"])
    return finding


def shown(light, signal=PQ, codes=CODES, **changes):
    return only(greys(lambda value: light(asked(value)), codes, signal=signal, **changes))


def test_a_display_that_clips_is_followed_up_to_there_and_clips_there():
    found = shown(lambda light: min(light, 600.0))
    values = {v.name: (v.value, v.bound) for v in found.values}
    # codes 656 and 677: 496.6 and 619.9 cd/m2, three digits that still bound
    assert values["follows-up-to"] == (619.0, "lower")
    assert 560 < values["clips-above"][0] < 600
    assert values["clips-above"][1] == "lower"
    assert values["clips-below"] == (pytest.approx(620, abs=1), "upper")
    assert found.value("tone-peak").value == 600.0
    assert found.value("tone-level").value == pytest.approx(100)
    assert found.value("tone-error-size").value == pytest.approx(0, abs=0.5)


def test_a_roll_off_starts_before_the_end():
    found = shown(
        lambda light: light if light < 300 else 300 + 700 * (1 - np.exp(-(light - 300) / 700))
    )
    assert found.value("follows-up-to").value < 500
    assert found.value("roll-off-below").value > found.value("follows-up-to").value
    assert found.value("clips-below") is None


def test_a_display_that_goes_on_rising_has_no_clip():
    found = shown(lambda light: light)
    assert found.value("clips-below") is None
    assert found.value("roll-off-below") is None
    assert found.value("follows-up-to").value == 10_000
    assert "where the display clips is not seen" in said(found)


def test_a_dim_display_is_off_its_target_but_does_not_roll_off_all_the_way():
    found = shown(lambda light: 0.85 * min(light, 600.0))
    assert found.value("tone-level").value == pytest.approx(85)
    assert found.value("tone-level").uncertainty == pytest.approx(3.4, rel=0.2)
    assert found.value("follows-up-to").value == 619.0
    assert found.value("tone-error").value == pytest.approx(-15, abs=0.5)


def test_a_wrong_mode_is_no_curve_to_leave():
    found = shown(lambda light: 500 * (light / 10_000) ** 0.5)
    assert "is it in the right mode?" in said(found)
    assert found.value("follows-up-to") is None


def test_a_display_that_does_as_bt2390_says_is_nearest_to_it():
    found = shown(lambda light: float(eetf(light, 800.0, 0.05, 4000.0)))
    off = {v.where["master_peak"]: v.value for v in found.values
           if v.name == "reference-curve-difference"}  # fmt: skip
    assert off[4000.0] == pytest.approx(0, abs=0.2)
    assert min(off, key=off.get) == 4000.0


def test_the_series_carries_the_reference_curve_of_this_display():
    found = shown(lambda light: max(0.05, min(light, 600.0)))
    curve = [number.value for number in found.series[0].column("reference-curve-luminance")]
    expected = eetf([asked((code / 4 - 16) / 219) for code in CODES], 600.0, 0.05)
    assert curve == pytest.approx(list(expected))


def test_hlg_is_judged_in_percent_and_without_a_reference_curve():
    transfer = signal_from_parts(HLG | {"peak": 500}).transfer
    found = only(
        greys(lambda value: float(transfer.decode(np.full(3, value))[0]), STEPS, signal=HLG)
    )
    assert found.value("follows-up-to").written() == "at least 100 %"
    assert found.value("tone-error-size").value == pytest.approx(0, abs=1e-5)
    assert found.value("reference-curve-difference") is None
    assert [n.value for n in found.series[0].column("reference-curve-luminance")] == [None] * 11


def test_sdr_has_no_such_finding():
    assert findings_from(greys(lambda value: 100 * value**2.4, signal=SDR), ["tone"]) == []


def test_one_grey_is_no_curve():
    assert findings_from(greys(asked, (502,), signal=PQ), ["tone"]) == []


def test_noise_within_its_uncertainty_is_no_further_rise():
    noise = iter(np.random.default_rng(3).normal(1, 0.002, 40))
    found = only(greys(lambda value: min(asked(value), 600.0) * next(noise), CODES, signal=PQ))
    assert found.value("clips-below").value == pytest.approx(620, abs=1)


def test_an_unknown_meter_gives_bounds_all_the_same():
    found = shown(lambda light: min(light, 600.0), specification=Specification())
    assert found.value("clips-below").value == pytest.approx(620, abs=1)
    assert "not known" in said(found)
    assert found.value("tone-error").uncertainty is None
