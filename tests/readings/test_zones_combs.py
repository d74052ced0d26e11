"""What groups of doubled boxes say of a count, and which comb is asked for next."""

from __future__ import annotations

import numpy as np
import pytest

from readings.zones import CombAnswer, Pass, count_axis
from readings.zones.comb import answer_chances, comb_likelihood, expected_groups, next_comb
from readings.zones.crawl import crawl_belief
from tests.readings.zone_operator import Operator, Panel
from tests.readings.zone_trials import crawl

GROUPS = {41: 0, 40: 1, 42: 1, 39: 2, 43: 2, 38: 3, 44: 3}
"""Supposed counts, and the groups that 41 columns show in them."""


@pytest.mark.parametrize(("supposed", "groups"), GROUPS.items())
@pytest.mark.parametrize("spacing", [3, 4])
def test_a_count_that_is_off_by_d_shows_d_groups(supposed: int, groups: int, spacing: int):
    expected = expected_groups(supposed, spacing, np.array([41.0]))
    assert float(expected[0]) == pytest.approx(groups, abs=1e-9)
    assert answer_chances(supposed, spacing, np.array([41.0]))[0].argmax() == groups


@pytest.mark.parametrize(("supposed", "groups"), GROUPS.items())
def test_an_operator_who_goes_by_boxes_and_edges_sees_the_same_groups(supposed: int, groups: int):
    careful = Operator(unsure=0.0, wrong=0.0)
    edges = Panel(41, 3840).edges()
    chance = np.random.default_rng(5)
    seen = [careful.comb(edges, 3840, supposed, 3, chance) for _ in range(40)]
    told = [each for each in seen if each is not None]
    assert np.median(told) == groups


def test_every_answer_has_a_chance_and_together_they_have_one():
    for zones in (2, 7, 24, 41, 200):
        for spacing in (1, 2, 3, 4):
            chances = answer_chances(zones, spacing, np.arange(1.0, 201.0))
            assert chances.min() > 0
            assert chances.sum(axis=1) == pytest.approx(np.ones(200))


def test_a_comb_in_every_zone_or_of_one_box_says_nothing():
    pitches = np.array([40.0, 41.0, 42.0])
    for answer in (CombAnswer(41, 1, 0), CombAnswer(2, 3, 0)):
        likelihood = comb_likelihood(answer, pitches)
        assert likelihood == pytest.approx(np.full(3, likelihood[0]))


def test_none_in_the_right_comb_speaks_for_its_count_and_one_group_for_its_neighbours():
    pitches = np.array([40.0, 41.0, 42.0])
    none = comb_likelihood(CombAnswer(41, 3, 0), pitches)
    one = comb_likelihood(CombAnswer(41, 3, 1), pitches)
    assert none[1] > 10 * none[0]
    assert none[0] == pytest.approx(none[2])
    assert one[0] > 10 * one[1]


def passes_of(zones: int) -> tuple[Pass, ...]:
    chance = np.random.default_rng(9)
    return crawl(Panel(zones, 3840), Operator(missed=0.3), chance)


def test_combs_count_the_same_in_any_order():
    passes = passes_of(7)
    answers = [CombAnswer(8, 2, 1), CombAnswer(7, 2, 0), CombAnswer(9, 2, 2)]
    one = count_axis(passes, 3840, answers)
    other = count_axis(passes, 3840, answers[::-1])
    assert one.chances == pytest.approx(other.chances, abs=1e-12)


def test_the_same_answer_twice_says_less_than_two_answers():
    passes = passes_of(30)
    once = count_axis(passes, 3840, [CombAnswer(31, 3, 1)])
    again = count_axis(passes, 3840, [CombAnswer(31, 3, 1)] * 2)
    other = count_axis(passes, 3840, [CombAnswer(31, 3, 1), CombAnswer(29, 3, 1)])
    assert once.chances[30] <= again.chances[30] < other.chances[30]


def test_the_next_comb_is_one_that_was_not_shown_and_keeps_halos_apart():
    belief = crawl_belief(passes_of(30), 3840)
    first = next_comb(belief)
    assert first is not None
    assert abs(first[0] - 30) <= 3
    assert first[1] in {3, 4}
    assert next_comb(belief, [CombAnswer(*first, None)]) != first


def test_combs_are_not_asked_for_where_there_are_too_few_zones_or_no_presses():
    assert count_axis(passes_of(3), 3840).next_comb is None
    assert count_axis([Pass("forward", ()), Pass("backward", ())], 3840).next_comb is None
