"""Adjusting invented displays: rivals play fair, trials judge rightly, an adviser does it well."""

from __future__ import annotations

import numpy as np
import pytest

from readings.adjusting.advice import Move, Off, Turn
from tests.readings.adjusting.hands import HANDS
from tests.readings.adjusting.trial import METERS, Trial, _judge, session_of, table, trial


@pytest.mark.parametrize("who", HANDS)
def test_a_rival_mends_plain_displays_within_its_hour(who: str):
    trials = [trial(who, seed, "two-point", False, METERS["quiet"]) for seed in range(6)]
    assert np.median([each.largest - each.found for each in trials]) < -1.5
    for each in trials:
        assert each.best <= each.largest
        assert each.minutes < 75
        assert each.readings > each.changes / 4


def turn_of(control: int, now: float, to: float, *, tries: bool = False) -> Turn:
    return Turn(
        moves=(Move(control, now, to),),
        off=Off(0, 0, 0, 0),
        trial=tries,
        detour=False,
        look_at=0,
        before=1,
        after=1,
        seconds=1,
        seconds_to_go=1,
        changes_to_go=1,
        expected=(),
    )


def test_of_a_move_and_its_opposite_at_most_one_has_the_wrong_sign():
    wrong = []
    for seed in range(4):
        session = session_of(seed, "two-point", False, METERS["usual"], 0, 3600)
        before = session.errors()
        for control in range(6):
            its, found = session.display.controls[control], session.display.menu_values[control]
            counted = []
            for clicks in (3, -3):
                counts = Trial("adviser", "two-point", seed, (), 0, 0)
                _judge(turn_of(control, found, found + clicks * its.step), session, counts)
                assert (counts.moves, counts.trials) == (1, 0)
                counted.append(counts.wrong)
            assert sum(counted) <= 1
            wrong.append(sum(counted))
        assert np.array_equal(session.errors(), before)
    assert sum(wrong) > len(wrong) / 2


def test_a_trial_of_a_control_is_counted_apart():
    session = session_of(0, "two-point", False, METERS["usual"], 0, 3600)
    counts = Trial("adviser", "two-point", 0, (), 0, 0)
    found = session.display.menu_values[0]
    _judge(turn_of(0, found, found + 5, tries=True), session, counts)
    assert (counts.moves, counts.trials) == (0, 1)


def test_the_table_counts_only_displays_where_the_limit_can_be_reached():
    made = [
        Trial("one by one", "two-point", 0, (), 5, 0.5, 0.9, 0.9, 10, 5, 20, "all good"),
        Trial("one by one", "two-point", 2, (), 5, 0.5, 1.2, 1.2, 20, 7, 30, "time is up"),
        Trial("one by one", "two-point", 4, (), 5, 2.0, 2.1, 2.1, 20, 7, 30, "time is up"),
    ]
    row = table(made).splitlines()[1].split()
    assert row[-11:-7] == ["3", "2", "50%", "33%"]
