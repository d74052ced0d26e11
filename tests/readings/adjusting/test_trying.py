"""A control is turned alone where knowing its effect matters, and so far that it is seen."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from readings.adjusting.belief import Posterior
from readings.adjusting.planning import Loss
from readings.adjusting.trying import TO_BE_SEEN, Trial, trials
from tests.readings.adjusting.made import grey_goal

Floats = NDArray[np.float64]
GOAL = grey_goal(range(0, 101, 25))
N = len(GOAL.points)
NOISE = np.full(N, 0.3)
WIDE = np.full(3, 40.0)


def posterior(
    off: float, effects: tuple[float, ...], unknown: tuple[float, ...], points: slice = slice(None)
) -> Posterior:
    """Of controls of red, each with what a click adds as share of the drives, and its deviation.

    Args:
        off: share by which red is too high at all points.
        effects: of one click.
        unknown: deviations of them.
        points: where they act.
    """
    count = len(effects)
    drives = GOAL.wanted * (1 + np.array([off, 0, 0]))
    slopes = np.zeros((N, 3, count))
    joint = np.zeros((N, 3 * (1 + count), 3 * (1 + count)))
    for k in range(count):
        slopes[points, 0, k] = effects[k] * GOAL.wanted[points, 0]
        place = 3 + 3 * k
        joint[points, place, place] = (unknown[k] * GOAL.wanted[points, 0]) ** 2
    return Posterior(drives, np.zeros((3 * N, 3 * N)), slopes, joint)


def tried(its: Posterior, least: Floats, most: Floats, noise: Floats = NOISE) -> list[Trial]:
    return trials(GOAL, its, Loss(GOAL, its), least, most, noise)


def test_the_control_is_tried_first_of_which_least_is_known():
    its = posterior(0.04, (0.0, 0.0, 0.0), (0.0002, 0.004, 0.0))
    found = tried(its, -WIDE, WIDE)
    assert [each.control for each in found] == [1, 0]
    assert found[0].gain > 1.5 * found[1].gain > 0


def test_a_control_whose_effect_is_known_is_not_worth_trying():
    assert tried(posterior(0.04, (0.002, -0.003, 0.0), (0.0,) * 3), -WIDE, WIDE) == []


def test_where_nothing_is_wrong_nothing_is_worth_trying():
    its = posterior(0.0, (0.0, 0.0, 0.0), (0.002, 0.004, 0.001))
    assert tried(its, -WIDE, WIDE) == []


def test_a_control_that_acts_where_nothing_is_wrong_is_not_worth_trying():
    its = posterior(0.0, (0.0,), (0.004,), slice(1, 2))
    its.drives[-1, 0] *= 1.04
    assert tried(its, -WIDE[:1], WIDE[:1]) == []
    its = posterior(0.0, (0.0,), (0.004,), slice(4, 5))
    its.drives[-1, 0] *= 1.04
    assert [each.control for each in tried(its, -WIDE[:1], WIDE[:1])] == [0]


def test_what_is_gained_is_what_is_known_of_an_effect_and_done_with_it():
    """An effect of plus or minus the same: of half the displays one sign helps, of half the other.

    With the effects supposed symmetrically, nobody gains without knowing, and whoever knows turns
    each the right way; so the gain is near the whole loss.
    """
    its = posterior(0.04, (0.0,), (0.004,))
    found = tried(its, -np.full(1, 128.0), np.full(1, 128.0))
    still = Loss(GOAL, its).at(np.zeros(1))
    assert 0.7 * still < found[0].gain < still
    held = tried(its, -np.full(1, 4.0), np.full(1, 4.0))
    assert held[0].gain < found[0].gain


@pytest.mark.parametrize("noise", [0.05, 0.3, 1.0])
def test_a_trial_is_so_large_that_a_reading_sees_it_and_not_much_larger(noise: float):
    its = posterior(0.04, (0.0,), (0.002,))
    (found,) = tried(its, -np.full(1, 128.0), np.full(1, 128.0), np.full(N, noise))
    red = np.array([0.002, 0, 0]) * GOAL.wanted
    seen = np.sqrt(np.einsum("na,nab,nb->n", red, GOAL.squares, red)[1:].max()) / noise
    assert abs(found.clicks) * seen >= TO_BE_SEEN
    # the next smaller size in its grid is at most half
    assert abs(found.clicks) * seen < 2 * TO_BE_SEEN or abs(found.clicks) == 1


def test_what_is_supposed_of_a_control_says_which_way_it_is_tried():
    for effect in (0.001, -0.001):
        (found,) = tried(posterior(0.04, (effect,), (0.002,)), -WIDE[:1], WIDE[:1])
        assert found.clicks * effect < 0


@pytest.mark.parametrize(
    ("least", "most"), [((-40, 0), (0, 40)), ((0, -3), (3, 0)), ((-1.0, -2), (40, 0))]
)
def test_a_trial_stays_within_bounds_and_a_control_at_rest_is_not_tried(
    least: tuple[float, float], most: tuple[float, float]
):
    low, high = np.array([*least, 0.0]), np.array([*most, 0.0])
    its = posterior(0.04, (0.001, -0.001, 0.001), (0.008, 0.008, 0.02))
    found = tried(its, low, high, np.full(N, 0.1))
    assert found
    for each in found:
        assert each.control != 2
        assert low[each.control] <= each.clicks <= high[each.control]
        assert each.clicks == round(each.clicks) != 0


def test_a_control_that_cannot_be_turned_so_far_that_it_is_seen_is_not_tried():
    its = posterior(0.04, (0.0,), (0.002,))
    (found,) = tried(its, -WIDE[:1], WIDE[:1])
    room = np.full(1, abs(found.clicks) - 1)
    assert tried(its, -room, room) == []
    assert tried(its, np.zeros(1), np.zeros(1)) == []
