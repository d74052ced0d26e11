"""Halo: shares, what is added, the half-distance, and a meter's spot on the box."""

from dataclasses import replace

import numpy as np
import pytest

from tests.readings.light_readings import BLACK, WHITE, reading
from tests.readings.made_readings import only, said

POINTS = {
    f"point {4 * ring + way + 1}": {"distance_px": 1080 * far / 100, "direction": "up"}
    for ring, far in enumerate((2.0, 5.0, 10.0, 20.0))
    for way in range(4)
}


def shown(number, role, luminance, of, **changes):
    inks = {"level": WHITE, "background": BLACK}
    more = {"kind": "halo", "of": of, "inks": inks, "facts": {"points": POINTS}}
    return reading(number, role, luminance, **more | changes)


def halo(lights, box=400.0, black=None):
    """A box, four points at each of the four distances, and black beside them."""
    found = [shown(1, "halo-box", box, "box")] if box is not None else []
    if black is not None:
        found.append(reading(2, "black", black, inks={"level": BLACK}))
    for ring, light in enumerate(lights):
        for way in range(4):
            n = 4 * ring + way + 1
            found.append(shown(10 + n, "halo", light, f"point {n}"))
    return found


def test_the_share_is_of_the_box_and_black_is_not_subtracted_from_it():
    finding = only("halo", halo([0.4, 0.2, 0.1, 0.08], black=0.04))
    shares = [value.value for value in finding.values if value.name == "halo-share"]
    assert shares == pytest.approx([0.1, 0.05, 0.025, 0.02])
    added = [number.value for number in finding.series[0].column("added")]
    assert added == pytest.approx([0.36, 0.16, 0.06, 0.04])
    assert "black is not subtracted" in finding.method


def test_an_exponential_halo_has_the_half_distance_that_it_was_made_with():
    far = np.array([2.0, 5.0, 10.0, 20.0])
    finding = only("halo", halo(list(0.03 + 0.5 * np.exp(-(far - 2) / 6)), black=0.03))
    half = finding.value("halo-half-distance")
    assert half.value == pytest.approx(2 + 6 * np.log(2), rel=1e-6)
    assert half.unit == "%"
    assert 0.1 < half.uncertainty < 0.5


def test_light_that_is_never_halved_has_a_half_distance_beyond_the_farthest_point():
    half = only("halo", halo([0.4, 0.39, 0.38, 0.37])).value("halo-half-distance")
    assert (half.value, half.bound, half.uncertainty) == (20.0, "lower", None)


def test_a_spot_that_touches_the_box_is_told_and_does_not_count_for_the_half_distance():
    finding = only("halo", halo([23.0, 0.02, 0.012, 0.008]))
    assert "spot may have lain on the box" in said(finding)
    assert finding.value("halo-half-distance").where == {"from_percent": 5.0}
    assert finding.values[0].where["distance_percent"] == 5.0
    assert "spot on the box?" in [v for v in finding.values if v.name == "halo-share"][-1].label


def test_a_steep_halo_of_little_light_is_no_spot_on_the_box():
    assert "spot" not in said(only("halo", halo([1.0, 0.04, 0.03, 0.02])))


def test_points_at_the_meters_floor_are_at_most_that():
    finding = only("halo", halo([0.4, 0.05, 0.001, 0.001]))
    shares = [(v.value, v.bound) for v in finding.values if v.name == "halo-share"]
    assert shares[2][1] == "upper"
    assert shares[2][0] == pytest.approx(100 * 0.002 / 400, rel=0.1)


def test_without_the_box_nothing_is_a_share_of_it():
    finding = only("halo", halo([0.4, 0.2, 0.1, 0.08], box=None))
    assert finding.value("halo-share").value is None
    assert "box itself was not read" in said(finding)


def test_what_the_eye_saw_and_the_dark_ring_are_told():
    look = shown(40, "halo-look", None, None, quantity="choice", text="even and faint")
    ring = shown(41, "halo-ring", 0.8, "point 1", label="Dark ring")
    finding = only("halo", [*halo([0.4, 0.2, 0.1, 0.08]), look, ring])
    assert "By eye: even and faint." in finding.method
    assert finding.value("halo-ring-share").value == pytest.approx(0.2)
    assert {40, 41} <= set(finding.readings)


def test_a_point_without_a_distance_does_not_count():
    lost = shown(50, "halo", 3.0, "point 99")
    finding = only("halo", [*halo([0.4, 0.2, 0.1, 0.08]), lost])
    assert 50 not in finding.readings
    assert "how far from the box" in said(finding)


def test_readings_of_which_it_is_not_known_what_reached_the_screen_count_once():
    unsure = [replace(each, guard="unknown") for each in halo([0.4, 0.2, 0.1, 0.08], black=0.04)]
    assert "For 18 of 18 readings it is not known whether" in said(only("halo", unsure))
