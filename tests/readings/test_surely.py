"""How far apart one of many comparisons has to lie."""

import math

import numpy as np
import pytest

from readings.evidence.surely import surely


def test_one_comparison_at_a_chance_of_5_percent_is_the_normal_quantile():
    assert surely(1, both=True, chance=0.05) == pytest.approx(1.959964, abs=1e-6)
    assert surely(1, chance=0.05) == pytest.approx(1.644854, abs=1e-6)


@pytest.mark.parametrize(
    ("freedom", "t"),
    # table of Student's t, two-sided 95 %: JCGM 100:2008, table G.2 (from memory)
    [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (5, 2.571), (10, 2.228), (50, 2.009)],
)
def test_few_repeats_ask_for_students_quantile(freedom, t):
    assert surely(1, freedom, both=True, chance=0.05) == pytest.approx(t, abs=1e-3)


def test_many_freedoms_go_over_into_the_normal_quantile():
    assert surely(20, 1000) == pytest.approx(surely(20), rel=0.01)
    assert surely(20, math.inf) == surely(20)


def test_of_forty_true_comparisons_none_is_found_wrong_in_all_but_one_run_of_a_thousand():
    runs = np.random.default_rng(7).standard_normal((200_000, 40))
    assert (runs.max(1) > surely(40)).mean() == pytest.approx(0.001, abs=0.0003)
    assert (runs.max(1) > 2).mean() > 0.5
