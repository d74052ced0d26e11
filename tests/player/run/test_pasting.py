"""Several values pasted at once: each to its own step, all of them or none."""

from __future__ import annotations

import pytest

import sequences
from player.run.entry import EntryError
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.run.pasting import is_several, placed_values
from readings.visit.visit import Visit
from tests.player.recording import Clock, run_of

TEXT = """
title: Greys of the lobby wall
signal: sdr8
steps:
  - show: {field: {level: 100 %}}
    read: luminance
  - show: {field: {level: 50 %}}
  - show: {field: {level: 75 %}}
    read: colour
  - show: {field: {level: 0 %}}
    read: luminance
  - show: {comb: {zones: 20}}
    read: {count: groups}
"""
STEPS = sequences.load_text(TEXT, "lobby.yaml").steps


@pytest.fixture
def run(visit: Visit) -> LiveRun:
    return run_of(TEXT, visit, Clock(CHANGE_GAP + 1))


def show_all(run: LiveRun) -> None:
    for _ in range(3):
        run.go_on()
    for _ in range(3):
        run.back()
    assert run.number == 1


def test_lines_and_tabs_part_values_and_a_colour_takes_its_own_line() -> None:
    placed = placed_values("98,5\r\n51,2\t0,31\t0,33\n0.05\n", STEPS)
    assert [step.number for step, _ in placed] == [1, 3, 4]
    assert [value.luminance for _, value in placed] == [98.5, 51.2, 0.05]
    assert placed[1][1].x == 0.31
    assert [value.luminance for _, value in placed_values("1\t2", (STEPS[0], STEPS[3]))] == [1, 2]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("98\n51 0.31\n1", "Value 2, for step 3: A colour is three numbers"),
        ("98\n51 0.31 0.33\n0.05\n3\n4", "Step 5 asks for one comb after another"),
        ("\n \n", "nothing in what was pasted"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(text: str, reason: str) -> None:
    with pytest.raises(EntryError, match=reason):
        placed_values(text, STEPS)


def test_more_values_than_steps_are_refused() -> None:
    with pytest.raises(EntryError, match="More values were pasted than steps ask for: 1 from"):
        placed_values("1\n2", STEPS[:1])


def test_one_number_is_not_several_and_two_lines_are() -> None:
    assert [is_several(text) for text in ("98", "98\n", "\r", "9 8", "9\t8", "9\n8")] == (
        [False] * 4 + [True] * 2
    )


def test_pasted_values_belong_to_the_showings_of_their_own_steps(
    run: LiveRun, visit: Visit
) -> None:
    show_all(run)
    assert run.paste("98\n51 0.31 0.33\n0.05")
    kept = visit.readings()
    assert [(each.step, each.luminance) for each in kept] == [(1, 98), (3, 51), (4, 0.05)]
    shown = {each.id: each.step for each in visit.showings()}
    assert [shown[each.showing] for each in kept] == [1, 3, 4]
    assert run.number == 5
    assert run.message == "Kept 3 readings, up to step 4."


def test_nothing_is_kept_for_a_step_that_was_never_on_screen(run: LiveRun, visit: Visit) -> None:
    assert not run.paste("98\n51 0.31 0.33")
    assert run.message == (
        "Step 3 has not been on screen in this run, so nothing can have been read of it. "
        "Nothing was kept."
    )
    assert visit.readings() == []


def test_one_wrong_value_keeps_the_others_out(run: LiveRun, visit: Visit) -> None:
    show_all(run)
    assert not run.paste("98\n51 0.31 0.33\nx")
    assert run.message.endswith("'x' is not a number. Nothing was kept.")
    assert visit.readings() == []


def test_doubtful_values_are_asked_about_once_all_together(run: LiveRun, visit: Visit) -> None:
    show_all(run)
    assert not run.paste("0\n51 0.31 0.33")
    assert run.message.startswith("Step 1: No light at all")
    assert run.message.endswith("Paste once more to keep all 2.")
    assert visit.readings() == []
    assert run.paste("0\n51 0.31 0.33")
    assert len(visit.readings()) == 2
    assert [note.step for note in visit.notes()] == [1, 3]


def test_a_paste_over_earlier_readings_keeps_those_too(run: LiveRun, visit: Visit) -> None:
    show_all(run)
    run.paste("98\n51 0.31 0.33")
    run.go_to(1)
    run.paste("97\n50 0.31 0.33")
    assert [each.raw for each in visit.readings()] == ["97", "50 0.31 0.33"]
    assert len(visit.readings(replaced=True)) == 4
    assert run.message == "Kept 2 readings, up to step 3, 2 in place of earlier ones."


PASSES = """
title: Zones of the lobby wall
signal: sdr8
steps:
  - show: {field: {level: 100 %}}
    read: luminance
  - each: {direction: [forward, backward]}
    show: {moving-box: {along: row, place: 50 %, speed: 96 px/s, ends: stop}}
    read: {tally: hops}
"""


def test_pasted_passes_are_added_and_a_luminance_beside_them_is_replaced(visit: Visit) -> None:
    run = run_of(PASSES, visit, Clock(CHANGE_GAP + 1))
    for text in ("98", "16", "15"):
        assert run.enter(text)
    run.go_to(1)
    assert run.paste("97\n17\n14")
    assert [each.raw for each in visit.readings()] == ["97", "16", "17", "15", "14"]
    assert [each.text for each in run.keeping.kept] == ["16", "15", "97", "17", "14"]
    assert run.message == "Kept 3 readings, up to step 3, 1 in place of earlier ones."


def test_commas_of_what_is_pasted_that_may_group_thousands_are_asked_about_once(
    run: LiveRun, visit: Visit
) -> None:
    show_all(run)
    assert not run.paste("398,125\n211,034")
    assert "What was pasted: is its comma that of a decimal?" in run.message
    assert visit.readings() == []
    assert run.paste("398,125\n211,034")
    assert [each.luminance for each in visit.readings()] == [398.125, 211.034]


def test_commas_beside_decimal_points_are_refused_of_what_is_pasted(
    run: LiveRun, visit: Visit
) -> None:
    show_all(run)
    assert not run.paste("1,013\n211.5")
    assert run.message == (
        "'1,013' can be read in two ways; leave out what groups thousands. Nothing was kept."
    )
    assert visit.readings() == []
