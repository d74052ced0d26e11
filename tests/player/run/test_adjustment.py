"""Adjusting in a run: what is put up, what is kept, and that a run taken up again knows it all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

import sequences
from patterns.control import CHANNELS, Control
from player.run import advised
from player.run.live import LiveRun
from player.run.record import MINUTES
from player.run.unattended import typed_with
from readings.adjusting.advice import Noticed, Stop
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput
from tests.player.scripted_adviser import (
    GREY_AFTER,
    REACHED,
    WHITE,
    ScriptedAdviser,
    adjusting,
    look,
    turn,
)

TEXT = adjusting(then=GREY_AFTER)
CONTROLS = tuple(
    Control(f"{channel.capitalize()} {does}", does, channel, None, -50, 50, 1, 0)
    for does in ("gain", "offset")
    for channel in ("red", "green", "blue")
)
PRESET = Control("Tone preset", "preset", None, None, 0, 10, 1, 2)
BLACK, LIT = "0.05 0.31 0.33", "100 0.3127 0.329"
Start = Callable[..., LiveRun]


@pytest.fixture
def start(visit: Visit, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Start:
    """Begins a run, or takes it up, with an adviser that says these things in turn."""
    monkeypatch.setattr(advised, "Adviser", ScriptedAdviser)
    monkeypatch.setattr(ScriptedAdviser, "made", [])

    def begin(
        *script: object,
        controls: tuple[Control, ...] = CONTROLS,
        typed_with: int | None = None,
        overrides: dict[str, object] | None = None,
    ) -> LiveRun:
        if script:
            monkeypatch.setattr(ScriptedAdviser, "script", list(script))
        sequence = sequences.load_text(TEXT, "lobby.yaml")
        run = LiveRun(
            sequence,
            visit,
            RecordingOutput(),
            controls=controls,
            typed_with=typed_with,
            overrides=overrides,
            clock=clock,
        )
        run.begin()
        clock.now += 3
        return run

    return begin


def enter(run: LiveRun, clock: Clock, *texts: str) -> None:
    """Type texts, each with Enter, and each has to be taken."""
    for text in texts:
        assert run.enter(text), run.message
        clock.now += 3
        run.screen.beat()
        clock.now += 3


def first(run: LiveRun, clock: Clock) -> ScriptedAdviser:
    """Read black and white, so that there is a goal."""
    enter(run, clock, BLACK, LIT)
    return ScriptedAdviser.made[-1]


def levels(visit: Visit) -> list[object]:
    """The level that each reading was of, as its showing says; the step's own is 100 %."""
    found = []
    for reading in visit.readings(replaced=True):
        changed = visit.showing(reading.showing).facts.get("changed", {})
        found.append(changed.get("level", "100 %"))
    return found


# ---- readings


def test_black_and_white_are_read_before_anything_is_advised(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)))
    assert (run.adjustment.state, run.adjustment.label) == ("look", "0 %")
    enter(run, clock, BLACK)
    assert run.adjustment.label == "100 %"
    enter(run, clock, LIT)
    assert levels(visit) == ["0 %", "100 %"]
    (adviser,) = ScriptedAdviser.made
    assert [heard[:2] for heard in adviser.heard] == [("read", 0), ("read", WHITE)]
    assert adviser.heard[0][3] == 0.0
    assert run.adjustment.state == "turn"


def test_each_point_that_is_to_be_read_is_put_up_and_its_reading_is_of_that_showing(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(look(7), look(3), turn((0, 0, 1)))
    first(run, clock)
    enter(run, clock, "48 0.31 0.33", "7 0.31 0.33")
    assert levels(visit) == ["0 %", "100 %", "70 %", "30 %"]
    assert run.message == "Kept 7 0.31 0.33 for 30 %."
    assert [each.replaces for each in visit.readings(replaced=True)] == [None] * 4


def test_a_luminance_alone_is_enough_of_black_and_of_nothing_else(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(look(7))
    enter(run, clock, "0.04")
    assert not run.enter("100")
    assert run.message.startswith("Adjusting needs the colour too")
    assert len(visit.readings()) == 1


def test_a_reading_of_the_step_is_corrected_as_its_meter_is(
    start: Start, visit: Visit, clock: Clock
) -> None:
    meter = typed_with(visit, "spot meter").id
    reference = typed_with(visit, "reference", "reference").id
    visit.add_correction(
        from_instrument=meter,
        to_instrument=reference,
        matrix=(2.0, 0, 0, 0, 2.0, 0, 0, 0, 2.0),
        method="by hand",
    )
    run = start(look(7), typed_with=meter)
    adviser = first(run, clock)
    assert adviser.heard[1][2][1] == pytest.approx(200.0)


# ---- turns


def test_enter_keeps_what_was_told_as_done_and_the_picture_settles_and_is_kept_anew(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), look())
    adviser = first(run, clock)
    shown = len(visit.showings())
    assert run.enter("")
    (kept,) = visit.turns(run.id)
    assert (kept.advised, kept.value, kept.event) == (-12, -12, "turned")
    assert kept.why == "White has 3.0 % too much red; this takes it to the mark."
    assert adviser.heard[-1][:3] == ("turned", 0, -12)
    assert run.screen.settle_left == pytest.approx(2)
    clock.now += 3
    enter(run, clock, LIT)
    assert len(visit.showings()) == shown + 1


@pytest.mark.parametrize(
    ("text", "value"), [("-10", -10), ("\u221210", -10), ("+3", 3), ("2,0", 2)]
)
def test_a_number_is_what_the_menu_reads(
    start: Start, visit: Visit, clock: Clock, text: str, value: float
) -> None:
    run = start(turn((0, 0, -12)), look())
    first(run, clock)
    enter(run, clock, text)
    (kept,) = visit.turns(run.id)
    assert (kept.advised, kept.value) == (-12, value)


def test_what_lies_between_two_clicks_is_asked_about_once_and_then_kept(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), look())
    first(run, clock)
    assert not run.enter("-1.2")
    assert run.message == (
        "Red gain goes by steps of 1 from −50: does it really read −1.2? Enter once more keeps it."
    )
    assert not run.enter("-1.3")
    assert visit.turns(run.id) == []
    assert run.enter("-1.3")
    assert [each.value for each in visit.turns(run.id)] == [-1.3]


def test_a_control_that_was_found_between_two_clicks_reads_what_lies_whole_clicks_from_there(
    start: Start, visit: Visit, clock: Clock
) -> None:
    odd = replace(CONTROLS[0], found=0.5)
    run = start(turn((0, 0.5, -11.5)), look(), controls=(odd, *CONTROLS[1:]))
    first(run, clock)
    enter(run, clock, "-9.5")
    assert [each.value for each in visit.turns(run.id)] == [-9.5]


@pytest.mark.parametrize("text", ["-51", "900", "red", "1 2", "1,000"])
def test_what_no_menu_reads_is_refused_and_nothing_is_kept(
    start: Start, visit: Visit, clock: Clock, text: str
) -> None:
    run = start(turn((0, 0, -12)))
    first(run, clock)
    assert not run.enter(text)
    assert run.message
    assert visit.turns(run.id) == []


@pytest.mark.parametrize("texts", [("-11 -3 4",), ("-11", "-3", "4"), ("-11", ""), ("-11", "-3 4")])
def test_of_a_page_all_numbers_are_typed_at_once_or_one_after_another(
    start: Start, visit: Visit, clock: Clock, texts: tuple[str, ...]
) -> None:
    run = start(turn((0, 0, -12), (1, 0, -3), (2, 0, 4)), look(), look(), look())
    first(run, clock)
    enter(run, clock, *texts)
    assert [each.value for each in visit.turns(run.id)] == [-11, -3, 4]
    assert run.adjustment.state == "look"


def test_a_page_that_is_half_done_still_asks_for_its_other_half(start: Start, clock: Clock) -> None:
    run = start(turn((0, 0, -12), (1, 0, -3), (2, 0, 4)), look())
    first(run, clock)
    enter(run, clock, "-11")
    assert [move.control for move in run.adjustment.moves] == [1, 2]
    assert run.adjustment.label == "100 %"


def test_a_control_that_is_left_out_is_kept_so_and_can_be_taken_in_again(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), turn((1, 0, 3)), turn((0, 0, -12)))
    adviser = first(run, clock)
    assert run.do_without()
    assert run.message == "Red gain is left as it is. F2 takes it in again."
    assert [move.control for move in run.adjustment.moves] == [1]
    run.put_back()
    assert [each.event for each in visit.turns(run.id)] == ["left out", "taken in"]
    assert [each[0] for each in adviser.heard[2:]] == ["out", "in"]


def test_what_was_turned_last_is_put_back_by_a_turn_of_its_own_and_then_the_one_before(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), turn((1, 0, 3)), look(), look())
    first(run, clock)
    enter(run, clock, "", "")
    run.put_back()
    (move,) = run.adjustment.moves
    assert (move.control, move.now, move.to) == (1, 3, 0)
    run.put_back()
    (move,) = run.adjustment.moves
    assert (move.control, move.now, move.to) == (0, -12, 0)
    run.put_back()
    assert run.message == "Nothing was turned before that."
    enter(run, clock, "")
    kept = visit.turns(run.id)[-1]
    assert (kept.advised, kept.value) == (None, 0)
    run.put_back()
    assert run.adjustment.moves[0].control == 0, "that was a turn, too"


def test_the_right_arrow_leaves_what_was_to_be_put_back(start: Start, clock: Clock) -> None:
    run = start(turn((0, 0, -12)), look(), look())
    first(run, clock)
    enter(run, clock, "")
    run.put_back()
    assert run.do_without()
    assert run.adjustment.state == "look"


# ---- watching, and reading again


def test_while_somebody_watches_nothing_is_advised_and_a_reading_follows(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), turn((0, 0, -12)))
    first(run, clock)
    run.hold()
    assert (run.adjustment.state, run.adjustment.moves) == ("hold", ())
    assert not run.enter("-3")
    run.hold()
    assert run.adjustment.state == "look"
    enter(run, clock, LIT)
    assert run.adjustment.state == "turn"
    assert levels(visit)[-1] == "100 %"


def test_what_is_on_screen_is_read_again_on_request(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12), look_at=7), turn((0, 0, -12)))
    first(run, clock)
    run.read_again()
    enter(run, clock, "48 0.31 0.33")
    assert levels(visit)[-1] == "70 %"
    run.read_again()
    run.read_again()
    assert run.adjustment.state == "turn"


# ---- the end


def test_at_the_end_enter_ends_the_step_and_the_next_one_comes_up(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(REACHED)
    first(run, clock)
    assert (run.adjustment.state, run.number) == ("stop", 1)
    enter(run, clock, "")
    (end,) = visit.adjustments(run.id)
    assert (end.why, end.largest, end.spread) == ("reached", 0.7, 0.3)
    assert run.number == 2
    assert visit.next_step(run.id) == 2


@pytest.mark.parametrize(
    "why", ["reached", "within the meter", "not worth the time", "nothing left"]
)
def test_space_goes_on_all_the_same_and_that_is_kept(
    start: Start, visit: Visit, clock: Clock, why: str
) -> None:
    run = start(Stop(why, 0.7, 0.3), turn((0, 0, 1)))
    adviser = first(run, clock)
    run.hold()
    assert run.adjustment.state == "turn"
    assert adviser.heard[-1] == ("go on",)
    assert [each.why for each in visit.adjustments(run.id)] == ["gone on"]


def test_it_is_ended_by_hand_once_that_was_asked(start: Start, visit: Visit, clock: Clock) -> None:
    run = start(turn((0, 0, -12)))
    first(run, clock)
    run.finish_adjusting()
    assert run.adjustment.state == "end"
    assert run.do_without()
    assert run.adjustment.state == "turn", "after all not"
    run.finish_adjusting()
    enter(run, clock, "")
    (end,) = visit.adjustments(run.id)
    assert (end.why, end.largest) == ("ended by hand", 2.0)
    assert run.number == 2


def test_a_step_that_has_ended_is_gone_on_with_or_passed_by(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(REACHED)
    first(run, clock)
    enter(run, clock, "")
    run.back()
    clock.now += 3
    assert run.adjustment.state == "done"
    run.hold()
    assert run.adjustment.state == "stop"
    assert visit.next_step(run.id) == 1


def test_what_was_found_out_is_told_once(start: Start, clock: Clock) -> None:
    run = start(look(7), look(7), look(7))
    adviser = first(run, clock)
    adviser.noticed.append(Noticed(CONTROLS[0], "no effect seen", 7))
    enter(run, clock, "48 0.31 0.33")
    assert run.message.endswith("No effect of Red gain was seen at 70 %.")
    enter(run, clock, "48 0.31 0.33")
    assert run.message == "Kept 48 0.31 0.33 for 70 %."


def test_what_was_found_out_is_kept_with_its_control_and_what_was_on_screen(
    start: Start, clock: Clock, visit: Visit
) -> None:
    run = start(look(7), look(7), look(7), look(7))
    adviser = first(run, clock)
    adviser.noticed.append(Noticed(CONTROLS[1], "no effect seen", 7))
    enter(run, clock, "48 0.31 0.33")
    adviser.noticed.append(Noticed(CONTROLS[0], "reversed", None))
    enter(run, clock, "48 0.31 0.33")
    kept = {each.id: each.control for each in visit.controls(run.id)}
    noticed = visit.noticings(run.id)
    assert [(kept[n.control], n.what, n.point) for n in noticed] == [
        (CONTROLS[1], "no effect seen", "70 %"),
        (CONTROLS[0], "reversed", None),
    ]
    readings = visit.readings(run.id)
    assert [n.showing for n in noticed] == [each.showing for each in readings[-2:]]


def test_what_was_kept_as_found_out_is_neither_kept_nor_told_again_when_taken_up(
    start: Start, clock: Clock, visit: Visit
) -> None:
    run = start(look(7), look(7))
    first(run, clock).noticed.append(Noticed(CONTROLS[0], "no effect seen", 7))
    enter(run, clock, "48 0.31 0.33")
    again = start(look(7), look(7))
    enter(again, clock, "48 0.31 0.33")
    ScriptedAdviser.made[-1].noticed.append(Noticed(CONTROLS[0], "no effect seen", 7))
    enter(again, clock, "48 0.31 0.33")
    assert "No effect" not in again.message
    assert len(visit.noticings(run.id)) == 1


def test_fewer_minutes_make_a_second_worth_more(start: Start, clock: Clock) -> None:
    run = start(turn((0, 0, -12)))
    adviser = first(run, clock)
    usual = adviser.price
    run.take_minutes(5, stay=True)
    assert ScriptedAdviser.made[-1].price == pytest.approx(2 * usual)
    assert run.number == 1
    run.take_minutes(None, stay=True)
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual)


def test_minutes_that_are_given_at_the_start_count_from_the_first_advice(
    start: Start, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), overrides={MINUTES: 20})
    assert first(run, clock).price == pytest.approx(0.015)


# ---- taken up again


def test_minutes_hold_after_a_kill_and_not_where_somebody_left(start: Start, clock: Clock) -> None:
    run = start(turn((0, 0, -12)))
    usual = first(run, clock).price
    run.take_minutes(20, stay=True)
    start()  # as after a kill: nobody left it
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual / 2)
    again = start()
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual / 2)
    again.leave()
    start()
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual)
    start()  # nor after a kill later on
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual)


def test_minutes_that_were_taken_back_stay_so_after_a_kill(start: Start, clock: Clock) -> None:
    run = start(turn((0, 0, -12)))
    usual = first(run, clock).price
    run.take_minutes(20, stay=True)
    run.take_minutes(None, stay=True)
    start()
    assert ScriptedAdviser.made[-1].price == pytest.approx(usual)


def test_a_run_taken_up_again_tells_a_new_adviser_the_same_at_the_same_times(
    start: Start, clock: Clock
) -> None:
    script = (
        turn((0, 0, -12), (1, 0, -3)),
        turn((0, 0, 0)),  # never asked: the page is half done
        look(),
        turn((2, 0, 4)),
        turn((2, 0, 4)),
        turn((2, 0, 4)),
        REACHED,
        turn((3, 0, 1)),
    )
    run = start(*script)
    before = first(run, clock)
    enter(run, clock, "-11", "")
    enter(run, clock, LIT)
    run.do_without()
    run.put_back()
    enter(run, clock, "")
    run.hold()
    assert run.adjustment.state == "turn"
    again = start(controls=())
    after = ScriptedAdviser.made[-1]
    assert after is not before
    assert after.heard == before.heard
    assert again.adjustment.state == run.adjustment.state
    assert again.adjustment.label == run.adjustment.label
    assert again.adjustment.advised is not None
    assert run.adjustment.advised is not None
    assert again.adjustment.advised.now == run.adjustment.advised.now
    assert again.adjustment.advised.turns == run.adjustment.advised.turns


# ---- the controls


def test_controls_that_no_file_describes_are_asked_for_and_kept(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 3, -12)), controls=())
    assert run.adjustment.state == "controls"
    assert run.adjustment.asked is not None
    assert run.adjustment.asked.asked is not None
    assert run.adjustment.asked.asked.name == "Red gain"
    enter(run, clock, "-30 to 30, now 3", "")
    assert not run.enter("often")
    assert run.do_without()
    run.finish_adjusting()
    kept = [each.control for each in visit.controls(run.id)]
    assert [each.name for each in kept] == [
        "Red gain", "Green gain", "Red offset", "Green offset", "Blue offset",
    ]  # fmt: skip
    assert [(each.lowest, each.highest, each.found) for each in kept[:2]] == [
        (-30, 30, 3), (-30, 30, 0),
    ]  # fmt: skip
    assert run.adjustment.label == "0 %"


def test_a_later_run_takes_the_controls_from_the_visit_as_they_were_left(
    start: Start, visit: Visit, clock: Clock
) -> None:
    run = start(turn((0, 0, -12)), REACHED)
    first(run, clock)
    enter(run, clock, "", "")
    enter(run, clock, "20")
    run.leave()
    later = start(controls=())
    assert later.id != run.id
    kept = [each.control for each in visit.controls(later.id)]
    assert [each.found for each in kept] == [-12, 0, 0, 0, 0, 0]


def test_of_several_presets_each_is_taken_up_as_it_was_left_itself(
    start: Start, visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(globals(), "TEXT", adjusting(menu="preset", then=GREY_AFTER))
    presets = tuple(
        Control(name, "preset", None, None, 0, 10, 1, found)
        for name, found in (("Gamma", 2), ("Warmth", 7))
    )
    visit.end_run(start(look(), controls=presets).id, "finished")
    later = start(controls=())
    kept = [each.control for each in visit.controls(later.id)]
    assert [(each.name, each.found) for each in kept] == [("Gamma", 2), ("Warmth", 7)]


@pytest.mark.parametrize("controls", [(), (replace(PRESET, name="Gamma", found=3),)])
def test_a_preset_that_was_asked_for_and_the_same_one_of_a_file_are_one_control(
    start: Start,
    visit: Visit,
    clock: Clock,
    monkeypatch: pytest.MonkeyPatch,
    controls: tuple[Control, ...],
) -> None:
    monkeypatch.setitem(globals(), "TEXT", adjusting(menu="preset", then=GREY_AFTER))
    run = start(turn((0, 2, 5)), look(), controls=(PRESET,))
    first(run, clock)
    enter(run, clock, "5")
    visit.end_run(run.id, "finished")
    named = start(look(), controls=(replace(PRESET, name="Gamma", found=3),))
    visit.end_run(named.id, "finished")
    assert [each.control.found for each in visit.controls(named.id)] == [5]
    later = start(controls=controls)
    kept = [each.control for each in visit.controls(later.id)]
    assert [(each.name, each.found) for each in kept] == [("Gamma", 5)]


def test_of_a_preset_and_of_two_of_a_file_nobody_knows_which_it_is(
    start: Start, visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(globals(), "TEXT", adjusting(menu="preset", then=GREY_AFTER))
    visit.end_run(start(look(), controls=(PRESET,)).id, "finished")
    two = tuple(replace(PRESET, name=name, found=4) for name in ("Gamma", "Warmth"))
    later = start(controls=two)
    assert [each.control.found for each in visit.controls(later.id)] == [4, 4]


def test_where_two_files_gave_two_controls_one_name_the_last_one_is_taken_up(
    start: Start, visit: Visit
) -> None:
    for channel in CHANNELS[:2]:
        only = Control("Drive", "gain", channel, None, -50, 50, 1, 0)
        visit.end_run(start(look(), controls=(only,)).id, "finished")
    later = start(controls=())
    assert [each.control.channel for each in visit.controls(later.id)] == ["green"]
