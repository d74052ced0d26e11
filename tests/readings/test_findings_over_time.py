"""Luminance over time: drop, rest, recovery, and when it is settled."""

from datetime import timedelta

import pytest

from tests.readings.light_readings import reading
from tests.readings.made_readings import START, only, said


def at(number, seconds, luminance, came_on=0.0, role="over-time", **changes):
    more = {
        "kind": "window",
        "facts": {"area_percent": 10.0},
        "taken_at": START + timedelta(seconds=seconds),
        "came_on": START + timedelta(seconds=came_on),
    }
    return reading(number, role, luminance, **more | changes)


DROP = [at(n, 5.0 * n, light) for n, light in enumerate([1000.0, 980.0, 900.0, 805.0, 800.0], 1)]
AGAIN = [at(11, 125.0, 950.0, 120.0), at(12, 130.0, 900.0, 120.0)]


def test_the_drop_is_from_the_first_reading_to_the_last_before_the_rest():
    finding = only("over-time", DROP + AGAIN)
    assert finding.values[0].name == "drop"
    assert finding.values[0].value == pytest.approx(20.0)
    assert finding.values[0].where == {"from_s": 5.0, "to_s": 25.0}


def test_the_recovery_is_the_first_reading_after_the_rest_over_the_first_of_all():
    value = only("over-time", DROP + AGAIN).value("recovery")
    assert value.value == pytest.approx(95.0)
    assert value.where == {"rest_s": 95.0, "time_s": 5.0}


def test_it_is_settled_from_the_first_reading_on_that_stays_within_2_percent_of_the_last():
    value = only("over-time", DROP + AGAIN).value("settled")
    assert (value.value, value.unit, value.bound) == (20.0, "s", "upper")
    assert value.where == {"after_s": 15.0}


def test_what_still_changes_at_the_end_had_not_settled():
    finding = only("over-time", DROP[:4])
    assert finding.value("settled").bound == "lower"
    assert "had not settled" in said(finding)


def test_time_counts_from_when_the_picture_came_on_and_shares_are_of_the_highest():
    (series,) = only("over-time", DROP + AGAIN).series
    assert [n.value for n in series.column("time")] == [5, 10, 15, 20, 25, 5, 10]
    assert [n.value for n in series.column("share")][:2] == [100.0, pytest.approx(98.0)]
    assert [row.where["stretch"] for row in series.rows] == [1, 1, 1, 1, 1, 2, 2]


def test_a_warm_up_is_told_in_minutes():
    lights = [80.0, 90.0, 97.0, 99.0, 100.0]
    readings = [at(n, 600.0 * n, x, role="warm-up") for n, x in enumerate(lights, 1)]
    finding = only("over-time", readings)
    assert finding.title == "Warm-up"
    assert finding.values[0].written() == "at most 40 min"
    assert finding.value("warm-up-change").value == pytest.approx(25.0)


def test_two_first_readings_at_different_times_are_told_apart():
    late = [at(11, 180.0, 990.0, 120.0)]
    assert "two different moments" in said(only("over-time", DROP + late))


def test_readings_within_a_second_see_no_change():
    quick = [at(n, 0.04 * n, 100.0) for n in range(1, 6)]
    assert "does not wait" in said(only("over-time", quick))


def test_one_reading_is_no_course():
    finding = only("over-time", DROP[:1])
    assert finding.value("drop") is None
    assert "Only one reading" in said(finding)


def test_without_the_time_of_the_picture_it_counts_from_the_first_reading():
    readings = [at(n, 5.0 * n, 100.0, came_on=0.0) for n in range(1, 4)]
    bare = [at(r.reading, 5.0 * r.reading, 100.0, came_on=0) for r in readings]
    bare = [reading(r.reading, "over-time", 100.0) for r in bare]
    finding = only("over-time", bare)
    assert [n.value for n in finding.series[0].column("time")] == [0.0, 10.0, 20.0]
    assert "was not kept" in said(finding)
