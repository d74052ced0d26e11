"""Watching the light by keys, without a window: it reads on and on, and keeps nothing."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from player.meters.base import MeterError, MeterReading
from player.meters.dark import DarkCorrectedMeter
from player.meters.repeating import RepeatingMeter, Repeats
from player.run.watching import Live
from player.windows import operator, strip
from player.windows.controls.watching import (
    BLACK,
    FIRST_READING,
    NEEDS_METER,
    NOTHING_TO_WATCH,
    SPACE_WATCHES,
    UNATTENDED,
)
from player.windows.large import write_run
from player.windows.view import View, view_of
from player.windows.watched import NO_BALANCE
from readings.visit.records import Specification
from readings.visit.visit import Visit
from tests.player.desk import PATIENCE, Desk, ToldMeter, finish
from tests.player.test_window_layout import PaperBoard

TEXT = """
title: Lobby wall
signal: sdr8
settle: 2 s
steps:
  - {show: {field: {level: 100 %}}, label: White, read: colour}
  - {show: {field: {level: 50 %}}, label: Grey 50 %, read: colour}
  - {show: {field: {level: {r: 100 %, g: 0 %, b: 0 %}}}, label: Red, read: luminance}
  - {show: {field: {level: 50 %}}, label: Look, read: text}
"""
WHITE = MeterReading("Yxy 100 0.3127 0.3290", 100.0, 0.3127, 0.3290)


def grey(luminance: float, x: float = 0.3127, y: float = 0.3290) -> MeterReading:
    return MeterReading(f"Yxy {luminance} {x} {y}", luminance, x, y)


class Bench(Desk):
    """A desk whose meter is read on and on."""

    def __init__(self, visit: Visit, *answers: MeterReading | Exception | float) -> None:
        self.meter = ToldMeter(*answers)
        self.meter.specification = Specification(
            luminance_repeatability=0.004, chromaticity_repeatability=0.0008
        )
        super().__init__(TEXT, visit, self.meter)
        self.controls.run.keeping.load_colour()
        for _ in range(int(100 * PATIENCE)):
            if self.run.keeping.colour_loaded:
                break
            threading.Event().wait(0.01)

    @property
    def live(self) -> Live:
        found = view_of(self.controls, "").live
        assert found is not None, self.controls.notice
        return found

    def reads(self, left: int) -> None:
        """Let the clock go on until the meter has so many answers left, and they are taken up."""
        for _ in range(int(200 * PATIENCE)):
            if len(self.meter.answers) <= left:
                break
            self.wait(0.35)
            threading.Event().wait(0.005)
        assert len(self.meter.answers) == left
        for _ in range(20):
            threading.Event().wait(0.005)
            self.controls.beat()

    def stop_reading(self) -> None:
        """The next reading takes for ever."""
        self.meter.let.clear()


def test_without_a_meter_the_key_says_what_it_needs(visit: Visit) -> None:
    desk = Desk(TEXT, visit)
    desk.key("F12")
    assert desk.controls.notice == NEEDS_METER
    assert view_of(desk.controls, "").live is None
    assert "F12" not in dict(view_of(desk.controls, "").help)


def test_a_step_that_no_meter_reads_is_not_watched(visit: Visit) -> None:
    desk = Bench(visit)
    desk.key("RIGHT", "RIGHT", "RIGHT", "F12")
    assert desk.controls.notice == NOTHING_TO_WATCH


def test_while_the_display_is_adjusted_the_space_bar_watches(visit: Visit) -> None:
    text = TEXT + "  - {show: {field: {}}, read: {adjust: [two-point]}}\n"
    desk = Desk(text, visit, ToldMeter())
    desk.key("RIGHT", "RIGHT", "RIGHT", "RIGHT", "F12")
    assert desk.run.number == 5
    assert desk.controls.notice == SPACE_WATCHES
    assert view_of(desk.controls, "").live is None
    assert "F12" not in dict(view_of(desk.controls, "").help)


def test_unattended_nothing_is_watched(visit: Visit) -> None:
    desk = Bench(visit)
    desk.controls.watching._unattended = True
    desk.key("F12")
    assert desk.controls.notice == UNATTENDED


def test_it_waits_until_the_picture_has_settled_and_then_tells_mean_colour_and_balance(
    visit: Visit,
) -> None:
    desk = Bench(visit, *[grey(100.0, 0.3110, 0.3290)] * 4, 1.0)
    desk.key("F12")
    assert desk.live.waits == "Waits until the picture has settled"
    assert len(desk.meter.answers) == 5
    desk.wait(2.1)
    desk.reads(1)
    live = desk.live
    assert (live.luminance, live.colour) == ("100 cd/m2", "x 0.3110, y 0.3290")
    assert live.mean_of.startswith("mean of 4 readings, ")
    assert (live.off, live.light) == ("off by \u22120.0017, 0.0000", "")
    assert live.apart.startswith("delta E 2000 ")
    assert live.balance is not None
    red, green, blue = live.balance
    assert red < 0.99 < green
    assert blue > 1
    desk.stop_reading()
    desk.key("F12")
    assert desk.controls.notice.startswith("Watched 4 readings; nothing")
    assert desk.raws == desk.notes == []
    assert view_of(desk.controls, "").live is None


def test_with_white_read_a_grey_has_its_target_and_bars_that_hold_its_luminance(
    visit: Visit,
) -> None:
    desk = Bench(visit, WHITE, *[grey(20.84)] * 2)
    desk.wait(2.1)
    desk.key("ENTER")
    finish(desk.controls)
    assert desk.run.number == 2
    desk.key("F12")
    desk.wait(2.1)
    desk.reads(0)
    live = desk.live
    # code 128 of 255 with the power 2.4: 19.13 cd/m2, and 20.84 is 9 % more
    assert (live.target, live.light) == ("target 19.13", "9.0 % too bright")
    assert live.balance == pytest.approx((1.0897, 1.0897, 1.0897), abs=0.0002)
    assert (live.apart, live.hue) == ("delta E 2000 0.0", "there")
    assert [each.step for each in visit.readings()] == [1]


def test_a_colour_has_no_bars_and_a_step_of_luminance_has_its_colour_told_too(
    visit: Visit,
) -> None:
    desk = Bench(visit, WHITE, grey(21.0, 0.64, 0.33))
    desk.wait(2.1)
    desk.key("ENTER")
    finish(desk.controls)
    desk.key("RIGHT", "F12")
    desk.wait(2.1)
    desk.reads(0)
    live = desk.live
    assert live.balance is None
    assert live.apart.startswith("delta E 2000 ")
    board = PaperBoard()
    operator._write(board, view_of(desk.controls, ""), None)
    assert NO_BALANCE in " ".join(board.texts)


def test_enter_ends_it_and_enter_once_more_reads_as_usual(visit: Visit) -> None:
    desk = Bench(visit, grey(99.0), grey(98.0))
    desk.wait(2.1)
    desk.key("F12")
    desk.reads(1)
    desk.key("ENTER")
    assert view_of(desk.controls, "").live is None
    finish(desk.controls)
    assert desk.raws == []
    desk.meter.answers[:] = [grey(97.0)]
    desk.key("ENTER")
    finish(desk.controls)
    assert desk.raws == ["Yxy 97.0 0.3127 0.329"]


@pytest.mark.parametrize("key", ["RIGHT", "F4", "TAB", "F9"])
def test_a_key_that_does_something_else_ends_it_and_does_it(visit: Visit, key: str) -> None:
    desk = Bench(visit, grey(99.0))
    desk.stop_reading()
    desk.wait(2.1)
    desk.key("F12", key)
    view = view_of(desk.controls, "")
    assert view.live is None
    did = {
        "RIGHT": view.label == "Grey 50 %",
        "F4": bool(view.steps),
        "TAB": view.noting,
        "F9": view.special.startswith("MINUTES"),
    }
    assert did[key]


def test_typing_ends_it_and_is_typed(visit: Visit) -> None:
    desk = Bench(visit, grey(99.0))
    desk.stop_reading()
    desk.wait(2.1)
    desk.key("F12")
    desk.type("9")
    view = view_of(desk.controls, "")
    assert (view.live, view.line) == (None, "9")


def test_escape_ends_it_and_asks_nothing(visit: Visit) -> None:
    desk = Bench(visit, grey(99.0))
    desk.stop_reading()
    desk.wait(2.1)
    desk.key("F12", "ESCAPE")
    assert view_of(desk.controls, "").live is None
    assert not desk.controls.notices.asking
    assert not desk.controls.left


def test_black_makes_it_wait_and_it_goes_on_with_the_same_beginning(visit: Visit) -> None:
    desk = Bench(visit, *[grey(100.0)] * 4, *[grey(90.0)] * 2)
    desk.wait(2.1)
    desk.key("F12")
    desk.reads(2)
    desk.stop_reading()
    desk.key("F5")
    desk.wait(0.5)
    assert desk.live.waits == BLACK
    assert desk.live.mean_of.startswith("mean of 4 readings")
    desk.meter.let.set()
    desk.key("F5")
    desk.meter.answers[:] = [grey(90.0)] * 2
    desk.wait(2.5)
    desk.reads(0)
    assert desk.live.change == "Since the beginning: 10 % darker; the same colour"


def test_a_bright_picture_that_is_watched_goes_black_like_any_other(visit: Visit) -> None:
    desk = Bench(visit, *[grey(100.0)] * 400)
    desk.wait(2.1)
    desk.key("F12")
    for _ in range(130):
        desk.wait(5.0)
    assert desk.run.screen.blacked_out
    assert desk.controls.notice.startswith("Black by itself: a bright picture stood still for 10")
    assert desk.live.waits == BLACK
    assert desk.controls.wants_strip


def test_a_failure_is_told_and_tried_again_and_the_third_in_a_row_ends_it(visit: Visit) -> None:
    failure = MeterError("The spot meter found too little light.")
    desk = Bench(visit, grey(100.0), failure, grey(100.0), failure, failure, failure)
    desk.wait(2.1)
    desk.key("F12")
    desk.reads(4)
    assert desk.controls.notices.alert == "The spot meter found too little light."
    desk.reads(3)
    assert desk.controls.notices.alert == ""
    assert desk.live.luminance == "100 cd/m2"
    desk.reads(0)
    assert view_of(desk.controls, "").live is None
    assert desk.controls.notice == "The spot meter found too little light."
    assert desk.raws == []


def test_a_meter_that_takes_means_is_read_one_by_one_its_dark_subtracted(visit: Visit) -> None:
    inner = ToldMeter(10.0, 10.2)
    meter = DarkCorrectedMeter(
        RepeatingMeter(inner, Repeats(least=5, most=5)), MeterReading("0.5", 0.05, None, None)
    )
    desk = Desk(TEXT, visit, meter)
    desk.wait(2.1)
    desk.key("F12")
    for _ in range(100):
        desk.wait(0.35)
        threading.Event().wait(0.005)
        live = view_of(desk.controls, "").live
        if live is not None and live.luminance:
            break
    assert live is not None
    assert live.luminance == "9.95 cd/m2"


def test_while_it_is_watched_the_strip_is_held_over_the_picture(visit: Visit) -> None:
    desk = Bench(visit, grey(100.0))
    desk.stop_reading()
    desk.wait(2.1)
    assert not desk.controls.strip_held
    desk.key("F12")
    assert desk.controls.strip_held
    assert strip.page_of(view_of(desk.controls, "")) == "live"
    assert desk.live.waits == FIRST_READING


LONGEST = Live(
    luminance="0.0001234 cd/m2",
    target="target 0.0001235",
    light="100 times too bright",
    colour="x 0.3127, y 0.3290",
    off="off by \u22120.0123, \u22120.0123",
    apart="delta E 2000 12.3",
    hue="too magenta and too colourful",
    balance=(1.123, 0.877, 1.045),
    within=(0.01, 0.01, 0.2),
    change="Since the beginning: 12.3 % brighter; colour moved by 0.0123 in u'v'",
    mean_of="mean of 16 readings, 120 s, corrected",
)


def drawn(board: PaperBoard, view: View, where: str) -> PaperBoard:
    if where == "window":
        operator._write(board, view, None)
    elif where == "large":
        write_run(board, view)
    else:
        strip._write(board, view)
    return board


@pytest.mark.parametrize("where", ["window", "large", "strip"])
def test_all_of_it_is_whole_wherever_it_is_drawn(visit: Visit, where: str) -> None:
    desk = Bench(visit)
    view = replace(view_of(desk.controls, ""), live=LONGEST, notice="")
    said = " ".join(drawn(PaperBoard(), view, where).texts)
    words = ("12 % too much", "12 % short", "4.5 % too much?")
    for each in (LONGEST.luminance, LONGEST.colour, LONGEST.apart, *words):
        assert each in said
    for each in (LONGEST.hue, LONGEST.light, "Nothing of this is kept", "mean of 16 readings"):
        assert each in said, said
    assert "…" not in said
    waiting = replace(view, live=replace(LONGEST, waits=BLACK))
    assert f"{BLACK}. Nothing of this is kept." in " ".join(
        drawn(PaperBoard(), waiting, where).texts
    )


def test_what_needs_somebody_is_told_in_large_letters_instead(visit: Visit) -> None:
    desk = Bench(visit)
    view = replace(
        view_of(desk.controls, ""), live=LONGEST, notice="The meter is gone.", pressing=True
    )
    said = drawn(PaperBoard(), view, "large").texts
    assert "The meter is gone." in said
