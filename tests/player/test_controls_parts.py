"""The parts of the operator's controls alone: what is told, what is typed, what is called."""

from __future__ import annotations

from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from player.run.entry import EntryError
from player.windows.controls.entry_line import EntryLine
from player.windows.controls.image_retention import ImageRetention
from player.windows.controls.notices import Notices
from player.windows.controls.panels import Panels
from readings.visit.visit import VisitError
from tests.player.recording import Clock


@dataclass
class Screen:
    """What a line that is typed may know of the screen."""

    number: int = 1
    pattern: object = "grey"
    showing: object = None
    asks: str = ""


@pytest.fixture
def run() -> SimpleNamespace:
    return SimpleNamespace(message="")


@pytest.fixture
def notices(run: SimpleNamespace, clock: Clock) -> Notices:
    return Notices(run, clock)


@pytest.fixture
def screen() -> Screen:
    return Screen()


@pytest.fixture
def entry(screen: Screen, clock: Clock) -> EntryLine:
    return EntryLine(screen, clock)


def typed(entry: EntryLine, text: str) -> None:
    for each in text:
        entry.type(each, point_waits=True)


# ---- notices


def fails(error: Exception) -> None:
    raise error


def test_a_refusal_of_the_visit_is_told_as_a_sentence_and_held_for_who_plays_unattended(
    notices: Notices,
) -> None:
    error = VisitError("the disk is full")
    assert not notices.attempt(lambda: fails(error))
    assert (notices.alert, notices.refusal) == ("The disk is full.", error)
    notices.begin_anew()
    assert (notices.alert, notices.refusal) == ("", error)


def test_what_was_typed_wrongly_is_told_and_is_no_refusal_of_the_visit(notices: Notices) -> None:
    assert not notices.attempt(lambda: fails(EntryError("'12x' is not a number.")))
    assert (notices.alert, notices.refusal) == ("'12x' is not a number.", None)


def test_any_other_error_is_not_caught(notices: Notices) -> None:
    with pytest.raises(ZeroDivisionError):
        notices.attempt(lambda: 1 // 0)


def test_why_the_run_refused_is_told_until_the_next_key_and_no_longer_by_the_run(
    notices: Notices, run: SimpleNamespace
) -> None:
    run.message = "9000 is far from 400. Enter once more keeps it."
    notices.warn_of_refusal()
    assert notices.alert == "9000 is far from 400. Enter once more keeps it."
    assert run.message == ""


def test_only_the_alert_that_is_named_is_withdrawn(notices: Notices) -> None:
    notices.warn("The disk is full.")
    notices.withdraw("The window was moved.")
    assert notices.alert == "The disk is full."
    notices.withdraw("The disk is full.")
    assert notices.alert == ""


def test_the_question_before_leaving_stands_for_three_seconds(
    notices: Notices, clock: Clock
) -> None:
    notices.ask_to_leave()
    notices.look(clock.now + 3)
    assert notices.asking
    notices.look(clock.now + 3.1)
    assert not notices.asking


# ---- the line


def test_each_purpose_has_a_line_of_its_own_and_tab_leads_back_to_the_reading(
    entry: EntryLine,
) -> None:
    typed(entry, "48")
    entry.toggle_note()
    typed(entry, "lamps")
    assert (entry.purpose, entry.text, entry.reading) == ("note", "lamps", "48")
    entry.toggle_note()
    assert (entry.purpose, entry.text, entry.note) == ("reading", "48", "lamps")
    entry.toggle("minutes")
    entry.toggle_note()
    assert entry.purpose == "reading"


def test_a_note_belongs_to_the_step_at_which_it_was_begun(entry: EntryLine, screen: Screen) -> None:
    entry.toggle_note()
    typed(entry, "la")
    assert entry.note_to_other_step is None
    screen.number = 2
    typed(entry, "mp")
    assert (entry.note_to, entry.note_to_other_step) == ((1, None), 1)
    entry.finish()
    entry.toggle_note()
    typed(entry, "door")
    assert entry.note_to == (2, None)


def test_a_line_takes_two_thousand_characters(entry: EntryLine) -> None:
    entry.type("7" * 1999, point_waits=True)
    entry.type("89", point_waits=True)
    assert entry.reading == "7" * 1999 + "8"


def test_a_point_is_alone_after_a_while_unless_something_follows_it(
    entry: EntryLine, clock: Clock
) -> None:
    typed(entry, ".")
    assert not entry.lone_point(clock.now + 0.7)
    assert entry.lone_point(clock.now + 0.8)
    assert not entry.lone_point(clock.now + 5), "it is told once"
    entry.take_point()
    assert entry.reading == ""
    typed(entry, ".")
    entry.drop_point()
    assert not entry.lone_point(clock.now + 5)
    assert entry.reading == "."


def test_a_point_waits_for_nothing_where_words_are_asked_for(
    entry: EntryLine, clock: Clock
) -> None:
    entry.type(".", point_waits=False)
    assert not entry.lone_point(clock.now + 5)


def test_what_is_set_apart_comes_back_on_an_empty_line_without_its_last_character(
    entry: EntryLine,
) -> None:
    typed(entry, "12x")
    entry.set_apart(entry.picture)
    assert (entry.reading, entry.not_kept.of("reading")) == ("", ("12x",))
    entry.erase()
    assert (entry.reading, entry.not_kept.of("reading")) == ("12", ())


def test_delete_empties_the_line_first_and_then_what_was_not_kept_of_it(entry: EntryLine) -> None:
    typed(entry, "12x")
    entry.set_apart(entry.picture)
    typed(entry, "7")
    assert entry.clear()
    assert (entry.reading, entry.not_kept.of("reading")) == ("", ("12x",))
    assert entry.clear()
    assert entry.not_kept.of("reading") == ()
    assert not entry.clear()


def test_at_a_key_after_another_picture_enter_keeps_nothing_that_was_refused_before(
    entry: EntryLine, screen: Screen
) -> None:
    entry.at_a_key()
    typed(entry, "12")
    entry.set_apart(entry.picture)
    entry.at_a_key()
    assert entry.not_kept.pending("reading", entry.picture) is not None
    screen.pattern = "white"
    entry.at_a_key()
    screen.pattern = "grey"
    assert entry.not_kept.pending("reading", entry.picture) is None
    assert entry.not_kept.of("reading") == ("12",)


# ---- what is called


def test_the_strip_stays_until_its_key_and_the_list_of_keys_until_it_is_put_away() -> None:
    panels = Panels()
    panels.toggle_strip()
    panels.toggle_help()
    assert (panels.strip, panels.help) == (True, True)
    assert panels.put_help_away()
    assert not panels.put_help_away()
    assert (panels.strip, panels.help) == (True, False)


# ---- image retention


@pytest.mark.parametrize(
    ("limit", "elsewhere", "told"),
    [
        (
            600,
            False,
            "Black by itself: a bright picture stood still for 10 min. F5 brings it back.",
        ),
        (30, False, "Black by itself: a bright picture stood still for 30 s. F5 brings it back."),
        (
            90,
            True,
            "A bright picture stood still for 1.5 min: take it away on the media player, please.",
        ),
    ],
)
def test_how_long_it_stood_is_told_where_the_picture_was_taken_away(
    limit: float, elsewhere: bool, told: str
) -> None:
    screen = SimpleNamespace(elsewhere=elsewhere, blacked_out=False)

    def blackout() -> None:
        screen.blacked_out = True

    adjustment = SimpleNamespace(here=False)
    run = SimpleNamespace(screen=screen, blackout=blackout, adjustment=adjustment)
    assert ImageRetention(run, limit).black_out() == told


def test_nothing_is_told_where_the_picture_could_not_be_taken_away() -> None:
    screen = SimpleNamespace(elsewhere=False, blacked_out=False)
    adjustment = SimpleNamespace(here=False)
    run = SimpleNamespace(screen=screen, blackout=lambda: None, adjustment=adjustment)
    assert ImageRetention(run, 600).black_out() == ""
