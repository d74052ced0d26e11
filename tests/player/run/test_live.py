"""A run: which step is up, what is kept, and what happens when it is broken off."""

from __future__ import annotations

import itertools

import pytest

import sequences
from player.run.live import LiveRun
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput, run_of

TEXT = """
title: Lobby wall, first look
signal: sdr8
settle: 2 s
steps:
  - show: {field: {level: 100 %}}
    read: luminance
    role: white
  - show: {field: {level: 0 %}}
    read: luminance
    role: black
  - show: {moving-box: {along: top, speed: 120 px/s}}
    read: tally
  - show: {field: {level: 50 %}}
  - show: {window: {area: 10 %}}
    read: {choice: [seen, not seen]}
"""


def start(
    visit: Visit,
    output: RecordingOutput | None = None,
    *,
    clock: Clock | None = None,
    condition: str = "",
) -> LiveRun:
    live = LiveRun(
        sequences.load_text(TEXT, "lobby.yaml"),
        visit,
        output or RecordingOutput(),
        clock=clock or Clock(1.0),
        condition=condition,
    )
    live.begin()
    return live


def test_the_next_frame_is_drawn_ahead_and_is_the_one_that_is_shown(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    live = start(visit)
    live.prepare()
    following = type(live.sequence.steps[1].pattern)
    expected = live.sequence.steps[1].pattern.frame(live.output.canvas, live.screen.signal).sha256

    def drawn(*_: object) -> None:
        raise AssertionError("it is drawn already")

    monkeypatch.setattr(following, "frame", drawn)
    live.prepare()
    live.go_on()
    assert live.screen.frame is not None
    assert live.screen.frame.sha256 == expected


def test_nothing_is_drawn_ahead_while_a_box_moves(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    live = start(visit)
    live.go_on()
    live.go_on()
    assert live.screen.moving is not None
    following = type(live.sequence.steps[3].pattern)
    drawn: list[object] = []
    monkeypatch.setattr(following, "frame", lambda *given: drawn.append(given))
    live.prepare()
    assert drawn == []


def test_a_run_that_halts_takes_nothing_and_shows_its_step_again_when_it_goes_on(
    visit: Visit,
) -> None:
    output = RecordingOutput()
    live = start(visit, output)
    live.halt("The screen is gone.")
    assert not live.enter("118")
    assert live.message == "The screen is gone."
    live.tally()
    live.go_on()
    assert (live.number, visit.readings(), visit.tallies()) == (1, [], [])
    live.resume("It is back.")
    assert output.seen[0] == output.seen[1], "the same step, once more"
    assert live.enter("118")


def test_what_made_a_run_halt_is_noted_beside_the_step_as_it_is_shown_again(visit: Visit) -> None:
    clock = Clock()
    live = run_of(TEXT, visit, clock)
    clock.now = 0.1  # another picture may not come yet
    live.halt("The screen is gone.")
    live.resume("It is back.", "The screen was gone.")
    assert visit.notes() == []
    clock.now = 1.0
    live.screen.beat()
    (note,), showings = visit.notes(), visit.showings()
    assert (note.text, note.showing) == ("The screen was gone.", 2)
    assert [each.id for each in showings] == [1, 2]


def test_a_blackout_stays_when_a_run_goes_on_after_a_halt(visit: Visit) -> None:
    output = RecordingOutput()
    live = start(visit, output)
    live.blackout()
    live.halt("The screen is gone.")
    live.resume("It is back.")
    assert live.screen.blacked_out
    assert output.seen[1:] == ["blackout", "blackout"]


def test_nothing_is_drawn_ahead_of_the_last_step_or_before_the_first(visit: Visit) -> None:
    output = RecordingOutput()
    live = LiveRun(sequences.load_text(TEXT, "lobby.yaml"), visit, output, clock=Clock(1.0))
    live.prepare()
    live.begin()
    for _ in range(9):
        live.prepare()
        live.go_on()
    live.prepare()
    assert live.finished
    assert len(output.seen) == 6, "five steps, and black at the end"


def test_a_run_goes_from_step_to_step_as_readings_are_typed(visit: Visit) -> None:
    live = start(visit)
    assert live.step is not None
    assert live.step.number == 1
    assert live.enter("118,4")
    assert live.enter("0.05")
    assert live.step.number == 3
    live.screen.tick(60)
    live.tally()
    live.screen.tick(30)
    live.tally()
    live.screen.tick(10_000)
    assert live.enter("")
    assert live.step.number == 4
    assert live.enter("")
    assert live.enter("2")
    assert live.finished
    live.leave()
    run = visit.runs()[0]
    assert run.ended == "finished"
    kept = visit.readings(run.id)
    assert [(r.step, r.raw) for r in kept] == [(1, "118,4"), (2, "0.05"), (3, "2"), (5, "2")]
    assert kept[0].luminance == 118.4
    assert kept[3].text == "not seen"


def test_tallies_keep_the_middle_of_the_box_at_that_refresh(visit: Visit) -> None:
    live = start(visit)
    live.enter("118")
    live.enter("0.05")
    # a box of 2 % of 1080, 22 pixels; 120 px/s at 60 Hz is 2 pixels a refresh
    live.screen.tick(60)
    live.tally()
    live.screen.tick(1)
    live.tally()
    assert [t.position_px for t in visit.tallies()] == [131.0, 133.0]
    assert {(t.axis, t.direction) for t in visit.tallies()} == {("horizontal", "forward")}


def test_going_back_and_typing_again_replaces_without_losing(visit: Visit) -> None:
    live = start(visit)
    live.enter("118")
    live.enter("0.05")
    live.back()
    live.back()
    assert live.step is not None
    assert live.step.number == 1
    live.enter("120")
    assert live.step.number == 3, "the run goes on where it was"
    run = visit.runs()[0].id
    assert [r.raw for r in visit.readings(run)] == ["120", "0.05"]
    assert [r.raw for r in visit.readings(run, replaced=True)] == ["118", "120", "0.05"]


def test_taking_again_shows_the_step_that_was_read_last(visit: Visit) -> None:
    live = start(visit)
    live.again()
    assert "Nothing has been read" in live.message
    live.enter("118")
    live.again()
    assert live.number == 1
    live.enter("119")
    assert [r.raw for r in visit.readings(1)] == ["119"]
    assert live.number == 2


def test_a_skipped_step_is_kept_as_skipped_and_not_asked_again(visit: Visit) -> None:
    live = start(visit)
    live.go_on(why="door open")
    assert live.number == 2
    live.leave()
    assert [(s.step, s.why) for s in visit.skips(1)] == [(1, "door open")]
    again = start(visit)
    assert again.number == 2


def test_a_run_that_was_left_resumes_at_its_next_step_with_its_readings(visit: Visit) -> None:
    live = start(visit)
    live.enter("118")
    live.leave()
    again = start(visit)
    assert again.id == live.id
    assert again.number == 2
    assert [k.text for k in again.keeping.kept] == ["118"]
    assert len(visit.runs()) == 1


def test_another_condition_or_depth_is_a_run_of_its_own(visit: Visit) -> None:
    start(visit).leave()
    start(visit, condition="local dimming off").leave()
    deeper = start(visit, RecordingOutput(bits=10))
    assert len(visit.runs()) == 3
    assert "another canvas, signal or output" in deeper.message


def test_a_wrong_entry_keeps_nothing_and_says_why(visit: Visit) -> None:
    live = start(visit)
    assert not live.enter("bright")
    assert "not a number" in live.message
    assert not live.enter("   ")
    assert live.number == 1
    assert visit.readings(1) == []


def test_blackout_goes_and_comes_back_to_the_same_frame(visit: Visit) -> None:
    output = RecordingOutput()
    live = start(visit, output)
    live.blackout()
    live.blackout()
    assert output.seen == [output.seen[0], "blackout", output.seen[0]]


def test_settling_counts_down_from_when_the_step_was_shown(visit: Visit) -> None:
    clock = Clock(step=0)
    live = start(visit, clock=clock)
    assert live.screen.settle_left == 2
    clock.now = 1.5
    assert live.screen.settle_left == 0.5
    clock.now = 9.0
    assert live.screen.settle_left == 0
    live.enter("118")
    assert live.screen.settle_left == 2


def test_every_showing_keeps_codes_hash_and_guard(visit: Visit) -> None:
    output = RecordingOutput()
    live = start(visit, output)
    live.enter("118")
    first, second = visit.showings(1)
    assert first.inks == {"level": (255, 255, 255)}
    assert second.inks == {"level": (0, 0, 0)}
    assert first.frame_sha256 == output.seen[0]
    assert first.guard == "verified"
    assert first.facts["mean_level_percent"] == 100.0


def test_what_is_known_of_the_output_is_kept_with_the_run(visit: Visit) -> None:
    start(visit, RecordingOutput(bits=10))
    assert visit.runs()[0].guards == {"bits": 10, "range": "full"}


def test_a_note_belongs_to_what_is_on_screen(visit: Visit) -> None:
    live = start(visit)
    live.note("  daylight from the quay door ")
    live.note("  ")
    (note,) = visit.notes()
    assert (note.text, note.step) == ("daylight from the quay door", 1)


def test_a_key_held_down_cannot_make_the_picture_flash(visit: Visit) -> None:
    output = RecordingOutput()
    clock = Clock(step=0)
    live = start(visit, output, clock=clock)
    clock.now = 10.0
    lit, told = [10.0], 0
    for _ in range(100):  # five seconds of a key that repeats twenty times a second
        clock.now += 0.05
        before = len(output.seen)
        live.blackout()
        told += "Slower" in live.message
        if len(output.seen) > before and output.seen[-1] != "blackout":
            lit.append(clock.now)
    apart = [later - earlier for earlier, later in itertools.pairwise(lit)]
    assert len(lit) >= 5
    assert min(apart[1:]) >= 0.72, "a flash takes two changes, each 360 ms after the one before"
    assert told > 40


@pytest.mark.parametrize("key", ["go_on", "back", "again"])
def test_going_through_the_steps_is_no_faster_than_a_flash_may_be(visit: Visit, key: str) -> None:
    output = RecordingOutput()
    clock = Clock(1.0)
    live = start(visit, output, clock=clock)
    live.enter("118")
    live.enter("0.05")
    clock.step = 0
    before = len(output.seen)
    getattr(live, key)()
    assert len(output.seen) == before
    assert visit.skips(1) == []
    clock.now += 0.36
    getattr(live, key)()
    assert len(output.seen) == before + 1


def test_a_diagonal_is_to_look_at_and_not_to_count_along(visit: Visit) -> None:
    text = TEXT.replace("along: top", "along: diagonal")
    live = LiveRun(
        sequences.load_text(text, "lobby.yaml"), visit, RecordingOutput(), clock=Clock(1.0)
    )
    live.begin()
    live.enter("118")
    live.enter("0.05")
    live.tally()
    assert visit.tallies() == []
    assert "diagonal" in live.message


COLOURS = """
title: Lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 100 %}}, read: luminance}
  - {show: {checkerboard: {}}, read: colour}
  - {show: {checkerboard: {level: 50 %}}, read: colour}
"""


def test_the_order_of_a_colour_is_told_and_asked_about_only_where_nothing_tells(
    visit: Visit, clock: Clock
) -> None:
    live = run_of(COLOURS, visit, clock)
    clock.now += 1
    assert live.enter("3127 3290 401.2")
    assert live.message == "Kept Y 401.2, x 0.3127, y 0.3290 for step 1."
    clock.now += 1
    assert live.enter("0.31 0.33 0.05"), "in the order of before"
    assert live.message.startswith("Kept Y 0.05, x 0.3100, y 0.3300 for step 2.")
    kept = [(each.luminance, each.x, each.y) for each in visit.readings()]
    assert kept == [(401.2, 0.3127, 0.329), (0.05, 0.31, 0.33)]


def test_a_colour_that_can_stand_in_two_orders_is_asked_about_once(
    visit: Visit, clock: Clock
) -> None:
    live = run_of(COLOURS, visit, clock)
    clock.now += 1
    live.go_on()
    clock.now += 1
    assert not live.enter("0.2 0.3 0.4")
    assert live.message == (
        "Y 0.2, x 0.3000, y 0.4000? Where Y comes last, type xyY before it. Enter once more keeps "
        "it."
    )
    assert live.enter("0.2 0.3 0.4")
    clock.now += 1
    assert live.enter("0.3 0.3 0.3"), "it is known now"
    assert [(each.luminance, each.x) for each in visit.readings()] == [(0.2, 0.3), (0.3, 0.3)]


PEAKS = """
title: Lobby wall
signal: pq10
steps:
  - {show: {window: {area: 10 %, level: 1000 cd/m2}}, read: luminance}
  - {show: {window: {area: 10 %, level: 4000 cd/m2}}, read: luminance}
  - {show: {window: {area: 10 %, level: 2000 cd/m2}}, read: luminance}
"""


def test_a_comma_that_may_group_thousands_is_asked_about_once(visit: Visit, clock: Clock) -> None:
    live = run_of(PEAKS, visit, clock)
    clock.now += 1
    assert not live.enter("1,013")
    assert live.message == (
        "1,013: is its comma that of a decimal? Leave out what groups thousands. Enter once more "
        "keeps it."
    )
    assert not live.enter("1,014"), "that is another number"
    assert live.enter("1,014")
    clock.now += 1
    assert live.enter("1,340"), "it is known now"
    assert [each.luminance for each in visit.readings()] == [1.014, 1.34]


def test_what_is_typed_without_groups_in_answer_is_kept_and_says_nothing_of_commas(
    visit: Visit, clock: Clock
) -> None:
    live = run_of(PEAKS, visit, clock)
    clock.now += 1
    assert not live.enter("1,013")
    assert live.enter("1013")
    clock.now += 1
    assert not live.enter("1,340")
    assert "is its comma that of a decimal?" in live.message
    assert live.enter("1340")
    assert [each.luminance for each in visit.readings()] == [1013, 1340]


def test_a_comma_is_known_for_a_decimals_once_a_number_with_one_can_be_nothing_else(
    visit: Visit, clock: Clock
) -> None:
    live = run_of(PEAKS, visit, clock)
    clock.now += 1
    assert live.enter("640,2")
    clock.now += 1
    assert live.enter("641,302")
    assert [each.luminance for each in visit.readings()] == [640.2, 641.302]
