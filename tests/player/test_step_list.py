"""The list of steps: their states, moving in it by keys, wheel and clicks, and going there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from player.run.gate import CHANGE_GAP
from player.windows.controls.controls import Controls
from player.windows.controls.step_list import ROW, ROWS, TOP, StepLine
from player.windows.view import view_of
from tests.player.recording import Clock, controls_of

TEXT = """
title: Greys of the lobby wall
signal: sdr8
steps:
  - each: {level: {from: 100 %, to: 0 %, step: 5 %}}
    show: {field: {}}
    label: "{level}"
    read: luminance
  - show: {field: {level: 50 %}}
"""


@pytest.fixture
def controls(tmp_path: Path) -> Iterator[Controls]:
    with controls_of(TEXT, tmp_path, Clock(CHANGE_GAP + 0.01)) as made:
        yield made


def press(controls: Controls, *names: str) -> None:
    for name in names:
        controls.key(name)


def test_each_step_has_its_state_in_a_word(controls: Controls) -> None:
    controls.type("400")
    press(controls, "ENTER", "RIGHT", "F4")
    lines = view_of(controls, "").steps
    assert [(line.number, line.state, line.text) for line in lines[:4]] == [
        (1, "read", "400"),
        (2, "skipped", ""),
        (3, "now", ""),
        (4, "to come", ""),
    ]
    assert [line.number for line in lines if line.chosen] == [3]
    press(controls, "END")
    assert view_of(controls, "").steps[-1].state == "nothing to read"
    assert view_of(controls, "").steps_title == "Steps 10 to 22 of 22"


def test_arrows_and_a_number_choose_and_enter_goes_there(controls: Controls) -> None:
    press(controls, "F4", "DOWN", "DOWN")
    assert controls.steps.chosen == 3
    controls.type("1")
    controls.type("7")
    press(controls, "ENTER")
    assert (controls.run.number, controls.steps.open, controls.entry.reading) == (17, False, "")


def test_a_click_goes_to_the_step_of_its_row_and_beside_the_rows_nowhere(
    controls: Controls,
) -> None:
    press(controls, "F4")
    assert controls.steps.at(TOP - 1) is None
    assert controls.steps.at(TOP + ROWS * ROW) is None
    number = controls.steps.at(TOP + 4 * ROW + 1)
    assert number == 5
    controls.click(number)
    assert (controls.run.number, controls.steps.open) == (5, False)
    controls.click(9)
    assert controls.run.number == 5, "a list that is not there takes no clicks"


def test_the_wheel_scrolls_no_further_than_the_list(controls: Controls) -> None:
    press(controls, "F4")
    controls.steps.scroll(3)
    assert [line.number for line in controls.steps.lines()] == list(range(4, 17))
    assert controls.steps.chosen == 4
    controls.steps.scroll(100)
    assert controls.steps.first == 10
    controls.steps.scroll(-100)
    assert controls.steps.first == 1


def test_a_reading_that_is_typed_is_not_lost_by_going_elsewhere(controls: Controls) -> None:
    controls.type("400")
    press(controls, "F4", "DOWN", "ENTER")
    assert (controls.run.number, view_of(controls, "").not_kept) == (1, "400")
    assert "Enter keeps what was typed" in controls.notice
    press(controls, "ENTER")
    assert [each.raw for each in controls.run.visit.readings()] == ["400"]


def test_an_earlier_reading_is_corrected_and_stays_in_the_visit(controls: Controls) -> None:
    for text in ("400", "350", "310"):
        controls.type(text)
        press(controls, "ENTER")
    press(controls, "F4", "HOME", "ENTER")
    assert view_of(controls, "").held == "Read already: 400. A new one replaces it."
    controls.type("401")
    press(controls, "ENTER")
    visit = controls.run.visit
    assert [each.raw for each in visit.readings()] == ["401", "350", "310"]
    assert [each.raw for each in visit.readings(replaced=True)][:2] == ["400", "401"]
    assert controls.run.number == 4
    assert [line.text for line in _list(controls)][:3] == ["401", "350", "310"]


def test_escape_puts_the_list_away_before_it_leaves(controls: Controls) -> None:
    press(controls, "F4", "ESCAPE")
    assert (controls.steps.open, controls.notices.asking) == (False, False)


def _list(controls: Controls) -> tuple[StepLine, ...]:
    press(controls, "F4")
    return view_of(controls, "").steps
