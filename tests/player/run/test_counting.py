"""Counting zones in a run: presses, changes by hand, and one comb after another."""

from __future__ import annotations

import itertools

import pytest

import sequences
from player.run.by_hand import Change
from player.run.live import SET_ASIDE, LiveRun
from player.run.screen import TOO_SOON
from readings.evidence.measured import evidence
from readings.findings import findings_of
from readings.visit.visit import Visit
from tests.player.recording import Clock, RecordingOutput

TEXT = """
title: Zones of the lobby wall
signal: sdr8
steps:
  - each: {direction: [forward, backward]}
    show: {moving-box: {along: row, place: 50 %, speed: 96 px/s, ends: stop}}
    read: {tally: hops}
  - show: {comb: {zones: 20, spacing: 3}}
    read: {count: groups}
    settle: 2 s
  - show: {field: {}}
"""
PITCH = 1920 / 16
"""Zones of the lobby wall in this test: 16 columns on 1920 pixels."""
WHOLE_WAY = 1300
"""Refreshes in which the box goes its whole way."""


@pytest.fixture
def output() -> RecordingOutput:
    return RecordingOutput()


@pytest.fixture
def live(visit: Visit, clock: Clock, output: RecordingOutput) -> LiveRun:
    run = LiveRun(sequences.load_text(TEXT, "zones.yaml"), visit, output, clock=clock)
    run.begin()
    clock.now += 1
    return run


def crawl(live: LiveRun, clock: Clock, late: int = 20) -> None:
    """Press `late` refreshes after each hop of 16 columns, and end the pass."""
    forward = live.number == 1
    # the middle of the box starts at 11 px and goes 1.6 px a refresh
    hops = [round((PITCH * n - 11) / 1.6) for n in range(1, 16)]
    gone = 0
    for hop in hops:
        live.screen.tick(hop + late - gone)
        gone = hop + late
        live.tally()
    assert live.counting.presses[0].direction == ("forward" if forward else "backward")
    live.screen.tick(WHOLE_WAY)
    clock.now += 1
    assert live.enter("")
    clock.now += 1


def shown(live: LiveRun) -> dict[str, object]:
    return {name: live.visit.showings()[-1].facts.get(name) for name in ("zones", "spacing")}


def test_presses_keep_the_middle_of_the_box_in_pixels(live: LiveRun) -> None:
    for _ in range(3):
        live.screen.tick(100)
        live.tally()
    assert [press.position_px for press in live.counting.presses] == [171.0, 331.0, 491.0]
    assert live.message == "Press 3 kept."


def test_the_last_press_is_taken_back_and_the_visit_remembers_it(live: LiveRun) -> None:
    for _ in range(2):
        live.screen.tick(100)
        live.tally()
    live.untally()
    assert live.counting.tallies == 1
    assert live.message == "The last press was taken back; 1 are kept."
    assert [tally.withdrawn for tally in live.visit.tallies(withdrawn=True)] == [False, True]
    live.untally()
    live.untally()
    assert live.message == "There is no press to take back."


def test_presses_before_and_after_a_change_of_speed_belong_to_one_pass(live: LiveRun) -> None:
    live.screen.tick(100)
    live.tally()
    live.change(Change.UP)
    assert live.message == "The box: speed 120 px/s, 22x22 at 160,529."
    live.screen.tick(60)
    live.tally()
    live.screen.tick(WHOLE_WAY)
    assert live.enter("")
    (reading,) = evidence(live.visit)
    assert [press.position_px for press in reading.presses] == [171.0, 291.0]
    first, second, _ = live.visit.showings()
    assert second.facts["changed"] == {"speed": "120 px/s", "start": "160 px"}
    assert second.facts["goes_on_from"] == first.id


def test_presses_of_an_attempt_that_was_given_up_do_not_count(live: LiveRun, clock: Clock) -> None:
    live.screen.tick(100)
    live.tally()
    live.blackout()
    clock.now += 1
    live.blackout()
    assert live.counting.tallies == 0
    live.screen.tick(200)
    live.tally()
    live.screen.tick(WHOLE_WAY)
    clock.now += 1
    assert live.enter("")
    (reading,) = evidence(live.visit)
    assert [press.position_px for press in reading.presses] == [331.0]


def test_a_paused_box_stands_still_and_goes_on_from_where_it_is(live: LiveRun) -> None:
    live.screen.tick(100)
    live.pause()
    assert live.screen.moving is None
    assert live.screen.tick(100) is None
    live.tally()
    live.pause()
    live.screen.tick(10)
    live.tally()
    assert [press.position_px for press in live.counting.presses] == [171.0, 187.0]


def test_a_step_by_one_pixel_stops_the_box(live: LiveRun, clock: Clock) -> None:
    live.screen.tick(100)
    live.change(Change.ON)
    assert live.screen.paused
    clock.now += 1
    live.change(Change.ON)
    live.tally()
    assert [press.position_px for press in live.counting.presses] == [173.0]


def test_a_box_that_turns_makes_its_presses_in_the_other_direction(live: LiveRun) -> None:
    live.screen.tick(100)
    live.change(Change.TURN)
    live.screen.tick(50)
    live.tally()
    (press,) = live.counting.presses
    assert (press.position_px, press.direction) == (91.0, "backward")


def test_hammering_on_a_key_does_not_make_the_screen_flash(
    live: LiveRun, clock: Clock, output: RecordingOutput
) -> None:
    live.change(Change.LARGER)
    before = len(output.seen)
    live.change(Change.SMALLER)
    assert live.message == TOO_SOON
    assert len(output.seen) == before
    clock.now += 0.37
    live.change(Change.SMALLER)
    assert len(output.seen) == before + 1


def test_nothing_is_changed_by_hand_on_a_step_that_counts_no_zones(
    live: LiveRun, clock: Clock
) -> None:
    for _ in range(3):
        live.go_on()
        clock.now += 1
    live.change(Change.UP)
    assert live.message == "There is nothing to change by hand on this step."


def test_combs_go_on_until_the_count_is_certain_and_each_answer_is_kept(
    live: LiveRun, clock: Clock
) -> None:
    """The first comb is that of the crawl's own count; one off shows one group."""
    crawl(live, clock)
    crawl(live, clock)
    asked = []
    while live.number == 3:
        facts = shown(live)
        zones, spacing = int(str(facts["zones"])), int(str(facts["spacing"]))
        asked.append(zones)
        # boxes drift by 16 spacing / zones of a zone from one to the next, seen to the next whole
        drift = 16 * spacing / zones
        assert live.enter(str(round(abs(drift - round(drift)) * zones / spacing)))
        clock.now += 1
    assert asked[0] == 16
    assert len(asked) <= 6
    (found,) = findings_of(live.visit, ["zones"])
    columns = found.value("zone-columns")
    assert columns is not None
    assert columns.among == (16,)
    answers = [reading for reading in live.visit.readings() if reading.step == 3]
    assert len(answers) == len(asked)
    assert all(answer.replaces is None for answer in answers)


def test_combs_come_no_faster_than_pictures_may_and_each_of_them_settles(
    live: LiveRun, clock: Clock, output: RecordingOutput
) -> None:
    crawl(live, clock)
    live.go_on()
    changes = [clock.now]
    for _ in range(100):  # 3 s of answers, 30 ms apart
        clock.now += 0.03
        before = len(output.seen)
        live.screen.beat()
        live.enter("0")
        if len(output.seen) > before:
            changes.append(clock.now)
            if live.number == 3:
                assert live.screen.settle_left == pytest.approx(2)
    apart = [later - earlier for earlier, later in itertools.pairwise(changes)]
    assert len(apart) == 6, "five more combs, and the step after them"
    assert min(apart) >= 0.36 - 1e-6
    answers = [each for each in live.visit.readings() if each.step == 3]
    shown = {live.visit.showing(each.showing).frame_sha256 for each in answers}
    assert len(answers) == len(shown), "each comb has its own answer, and no comb has two"


def test_a_comb_stepped_by_hand_is_kept_with_its_own_count(live: LiveRun, clock: Clock) -> None:
    live.go_on()
    clock.now += 1
    live.go_on()
    clock.now += 1
    assert shown(live) == {"zones": 20, "spacing": 3}, "nothing was pressed: the plan's comb"
    live.change(Change.DOWN)
    clock.now += 1
    live.change(Change.SPACING)
    clock.now += 1
    assert live.enter("?")
    facts = live.visit.showing(live.visit.readings()[-1].showing).facts
    assert (facts["zones"], facts["spacing"]) == (19, 4)


def test_the_last_comb_is_answered_again_in_place_of_the_first_answer(
    live: LiveRun, clock: Clock
) -> None:
    crawl(live, clock)
    crawl(live, clock)
    first = shown(live)
    assert live.enter("5")
    clock.now += 1
    live.again()
    assert {name: shown(live)[name] for name in first} == first
    clock.now += 1
    assert live.enter("0")
    answers = [each for each in live.visit.readings(replaced=True) if each.step == 3]
    assert [answer.raw for answer in answers] == ["5", "0"]
    assert answers[1].replaces == answers[0].id


def test_each_answer_to_a_comb_can_be_gone_back_to(live: LiveRun, clock: Clock) -> None:
    crawl(live, clock)
    live.go_on()
    clock.now += 1
    combs = []
    for text in ("0", "?"):
        combs.append(shown(live))
        assert live.enter(text)
        clock.now += 1
    live.again()
    clock.now += 1
    assert shown(live) == combs[1]
    live.again()
    clock.now += 1
    assert shown(live) == combs[0]
    assert live.enter("0")
    answers = [each for each in live.visit.readings(replaced=True) if each.step == 3]
    assert [answer.replaces for answer in answers] == [None, None, answers[0].id]
    assert [kept.text for kept in live.keeping.kept if kept.number == 3] == ["can't tell", "0"]


def test_on_a_media_player_nothing_is_changed_or_proposed(visit: Visit, clock: Clock) -> None:
    output = RecordingOutput()
    output.name = "files"
    run = LiveRun(sequences.load_text(TEXT, "zones.yaml"), visit, output, clock=clock)
    run.begin()
    clock.now += 1
    assert run.counting.way is None
    run.change(Change.UP)
    assert run.message == "There is nothing to change by hand on this step."


def test_an_enter_while_the_box_is_on_its_way_asks_and_only_a_second_one_sets_the_pass_aside(
    live: LiveRun, clock: Clock
) -> None:
    live.screen.tick(60)
    assert not live.enter("")
    assert live.message == SET_ASIDE
    live.tally()  # another press: the question has gone
    assert not live.enter("")
    assert (live.number, live.visit.readings(), live.visit.skips(live.id)) == (1, [], [])
    assert live.enter("")
    clock.now += 1
    assert (live.number, evidence(live.visit)) == (2, [])
    assert [skip.why for skip in live.visit.skips(live.id)] == [
        "a pass was set aside before its box had finished its way, 1 press"
    ]
    assert [note.text for note in live.visit.notes()] == [
        "A pass was set aside before its box had finished its way, 1 press."
    ]
    assert [tally.withdrawn for tally in live.visit.tallies()] == [False], "kept, as it was"
    assert live.counting.zones.gather("columns").passes == []


def test_a_box_that_has_finished_its_way_is_a_pass_also_without_a_press(live: LiveRun) -> None:
    live.screen.tick(60)
    assert live.counting.way_left == pytest.approx(1898 / 96 - 1)
    assert not live.enter("")
    live.screen.tick(WHOLE_WAY)
    assert (live.counting.at_end, live.counting.way_left) == (True, None)
    assert live.enter("")
    assert [reading.number for reading in evidence(live.visit)] == [0]


@pytest.mark.parametrize("text", ["0", "4"])
def test_a_typed_number_is_no_way_round_the_question(live: LiveRun, text: str) -> None:
    live.screen.tick(60)
    live.tally()
    assert not live.enter(text)
    assert live.message == SET_ASIDE


def test_a_box_that_was_sent_back_has_not_finished_its_way_where_it_began(
    live: LiveRun, clock: Clock
) -> None:
    live.screen.tick(60)
    live.change(Change.TURN)
    live.screen.tick(WHOLE_WAY)
    assert (live.counting.at_end, live.counting.unfinished) == (True, True)
    clock.now += 1
    live.change(Change.TURN)
    live.screen.tick(WHOLE_WAY)
    assert not live.counting.unfinished
    clock.now += 1
    live.change(Change.TURN)
    live.screen.tick(60)
    assert not live.counting.unfinished, "it has been at its end before"


def test_a_pass_made_again_is_added_and_one_that_went_wrong_is_replaced(
    live: LiveRun, clock: Clock
) -> None:
    crawl(live, clock)
    live.back()
    clock.now += 1
    crawl(live, clock, late=24)
    assert [len(each.presses) for each in evidence(live.visit)] == [15, 15]
    live.again()
    clock.now += 1
    live.screen.tick(100)
    live.tally()
    live.screen.tick(WHOLE_WAY)
    assert live.enter("")
    assert [len(each.presses) for each in evidence(live.visit)] == [15, 1]
    assert [kept.text for kept in live.keeping.kept] == ["15", "1"]
