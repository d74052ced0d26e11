"""What is typed is kept for the picture on screen, or told to be refused, however fast it comes."""

from __future__ import annotations

import random

import pytest

import sequences
from player.keys import Action
from player.run.gate import CHANGE_GAP
from player.run.screen import NOT_UP
from player.windows.view import view_of
from readings.visit.visit import Visit, VisitError
from tests.player.desk import Desk, ToldMeter, finish
from tests.player.typist import WHOLE_WAY, Typist, sequence_of

GREYS = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - each: {level: [10 %, 20 %, 30 %, 40 %, 50 %, 60 %]}
    show: {field: {}}
    read: count
"""
BOXES = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 10 %}}, read: luminance}
  - {show: {moving-box: {along: row, place: 50 %, speed: 96 px/s}}, read: tally}
  - {show: {moving-box: {along: row, place: 60 %, speed: 96 px/s}}, read: tally}
  - {show: {comb: {zones: 20, spacing: 3}}, read: count}
  - {show: {field: {level: 20 %}}}
  - {show: {field: {level: 30 %}}, read: count}
"""


def steps_and_raws(desk: Desk) -> list[tuple[int, str]]:
    return [(each.step, each.raw) for each in desk.visit.readings(replaced=True)]


def not_kept(desk: Desk) -> str:
    return view_of(desk.controls, "").not_kept


def fast(desk: Desk, keys: str, pace: float = 0.16) -> Typist:
    """Type, `|` for Enter, without any look at what becomes of it."""
    typist = Typist(desk, pace, 1)
    for each in keys:
        if each == "|":
            typist.key("ENTER")
        else:
            typist.text(each)
    return typist


@pytest.mark.parametrize(
    ("keys", "kept", "refused"),
    [
        ("1|2|3|", ["1", "2", "3"], ""),
        ("12|13|14|15|16|", ["12", "13", "14", "15", "16"], ""),
    ],
)
def test_readings_typed_at_160_ms_a_key_are_kept_one_for_each_step(
    visit: Visit, keys: str, kept: list[str], refused: str
) -> None:
    desk = Desk(GREYS, visit)
    desk.clock.now += 1
    fast(desk, keys)
    desk.wait(1)
    assert steps_and_raws(desk) == list(enumerate(kept, 1))
    assert not_kept(desk) == refused


def test_the_shipped_highlights_take_7_8_9_as_they_are_typed(visit: Visit) -> None:
    desk = Desk(sequences.shipped()["highlights"].read_text(), visit)
    desk.clock.now += 1
    fast(desk, "7|8|9|")
    assert steps_and_raws(desk) == [(1, "7"), (2, "8"), (3, "9")]


def test_a_reading_is_kept_at_once_and_only_the_picture_waits(visit: Visit) -> None:
    desk = Desk(GREYS, visit)
    desk.clock.now += 0.1
    desk.controls.type("7")
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "7")]
    assert (desk.run.number, len(desk.output.seen)) == (1, 1)
    view = view_of(desk.controls, "")
    assert (view.notice, view.countdown) == ("Kept 7 for step 1.", "Next picture…")
    assert view.held == "", "what is typed now would replace nothing"
    desk.clock.now = CHANGE_GAP - 0.01
    desk.controls.beat()
    assert desk.run.number == 1
    desk.clock.now = CHANGE_GAP
    desk.controls.beat()
    assert (desk.run.number, len(desk.output.seen)) == (2, 2)
    assert desk.controls.notice == "Kept 7 for step 1."


def test_what_is_finished_before_the_next_picture_is_up_is_refused_and_set_apart(
    visit: Visit,
) -> None:
    desk = Desk(GREYS, visit)
    for text in ("7", "8"):
        desk.controls.type(text)
        desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "7")]
    assert not_kept(desk) == "8"
    assert desk.controls.notice.startswith(NOT_UP)
    assert desk.controls.wants_strip
    desk.wait(0.5)
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "7")], "Enter alone does not keep it for another picture"
    desk.wait(0.5)
    desk.controls.type("9")
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "7"), (2, "9")], "and it is never under what comes next"
    assert not_kept(desk) == "8", "it stays in sight until somebody has dealt with it"
    desk.key("DELETE")
    assert not_kept(desk) == ""


def test_what_is_begun_before_the_next_picture_and_finished_after_it_is_the_next_reading(
    visit: Visit,
) -> None:
    desk = Desk(GREYS, visit)
    desk.controls.type("7")
    desk.controls.key("ENTER")
    desk.controls.type("1")
    desk.wait(0.4)
    desk.controls.type("2")
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "7"), (2, "12")]


def test_a_refused_reading_is_brought_back_by_backspace_and_typed_on(visit: Visit) -> None:
    desk = Desk(GREYS, visit)
    desk.type("12x")
    desk.key("ENTER")
    desk.controls.press(Action.ERASE)
    assert (desk.controls.entry.reading, not_kept(desk)) == ("12", "")
    desk.type("3")
    desk.key("ENTER")
    assert steps_and_raws(desk) == [(1, "123")]


def test_a_visit_that_is_away_for_a_while_appends_nothing(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise VisitError("the visit lobby.visit is not there any more")

    desk = Desk(GREYS, visit)
    desk.type("5")
    desk.key("ENTER")
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_reading", away)
        desk.type("6")
        desk.key("ENTER")
        assert not_kept(desk) == "6"
        assert desk.controls.notice == "The visit lobby.visit is not there any more."
    desk.type("7")
    desk.key("ENTER")
    assert steps_and_raws(desk) == [(1, "5"), (2, "7")]
    assert not_kept(desk) == "6", "typed on at once: nobody can have seen it yet"


def test_what_was_in_sight_when_something_else_was_typed_goes_with_the_next_reading(
    visit: Visit,
) -> None:
    desk = Desk(GREYS, visit)
    desk.type("12x")
    desk.key("ENTER")
    desk.wait(3)
    desk.type("12")
    desk.key("ENTER")
    assert (steps_and_raws(desk), not_kept(desk)) == ([(1, "12")], "")


def test_a_note_that_was_refused_is_not_begun_anew_under_the_next_one(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk = Desk(GREYS, visit)
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_note", away)
        desk.key("TAB")
        desk.type("lamps on")
        desk.key("ENTER")
        assert (desk.controls.entry.note, not_kept(desk)) == ("", "lamps on")
    desk.type("blinds up")
    desk.key("ENTER")
    assert desk.notes == ["blinds up"]
    desk.key("TAB", "ENTER")
    assert desk.notes == ["blinds up"], "Enter tries a note again only until another was kept"
    desk.key("TAB", "DELETE")
    assert not_kept(desk) == ""


def test_a_note_that_was_refused_is_kept_by_enter_to_the_step_that_it_was_begun_at(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk = Desk(GREYS, visit)
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_note", away)
        desk.key("TAB")
        desk.type("lamps on")
        desk.key("ENTER", "TAB")
    desk.key("RIGHT", "TAB", "ENTER")
    assert [(note.text, note.step) for note in visit.notes()] == [("lamps on", 1)]


def test_a_note_belongs_to_the_picture_that_it_was_begun_at(visit: Visit) -> None:
    meter = ToldMeter(4.0)
    meter.let.clear()
    desk = Desk(GREYS.replace("read: count", "read: luminance"), visit, meter)
    desk.key("ENTER", "TAB")
    desk.type("lamps on")
    meter.let.set()
    finish(desk.controls)
    assert desk.run.number == 2
    assert view_of(desk.controls, "").special == "NOTE to step 1: Enter keeps it, Tab goes back"
    desk.key("ENTER")
    assert [(note.text, note.step) for note in visit.notes()] == [("lamps on", 1)]


def test_presses_before_the_next_picture_is_up_do_not_count_and_that_is_told(visit: Visit) -> None:
    desk = Desk(BOXES, visit)
    desk.type("4")
    desk.key("ENTER")
    assert desk.run.number == 2
    desk.controls.key("SPACE")
    desk.run.screen.tick(WHOLE_WAY)
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "4"), (2, "1")]
    assert (desk.run.number, desk.run.screen.due) == (2, True)
    desk.controls.key("SPACE")
    assert desk.controls.notice == NOT_UP
    assert len(visit.tallies()) == 1
    desk.wait(1)
    assert (desk.run.number, desk.run.counting.tallies) == (3, 0)


def test_presses_after_a_number_that_was_refused_are_what_enter_keeps(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk = Desk(BOXES, visit)
    desk.key("RIGHT")
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_reading", away)
        desk.type("15")
        desk.key("ENTER")
    desk.key("SPACE", "SPACE")
    desk.run.screen.tick(WHOLE_WAY)
    desk.key("ENTER")
    assert steps_and_raws(desk) == [(2, "2")]
    assert not_kept(desk) == "15"


def crawl(desk: Desk) -> None:
    """Press at each hop of 16 columns of zones, and end the pass."""
    gone = 0
    for zone in range(1, 16):
        hop = round((120 * zone - 11) / 1.6) + 20
        desk.run.screen.tick(hop - gone)
        gone = hop
        desk.controls.key("SPACE")
    desk.run.screen.tick(WHOLE_WAY)
    desk.key("ENTER")


def test_enter_pressed_twice_keeps_no_pass_without_a_press(visit: Visit) -> None:
    desk = Desk(BOXES, visit)
    desk.type("4")
    desk.key("ENTER")
    assert desk.run.number == 2
    desk.clock.now += 0.03
    desk.controls.key("ENTER")
    assert steps_and_raws(desk) == [(1, "4")]
    assert "Slower" in desk.controls.notice


def test_an_answer_to_a_comb_is_kept_for_that_comb_and_one_too_early_for_none(
    visit: Visit,
) -> None:
    desk = Desk(BOXES, visit)
    desk.key("RIGHT")
    for _ in range(2):
        crawl(desk)
    assert desk.run.number == 4
    already = visit.readings()
    desk.clock.now += 1
    combs = []
    for text in ("1", "2", "3"):  # at once: the third before its comb is up
        combs.append(desk.output.seen[-1])
        desk.controls.type(text)
        desk.controls.key("ENTER")
    assert combs[0] != combs[1] == combs[2]
    assert steps_and_raws(desk)[2:] == [(4, "1"), (4, "2")]
    assert not_kept(desk) == "3"
    answers = visit.readings()[len(already) :]
    shown = [visit.showing(each.showing).frame_sha256 for each in answers]
    assert shown == combs[:2]


def test_an_answer_on_the_line_is_not_kept_for_a_comb_changed_by_hand(visit: Visit) -> None:
    desk = Desk(BOXES, visit)
    desk.key("RIGHT", "RIGHT", "RIGHT")
    desk.type("2")
    desk.key("UP")
    assert desk.run.screen.pattern is not None
    assert desk.run.screen.pattern.parameters()["zones"] == 20
    assert not_kept(desk) == "2"
    desk.key("DELETE", "UP", "ENTER")
    assert desk.run.screen.pattern.parameters()["zones"] == 21
    assert steps_and_raws(desk) == []


def test_what_is_typed_where_nothing_is_read_is_not_thrown_away_unseen(visit: Visit) -> None:
    desk = Desk(BOXES, visit)
    desk.key("RIGHT", "RIGHT", "RIGHT", "RIGHT")
    desk.type("12")
    desk.key("ENTER")
    assert (desk.run.number, not_kept(desk)) == (5, "12")
    assert desk.controls.notice == "Nothing is read at this step; Tab writes a note."
    desk.key("ENTER")
    assert desk.run.number == 6


def test_values_that_are_pasted_before_the_next_picture_is_up_are_refused(visit: Visit) -> None:
    desk = Desk(GREYS, visit)
    desk.controls.type("7")
    desk.controls.key("ENTER")
    desk.controls.paste("1\n2")
    assert steps_and_raws(desk) == [(1, "7")]
    assert desk.controls.notice == NOT_UP
    desk.key("LEFT")
    desk.controls.beat()
    desk.key("LEFT")
    desk.clock.now += 0.1
    desk.controls.paste("1\n2")
    assert steps_and_raws(desk)[1:] == [(1, "1"), (2, "2")], "kept at once, as if they were typed"
    assert desk.run.screen.due


def test_a_meters_reading_that_the_visit_refused_is_kept_by_enter_without_measuring_again(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk = Desk(GREYS.replace("read: count", "read: luminance"), visit, ToldMeter(4.5, 6.0))
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_reading", away)
        desk.key("ENTER")
        finish(desk.controls)
        assert (desk.raws, not_kept(desk)) == ([], "Y 4.5")
        assert desk.controls.notice == "The disk is full."
    desk.key("ENTER")
    finish(desk.controls)
    (reading,) = visit.readings()
    assert (reading.step, reading.luminance) == (1, 4.5)
    assert reading.instrument is not None
    assert not_kept(desk) == ""


def test_what_is_typed_while_a_meter_measures_is_not_kept_for_the_next_step(visit: Visit) -> None:
    meter = ToldMeter(4.5)
    meter.let.clear()
    desk = Desk(GREYS.replace("read: count", "read: luminance"), visit, meter)
    desk.key("ENTER")
    desk.type("44")
    desk.key("ENTER")
    assert not_kept(desk) == "44"
    desk.type("55")
    meter.let.set()
    finish(desk.controls)
    assert desk.run.number == 2
    assert (desk.controls.entry.reading, not_kept(desk)) == ("", "44 · 55")
    assert "what was typed meanwhile was not" in desk.controls.notice
    assert steps_and_raws(desk) == [(1, "Y 4.5")]


def test_black_comes_at_once_also_while_a_picture_waits_and_a_meter_measures(visit: Visit) -> None:
    desk = Desk(GREYS, visit)
    desk.controls.type("7")
    desk.controls.key("ENTER")
    desk.controls.key("F5")
    assert desk.output.seen[-1] == "blackout"
    desk.wait(5)
    assert desk.run.screen.blacked_out, "what waits does not come up during a blackout"
    desk.key("F5")
    assert (desk.run.number, desk.run.screen.due) == (2, False)
    meter = ToldMeter(4.5)
    meter.let.clear()
    with Visit.create(visit.path.with_name("second.visit"), display="lobby wall") as second:
        measuring = Desk(GREYS.replace("read: count", "read: luminance"), second, meter)
        measuring.key("ENTER")
        measuring.controls.key("F5")
        assert measuring.output.seen[-1] == "blackout"
        assert not measuring.controls.meter.busy
        meter.let.set()


@pytest.mark.parametrize("pace", [0.06, 0.1, 0.16, 0.25, 0.4])
def test_every_kind_of_entry_is_kept_for_what_was_on_screen_or_told_to_be_refused(
    visit: Visit, pace: float
) -> None:
    play_through(visit, pace, rounds=2, seed=1)


@pytest.mark.campaign
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("pace", [0.06, 0.08, 0.1, 0.13, 0.16, 0.2, 0.25, 0.3, 0.35, 0.4])
def test_thousands_of_entries_are_kept_for_what_was_on_screen_or_told_to_be_refused(
    visit: Visit, pace: float
) -> None:
    typist = play_through(visit, pace, rounds=27, seed=2, faults=0.02)
    assert len(typist.kept) >= 200


def play_through(visit: Visit, pace: float, rounds: int, seed: int, faults: float = 0.0) -> Typist:
    """Somebody types a sequence through; a share of what is kept meets a full disk."""
    desk = Desk(sequence_of(rounds), visit)
    keep, chance = visit.keep_reading, random.Random(seed)  # noqa: S311 - no secret

    def sometimes(*given, **named):
        if chance.random() < faults:
            raise VisitError("the disk is full")
        return keep(*given, **named)

    visit.keep_reading = sometimes
    typist = Typist(desk, pace, seed)
    for _ in range(40 * rounds):
        if desk.run.finished:
            break
        typist.answer()
    assert desk.run.finished
    assert typist.kept
    typist.check()
    return typist
