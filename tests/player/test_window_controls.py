"""What keys and typed text do to a run, without a window."""

from __future__ import annotations

import threading

import pytest

from player.keys import Action
from player.meters.base import MeterError, MeterReading
from player.run.live import SET_ASIDE
from player.run.unattended import instrument_of
from player.windows.controls.controls import Controls
from player.windows.controls.measuring import Measuring
from player.windows.controls.notices import ASK_TO_LEAVE
from player.windows.controls.panels import Panels
from player.windows.strip import Strip
from player.windows.view import DRAWN, view_of
from readings.visit.visit import Visit, VisitError
from tests.player.desk import Desk, ToldMeter, finish

TEXT = """
title: Lobby wall
signal: sdr8
settle: 2 s
steps:
  - show: {field: {level: 100 %}}
    read: {luminance: the middle}
  - show: {field: {level: 0 %}}
    read: text
  - show: {moving-box: {speed: 120 px/s}}
    read: tally
  - show: {field: {level: 50 %}}
"""


@pytest.fixture
def desk(visit: Visit) -> Desk:
    return Desk(TEXT, visit)


def test_a_refused_reading_is_set_apart_and_the_refusal_is_told(desk: Desk) -> None:
    desk.type("12x")
    desk.key("ENTER")
    assert (desk.controls.entry.reading, view_of(desk.controls, "").not_kept) == ("", "12x")
    assert desk.controls.notice == "'12x' is not a number."
    assert desk.controls.wants_strip
    desk.key("DELETE")
    assert view_of(desk.controls, "").not_kept == ""
    desk.type("12,5")
    desk.key("NUM_ENTER")
    assert desk.raws == ["12,5"]
    assert desk.controls.entry.reading == ""


def test_a_refused_text_is_selected_and_the_next_digit_takes_its_place(desk: Desk) -> None:
    desk.type("12x")
    desk.key("ENTER")
    view = view_of(desk.controls, "")
    assert (view.line, view.selected, view.beside) == ("", "12x", "")
    desk.type("7")
    view = view_of(desk.controls, "")
    assert (view.line, view.selected, view.beside) == ("7", "", "12x")


def test_a_refused_text_is_edited_by_backspace(desk: Desk) -> None:
    desk.type("12x")
    desk.key("ENTER")
    desk.controls.press(Action.ERASE)
    view = view_of(desk.controls, "")
    assert (view.line, view.selected, view.not_kept) == ("12", "", "")
    desk.type(".5")
    desk.key("ENTER")
    assert desk.raws == ["12.5"]


def test_what_enter_would_not_keep_is_not_selected(desk: Desk) -> None:
    desk.type("12x")
    desk.key("ENTER", "DELETE", "RIGHT")
    desk.type("12")
    desk.key("F2")
    view = view_of(desk.controls, "")
    assert (view.line, view.selected, view.beside) == ("", "", "12")


THREE = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - each: {level: [20 %, 40 %, 60 %, 80 %]}
    show: {field: {}}
    read: luminance
"""


def test_f2_steps_back_as_often_as_wanted_whatever_stands_on_the_line(visit: Visit) -> None:
    desk = Desk(THREE, visit)
    for text in ("5", "31", "71"):
        desk.type(text)
        desk.key("ENTER")
    desk.type("9")
    desk.key("F2")
    assert (desk.run.number, view_of(desk.controls, "").beside) == (3, "9")
    desk.key("F2", "F2")
    assert desk.run.number == 1
    desk.key("F2")
    assert (desk.run.number, desk.controls.notice) == (1, "Nothing was read before that.")
    desk.key("DELETE")
    desk.type("3")
    desk.key("ENTER")
    assert [(each.step, each.raw) for each in visit.readings()] == [(1, "3"), (2, "31"), (3, "71")]
    assert desk.run.number == 4
    desk.key("F2", "F2", "F2")
    assert desk.run.number == 2, "the reading that was taken last comes first"


def test_what_is_typed_is_not_thrown_away_by_going_on(desk: Desk) -> None:
    desk.type("12")
    desk.key("RIGHT")
    assert (desk.run.number, view_of(desk.controls, "").not_kept) == (1, "12")
    assert "Enter keeps" in desk.controls.notice
    desk.key("RIGHT")
    assert desk.run.number == 1
    desk.key("DELETE", "RIGHT")
    assert desk.run.number == 2
    assert desk.raws == []


def test_a_note_has_a_line_of_its_own(desk: Desk) -> None:
    desk.type("48")
    desk.key("TAB")
    desk.type("b. lamps")
    assert (desk.controls.entry.note, desk.controls.entry.reading) == ("b. lamps", "48")
    desk.key("ENTER")
    assert desk.controls.entry.purpose != "note"
    assert [note.text for note in desk.visit.notes()] == ["b. lamps"]
    desk.key("ENTER")
    assert desk.raws == ["48"]


def test_tab_leaves_a_note_unfinished_without_losing_it(desk: Desk) -> None:
    desk.key("TAB")
    desk.type("later")
    desk.key("TAB", "TAB")
    assert desk.controls.entry.note == "later"
    assert desk.visit.notes() == []


@pytest.mark.parametrize("key", ["b", "B"])
def test_a_b_on_an_empty_numeric_line_is_blackout_and_back(desk: Desk, key: str) -> None:
    desk.type(key)
    assert desk.run.screen.blacked_out
    desk.type(key)
    assert not desk.run.screen.blacked_out
    assert desk.output.seen[-1] == desk.output.seen[0]


def test_a_b_is_a_letter_where_words_are_asked_for(desk: Desk) -> None:
    desk.key("RIGHT")
    desk.type("bright")
    assert desk.controls.entry.reading == "bright"
    assert not desk.run.screen.blacked_out


def test_a_lone_point_is_a_clickers_blackout_but_a_decimal_may_begin_with_it(desk: Desk) -> None:
    desk.type(".")
    desk.wait(0.5)
    desk.type("05")
    desk.wait(5)
    assert (desk.controls.entry.reading, desk.run.screen.blacked_out) == (".05", False)
    desk.key("DELETE")
    desk.type(".")
    desk.wait(0.9)
    assert desk.run.screen.blacked_out
    desk.type(".")
    desk.wait(5)
    assert (desk.controls.entry.reading, desk.run.screen.blacked_out) == ("", False)


def test_digits_after_a_point_that_waited_too_long_belong_to_it(desk: Desk) -> None:
    desk.type(".")
    desk.wait(0.9)
    assert desk.run.screen.blacked_out
    desk.type("05")
    assert view_of(desk.controls, "").line == ".05"
    desk.key("F5", "ENTER", "ENTER")  # which is asked about for white
    assert desk.raws == [".05"]


@pytest.mark.parametrize("key", ["RIGHT", "PAGEDOWN"])
def test_a_clicker_s_point_holds_none_of_its_other_keys_up(desk: Desk, key: str) -> None:
    desk.type(".")
    desk.wait(0.9)
    assert not desk.controls.wants_strip, "it is black"
    desk.key(key)
    assert (desk.run.number, view_of(desk.controls, "").not_kept) == (2, "")
    assert desk.controls.entry.reading == ""


def test_nothing_is_read_during_blackout(desk: Desk) -> None:
    desk.key("F5")
    desk.type("12")
    desk.key("ENTER")
    assert desk.controls.entry.reading == ""
    assert desk.raws == []
    assert desk.controls.notice.startswith("Blackout: nothing is read")


def test_a_reading_typed_before_blackout_is_not_kept_during_it(desk: Desk) -> None:
    desk.type("12")
    desk.key("F5", "ENTER")
    assert (desk.raws, view_of(desk.controls, "").not_kept) == ([], "12")
    desk.key("F5", "ENTER")
    assert desk.raws == ["12"]


def test_space_tallies_where_a_box_moves_and_types_elsewhere(desk: Desk) -> None:
    desk.key("RIGHT")
    assert not desk.controls.key("SPACE")
    desk.type("a b")
    assert desk.controls.entry.reading == "a b"
    desk.key("DELETE", "RIGHT", "SPACE", "SPACE")
    desk.type(" ")  # the character that comes with the key, and with its repeats
    assert len(desk.visit.tallies()) == 2
    assert desk.controls.entry.reading == ""
    assert view_of(desk.controls, "").unit == "2 presses; Enter once the box is at its end"
    desk.run.screen.tick(10_000)
    assert view_of(desk.controls, "").unit == "2 presses; Enter keeps the pass"
    desk.key("ENTER")
    assert desk.raws == ["2"]


def test_the_window_says_how_far_a_box_has_to_go_and_that_it_is_at_its_end(visit: Visit) -> None:
    box = "{moving-box: {along: row, place: 50 %, speed: 96 px/s, ends: stop}}"
    desk = Desk(
        f"title: Zones\nsignal: sdr8\nsettle: 0 s\nsteps: [{{show: {box}, read: tally}}]\n", visit
    )
    desk.run.screen.tick(60)
    view = view_of(desk.controls, "")
    assert (view.screen, view.countdown) == ("On screen, moving", "19 s to its end")
    desk.key("ENTER")
    assert desk.controls.notice == SET_ASIDE
    desk.run.screen.tick(10_000)
    desk.wait(0.1)
    view = view_of(desk.controls, "")
    assert (view.screen, view.countdown) == ("On screen, at its end", "At its end")
    assert not view.pressing, "Enter keeps the pass now"


def test_escape_leaves_only_when_pressed_twice_within_three_seconds(desk: Desk) -> None:
    desk.key("ESCAPE")
    assert desk.controls.notice == ASK_TO_LEAVE
    desk.wait(3.1)
    assert not desk.controls.notices.asking
    desk.key("ESCAPE")
    desk.type("1")
    desk.key("ESCAPE")
    assert not desk.controls.left
    desk.key("ESCAPE")
    assert desk.controls.left
    assert [run.ended for run in desk.visit.runs()] == ["left"]


def test_keys_that_do_nothing_here_are_not_in_the_list(desk: Desk) -> None:
    listed = {key for key, _ in view_of(desk.controls, "").help}
    assert listed.isdisjoint({"F3", "F6", "F10"})
    assert {"F5, B on an empty line", "F8", "F9"} <= listed
    panels = Panels(strip_there=True)
    controls = measured(desk, ToldMeter())
    listed = {key for key, _ in view_of(controls, "").help}
    assert "F6" in listed
    listed = {key for key, _ in view_of(Controls(desk.run, panels=panels), "").help}
    assert "F3" in listed
    desk.run.screen.elsewhere = True
    assert "F8" not in {key for key, _ in view_of(desk.controls, "").help}


def test_readings_one_after_the_other_are_compared_only_where_they_are_near(visit: Visit) -> None:
    desk = Desk(THREE.replace("20 %", "0 %"), visit)
    told = []
    for text in ("0.005", "93.5", "120", "140"):
        desk.type(text)
        desk.key("ENTER")
        if not desk.raws or desk.raws[-1] != text:
            desk.key("ENTER")  # a doubt
        told.append(view_of(desk.controls, "").last[0].apart)
    assert told == ["", "", "28 % above step 2", "17 % above step 3"]


def test_escape_closes_the_help_first(desk: Desk) -> None:
    desk.key("F1")
    assert view_of(desk.controls, "").helping
    desk.key("ESCAPE")
    assert not desk.controls.panels.help
    assert not desk.controls.notices.asking


@pytest.mark.parametrize("opened", ["F1", "F4", "TAB", "F7", "F9"])
def test_escape_closes_whatever_is_open_and_asks_nothing(desk: Desk, opened: str) -> None:
    before = view_of(desk.controls, "")
    desk.key(opened)
    assert view_of(desk.controls, "") != before
    desk.key("ESCAPE")
    assert not desk.controls.notices.asking
    after = view_of(desk.controls, "")
    assert (after.helping, after.steps, after.special) == (False, (), "")
    desk.key("ESCAPE")
    assert desk.controls.notices.asking


def test_escape_closes_one_thing_after_another(desk: Desk) -> None:
    desk.key("F4", "TAB", "F1", "ESCAPE")
    assert view_of(desk.controls, "").noting
    desk.key("ESCAPE")
    assert (view_of(desk.controls, "").noting, desk.controls.steps.open) == (False, True)
    desk.key("ESCAPE")
    assert not desk.controls.steps.open


def test_escape_does_not_lose_a_note_and_leaving_keeps_it_at_its_step(desk: Desk) -> None:
    desk.key("TAB")
    desk.type("lamps")
    desk.key("ESCAPE")
    assert desk.controls.notice.startswith("The note is not kept yet: Tab returns to it")
    desk.key("TAB")
    assert view_of(desk.controls, "").line == "lamps"
    desk.key("ESCAPE", "RIGHT", "ESCAPE", "ESCAPE")
    assert desk.controls.left
    assert [(note.text, note.step) for note in desk.visit.notes()] == [("lamps", 1)]


def test_a_note_that_met_a_full_disk_is_kept_on_leaving_and_told_where_it_cannot_be(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk.key("TAB")
    desk.type("lamps")
    with monkeypatch.context() as patch:
        patch.setattr(desk.visit, "keep_note", full)
        desk.key("ENTER")
        desk.type("door")
        desk.controls.end()
        assert desk.controls.notices.alert == "The disk is full. The note: door"
    assert desk.controls.left


def test_nothing_is_noted_on_leaving_where_no_note_was_begun(desk: Desk) -> None:
    desk.key("F7", "ESCAPE", "ESCAPE", "ESCAPE")
    assert desk.controls.left
    assert desk.visit.notes() == []


def test_the_minutes_that_escape_closed_are_forgotten(desk: Desk) -> None:
    desk.key("F9")
    desk.type("12")
    desk.key("ESCAPE", "F9")
    assert view_of(desk.controls, "").line == ""


def test_unattended_escape_twice_leaves_while_the_meter_measures(desk: Desk) -> None:
    meter = ToldMeter(480.5)
    meter.let.clear()
    measuring = Measuring(desk.run, meter, instrument_of(desk.visit, meter).id)
    controls = Controls(desk.run, measuring, clock=desk.clock, unattended=True)
    desk.clock.now += 2
    measuring.start()
    controls.key("ESCAPE")
    assert controls.notice == f"The measurement was given up. {ASK_TO_LEAVE}"
    assert not controls.meter.busy
    controls.key("ESCAPE")
    meter.let.set()
    assert controls.left
    assert [run.ended for run in desk.visit.runs()] == ["left"]


def test_enter_at_the_end_leaves_a_finished_run(desk: Desk) -> None:
    desk.key("RIGHT", "RIGHT", "RIGHT", "RIGHT")
    assert desk.run.finished
    view = view_of(desk.controls, "")
    assert (view.place, view.label) == ("All 4 steps are done", "No reading for steps 1, 2, 3")
    desk.type("12")
    desk.key("ENTER")
    assert not desk.controls.left, "what is typed at the end is refused like anything else"
    view = view_of(desk.controls, "")
    assert (view.not_kept, view.entry) == ("12", True)
    assert view.notice.startswith("Nothing is left to read.")
    desk.key("ENTER")
    assert desk.controls.left
    assert [run.ended for run in desk.visit.runs()] == ["finished"]


def test_a_full_disk_loses_nothing_that_was_typed(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise VisitError("the disk is full, so this was not kept in lobby.visit")

    with monkeypatch.context() as patch:
        patch.setattr(desk.visit, "keep_reading", full)
        desk.type("12,5")
        desk.key("ENTER")
        assert (desk.controls.entry.reading, view_of(desk.controls, "").not_kept) == ("", "12,5")
        assert desk.controls.notice == "The disk is full, so this was not kept in lobby.visit."
        assert desk.run.number == 1
    desk.key("ENTER")
    assert desk.raws == ["12,5"]


def test_a_reading_that_was_kept_is_not_kept_twice_where_the_next_step_fails(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    with monkeypatch.context() as patch:
        patch.setattr(desk.visit, "keep_showing", full)
        desk.type("12")
        desk.key("ENTER")
    assert desk.raws == ["12"]
    assert (desk.run.number, desk.controls.entry.reading) == (2, "")
    assert desk.controls.notice == "The disk is full."
    desk.type("even")
    desk.key("ENTER")
    assert desk.raws == ["12", "even"]


def measured(desk: Desk, meter: ToldMeter) -> Controls:
    """The controls with a meter that answers once it is let."""
    meter.let.clear()
    instrument = instrument_of(desk.visit, meter).id
    return Controls(desk.run, Measuring(desk.run, meter, instrument), clock=desk.clock)


def test_the_meter_waits_for_the_step_to_settle_and_its_reading_is_kept(desk: Desk) -> None:
    meter = ToldMeter(MeterReading(raw="480.5 0.31 0.33", luminance=480.5, x=0.31, y=0.33))
    controls = measured(desk, meter)
    controls.key("ENTER")
    assert controls.notice == "The meter waits until the step has settled."
    desk.clock.now += 2
    controls.beat()
    assert controls.notice == "spot meter: measuring…"
    controls.key("RIGHT")
    assert desk.run.number == 1, "no step is left while it is measured"
    meter.let.set()
    finish(controls)
    (reading,) = desk.visit.readings()
    assert (reading.raw, reading.luminance, reading.step) == ("480.5 0.31 0.33", 480.5, 1)
    assert reading.instrument is not None
    assert desk.run.number == 2


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (MeterError("It is too dark."), "It is too dark."),
        (OSError(5, "Input/output error"), "The meter failed (OSError: [Errno 5] Input/output"),
        (KeyError("Y"), "The meter failed (KeyError: 'Y')."),
        (AssertionError(), "The meter failed (AssertionError)."),
    ],
)
def test_whatever_a_meter_fails_at_is_told_nothing_is_kept_and_the_run_goes_on(
    desk: Desk, error: Exception, said: str
) -> None:
    meter = ToldMeter(error, MeterReading(raw="480.5", luminance=480.5, x=None, y=None))
    controls = measured(desk, meter)
    desk.clock.now += 2
    controls.key("F6")
    meter.let.set()
    finish(controls)
    assert view_of(controls, "").notice.startswith(said)
    assert (desk.raws, desk.run.number) == ([], 1)
    controls.key("F6")
    meter.let.set()
    finish(controls)
    assert (desk.raws, desk.run.number) == (["480.5"], 2)


def test_escape_gives_a_measurement_up_and_its_late_answer_is_thrown_away(desk: Desk) -> None:
    meter = ToldMeter(MeterReading(raw="480.5", luminance=480.5, x=None, y=None))
    controls = measured(desk, meter)
    desk.clock.now += 2
    controls.key("F6")
    controls.key("ESCAPE")
    assert not controls.notices.asking
    meter.let.set()
    finish(controls)
    threading.Event().wait(0.1)
    controls.beat()
    assert desk.raws == []


@pytest.mark.parametrize("waits", [True, False])
@pytest.mark.parametrize("key", ["F5", "b"])
def test_blackout_comes_before_a_reading_that_is_under_way_and_says_that_it_is_void(
    desk: Desk, key: str, waits: bool
) -> None:
    meter = ToldMeter(MeterReading(raw="480.5", luminance=480.5, x=None, y=None))
    controls = measured(desk, meter)
    desk.clock.now += 0 if waits else 2
    controls.key("F6")
    if not controls.key(key):
        controls.type(key)
    assert desk.output.seen[-1] == "blackout"
    assert not controls.meter.busy
    assert controls.notice == (
        "The reading under way is void. Blackout. The same key brings the step back."
    )
    meter.let.set()
    threading.Event().wait(0.05)
    controls.beat()
    assert desk.raws == []


def test_blackout_comes_also_where_the_meter_cannot_be_given_up(desk: Desk) -> None:
    class Stuck(ToldMeter):
        def give_up(self) -> None:
            assert desk.output.seen[-1] == "blackout", "black is first"
            raise OSError(5, "Input/output error")

    meter = Stuck(480.5)
    controls = measured(desk, meter)
    desk.clock.now += 2
    controls.key("F6")
    controls.key("F5")
    meter.let.set()
    assert desk.run.screen.blacked_out
    assert not controls.meter.busy
    assert controls.notice.startswith("The reading under way is void.")


def test_a_meter_cannot_answer_what_needs_an_eye(desk: Desk) -> None:
    controls = measured(desk, ToldMeter(MeterError("never asked")))
    desk.clock.now += 1
    controls.key("RIGHT")
    controls.key("F6")
    assert controls.notice == "A meter cannot answer what this step asks; type it."
    desk.key("F6")
    assert desk.controls.notice == "There is no meter; type the reading."


def test_the_view_says_what_to_read_and_counts_down(desk: Desk) -> None:
    view = view_of(desk.controls, "awake")
    assert (view.place, view.ask, view.unit) == (
        "Step 1 of 4",
        "Read the luminance of the middle",
        "cd/m2",
    )
    assert view.aim == "the middle"
    assert view.pattern is desk.controls.run.step.pattern
    assert view.countdown == "Settling: 2.0 s"
    assert (view.guard, view.why) == ("VERIFIED", DRAWN)
    desk.wait(0.75)
    assert view_of(desk.controls, "awake").countdown == "Settling: 1.3 s"
    desk.wait(2)
    assert view_of(desk.controls, "awake").countdown == "Settled"
    assert view_of(desk.controls, "awake") == view_of(desk.controls, "awake")


@pytest.mark.parametrize("key", ["", "F5"])
def test_nothing_is_said_of_a_picture_whose_screen_is_gone(desk: Desk, key: str) -> None:
    if key:
        desk.key(key)
    desk.wait(30)
    desk.run.halt("The screen of the patterns is gone.")
    view = view_of(desk.controls, "")
    assert (view.screen, view.guard, view.countdown) == ("SCREEN GONE", "", "")
    assert view.why == (
        "What the display shows is not known; nothing is shown or kept until it is back."
    )
    assert view.dark, "no small picture of it either"
    desk.clock.now += 1
    desk.run.resume("The screen is back: the step is shown again.")
    view = view_of(desk.controls, "")
    assert view.screen == ("BLACKOUT" if key else "On screen")


def test_a_picture_settles_anew_where_the_strip_over_it_has_come_or_gone(desk: Desk) -> None:
    strip = Strip(None, Panels(), desk.run.screen.settle_anew)
    strip._drawn = view_of(desk.controls, "")
    desk.wait(30)
    assert view_of(desk.controls, "").countdown == "Settled"
    strip.hide()
    assert strip.draw() == 0
    assert view_of(desk.controls, "").countdown == "Settling: 2.0 s"
    desk.wait(1)
    strip.draw()
    assert view_of(desk.controls, "").countdown == "Settling: 1.0 s", "it was away before"


def test_a_doubt_is_asked_beside_the_line_and_enter_once_more_keeps_it(desk: Desk) -> None:
    desk.type("0")
    desk.key("ENTER")
    assert view_of(desk.controls, "").not_kept == "0"
    assert desk.controls.notice.endswith("Enter once more keeps it.")
    assert view_of(desk.controls, "").pressing
    desk.key("ENTER")
    assert desk.raws == ["0"]
    assert view_of(desk.controls, "").not_kept == ""
    assert view_of(desk.controls, "").last[0][2] == "0"


def test_a_question_does_not_stand_while_enter_means_something_else(desk: Desk) -> None:
    desk.type("0")
    desk.key("ENTER", "TAB")
    assert "Enter once more" not in desk.controls.notice


def test_one_pasted_value_goes_on_the_line_and_several_are_readings(desk: Desk) -> None:
    desk.controls.paste("120,5\n")
    assert desk.controls.entry.reading == "120,5"
    desk.clock.now += 1
    desk.controls.type("1\n2")
    assert "Then paste" in desk.controls.notice
    desk.key("DELETE")
    desk.clock.now += 1
    desk.controls.paste("1\nbright")
    assert desk.controls.notice.startswith("Step 2 has not been on screen")
    desk.key("RIGHT", "LEFT")
    desk.clock.now += 1
    desk.controls.paste("1\nbright in the middle")
    assert desk.raws == ["1", "bright in the middle"]


def test_a_pasted_text_stays_one_line_of_a_note(desk: Desk) -> None:
    desk.key("TAB")
    desk.controls.paste("first\nsecond")
    assert desk.controls.entry.note == "first second"


def test_a_photo_is_a_note_to_the_step_that_names_its_file(desk: Desk) -> None:
    desk.key("F7", "ENTER")
    assert "Type the name" in desk.controls.notice
    desk.type("IMG_2034.jpg")
    desk.key("ENTER")
    (note,) = desk.visit.notes()
    assert (note.text, note.step) == ("Photo: IMG_2034.jpg", 1)


def test_readings_are_told_with_how_far_they_are_off(desk: Desk) -> None:
    desk.type("400")
    desk.key("ENTER", "LEFT")
    desk.type("404")
    desk.key("ENTER")
    assert view_of(desk.controls, "").last == ((1, "field, level 100 %", "404", ""),)
