"""The meter's dark offset, asked for in the operator window before the first step."""

from __future__ import annotations

import pytest

import sequences
from player.meters.base import MeterError, MeterReading
from player.meters.dark import DarkCorrectedMeter
from player.run.live import LiveRun
from player.windows.controls.controls import Controls
from player.windows.controls.notices import ASK_TO_LEAVE
from player.windows.view import view_of
from readings.visit.visit import Visit, VisitError
from tests.player.desk import Desk, ToldMeter, finish
from tests.player.recording import RecordingOutput

TEXT = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {level: 0 %}}, label: Full black, read: luminance}
  - {show: {field: {level: 5 %}}, label: Grey, read: luminance}
"""


GONE = MeterError("The spot meter has gone.")


class DarkDesk(Desk):
    """A desk before the first step, with a meter whose dark is subtracted."""

    def __init__(self, visit: Visit, *answers: MeterReading | Exception | float) -> None:
        self.meter = ToldMeter(*answers)
        super().__init__(TEXT, visit, DarkCorrectedMeter(self.meter))

    def key(self, *names: str) -> None:
        """Press keys, and wait each time for what the meter says, where it is let."""
        for name in names:
            super().key(name)
            self.controls.beat()
            if self.meter.let.is_set():
                finish(self.controls)


def test_the_cap_is_asked_for_before_anything_is_shown(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0003)
    view = view_of(desk.controls, "")
    assert (view.place, view.label, view.entry) == (
        "Before the first step",
        "Put the cap on the meter",
        False,
    )
    assert view.notice == "Enter reads the dark. The right arrow goes on without it."
    assert (desk.run.number, desk.output.seen, visit.showings()) == (0, ["blackout"], [])
    assert desk.controls.wants_strip


def test_the_dark_is_read_shown_kept_and_subtracted(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0003, 0.0503)
    desk.key("ENTER")
    view = view_of(desk.controls, "")
    assert (view.label, view.ask) == (
        "Take the cap off and point the meter",
        "Dark offset: 0.0003 cd/m2",
    )
    assert view.notice == "Enter goes on. F2 reads again, cap on."
    assert desk.run.number == 0
    desk.key("ENTER")
    assert (desk.run.number, desk.controls.dark_asked) == (1, False)
    desk.key("ENTER")
    (reading,) = visit.readings()
    assert (reading.raw, reading.luminance) == ("Y 0.0503", pytest.approx(0.05))
    assert str(reading.derivation) == "measured 0.0503 cd/m2, dark 0.0003 cd/m2 subtracted"
    assert desk.notes == [
        "Dark offset of spot meter: 0.0003 cd/m2 with its cap on. As received:\nY 0.0003"
    ]
    assert visit.notes()[0].run == desk.run.id


def test_it_can_be_read_once_more_and_both_are_kept_and_the_last_one_counts(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0003, 0.0004, 0.0504)
    desk.key("ENTER", "F2")
    assert view_of(desk.controls, "").ask == "Dark offset: 0.0004 cd/m2"
    desk.key("ENTER", "ENTER")
    assert [note.partition(" with")[0] for note in desk.notes] == [
        "Dark offset of spot meter: 0.0003 cd/m2",
        "Dark offset of spot meter: 0.0004 cd/m2",
    ]
    assert visit.readings()[0].luminance == pytest.approx(0.05)


def test_it_can_be_passed_over_and_the_visit_keeps_that(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0503)
    desk.key("RIGHT")
    assert desk.run.number == 1
    assert desk.notes == ["Dark offset of spot meter passed over: nothing is subtracted."]
    desk.key("ENTER")
    (reading,) = visit.readings()
    assert (reading.luminance, reading.text) == (0.0503, None)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (
            3.5,
            (
                "The meter reads 3.5 cd/m2: a dark offset is read with its cap on, and is at "
                "most 0.1 cd/m2. Enter tries again."
            ),
        ),
        (GONE, "The spot meter has gone. Enter tries again."),
    ],
)
def test_light_or_a_failure_is_told_and_enter_tries_again(
    visit: Visit, value: float | MeterError, said: str
) -> None:
    desk = DarkDesk(visit, value, 0.0003)
    desk.key("ENTER")
    assert desk.controls.notice == said
    assert view_of(desk.controls, "").pressing
    assert view_of(desk.controls, "").label == "Put the cap on the meter"
    desk.key("ENTER")
    assert view_of(desk.controls, "").ask == "Dark offset: 0.0003 cd/m2"


def test_nothing_is_subtracted_that_the_visit_could_not_keep(
    visit: Visit, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise VisitError("the disk is full")

    desk = DarkDesk(visit, 0.0003, 0.0503)
    with monkeypatch.context() as patch:
        patch.setattr(visit, "keep_note", full)
        desk.key("ENTER")
    assert desk.controls.notice == "The disk is full."
    assert view_of(desk.controls, "").label == "Put the cap on the meter"
    assert desk.controls.dark_offset is not None
    assert desk.controls.dark_offset.needed


def test_while_it_is_read_escape_gives_up_and_no_other_key_does_anything(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0003, 0.0004)
    desk.meter.let.clear()
    desk.key("ENTER")
    assert desk.controls.notice == "spot meter: measuring…"
    desk.key("RIGHT")
    assert desk.controls.notice == "The meter is measuring; Escape gives it up."
    assert desk.run.number == 0
    desk.key("ESCAPE")
    assert desk.controls.notice == "The measurement was given up."
    desk.meter.let.set()
    desk.meter.has_left(1)  # what was given up comes late, and is thrown away
    desk.key("F2")
    assert desk.notes[0].startswith("Dark offset of spot meter: 0.0004")


def test_nothing_is_typed_and_no_step_is_reached_meanwhile(visit: Visit) -> None:
    desk = DarkDesk(visit)
    desk.controls.type("12b.")
    desk.controls.paste("1\n2")
    desk.key("F4", "TAB", "F9", "F5", "LEFT", "F6", "SPACE", "DOWN")
    assert (desk.controls.entry.reading, desk.controls.entry.purpose, desk.controls.steps.open) == (
        "",
        "reading",
        False,
    )
    assert desk.run.number == 0
    assert desk.output.seen == ["blackout"]


def test_escape_twice_leaves_before_anything_was_shown_and_the_run_can_be_resumed(
    visit: Visit,
) -> None:
    desk = DarkDesk(visit)
    desk.key("ESCAPE")
    assert desk.controls.notice == ASK_TO_LEAVE
    desk.key("ESCAPE")
    assert desk.controls.left
    assert visit.unfinished_run(desk.run.sequence.sha256, "") is not None


def test_it_can_be_read_again_between_steps_and_the_step_stays(visit: Visit) -> None:
    desk = DarkDesk(visit, 0.0003, 0.0503, 0.0005)
    desk.key("ENTER", "ENTER", "ENTER", "F10")
    view = view_of(desk.controls, "")
    assert (view.place, view.ask) == ("Dark offset again", "So far: Dark offset: 0.0003 cd/m2")
    assert view.notice == "Enter reads the dark. The right arrow goes on with the one so far."
    desk.key("ENTER", "ENTER")
    assert (desk.run.number, desk.controls.dark_asked) == (2, False)
    assert desk.controls.notice == "Dark offset: 0.0005 cd/m2"
    desk.key("F10", "RIGHT")
    desk.key("F10", "ESCAPE")
    assert (desk.controls.dark_asked, desk.controls.notices.asking) == (False, False)
    assert len(desk.notes) == 2


def test_without_a_meter_that_takes_one_the_key_says_so(visit: Visit) -> None:
    run = LiveRun(sequences.load_text(TEXT, "lobby.yaml"), visit, RecordingOutput())
    controls = Controls(run)
    controls.begin()
    controls.key("F10")
    assert run.number == 1
    assert controls.notice == (
        "Start with a --meter and --dark-offset to have its dark subtracted."
    )
