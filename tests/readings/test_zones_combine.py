"""Presses, combs and meter traces together: they agree, or nothing is claimed."""

from __future__ import annotations

import numpy as np
import pytest

from readings.zones import Pass, Trace, count_axis

SIZE, SIDE = 3840, 40


def trace_over(zones: int) -> Trace:
    """What a spot near a third of the axis shows of so many zones, noise of 1 % in it."""
    places = np.linspace(20, SIZE - 20, 250)
    edges = np.arange(zones + 1) * SIZE / zones
    light = np.full(250, 0.001)
    for zone in range(zones):
        reach = np.minimum(places + SIDE / 2, edges[zone + 1])
        overlap = np.clip(reach - np.maximum(places - SIDE / 2, edges[zone]), 0, None) / SIDE
        light += 0.05 * np.sqrt(overlap) * np.exp(-0.3 * abs(zone - zones / 3))
    light *= 1 + 0.01 * np.random.default_rng(2).standard_normal(250)
    return Trace(tuple(places.tolist()), tuple(light.tolist()), SIDE)


def presses(zones: int) -> list[Pass]:
    forward = tuple((edge + 0.4) * SIZE / zones for edge in range(1, zones))
    return [Pass("forward", forward), Pass("backward", tuple(SIZE - each for each in forward))]


def test_a_trace_alone_gives_the_count_but_claims_nothing():
    found = count_axis([], SIZE, traces=[trace_over(12)])
    assert found.best == 12
    assert found.traced
    assert found.count is None


def test_a_trace_and_presses_that_agree_are_surer_than_the_presses():
    few = [Pass("forward", presses(12)[0].positions[:4])]
    alone = count_axis(few, SIZE)
    both = count_axis(few, SIZE, traces=[trace_over(12)])
    assert both.best == 12
    assert both.sure > alone.sure
    assert not both.contradicted


def test_a_second_trace_of_the_same_axis_is_not_a_second_witness():
    """As a witness of its own it would square the odds of one count against another."""
    once = count_axis([], SIZE, traces=[trace_over(12)])
    twice = count_axis([], SIZE, traces=[trace_over(12), trace_over(12)])
    odds, again = (found.chances[12] / found.chances[13] for found in (once, twice))
    assert odds < again < odds**1.7


def test_a_trace_and_presses_that_contradict_one_another_claim_nothing():
    assert count_axis(presses(31), SIZE).count == 31
    found = count_axis(presses(31), SIZE, traces=[trace_over(12)])
    assert found.contradicted
    assert found.count is None
    assert any("contradict" in doubt for doubt in found.doubts())
    assert "again" in found.advice()


@pytest.mark.parametrize("zones", [14, 24, 41])
def test_a_careful_operator_with_a_slow_box_is_as_sure_as_a_quick_one(zones: int):
    """Presses a thirtieth of a zone after the hop, to a thirtieth: nobody is to be punished."""
    late = np.random.default_rng(zones).normal(1 / 30, 1 / 30, (2, zones - 1))
    pitch = SIZE / zones
    there, back = ((np.arange(1, zones) + row) * pitch for row in late)
    passes = [Pass("forward", tuple(there)), Pass("backward", tuple(SIZE - back))]
    assert count_axis(passes, SIZE).count == zones
