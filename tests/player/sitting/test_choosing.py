"""Between two runs: keys, questions asked twice, and what the page says."""

from __future__ import annotations

from pathlib import Path

import pytest

from player.run.alike import Question
from player.sitting.given import Given, Said
from player.windows.sitting.choosing import PATIENCE, Choosing
from sequences.plans.model import Adjust, Play, Task
from tests.player.sitting.plans import load, new_visit, run_of, sitting


@pytest.fixture
def at() -> list[float]:
    return [0.0]


@pytest.fixture
def page(tmp_path: Path, at: list[float]):
    with new_visit(tmp_path) as visit:
        yield Choosing(sitting(visit, at), ["a", "White", "z"], lambda _: [], clock=lambda: at[0])


def press(page: Choosing, *names: str) -> None:
    for name in names:
        assert page.key(name)


def chosen(page: Choosing) -> str:
    return next(line.label for line in page.view().lines if line.chosen)


def state_of(page: Choosing, number: int) -> str:
    return page.view().lines[number - 1].state.partition(",")[0]


def test_enter_does_what_is_to_be_done_asks_and_starts_what_is_to_be_played(page):
    assert chosen(page) == "Local dimming off"
    press(page, "ENTER")
    assert state_of(page, 1) == "done"
    assert page.view().choices == ("1  HDR", "2  SDR only")
    press(page, "ENTER")
    assert page.view().pressing
    page.type("1")
    press(page, "ENTER")
    assert chosen(page) == "White"
    assert page.start is None
    press(page, "ENTER")
    assert page.start.number == 3


def test_a_task_is_left_out_by_the_second_key_alone_and_can_be_taken_up(page, at):
    press(page, "RIGHT")
    assert state_of(page, 1) == "to come"
    assert "again leaves this task out" in page.view().notice
    at[0] += PATIENCE + 1
    press(page, "RIGHT")
    assert state_of(page, 1) == "to come"
    press(page, "RIGHT")
    assert state_of(page, 1) == "left out"
    press(page, "UP")
    assert chosen(page) == "Local dimming off"
    press(page, "LEFT")
    assert state_of(page, 1) == "to come"


def test_another_key_between_takes_the_question_back(page):
    press(page, "RIGHT", "DOWN", "UP", "RIGHT")
    assert state_of(page, 1) == "to come"
    press(page, "ESCAPE", "F1", "ESCAPE", "ESCAPE")
    assert not page.left
    press(page, "ESCAPE")
    assert page.left


def test_what_is_typed_is_not_lost_by_an_arrow(page):
    press(page, "ENTER")
    page.type("2")
    press(page, "DOWN")
    assert page.view().line == "2"
    assert "Enter keeps" in page.view().notice
    press(page, "BACKSPACE", "DOWN")
    assert chosen(page) == "White"


def test_nothing_is_typed_where_nothing_is_asked(page):
    page.type("7")
    assert page.view().line == ""
    assert not page.view().entry


def test_a_sequence_is_added_from_the_list_and_chosen(page):
    press(page, "F4", "DOWN")
    assert [line.label for line in page.view().lines] == ["a", "White", "z"]
    assert chosen(page) == "White"
    press(page, "ENTER")
    assert page.view().lines[-1].label == "White"
    assert page.sitting.tasks[-1].number == 7
    press(page, "F4", "ESCAPE")
    assert len(page.view().lines) == 7


def test_what_flashes_is_started_only_where_nobody_is_at_risk(tmp_path):
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit), [], lambda _: ["step 1 flashes 10 times a second"])
        press(page, "DOWN", "DOWN", "ENTER")
        assert page.start is None
        assert "photosensitive epilepsy" in " ".join(page.view().text)
        press(page, "ENTER")
        page.type("no")
        press(page, "ENTER")
        assert page.start is None
        press(page, "DELETE")
        page.type("yes")
        press(page, "ENTER")
        assert page.start.number == 3
        assert page.confirmed == ("step 1 flashes 10 times a second",)


def test_after_a_run_its_findings_stand_there_the_worst_first_with_what_would_settle(page):
    task = page.sitting.tasks[2]
    page.sitting.begun(task, run_of(page.sitting.visit, task, to_its_end=True).id)
    page.played(task)
    assert page.view().given_head == "White"
    assert page.view().given == (("", "Being worked out…"),)
    page.given = {
        1: Given(
            (
                Said("bad", "Black is raised", ("Contrast: 400:1 ± 20",), ""),
                Said("unsure", "Grey cannot be told", ("1 ± 4",), "Reading it again would tell"),
            ),
            2,
            (),
        )
    }
    assert page.view().given == (
        ("NOT GOOD", "Black is raised. Contrast: 400:1 ± 20."),
        ("CANNOT TELL", "Grey cannot be told. 1 ± 4. Reading it again would tell."),
        ("NOT READ", "2 of its steps."),
    )
    press(page, "ENTER")
    assert page.start is None
    assert page.view().given_head == ""
    press(page, "UP", "UP", "DOWN", "DOWN", "ENTER")
    assert page.view().given_head == "White"
    press(page, "ESCAPE")
    assert page.view().given_head == ""
    assert "Escape again leaves" in page.view().notice
    assert page.view().lines[2].said == (
        "Black is raised: Contrast: 400:1 ± 20; 1 not good, 1 cannot tell, 2 not read"
    )


def test_the_end_says_so_and_enter_starts_nothing(page):
    for task in page.sitting.tasks:
        page.sitting.leave_out(task)
    page.played(page.sitting.tasks[2])
    assert page.view().head == "All tasks are done"
    press(page, "ENTER")
    assert page.start is None
    assert "Escape twice ends" in page.view().notice


def test_time_that_is_left_and_to_go_is_told(tmp_path, at):
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit, at, minutes=50.0), [], lambda _: [], "Read typed")
        assert page.view().using == "Read typed"
        page.sitting.answer(page.sitting.tasks[1], "1")
        assert page.view().time == "50 min left; 1 h 03 min to go"
        at[0] = 3600.0
        assert page.view().time == "Time is up; 1 h 03 min to go"


def test_a_condition_nearly_like_an_earlier_one_is_asked_about_before_its_run_begins(tmp_path):
    asked = Question("alike", "local diming off", 1)
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit), [], lambda _: [], alike=lambda _: asked)
        press(page, "DOWN", "DOWN", "ENTER")
        assert page.start is None
        assert page.view().text == ("Earlier runs say 'local diming off'.",)
        page.type("perhaps")
        press(page, "ENTER")
        assert page.start is None
        press(page, "DELETE")
        page.type("yes")
        press(page, "ENTER")
        assert page.start.number == 3
        assert page.condition == "local diming off"
        page.played(page.sitting.tasks[2])
        assert page.condition is None
        press(page, "ENTER", "UP", "UP", "UP", "DOWN", "DOWN", "ENTER")
        page.type("no")
        press(page, "ENTER")
        assert page.start.number == 3
        assert page.condition is None


ADJUST = Task(1, "Gains", Adjust("two-point", load("adjust-two-point"), "warm"), 8.0)


def test_an_adjustment_is_started_like_a_sequence(tmp_path):
    with new_visit(tmp_path) as visit:
        page = Choosing(sitting(visit, tasks=(ADJUST,)), [], lambda _: [])
        first, *_ = page.view().text
        assert first == "About 8 min, under the condition warm."
        assert any("service menu" in each for each in page.view().text)
        assert page.view().prompt == "Enter starts it."
        press(page, "ENTER")
        assert page.start is ADJUST


def test_black_and_the_pictures_of_two_runs_come_as_far_apart_as_those_of_one(monkeypatch):
    from types import SimpleNamespace

    from player.run.gate import CHANGE_GAP
    from player.windows.sitting import player
    from player.windows.sitting.player import SittingPlayer

    slept, blacks = [], []
    monkeypatch.setattr(player.time, "sleep", slept.append)
    output = SimpleNamespace(blackout=lambda: blacks.append(len(slept)))
    sits = SimpleNamespace(means=SimpleNamespace(output=output), _black_since=0.0)
    SittingPlayer._black(sits, after=0.2)
    assert (slept, blacks) == ([0.2], [1])
    SittingPlayer._black(sits, after=60.0)
    assert slept[-1] == CHANGE_GAP
    assert sits._black_since > 0


def test_exported_clips_that_flash_are_asked_about_like_steps_and_kept_with_the_run():
    from types import SimpleNamespace

    from player.outputs.files import FilesOutput
    from player.windows.sitting.player import FLASHING, SittingPlayer
    from tests.player.sitting.plans import load

    clips = object.__new__(FilesOutput)
    clips.flashing = ["003-white.mp4"]
    sits = SimpleNamespace(
        _flashing=lambda _: ["step 1"],
        _output=lambda _: clips,
        means=SimpleNamespace(overrides={}),
    )
    sits._flashing_of = lambda what: SittingPlayer._flashing_of(sits, what)
    from_files = SimpleNamespace(what=Play(load("White"), output="files"))
    assert SittingPlayer._flashes(sits, from_files) == ["step 1", "003-white.mp4"]
    in_window = SimpleNamespace(what=Play(load("White")))
    assert SittingPlayer._flashes(sits, in_window) == ["step 1"]
    sits.means.overrides = {FLASHING: []}
    assert SittingPlayer._flashes(sits, from_files) == []
