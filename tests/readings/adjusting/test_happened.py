"""A reading that nobody expected is explained by what happened: slips, late menus, changes."""

from __future__ import annotations

import numpy as np
import pytest

from readings.adjusting.advice import Look, Move, Stop, Turn
from readings.adjusting.adviser import Adviser
from readings.adjusting.belief import SURPRISE, Belief, Seen
from readings.adjusting.happened import Happened
from tests.readings.adjusting import made
from tests.readings.adjusting.plain_display import TURN, PlainDisplay, Sitting

RED, GREEN, BLUE = range(3)
"""Gains."""
WHITE = 10


def learnt(display: PlainDisplay, wait: float = 0.0) -> Sitting:
    """All points were read, and gains turned far enough that they are known, from +20 on red."""
    sitting = Sitting(display)
    sitting.until(Turn, Stop)
    for control, clicks in ((RED, 20), (GREEN, 15), (BLUE, 15), (GREEN, -15)):
        sitting.turn(control, clicks)
        display.clock += wait
        sitting.all_read()
    return sitting


def menu_of(sitting: Sitting) -> list[float]:
    """What the menus truly read."""
    pairs = zip(sitting.display.controls, sitting.display.menu, strict=True)
    return [control.value(float(clicks)) for control, clicks in pairs]


def size_of(adviser: Adviser, control: int) -> tuple[float, float]:
    """What a click of a gain adds to white's drive, as believed, and its deviation."""
    found = adviser._posterior()
    place = 3 + 4 * control
    return float(found.effects[WHITE, control, control]), found.joint[WHITE, place, place] ** 0.5


# ---- slips


SLIPS = {"forgotten": (), "wrong sign": ((RED, 20),), "another of its page": ((BLUE, -20),)}
"""What was done by who tells that red was turned by -20."""


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_noticed_by_reading_twice_and_values_are_what_menus_read(slip: str, seed: int):
    sitting = learnt(PlainDisplay(seed=seed))
    before = size_of(sitting.adviser, RED)
    assert sitting.adviser.values == menu_of(sitting) == [30, 10, 25, 10, 10, 10]
    sitting.display.clock += TURN
    for control, clicks in SLIPS[slip]:
        sitting.display.set(control, clicks)
    sitting.say(RED, -20)
    assert sitting.adviser.values != menu_of(sitting)
    assert sitting.adviser.advice == Look(WHITE, "after")
    sitting.follow()
    assert sitting.adviser.advice == Look(WHITE, "again")
    sitting.follow()
    assert sitting.adviser.values == menu_of(sitting)
    after = size_of(sitting.adviser, RED)
    assert after[0] == pytest.approx(before[0], abs=before[1])
    assert sitting.adviser.noticed == []


def until_red(sitting: Sitting) -> Move:
    """Do what is advised until red is to be turned. That, not yet done."""
    for _ in range(40):
        advice = sitting.adviser.advice
        for move in advice.moves if isinstance(advice, Turn) else ():
            if move.control == RED:
                return move
        sitting.follow()
    raise AssertionError("red is not advised")


def test_a_forgotten_turn_is_advised_again():
    """Red is too high by what 25 clicks add; it came down and up, and 20 down are not made."""
    sitting = Sitting(PlainDisplay((0.055, 0.0, 0.0)))
    sitting.until(Turn)
    for clicks in (-10, -10, 20):
        sitting.turn(RED, clicks)
        sitting.all_read()
    sitting.display.clock += TURN
    sitting.say(RED, -20)
    sitting.all_read()
    assert sitting.adviser.values == menu_of(sitting)
    again = until_red(sitting)
    assert again.now == 10
    assert -22 <= again.to <= 0
    sitting.follow()
    sitting.all_read()
    assert sitting.adviser.values == menu_of(sitting)


def test_what_a_wrong_sign_would_turn_beyond_the_menu_ends_at_its_end():
    sitting = learnt(PlainDisplay())
    sitting.turn(RED, 10)
    sitting.all_read()
    sitting.display.clock += TURN
    sitting.display.set(RED, 10)
    sitting.say(RED, -25)
    sitting.all_read()
    assert sitting.adviser.values == menu_of(sitting)
    assert sitting.adviser.values[RED] == 50


def test_a_turn_that_did_as_told_is_taken_for_no_slip():
    for seed in range(2):
        sitting = learnt(PlainDisplay(seed=seed))
        sitting.turn(RED, -20)
        sitting.all_read()
        assert sitting.adviser.values == menu_of(sitting)


# ---- menus that act late


def test_a_menu_that_acts_after_6_s_is_found_late_and_nothing_is_learnt_wrongly():
    for seed in range(3):
        display = PlainDisplay(lag=6.0, read=2.0, seed=seed)
        sitting = learnt(display, wait=10.0)
        size, spread = size_of(sitting.adviser, RED)
        sitting.turn(RED, -20)
        told = display.clock
        # told at once, and of what was set before
        for seconds in (2.0, 4.0):
            assert isinstance(sitting.adviser.advice, Look)
            xyz, at = display.read(WHITE), display.clock
            assert at == told + seconds
            sitting.tell(lambda adviser, xyz=xyz, at=at: adviser.read(WHITE, xyz, at))  # type: ignore[misc]
        assert sitting.adviser.advice == Look(WHITE, "late")
        assert sitting.adviser.values == menu_of(sitting)
        assert size_of(sitting.adviser, RED)[0] == pytest.approx(size, abs=spread)
        while sitting.adviser.advice == Look(WHITE, "late"):
            sitting.follow()
        assert display.clock >= told + 6
        # of such a menu two readings always have to agree
        assert not sitting.adviser.expects(WHITE, display.goal.light(display.drives()[WHITE]))
        sitting.all_read()
        sitting.read(WHITE)
        assert sitting.adviser.values == menu_of(sitting)
        after, narrower = size_of(sitting.adviser, RED)
        assert abs(after - 0.0022) < 2 * narrower
        white = sitting.adviser.believed[WHITE]
        assert abs(white.error - display.errors()[WHITE]) < white.spread
        assert sitting.adviser.noticed == []


# ---- one point, or all of them


def changed_as_found(factor: float, points: slice, seed: int, at: int = 5) -> Sitting:
    """Nothing was turned; drives of points have changed since read, and one is read twice."""
    sitting = Sitting(PlainDisplay((0.05, 0.0, -0.03), seed=seed))
    sitting.until(Turn)
    share = np.ones((WHITE + 1, 1))
    share[points] = factor
    sitting.display.besides = lambda drives: drives * share
    sitting.read(at)
    assert sitting.adviser.advice == Look(at, "again")
    sitting.read(at)
    return sitting


@pytest.mark.parametrize("seed", range(3))
def test_one_point_that_has_changed_leaves_the_others_as_they_were_read(seed: int):
    sitting = changed_as_found(1.06, slice(5, 6), seed)
    believed = sitting.adviser.believed
    assert all(each.read is not None for each in believed)
    truth = sitting.display.errors()
    assert all(abs(truth[p] - believed[p].error) < 1.2 * believed[p].spread for p in range(1, 11))
    assert believed[5].spread < 1
    assert believed[WHITE].spread < 1


@pytest.mark.parametrize("seed", range(3))
def test_a_change_all_over_makes_all_other_points_unknown(seed: int):
    sitting = changed_as_found(0.86, slice(None), seed)
    believed = sitting.adviser.believed
    assert [each.read is None for each in believed] == [place != 5 for place in range(11)]
    assert believed[WHITE].spread > 2
    for _ in range(8):
        sitting.follow()
    white = sitting.adviser.believed[WHITE]
    assert abs(white.error - sitting.display.errors()[WHITE]) < white.spread


def test_a_reading_that_is_not_confirmed_changes_nothing():
    sitting = Sitting(PlainDisplay((0.05, 0.0, -0.03)))
    sitting.until(Turn)
    before = sitting.adviser.believed
    wrong = 0.7 * sitting.display.read(5)
    sitting.tell(lambda adviser: adviser.read(5, wrong, sitting.display.clock))
    assert sitting.adviser.advice == Look(5, "again")
    sitting.follow()
    after = sitting.adviser.believed
    assert all(
        abs(one.error - other.error) < max(one.spread, 0.2)
        for one, other in zip(before, after, strict=True)
    )
    assert sitting.adviser.advice != Look(5, "again")


def test_a_whole_page_that_was_forgotten_is_noticed():
    sitting = learnt(PlainDisplay((0.08, 0.0, 0.0)))
    turn = sitting.until(Turn)
    assert isinstance(turn, Turn)
    assert len(turn.moves) > 1
    sitting.display.clock += TURN
    for move in turn.moves:
        sitting.say(move.control, move.to - move.now)
    sitting.all_read()
    assert sitting.adviser.values == menu_of(sitting)


def read_at_once(sitting: Sitting) -> None:
    """Read white once, whether or not anything has acted."""
    xyz, at = sitting.display.read(WHITE), sitting.display.clock
    sitting.tell(lambda adviser: adviser.read(WHITE, xyz, at))


def test_a_slip_on_a_menu_that_is_known_to_act_late_is_noticed():
    """An early reading is of the settings before: what is turned next is turned since then."""
    display = PlainDisplay(lag=6.0, read=2.0)
    sitting = learnt(display, wait=10.0)
    sitting.turn(RED, -20)
    read_at_once(sitting)
    read_at_once(sitting)
    assert sitting.adviser.advice == Look(WHITE, "late")
    display.clock += 10
    sitting.all_read()
    sitting.read(WHITE)
    display.clock += TURN
    sitting.say(RED, 15)
    read_at_once(sitting)
    display.clock += 10
    sitting.read(WHITE)
    sitting.read(WHITE)
    assert sitting.adviser.values == menu_of(sitting)


def test_a_menu_that_acts_later_than_it_was_taken_to_is_found_out():
    """Taken for one that acts after 2.5 s; what is read after 4 and 6 s is of before."""
    display = PlainDisplay(lag=7.5, read=2.0)
    sitting = learnt(display, wait=10.0)
    sitting.adviser._told.lag = 2.5
    size, spread = size_of(sitting.adviser, RED)
    sitting.turn(RED, -20)
    read_at_once(sitting)
    read_at_once(sitting)
    read_at_once(sitting)
    assert sitting.adviser.advice == Look(WHITE, "late")
    display.clock += 10
    sitting.all_read()
    assert sitting.adviser.values == menu_of(sitting)
    assert size_of(sitting.adviser, RED)[0] == pytest.approx(size, abs=spread)


# ---- controls that act otherwise


def test_a_control_that_does_four_times_what_is_known_of_its_kind_is_learnt_anew():
    """Its effect is far outside of what its family lets expect, and no slip explains it."""
    display = PlainDisplay()
    as_others = display.effect
    display.effect = lambda k: as_others(k) * (4 if k == BLUE else 1)  # type: ignore[method-assign]
    sitting = Sitting(display)
    sitting.until(Turn, Stop)
    for control, clicks in ((RED, 20), (GREEN, 15), (RED, -20), (BLUE, 17), (BLUE, -12)):
        sitting.turn(control, clicks)
        sitting.all_read()
    size, spread = size_of(sitting.adviser, BLUE)
    assert size == pytest.approx(4 * 0.0022, rel=0.1)
    assert abs(size - 4 * 0.0022) < 3 * spread
    assert size_of(sitting.adviser, RED)[0] == pytest.approx(0.0022, rel=0.1)
    assert sitting.adviser.values == menu_of(sitting)


# ---- points that act elsewhere than their names say


@pytest.mark.parametrize("of", ["signal", "light"])
def test_points_of_pq_that_act_by_light_are_found_out_and_taken_for_no_change(of: str):
    """20 % was turned, and a bell about 20 % of the signal, or of what it is decoded to, moved."""
    goal = made.grey_goal(range(0, 76, 5), (1000, 1000, 1000), (0.01, 0.01, 0.01), signal="pq10")
    controls = [made.control("point", "green", level) for level in range(10, 101, 10)]
    belief, chance = Belief(controls, goal), np.random.default_rng(5)
    count = len(controls)
    told = Happened(belief, np.full(count, -60.0), np.full(count, 40.0), np.arange(count))
    along = goal.xyz[:, 1] / goal.white[1]
    along = along ** (1 / 2.2) if of == "light" else np.arange(0, 0.76, 0.05)

    def read(point: int) -> Seen:
        told.at += 5
        drives = goal.wanted[point].copy()
        drives[1] += 0.0016 * told.clicks[1] * np.exp(-0.5 * ((along[point] - 0.2) / 0.05) ** 2)
        return told.seen(point, drives + chance.normal(0, 0.001, 3), 0.001**2 * np.eye(3))

    for point in range(16):
        told.take(read(point))
        belief.add(read(point))
    told.turn(1, 25, told.at)
    for point in (4, 5, 3, 8, 9):
        seen = read(point)
        if belief.surprise(seen) > SURPRISE:
            seen = told.explain(seen, read(point)).seen
        told.take(seen)
        belief.add(seen)
    assert belief.hats.of == of
    assert told.jumps == ()
