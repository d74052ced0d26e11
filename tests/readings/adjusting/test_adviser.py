"""What an adviser says next: what is read after a turn, what it expects, when it ends; replays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from patterns.control import PRIMARIES
from readings.adjusting.advice import Look, Stop, Turn
from readings.adjusting.adviser import CLOSING_READINGS, FIRST_POINTS, FRUITLESS, HOPELESS
from readings.adjusting.planning import Loss
from tests.readings.adjusting.made import believing, control
from tests.readings.adjusting.plain_display import TURN, PlainDisplay, Sitting

RED, GREEN, BLUE, OFFSET = range(4)
"""Gains, and the offset of red."""
WHITE = 10


def looked_at(sitting: Sitting, why: str = "after") -> list[int]:
    """Points that are asked for now for one reason, each read."""
    found = []
    while isinstance(advice := sitting.adviser.advice, Look) and advice.why == why:
        found.append(advice.point)
        sitting.follow()
    return found


# ---- after a turn


def test_after_a_turn_the_point_that_moved_most_and_the_one_that_was_to_be_helped_are_read():
    """Only a dark grey is off, by a colour of the curve: a gain moves white more."""
    display = PlainDisplay()
    display.found[5, 0] *= 0.95
    sitting = Sitting(display)
    sitting.until(Turn)
    sitting.turn(RED, 12)
    assert looked_at(sitting) == [WHITE, 5]


def test_a_point_that_moved_most_and_was_to_be_helped_most_is_read_once():
    display = PlainDisplay()
    display.found[WHITE, 0] *= 0.95
    sitting = Sitting(display)
    sitting.until(Turn)
    sitting.turn(RED, 12)
    assert looked_at(sitting) == [WHITE]


def test_of_a_control_that_is_well_known_only_the_point_that_was_to_be_helped_is_read():
    display = PlainDisplay()
    display.found[5, 0] *= 0.95
    sitting = Sitting(display)
    sitting.until(Turn)
    looked = []
    for clicks in (12, -12, 12, -12, 12):
        sitting.turn(RED, clicks)
        looked.append(looked_at(sitting))
        sitting.all_read()
    assert looked[0] == [WHITE, 5]
    assert looked[-1] == [5]


@pytest.mark.parametrize(
    ("before", "move", "read"),
    [(0.0, 0.06, True), (0.0, -0.06, False), (-0.08, 0.06, False), (0.02, 0.01, False)],
)
def test_black_is_read_after_a_turn_that_may_have_lifted_it(before: float, move: float, read: bool):
    adviser = PlainDisplay().adviser()
    drives, moves = adviser.goal.wanted.copy(), np.zeros((11, 3))
    drives[0], moves[0] = before, move
    assert adviser._lifts_black(drives, moves) == read


def test_black_that_was_moved_is_read_before_all_is_called_reached():
    sitting = Sitting(PlainDisplay())
    sitting.until(Stop)
    adviser = sitting.adviser
    believed = adviser._posterior()
    errors = np.zeros(11)
    closing = []
    for looks in (0, 1):
        adviser._looks[:], adviser._looks[0] = 5, looks
        closing.append(adviser._to_close(Loss(adviser.goal, believed), errors))
    assert closing == [0, None]


def ended(errors: Sequence[float], spread: float, sitting: Sitting) -> Loss:
    """What is believed at the end of a sitting, with other delta E of the greys."""
    return believing(sitting.adviser.goal, sitting.adviser._posterior(), errors, spread)


def test_at_the_end_levels_are_read_again_until_all_are_below_1_in_9_of_10():
    sitting = Sitting(PlainDisplay())
    sitting.until(Stop)
    adviser = sitting.adviser
    adviser._looks[:] = 1
    nothing = np.zeros(11)
    few, many = [0.5] * 9 + [0.6], [0.7] * 10
    assert adviser._to_close(ended(few, 0.2, sitting), nothing) is None
    # each of ten is below 1 in 93 of 100, and all of them in half of cases alone
    assert adviser._to_close(ended(many, 0.2, sitting), nothing) is not None
    assert adviser._to_close(ended([0.5] * 4 + [0.8] + [0.5] * 5, 0.2, sitting), nothing) == 5
    # where one is beyond it, readings of others change nothing
    assert adviser._to_close(ended([*many[:9], 1.5], 0.2, sitting), nothing) is None
    adviser._looks[:] = CLOSING_READINGS
    assert adviser._to_close(ended(many, 0.2, sitting), nothing) is None


def test_who_is_far_off_is_not_asked_to_turn_for_a_hundredth_of_it():
    """A turn of 12 s has to gain 5 % of what is left above 2 a level, where that is more than its
    time is worth."""
    sitting = Sitting(PlainDisplay())
    sitting.until(Stop)
    adviser = sitting.adviser
    assert adviser._least_rate(ended([0.85] * 10, 0.01, sitting)) == 0.03
    far = ended([2.0] * 10, 0.01, sitting)
    left = far.at(np.zeros(len(adviser.controls)))
    assert left > 400
    assert adviser._least_rate(far) == pytest.approx(0.05 * (left - 22) / 12)
    adviser.go_on()
    assert adviser._least_rate(far) == pytest.approx(0.05 * (left - 22) / 48)


def test_what_an_offset_that_is_raised_does_to_black_is_read_once():
    sitting = Sitting(PlainDisplay())
    sitting.until(Turn, Stop)
    first = []
    for which, clicks in ((RED, 4), (OFFSET, -4), (OFFSET, 2), (OFFSET, 4), (OFFSET, 1)):
        sitting.turn(which, clicks)
        first.append(sitting.adviser._first_raised(which, clicks))
        sitting.read(0)
        sitting.all_read()
    assert first == [False, False, False, True, False]


def test_a_point_that_was_read_six_times_since_it_was_moved_is_not_read_as_unsure_any_more():
    sitting = Sitting(PlainDisplay((0.03, 0.0, -0.02)))
    sitting.until(Turn)
    adviser = sitting.adviser
    believed = adviser._posterior()
    loss = Loss(adviser.goal, believed)
    worth = []
    for looks in (5, 6):
        adviser._looks[:] = looks
        worth.append(adviser._best_look(loss, believed)[1])
    assert worth[0] > 0
    assert worth[1] == 0


def multi_point() -> PlainDisplay:
    controls = [control("point", c, level) for level in range(10, 101, 10) for c in PRIMARIES]
    return PlainDisplay((0.04, 0, 0), controls)


def test_after_the_first_turn_of_the_first_two_pages_of_points_the_greys_beside_are_read():
    sitting = Sitting(multi_point())
    sitting.until(Turn)
    assert FIRST_POINTS == 2
    beside = []
    for place in (4, 4, 7, 2):
        sitting.turn(3 * place, -10)
        beside.append(set(looked_at(sitting)) >= {place, place + 1, place + 2})
    assert beside == [True, False, True, False]


# ---- what it expects


@pytest.fixture
def gains() -> Sitting:
    """Of a menu that acts after 6 s; gains are known, and all has been read."""
    display = PlainDisplay((-0.06, 0.0, 0.03), lag=6.0, read=2.0)
    sitting = Sitting(display)
    sitting.until(Turn)
    for control_, clicks in ((RED, 15), (BLUE, -15), (RED, -10)):
        sitting.turn(control_, clicks)
        display.clock += 10
        sitting.all_read()
    return sitting


def test_a_reading_is_expected_only_once_the_menu_has_acted(gains: Sitting):
    display, adviser = gains.display, gains.adviser
    assert not adviser.turn_unread
    gains.turn(RED, 18)
    assert adviser.turn_unread
    expected = []
    for _ in range(4):
        xyz = display.read(WHITE)
        expected.append(adviser.expects(WHITE, xyz))
    # read 2, 4, 6 and 8 s after the turn
    assert expected == [False, False, True, True]
    assert adviser.turn_unread
    gains.tell(lambda its: its.read(WHITE, xyz, display.clock))
    assert not adviser.turn_unread


def test_a_reading_that_is_neither_as_before_nor_as_expected_is_not_expected(gains: Sitting):
    display, adviser = gains.display, gains.adviser
    gains.turn(RED, 18)
    display.clock += 10
    xyz = display.read(WHITE)
    assert adviser.expects(WHITE, xyz)
    for share in (0.9, 1.1):
        assert not adviser.expects(WHITE, share * xyz)


def test_of_a_turn_that_is_too_small_to_be_seen_nobody_can_say_whether_it_has_acted(gains: Sitting):
    display, adviser = gains.display, gains.adviser
    gains.turn(RED, 1)
    display.clock += 10
    assert not adviser.expects(WHITE, display.read(WHITE))


def test_of_a_menu_that_has_often_acted_at_once_it_is_taken_for_granted():
    sitting = Sitting(PlainDisplay())
    sitting.until(Turn, Stop)
    for place in range(8):
        sitting.turn(place % 3, 20 if place % 6 < 3 else -20)
        sitting.all_read()
    sitting.turn(RED, 1)
    xyz = sitting.display.read(WHITE)
    assert sitting.adviser.expects(WHITE, xyz)
    assert not sitting.adviser.expects(WHITE, 0.9 * xyz)


def test_nothing_is_expected_before_all_points_were_read():
    sitting = Sitting(PlainDisplay())
    sitting.read(WHITE)
    light = sitting.display.goal.xyz[WHITE]
    assert not sitting.adviser.expects(WHITE, light)


# ---- what is left alone, and the end


def test_a_page_that_came_no_nearer_five_times_is_left_alone():
    """Of gains that were turned back and forth; without that they would be advised."""
    assert FRUITLESS == 5
    advised = []
    for times in (4, 6):
        display = PlainDisplay((0.05, 0.0, 0.0))
        sitting = Sitting(display)
        sitting.until(Turn)
        for place in range(times):
            sitting.turn(GREEN, 12 if place % 2 == 0 else -12)
            sitting.all_read()
        turned = set()
        for _ in range(25):
            if isinstance(advice := sitting.follow(), Turn):
                turned |= {move.control for move in advice.moves}
        advised.append(RED in turned)
    assert advised == [True, False]


def test_before_it_ends_settings_are_put_back_to_the_nearest_ones():
    """Somebody turned a gain back and forth, and no nearer, so that its page is left alone."""
    display = PlainDisplay((0.004, 0.0, 0.0))
    sitting = Sitting(display)
    sitting.until(Turn, Stop)
    for place in range(6):
        sitting.turn(GREEN, 14 if place % 2 == 0 else -10)
        sitting.all_read()
    assert display.errors().max() > 2
    advice = sitting.until(Stop, most=120)
    assert isinstance(advice, Stop)
    assert abs(display.menu[GREEN]) <= 3
    assert display.errors().max() < 1


@pytest.mark.parametrize("seed", range(2))
def test_what_is_called_reached_is_below_the_limit_and_was_read_at_the_last_settings(seed: int):
    display = PlainDisplay((0.03, 0.0, -0.02), seed=seed)
    sitting = Sitting(display)
    whys = []
    for _ in range(200):
        advice = sitting.follow()
        if isinstance(advice, Stop):
            break
        if isinstance(advice, Turn):
            whys.clear()
        else:
            whys.append((advice.why, advice.point))
    assert isinstance(advice, Stop)
    assert advice.why == "reached"
    assert display.errors().max() < 1
    believed = sitting.adviser.believed
    assert all(each.read is not None for each in believed)
    assert all(each.error + each.spread < 1.6 for each in believed[1:])
    assert {why for why, _ in whys} <= {"after", "unsure", "again", "closing"}


# ---- put back to as found


def with_offset_turned(off: float, clicks: float) -> Sitting:
    """A display whose black and greys want an offset of red, and one that was turned so far."""
    display = PlainDisplay()
    display.found = display.found - off * display.effect(OFFSET)
    sitting = Sitting(display)
    sitting.until(Turn, Stop)
    sitting.turn(OFFSET, clicks)
    sitting.all_read()
    return sitting


def test_a_page_is_put_back_to_as_found_where_nothing_helps_from_here_and_more_is_hoped_for_there():
    sitting = with_offset_turned(0, 40)
    adviser = sitting.adviser
    believed = adviser._posterior()
    helpless = replace(believed, effects=np.zeros_like(believed.effects))
    back = adviser._put_back(adviser._bounds(), Loss(adviser.goal, helpless), helpless)
    assert isinstance(back, Turn)
    assert [(move.control, move.to) for move in back.moves] == [(OFFSET, 10)]
    assert back.before > HOPELESS > 1 > back.after
    # where the offset is known to mend it from here, nothing more is hoped for there
    assert adviser._put_back(adviser._bounds(), Loss(adviser.goal, believed), believed) is None


def test_a_page_that_was_put_back_though_that_is_worse_stays_until_nothing_else_is_worth_doing():
    sitting = with_offset_turned(25, 25)
    adviser = sitting.adviser
    sitting.turn(OFFSET, -25)
    page = adviser._pages[OFFSET]
    assert adviser._held == {page}
    assert adviser._bounds(adviser._held)[1].tolist()[OFFSET] == 0
    assert adviser._bounds()[1].tolist()[OFFSET] == 40
    assert adviser._bounds(adviser._held)[1].tolist()[RED] == 40
    sitting.all_read()
    # and not a second time
    for clicks in (25, -25):
        sitting.turn(OFFSET, clicks)
        assert not adviser._held
        sitting.all_read()


def test_a_page_that_comes_back_to_as_found_and_nearer_may_be_turned_again():
    sitting = with_offset_turned(0, 25)
    sitting.turn(OFFSET, -25)
    assert not sitting.adviser._held


# ---- told again


DISPLAYS = {
    "plain": lambda: PlainDisplay((0.03, 0.0, -0.02)),
    "late": lambda: PlainDisplay((-0.03, 0.0, 0.03), lag=6.0, read=2.0),
    "points": multi_point,
}


def test_going_on_is_told_again_without_advice_having_been_asked_on_the_way():
    sitting = Sitting(PlainDisplay((0.03, 0.0, -0.02)))
    sitting.until(Turn)
    for _ in range(3):
        sitting.turn(RED, -5)
        sitting.all_read()
    sitting.tell(lambda adviser: adviser.go_on())
    assert sitting.adviser.advice
    sitting.turn(RED, 20)
    sitting.all_read()
    again = sitting.display.adviser()
    for told in sitting.told:
        told(again)
    assert again.advice == sitting.adviser.advice


@pytest.mark.parametrize("kind", DISPLAYS)
def test_a_second_adviser_that_is_told_the_same_says_the_same_without_having_been_asked(kind: str):
    """After each of a few of the things that it was told, and with a slip among them."""
    sitting = Sitting(DISPLAYS[kind]())
    said = [sitting.adviser.advice]
    for place in range(34):
        before = len(sitting.told)
        if place == 20:
            sitting.display.clock += TURN
            sitting.say(0, 20)
        sitting.follow()
        said += [None] * (len(sitting.told) - before - 1) + [sitting.adviser.advice]
    assert len(said) == len(sitting.told) + 1
    again = sitting.display.adviser()
    for told in sitting.told:
        told(again)
    assert again.advice == sitting.adviser.advice
    assert again.values == sitting.adviser.values
    assert again.believed == sitting.adviser.believed
    for count in [place for place, advice in enumerate(said) if advice is not None][12::7]:
        part = sitting.display.adviser()
        for told in sitting.told[:count]:
            told(part)
        assert part.advice == said[count], count
