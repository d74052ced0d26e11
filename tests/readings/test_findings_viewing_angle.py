"""Viewing angle: loss and shift against the straight view, and how far the limits are kept."""

import pytest

from tests.readings.light_readings import reading
from tests.readings.made_readings import only, said


def view(number, angle, luminance, direction="left", x=0.3127, **changes):
    more = {
        "kind": "window",
        "variables": {"angle": angle, "direction": direction},
        "quantity": "colour",
        "x": x,
        "y": 0.329,
        "facts": {"area_percent": 10.0},
    }
    return reading(number, "viewing-angle", luminance, **more | changes)


SIDE = [
    view(1, "0", 200.0, ""),
    view(2, "15 °", 190.0, x=0.3187),  # delta u'v' 0.0043
    view(3, "30", 150.0, x=0.3307),  # 0.0128
    view(4, "45", 100.0, x=0.3367),  # 0.0170
    view(5, "60", 50.0, x=0.3487),  # 0.0254
]


def test_the_loss_is_of_the_straight_view():
    finding = only("viewing-angle", SIDE)
    assert finding.values[0].label == "Loss of luminance, left 60°"
    assert finding.values[0].value == pytest.approx(75.0)
    losses = [number.value for number in finding.series[0].column("loss")]
    assert losses == pytest.approx([0.0, 5.0, 25.0, 50.0, 75.0])


def test_the_three_limits_of_colour_are_kept_up_to_these_angles():
    finding = only("viewing-angle", SIDE)
    kept = {v.where["limit"]: v.value for v in finding.values if v.name == "viewing-within"}
    assert kept == {0.010: 15.0, 0.015: 30.0, 0.020: 45.0}
    assert {v.bound for v in finding.values if v.name == "viewing-within"} == {"lower"}


def test_a_wider_limit_that_reaches_no_farther_is_not_told():
    finding = only("viewing-angle", [SIDE[0], view(2, "30", 190.0), view(3, "60", 180.0)])
    kept = [(v.where["limit"], v.value) for v in finding.values if v.name == "viewing-within"]
    assert kept == [(0.010, 60.0)]


def test_directions_stand_apart():
    other = [view(6, "15", 198.0, "right"), view(7, "60", 150.0, "right")]
    finding = only("viewing-angle", SIDE + other)
    losses = {v.where["direction"]: v.value for v in finding.values if v.name == "viewing-loss"}
    assert losses == {"left": pytest.approx(75.0), "right": pytest.approx(25.0)}


def test_without_the_straight_view_nothing_is_compared():
    finding = only("viewing-angle", SIDE[1:])
    assert finding.values[0].value is None
    assert "straight view was not read" in said(finding)


def test_an_angle_that_cannot_be_understood_does_not_count():
    odd = view(9, "steep", 1.0)
    finding = only("viewing-angle", [*SIDE, odd])
    assert 9 not in finding.readings
    assert "at which angle" in said(finding)
    alone = only("viewing-angle", [odd])
    assert (alone.values[0].written(), alone.readings) == ("undefined", ())
    assert "at which angle" in said(alone)


def test_luminance_alone_gives_a_loss_and_no_shift():
    plain = [view(n, a, light, x=None, y=None) for n, (a, light) in enumerate(
        [("0", 100.0), ("30", 80.0)], 1)]  # fmt: skip
    finding = only("viewing-angle", plain)
    assert finding.value("viewing-loss").value == pytest.approx(20.0)
    assert finding.value("viewing-shift") is None
