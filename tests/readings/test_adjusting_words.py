"""What an adviser says, in words."""

from __future__ import annotations

import pytest

from patterns.control import Channel, Control, Does
from readings.adjusting.advice import Look, Move, Noticed, Off, Stop, Turn
from readings.adjusting.goal import Point, greys
from readings.adjusting.words import errors, look, noticed, offer, reads, stopped, to_go, why

POINTS = (*greys([0, 70, 100]), Point("magenta", (0.75, 0.0, 0.75)))
BLACK, GREY, WHITE, MAGENTA = range(4)


def control(does: Does, channel: Channel | None) -> Control:
    name = " ".join(filter(None, (channel, does))).capitalize()
    return Control(name, does, channel, None, -50, 50, 1, 0)


RED, GREEN, BLUE = (control("gain", each) for each in ("red", "green", "blue"))
LIGHT = control("backlight", None)
RISES = "The error rises first, and falls after: about 1.2 in the end."
CONTROLS = (RED, GREEN, BLUE, LIGHT)


def turn(
    off: tuple[float, float, float],
    *controls: int,
    after: tuple[float, float, float] = (1.0, 1.0, 1.0),
    point: int = WHITE,
    trial: bool = False,
    detour: bool = False,
) -> Turn:
    return Turn(
        moves=tuple(Move(each, 0, 1) for each in controls),
        off=Off(point, *off),
        trial=trial,
        detour=detour,
        look_at=point,
        before=2.9,
        after=1.2,
        seconds=12,
        seconds_to_go=23,
        changes_to_go=4,
        expected=((point, after),),
    )


@pytest.mark.parametrize(
    ("advice", "said"),
    [
        (turn((0.03, 0, 0), 0), "White has 3.0 % too much red; this takes it to the mark."),
        (
            turn((-0.12, 0, 0), 0, after=(0.96, 1, 1), point=GREY),
            "70 % has 12 % too little red; this takes it to 4.0 % too little.",
        ),
        (
            turn((0.02, 0, -0.03), 0, 2),
            "White has 2.0 % too much red and 3.0 % too little blue; this takes it to the mark.",
        ),
        (
            turn((0.03, 0.03, 0.02), 0, 1, 2),
            "White is 2.7 % too bright; this takes it to the mark.",
        ),
        (turn((-0.03, -0.03, -0.03), 3), "White is 3.0 % too dark; this takes it to the mark."),
        (turn((0, 0, 0), 0), "This brings white nearer."),
        (turn((0.0, 0.02, 0), 0, point=MAGENTA), "This brings magenta nearer."),
        (
            turn((0.03, 0, 0), 0, trial=True),
            "Little is known of this control: this shows what it does.",
        ),
        (
            turn((0.03, 0, 0), 0, detour=True),
            f"White has 3.0 % too much red; this takes it to the mark. {RISES}",
        ),
    ],
)
def test_a_turn_says_what_is_wrong_and_where_it_leads(advice: Turn, said: str) -> None:
    assert why(advice, CONTROLS, POINTS) == said


def test_a_turn_says_what_is_still_to_go() -> None:
    assert to_go(turn((0, 0, 0), 0)) == "about 20 s, 4 changes to go"
    assert errors(2.94, 1.21) == "largest dE 2.9 → about 1.2"
    assert reads(-12) == "−12"
    assert reads(2.2) == "2.2"


def test_a_reading_says_what_it_is_for() -> None:
    whys = ("first", "after", "late", "unsure", "again")
    assert len({look(Look(GREY, each), POINTS) for each in whys}) == 5
    assert look(Look(GREY, "late"), POINTS) == "The menu acts late: 70 % once more."
    assert look(Look(BLACK, "closing"), POINTS) == "A last look at black before it is called done."


def test_the_end_says_why_and_what_going_on_would_cost() -> None:
    ends = ("reached", "within the meter", "not worth the time", "nothing left")
    said = {stopped(Stop(each, 0.72, 0.31)) for each in ends}
    assert len(said) == 4
    assert all("0.7 ± 0.3" in each for each in said)
    assert offer(Stop("not worth the time", 0.9, 0.3, 0.6, 200)) == (
        "Going on might bring it to 0.6 in about 3 min."
    )
    assert offer(Stop("reached", 0.9, 0.3)) == ""


def test_what_was_found_out_is_said_of_where_it_was_seen() -> None:
    assert noticed(Noticed(RED, "no effect seen", GREY), POINTS) == (
        "No effect of Red gain was seen at 70 %."
    )
    assert noticed(Noticed(RED, "reversed", None), POINTS) == (
        "Red gain goes the other way: more of it is less light."
    )
    assert noticed(Noticed(RED, "at its ceiling", WHITE), POINTS) == (
        "Red gain gives no more light at white: it is at its ceiling."
    )
