"""A sitting: which task is done, which comes next, and that a killed one is taken up there."""

from __future__ import annotations

from pathlib import Path

import pytest

from patterns.aim import Aim
from sequences.problems import SequenceError
from tests.player.sitting.plans import load, new_visit, run_of, sitting


@pytest.fixture
def visit(tmp_path: Path):
    with new_visit(tmp_path) as made:
        yield made


def states(of) -> list[str]:
    return [each.state for each in of.lines()]


def test_tasks_come_in_their_order_and_what_an_answer_rules_out_is_not_needed(visit):
    sits = sitting(visit)
    assert sits.next.number == 1
    sits.done(sits.next)
    assert sits.next.number == 2
    sits.answer(sits.next, "2")
    assert sits.answers == {"hdr": "SDR only"}
    assert states(sits) == ["done", "done", "to come", "not needed", "to come", "to come"]
    assert sits.next.number == 3
    sits.take_up(sits.tasks[1])
    sits.answer(sits.tasks[1], "hdr")
    assert states(sits)[3] == "to come"


def test_an_answer_is_one_of_the_choices_by_number_or_words(visit):
    sits = sitting(visit)
    for wrong in ("", "3", "0", "perhaps"):
        with pytest.raises(ValueError, match="Type"):
            sits.answer(sits.tasks[1], wrong)
    assert sits.answers == {}
    sits.answer(sits.tasks[1], " sdr ONLY ")
    assert sits.answers == {"hdr": "SDR only"}


def test_what_is_written_down_is_a_note_of_the_visit(visit):
    sits = sitting(visit)
    sits.answer(sits.tasks[5], "A bright corner below.")
    assert [note.text for note in visit.notes()] == ["A bright corner below."]
    assert states(sits)[5] == "done"


def test_a_sitting_taken_up_again_stands_where_it_was(visit):
    before = sitting(visit)
    before.done(before.tasks[0])
    before.answer(before.tasks[1], "1")
    before.leave_out(before.tasks[2], "no meter")
    before.begun(before.tasks[3], run_of(visit, before.tasks[3], to_its_end=False).id)
    before.add("White", "after lunch")
    again = sitting(visit)
    assert states(again) == ["done", "done", "left out", "begun", "to come", "to come", "to come"]
    assert again.next.number == 4
    assert again.lines()[2].said == "no meter"
    assert again.tasks[6].what.condition == "after lunch"
    assert again.tasks[6].minutes == 7.0


def test_killed_between_the_end_of_a_run_and_that_of_its_task_the_task_is_done(visit):
    before = sitting(visit)
    run = run_of(visit, before.tasks[2], to_its_end=True)
    before.begun(before.tasks[2], run.id)
    again = sitting(visit)
    assert states(again)[2] == "done"
    assert again.run_of(again.tasks[2]) == run.id


def test_a_task_whose_run_is_set_aside_is_to_come_again(visit):
    sits = sitting(visit)
    run = run_of(visit, sits.tasks[2], to_its_end=True)
    sits.begun(sits.tasks[2], run.id)
    sits.done(sits.tasks[2], run.id)
    visit.state("counted", "no", run=run.id, by="the operator")
    assert states(sits)[2] == "to come"
    assert sits.lines()[2].set_aside
    sits.leave_out(sits.tasks[2])
    assert states(sits)[2] == "left out"
    sits.take_up(sits.tasks[2])
    assert states(sits)[2] == "to come"
    again = run_of(visit, sits.tasks[2], to_its_end=True)
    assert again.id != run.id
    sits.begun(sits.tasks[2], again.id)
    assert states(sits)[2] == "done"


def test_another_plan_in_the_same_visit_begins_anew_and_the_first_stays(visit):
    first = sitting(visit)
    first.done(first.tasks[0])
    assert states(sitting(visit, text="title: Other\n"))[0] == "to come"
    assert visit.task_events(1)[0].event == "done"


def test_where_time_runs_short_the_least_important_tasks_are_told_to_have_none(visit):
    at = [0.0]
    sits = sitting(visit, at, minutes=50.0)
    sits.answer(sits.tasks[1], "1")
    late = [each.task.number for each in sits.lines() if each.late]
    # 10 first, 2 + 30 + 1 as usual, and 7 left for the last one of 20
    assert late == [5]
    at[0] = 25 * 60.0
    late = [each.task.number for each in sits.lines() if each.late]
    assert late == [4, 5]
    assert sits.minutes_there == pytest.approx(25)
    assert sits.minutes_to_go == pytest.approx(63)


def test_what_was_done_before_takes_its_time_of_the_plan_also_another_day(visit):
    before = sitting(visit, minutes=50.0)
    before.done(before.tasks[2])
    assert sitting(visit, minutes=50.0).minutes_there == pytest.approx(40)


def test_the_aim_of_a_plan_is_that_of_the_visit(visit):
    sitting(visit, aim=Aim("power 2.4"))
    assert visit.aim() == Aim("power 2.4")
    sitting(visit, aim=Aim("power 2.4"))
    assert len(visit.aims()) == 1


def test_what_cannot_be_played_is_not_added(visit):
    sits = sitting(visit)
    with pytest.raises(SequenceError):
        sits.add("no-such-sequence")
    assert len(sits.tasks) == 6
    assert visit.task_events(1) == []


def test_a_sequence_added_that_has_gone_since_is_told_and_stops_nothing(visit, tmp_path):
    file = tmp_path / "own.yaml"
    file.write_text(load("White").text)
    sits = sitting(visit)
    sits.add(str(file))
    file.unlink()
    again = sitting(visit)
    assert "cannot be played" in again.tasks[6].what.text
    assert again.next.number == 1
