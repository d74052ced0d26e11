"""Uniformity: N, colour over all pairs, contrast, places, and drift."""

import numpy as np
import pytest

from readings.colorimetry.uniformity import largest_uv, non_uniformity
from tests.readings.light_readings import BLACK, WHITE, reading, worked
from tests.readings.made_readings import METER, found, only, said


def point(number, n, luminance, points=9, inks=WHITE, **changes):
    more = {
        "kind": "uniformity",
        "parameters": {"points": points},
        "of": f"point {n}",
        "inks": {"level": inks},
    }
    return reading(number, "uniformity", luminance, **more | changes)


def nine(lights, first=1, **changes):
    return [point(first + n, n + 1, light, **changes) for n, light in enumerate(lights)]


def test_contrast_uniformity_of_the_standards_worked_value_is_25_percent():
    highest, lowest, result, tolerance = worked("8.1.3")
    assert float(non_uniformity([highest, 700.0, lowest])) == pytest.approx(result, abs=tolerance)
    whites = nine([80.0, 70.0, 60.0], inks=WHITE)
    blacks = nine([0.1, 0.1, 0.1], 10, inks=BLACK)
    (finding,) = [f for f in found("uniformity", whites + blacks) if "contrast" in f.title]
    assert finding.values[0].value == pytest.approx(result, abs=tolerance)
    assert finding.source.endswith("8.1.3 (seen)")


def test_non_uniformity_is_one_minus_lowest_over_highest():
    finding = only("uniformity", nine([100, 98, 96, 94, 92, 90, 88, 86, 80.0]))
    assert finding.values[0].value == pytest.approx(20.0)
    low, high = finding.values[0].interval
    assert 0.3 < (high - low) / 2 < 1.5
    assert low < 20 < high
    assert finding.value("lowest-luminance").where["place_x_percent"] == 90.0
    shares = [number.value for number in finding.series[0].column("share")]
    assert shares[0] == 100.0
    assert shares[-1] == pytest.approx(80.0)


def test_the_largest_colour_difference_is_over_all_pairs_and_not_from_the_centre():
    # 0.305 and 0.320 lie on two sides of the centre's 0.3127
    x = [0.3127, 0.305, 0.320, 0.3127, 0.3127, 0.3127, 0.3127, 0.3127, 0.3127]
    readings = [point(n + 1, n + 1, 100.0, x=each, y=0.329) for n, each in enumerate(x)]
    finding = only("uniformity", readings)
    value = finding.value("colour-non-uniformity").value
    assert value == pytest.approx(float(largest_uv([[0.305, 0.329], [0.320, 0.329]])))
    from_centre = [number.value for number in finding.series[0].column("delta-uv")]
    assert max(from_centre) < value
    assert from_centre[4] == 0.0


def test_an_even_screen_has_an_n_that_may_be_0():
    random, inside = np.random.default_rng(3), 0
    for _ in range(40):
        lights = 100 * (1 + 0.002 * random.standard_normal(9))
        value = only("uniformity", nine(list(lights))).values[0]
        inside += value.interval[0] == 0
    assert inside >= 38


def test_an_uneven_screen_keeps_the_truth_within_the_uncertainty():
    truth = np.array([100, 97, 95, 99, 100, 96, 93, 92, 90.0])
    random, inside = np.random.default_rng(4), 0
    for _ in range(60):
        lights = truth * (1 + 0.002 * random.standard_normal(9))
        value = only("uniformity", nine(list(lights))).values[0]
        inside += value.interval[0] <= 10.0 <= value.interval[1]
    assert inside >= 54


def test_one_place_alone_says_nothing_of_uniformity_and_says_so():
    finding = only("uniformity", nine([100.0]))
    assert finding.values[0].value is None
    assert finding.readings == (1,)
    assert "Only one place was read" in said(finding)


def test_each_level_is_a_finding_of_its_own():
    white, grey = nine([100.0] * 9), nine([20.0] * 9, 10, inks=(128, 128, 128))
    titles = [finding.title for finding in found("uniformity", white + grey)]
    assert titles == ["Uniformity, white, 9 places", "Uniformity, grey 50.2 %, 9 places"]


def test_a_window_in_25_places_lies_on_the_grid():
    readings = [
        reading(n, "place", 100.0 - n, kind="window", parameters={"place": n}) for n in range(1, 26)
    ]
    finding = only("uniformity", readings)
    rows = finding.series[0].rows
    assert [row.numbers[0].value for row in rows[:5]] == [10.0, 30.0, 50.0, 70.0, 90.0]
    assert rows[24].numbers[1].value == 90.0
    assert finding.source.startswith("After")


def test_missing_places_and_drift_are_told():
    drift = point(20, 1, 110.0, role="drift")
    finding = only("uniformity", [*nine([100.0, 100.0, 100.0]), drift])
    assert finding.value("drift").value == pytest.approx(10.0)
    assert "3 of 9 places" in said(finding)
    assert "drift" in said(finding)


def test_places_at_the_floor_have_no_uniformity():
    finding = only("uniformity", nine([0.001, 0.0015, 0.0005], inks=BLACK))
    assert finding.values[0].value is None
    assert METER.luminance_floor == 0.002
    assert "floor" in said(finding)
