"""Counts in plain words: how they are written, what is doubtful, and what to do next."""

from __future__ import annotations

import pytest

from readings.zones import Pass, count_axis
from readings.zones.combine import written


@pytest.mark.parametrize(
    ("count", "set95", "told"),
    [
        (41, (41,), "41"),
        (None, (41,), "41, not certain"),
        (None, (40, 41), "40 or 41"),
        (None, (40, 41, 42), "40 to 42"),
        (None, (40, 42, 44), "40, 42 or 44"),
        (None, (12, 13, 14, 15, 16, 90), "unsure: 12 to 90"),
    ],
)
def test_a_count_is_written_as_it_would_be_said(
    count: int | None, set95: tuple[int, ...], told: str
):
    assert written(count, set95) == told


@pytest.mark.parametrize(
    ("set95", "told"),
    [
        ((500,), "at least 500"),
        ((498, 500), "at least 498"),
        (tuple(range(12, 501)), "unsure: at least 12"),
    ],
)
def test_a_set_that_may_go_on_is_told_by_its_first(set95: tuple[int, ...], told: str):
    assert written(None, set95, at_least=True) == told


def evenly(zones: int, way: str, size: int = 3840) -> Pass:
    places = [(edge + 0.4) * size / zones for edge in range(1, zones)]
    forward = way == "forward"
    return Pass(
        "forward" if forward else "backward",
        tuple(place if forward else size - place for place in places),
    )


def test_one_pass_is_doubted_and_the_other_way_is_advised():
    found = count_axis([evenly(30, "forward")], 3840)
    assert any("one pass only" in doubt for doubt in found.doubts())
    if found.count is None:
        assert found.advice().startswith("Go along once more, the other way.")


def test_a_claimed_count_needs_nothing_more():
    found = count_axis([evenly(41, "forward"), evenly(41, "backward")], 3840)
    assert found.count == 41
    assert found.advice() == ""
    assert found.doubts() == ()


def test_with_few_zones_another_pass_is_advised():
    found = count_axis([evenly(3, "forward"), evenly(3, "backward")], 3840)
    assert found.count is None
    assert found.advice().startswith("Go along")
    assert any("from 6 presses on" in doubt for doubt in found.doubts())


def test_presses_that_were_missed_or_made_without_a_hop_are_doubted():
    half = Pass("forward", evenly(40, "forward").positions[::2])
    double = Pass("forward", tuple(p + d for p in evenly(9, "forward").positions for d in (0, 9)))
    assert any("many" in doubt for doubt in count_axis([double, double], 3840).doubts())
    assert count_axis([half], 3840).count is None
