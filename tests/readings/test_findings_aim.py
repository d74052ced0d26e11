"""An aim of one's own: what greys and colours are judged by instead of what the signal says."""

from __future__ import annotations

from dataclasses import replace

import colour
import numpy as np
import pytest

from patterns.aim import Aim, AimError
from patterns.signal.primaries import BT709
from readings.evidence.aim import matrix_of
from readings.findings import findings_from
from readings.report.summary import held_text, verdict_of
from tests.readings.grey_readings import greys, power
from tests.readings.made_readings import PQ

WARM = (0.3457, 0.3585)
"""D50: CIE 15:2018, from memory."""


def judged(light, aim, **changes):
    """The greyscale finding of a display of that light, held against an aim."""
    (finding,) = findings_from(greys(light, aim=aim, **changes), ["greyscale"])
    return finding


def verdicts(finding):
    """The verdict on each value that a limit is for, by the value's name."""
    from readings.findings import FINDINGS

    return {
        value.name: verdict_of(value, limit)
        for limit in FINDINGS["greyscale"].limits
        for value in finding.values
        if limit.applies(value, "bt1886")
    }


def test_a_display_of_exactly_power_2_4_above_a_raised_black_is_right_where_that_was_the_aim():
    light = power(2.4, white=120.0, black=0.12)
    readings = greys(light, aim=Aim("power 2.4"))
    (found,) = findings_from(readings, ["greyscale"])
    assert found.value("eotf-error-average").value == pytest.approx(0, abs=1e-9)
    assert found.value("gamma-average").value == pytest.approx(2.4)
    assert found.value("gamma-target").value == pytest.approx(2.4)
    assert verdicts(found)["eotf-error-largest"] == "good"
    (by_the_signal,) = findings_from([replace(r, aim=Aim()) for r in readings], ["greyscale"])
    # above its black the law gives 0.605 cd/m2 at 10 %, BT.1886 between 120 and 0.12 asks for 1.285
    assert by_the_signal.value("eotf-error-largest").value == pytest.approx(-53.0, abs=0.2)
    assert verdicts(by_the_signal)["eotf-error-largest"] == "bad"


@pytest.mark.parametrize(
    ("aim", "light"),
    [
        ("power 2.2", lambda signal: 100 * signal**2.2),
        ("srgb", lambda signal: 100 * float(colour.models.eotf_sRGB(signal))),
        ("bt1886", lambda signal: float(colour.models.eotf_BT1886(signal, 0.05, 100.0))),
    ],
)
def test_curves_are_those_of_a_reference_library(aim, light):
    """Power laws by their formula; sRGB and BT.1886 by colour-science 0.4."""
    stated = Aim(aim, black=0.05 if aim == "bt1886" else None)
    found = judged(light, stated)
    assert found.value("eotf-error-average").value == pytest.approx(0, abs=1e-4)
    other = judged(light, Aim("power 2.6"))
    assert found.aimed != other.aimed
    assert verdicts(other)["eotf-error-average"] == "bad"


def test_black_that_is_stated_is_what_the_curve_starts_from_and_not_the_one_measured():
    def light(signal):
        return 0.5 if signal == 0 else float(colour.models.eotf_BT1886(signal, 0.05, 100.0))

    assert judged(light, Aim(black=0.05)).value("eotf-error-average").value == pytest.approx(
        0, abs=1e-4
    )
    assert judged(light, Aim()).value("eotf-error-average").value > 10


def test_white_is_held_against_the_luminance_that_was_stated_for_it_and_greys_are_not():
    found = judged(power(2.4, white=100.0), Aim("power 2.4", white=120.0))
    assert found.value("white-off-aim").value == pytest.approx(-100 / 6)
    assert verdicts(found)["white-off-aim"] == "bad"
    assert verdicts(found)["eotf-error-average"] == "good"
    near = judged(power(2.4, white=119.0), Aim("power 2.4", white=120.0))
    assert verdicts(near)["white-off-aim"] == "good"
    assert judged(power(2.4), Aim("power 2.4")).value("white-off-aim") is None


def test_greys_of_another_white_point_are_neutral_where_that_was_the_aim_and_tinted_where_not():
    light = power(2.4)
    right = judged(light, Aim("power 2.4", white_point=WARM), xy=WARM)
    assert right.value("delta-e-2000-chromaticity-largest").value == pytest.approx(0, abs=1e-6)
    assert right.value("balance-largest").value == pytest.approx(100)
    tinted = judged(light, Aim("power 2.4"), xy=WARM)
    assert verdicts(tinted)["delta-e-2000-chromaticity-largest"] == "bad"
    off = judged(light, Aim("power 2.4", white_point=WARM))
    assert verdicts(off)["delta-e-2000-chromaticity-largest"] == "bad"


def test_primaries_around_another_white_give_the_matrix_of_a_reference_library():
    """NPM of colour-science 0.4, after SMPTE RP 177."""
    primaries = [[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]
    expected = colour.normalised_primary_matrix(primaries, WARM)
    np.testing.assert_allclose(matrix_of(BT709, WARM), expected, atol=1e-12)


def test_pq_keeps_its_own_curve_whatever_curve_the_visit_aims_at():
    codes = (64, 152, 239, 327, 414, 502)
    from patterns.signal.signal import named_signal

    decode = named_signal("pq10").transfer.decode
    light = lambda signal: float(decode(np.full(3, signal))[0])  # noqa: E731
    found = judged(light, Aim("power 2.2", white=100.0), codes=codes, signal=PQ)
    assert found.value("eotf-error-average").value == pytest.approx(0, abs=1e-6)
    assert found.value("white-off-aim") is None
    assert found.settled()["aim"]["curve"] == "pq"


def test_each_verdict_that_hangs_on_an_aim_names_it():
    from readings.findings import FINDINGS

    found = judged(power(2.4), Aim("power 2.4", white=120.0, white_point=WARM))
    told = {limit.values[0]: held_text(limit, found) for limit in FINDINGS["greyscale"].limits}
    assert told["delta-e-2000-chromaticity-largest"].endswith("; aim: x 0.3457, y 0.3585")
    assert told["delta-e-2000-average"].endswith("; aim: power 2.4, x 0.3457, y 0.3585")
    assert told["eotf-error-average"].endswith("; aim: power 2.4")
    assert told["white-off-aim"].endswith("; aim: white of 120 cd/m²")
    plain = judged(power(2.4), Aim())
    assert held_text(FINDINGS["greyscale"].limits[2], plain).endswith("; aim: BT.1886")


@pytest.mark.parametrize(
    "given",
    [
        {"curve": "power 0.5"},
        {"curve": "gamma 2.4"},
        {"white": 0.0},
        {"white": float("nan")},
        {"black": -1.0},
        {"black": 120.0, "white": 100.0},
        {"white_point": (0.7, 0.4)},
        {"white_point": (float("nan"), 0.3)},
    ],
)
def test_what_no_display_can_do_is_refused(given):
    with pytest.raises(AimError):
        Aim(**given)


def test_an_aim_is_kept_as_it_was_stated():
    aim = Aim("power 2.35", 0.01, 120.0, WARM)
    assert Aim.described(aim.describe()) == aim
    assert Aim.described({}) == Aim()
    for wrong in ({"curve": 2}, {"white_point": [0.3]}, {"gain": 1}, {"white": True}):
        with pytest.raises(ValueError, match="no aim"):
            Aim.described(wrong)


def test_what_is_stated_goes_over_what_was_stated_before():
    assert Aim(white=120.0).over(Aim("srgb", white=100.0)) == Aim("srgb", white=120.0)
