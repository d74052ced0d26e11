"""Readings that can hardly be true are doubted, and ordinary ones are left in peace."""

from __future__ import annotations

from functools import partial

import pytest

import sequences
from player.meters.base import MeterReading
from player.meters.text import parse_reading
from player.run.expecting import difference, short
from player.run.gate import CHANGE_GAP
from player.run.live import LiveRun
from player.run.unattended import run_unattended
from readings.bounds import room_of
from readings.visit.records import Specification, Value
from readings.visit.visit import Visit
from tests.player.recording import RecordingOutput

GREYS = """
title: Greys of the lobby wall
signal: sdr8
steps:
  - each: {level: [100 %, 2 %, 0 %, 50 %]}
    show: {field: {}}
    label: "{level}"
    read: luminance
"""
PEAKS = """
title: Windows of the lobby wall
signal: pq10
steps:
  - each: {level: [10000 cd/m2, 100 cd/m2, 203 cd/m2]}
    show: {window: {area: 10 %}}
    read: luminance
  - show: {window: {level: 10000 cd/m2, area: 50 %}}
    read: luminance
"""
UNLIKE = """
title: Fields, boxes and windows of the lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 100 %}}, read: luminance}
  - {show: {field: {level: 0 %}}, read: luminance}
  - {show: {checkerboard: {}}, read: {luminance: box 2}}
  - {show: {window: {area: 1 %}}, read: luminance}
  - {show: {window: {area: 2 %, level: 75 %}}, read: luminance}
"""
COLOURS = """
title: White of the lobby wall
signal: sdr8
steps:
  - show: {field: {level: 100 %}}
    read: colour
  - show: {field: {level: {r: 100 %, g: 0 %, b: 0 %}}}
    read: colour
"""


class Desk:
    """A run whose clock is always late enough."""

    def __init__(self, visit: Visit, text: str, typed_with: int | None = None) -> None:
        self.now = 0.0
        self.visit = visit
        output = RecordingOutput(bits=10 if "pq10" in text else 8)
        self.run = LiveRun(
            sequences.load_text(text, "lobby.yaml"),
            visit,
            output,
            typed_with=typed_with,
            clock=self._clock,
        )
        self.run.begin()

    def _clock(self) -> float:
        self.now += CHANGE_GAP + 0.01
        return self.now

    def enter(self, *typed: str) -> str:
        """Type readings one after another; what is said of the last one."""
        for text in typed:
            self.run.enter(text)
        return self.run.message

    @property
    def notes(self) -> list[str]:
        return [note.text for note in self.visit.notes()]


@pytest.mark.parametrize("absurd", [1e308, 1e-320, -1e308])
def test_an_absurd_reading_in_a_visit_of_before_does_not_end_the_run(
    visit: Visit, absurd: float
) -> None:
    """Readings that were kept when nobody bounded them; the run is taken up again."""
    desk = Desk(visit, GREYS)
    for _ in range(2):
        desk.run.take(Value(quantity="luminance", raw="?", luminance=absurd), None)
    desk.run.leave()
    again = Desk(visit, GREYS)
    again.run.go_to(1)
    said = again.enter("400")
    if "Enter once more" in said:
        said = again.enter("400")
    again.run.go_to(1)
    assert "mistyped" not in again.enter("400")
    assert "mistyped" not in said
    assert 400 in {reading.luminance for reading in visit.readings()}


@pytest.mark.parametrize(
    ("text", "typed", "said"),
    [
        (GREYS, ("0.0213",), "0.0213 cd/m2 is very little for white: mistyped, or is the meter"),
        (GREYS, ("1.5", "0.003", "11"), "Black is brighter than a step above it"),
        (PEAKS, ("0.0213",), "0.0213 cd/m2 is very little for white: mistyped"),
        (UNLIKE, ("40", "9"), "Black is hardly apart from white: step 1 (field, level 100 %)"),
    ],
)
def test_a_black_and_a_white_that_no_display_has_are_asked_about(
    visit: Visit, text: str, typed: tuple[str, ...], said: str
) -> None:
    desk = Desk(visit, text)
    assert desk.enter(*typed).startswith(said)
    assert [each.raw for each in visit.readings()] == list(typed[:-1])
    desk.enter(typed[-1])
    assert [each.raw for each in visit.readings()] == list(typed)


DARK_FIRST = """
title: Greys of the lobby wall
signal: sdr8
steps:
  - {show: {field: {level: 0 %}}, label: black, read: luminance}
  - {show: {window: {area: 10 %}}, label: white, read: luminance}
"""


def test_the_first_black_is_asked_about_and_so_is_a_white_hardly_above_black(visit: Visit) -> None:
    desk = Desk(visit, DARK_FIRST)
    assert desk.enter("100.2").startswith(
        "100.2 cd/m2 is a great deal for black: mistyped, or light on the screen?"
    )
    assert visit.readings() == []
    desk.enter("9")
    assert desk.enter("40").startswith(
        "White is hardly apart from black: step 1 (black) read 9: mistyped?"
    )
    assert "Doubt" not in desk.enter("46")


@pytest.mark.parametrize("typed", [("0.02", "4"), ("3", "40"), ("0", "1"), ("10", "600")])
def test_dim_displays_and_lit_rooms_are_left_in_peace(visit: Visit, typed: tuple[str, ...]) -> None:
    desk = Desk(visit, DARK_FIRST)
    desk.enter(*typed)
    assert [each.raw for each in visit.readings()] == list(typed)


def test_black_that_is_brighter_than_the_step_above_it_is_asked_about_once(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    said = desk.enter("100", "0.2", "0.3")
    assert said == (
        "Black is brighter than a step above it: step 2 (2 %) read 0.2. Enter once more keeps it."
    )
    assert [each.raw for each in visit.readings()] == ["100", "0.2"]
    desk.enter("0.3")
    assert [each.raw for each in visit.readings()] == ["100", "0.2", "0.3"]
    assert desk.run.number == 4


def test_a_doubt_that_was_kept_is_a_note_beside_its_reading(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    desk.enter("100", "0.2", "0.3", "0.3")
    (note,) = visit.notes()
    assert note.text.startswith("Doubted and kept, 0.3: Black is brighter")
    assert (note.step, note.showing) == (3, visit.readings()[-1].showing)


def test_another_number_after_a_doubt_is_judged_anew(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    desk.enter("100", "0.2", "0.3")
    assert "brighter" in desk.enter("0.4")
    desk.enter("0.05")
    assert (desk.run.number, desk.notes) == (4, [])


def test_a_tenth_and_ten_times_of_what_is_expected_look_mistyped(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    desk.enter("400", "0.2", "0.05")
    expected = desk.run.keeping.expects
    assert expected is not None
    # 400 * (128 / 255) ** 2.4 by BT.1886 without black, and the black that was read
    assert expected.luminance == pytest.approx(76.5, abs=0.1)
    assert (expected.figure, expected.basis) == ("about 76.54", "from white 400")
    assert desk.enter("765").startswith("Ten times what is expected, 76.54 cd/m2: mistyped?")
    assert desk.enter("7.6").startswith("A tenth of what is expected")
    desk.enter("90")
    assert desk.run.finished


def test_a_retake_is_compared_with_the_reading_that_it_replaces(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    desk.enter("400")
    desk.run.back()
    assert "A hundredth of the earlier reading" in desk.enter("4")
    desk.enter("395")
    assert desk.run.message == "Kept 395 for step 1 in place of the earlier one."


def test_zero_where_light_is_coded_is_doubted_and_zero_for_black_is_not(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    assert desk.enter("0").startswith("No light at all")
    desk.enter("100", "0.2", "0")
    assert desk.run.number == 4


def test_pq_above_its_code_by_more_than_a_fifth_is_doubted(visit: Visit) -> None:
    desk = Desk(visit, PEAKS)
    desk.enter("1500")
    assert desk.run.keeping.expects is not None
    assert desk.run.keeping.expects.figure == "coded 100.2"
    assert desk.run.keeping.expects.basis == ""
    assert desk.enter("122.5").startswith(
        "22 % more than the code stands for, 100.2 cd/m2: is the range of the link right?"
    )
    desk.enter("119")
    assert desk.run.number == 3


def test_a_display_that_stops_short_of_what_pq_asks_is_not_doubted(visit: Visit) -> None:
    desk = Desk(visit, PEAKS)
    desk.enter("1000", "98", "190", "310")
    assert desk.run.finished
    assert desk.notes == []


def test_only_alike_pictures_are_compared(visit: Visit) -> None:
    desk = Desk(visit, UNLIKE)
    # black beside light, and a window that is not dimmed as the whole field is
    desk.enter("150", "0.05", "0.5", "700", "360")
    assert (desk.run.finished, desk.notes) == (True, [])


def test_what_is_far_from_a_white_of_any_picture_is_asked_about(visit: Visit) -> None:
    desk = Desk(visit, UNLIKE)
    desk.enter("412,5", "0.05", "0.5")
    assert desk.enter("4150") == (
        "Ten times step 1, which is white too: mistyped? Enter once more keeps it."
    )
    desk.enter("415")
    # 415 * (191 / 255) ** 2.4 by BT.1886 without black
    assert desk.enter("2084").startswith("Ten times what is expected, 207.4 cd/m2: mistyped?")
    assert desk.enter("1040").startswith("5 times what is expected, 207.4 cd/m2: mistyped?")
    assert desk.enter("41").startswith("1/5.1 of what is expected, 207.4 cd/m2: mistyped?")
    desk.enter("900")
    assert (desk.run.finished, desk.notes) == (True, [])


def test_what_is_far_off_in_the_dark_is_only_a_guess_and_no_doubt(visit: Visit) -> None:
    desk = Desk(visit, GREYS)
    # 2 % of 400 cd/m2 comes to 0.03, and a real black lies on top of it
    desk.enter("400", "0.4", "0.39")
    assert (desk.run.number, desk.notes) == (4, [])


def test_far_below_a_level_that_every_display_of_pq_reaches_is_asked_about(visit: Visit) -> None:
    desk = Desk(visit, PEAKS.replace("100 cd/m2", "50 cd/m2"))
    assert desk.enter("1000", "9").startswith("1/5.5 of what is expected, 49.")


def test_a_white_far_from_its_white_point_is_doubted(visit: Visit) -> None:
    desk = Desk(visit, COLOURS)
    assert "x and y change places" in desk.enter("100 0.3290 0.3127")
    assert "Far off white for a grey: x 0.3" in desk.enter("100 0.38 0.38")
    desk.enter("100 0.305 0.318", "20 0.64 0.33")
    assert (desk.run.finished, desk.notes) == (True, [])


approx = partial(pytest.approx, abs=5e-5)
RED = "22.4 0.6836 0.3216"
"""The red of a P3 display, x .68 and y .32, as a meter within .006 may give it."""


def test_a_red_beyond_what_light_can_be_is_asked_about_once_and_kept(visit: Visit) -> None:
    desk = Desk(visit, COLOURS)
    assert desk.enter("100 0.3127 0.329", RED) == (
        "Its x and y add up to 1.0052, and those of no light to more than 1: the meter's error, "
        "or mistyped? Enter once more keeps it."
    )
    desk.enter(RED)
    assert [(each.luminance, each.x, each.y) for each in visit.readings()][1:] == [
        (22.4, 0.6836, 0.3216)
    ]
    assert desk.notes == [
        (
            f"Doubted and kept, {RED}: Its x and y add up to 1.0052, and those of no light to "
            "more than 1: the meter's error, or mistyped?"
        )
    ]


def test_how_far_beyond_is_what_the_maker_of_the_meter_promises(visit: Visit) -> None:
    meter = visit.add_instrument(
        "spot meter",
        kind="typed",
        role="spot meter",
        specification=Specification(chromaticity_uncertainty=0.002),
    )
    desk = Desk(visit, COLOURS, typed_with=meter.id)
    desk.enter("100 0.3127 0.329")
    for _ in range(2):
        assert "x 0.6836, y 0.3216 is not a chromaticity" in desk.enter(RED)
    desk.enter("22.4 0.681 0.322", "22.4 0.681 0.322")
    assert visit.readings()[-1].x == 0.681


class Reds:
    """A meter that gives white and then a red, three times refused where it is refused at all."""

    name = "spot meter"

    def __init__(self, red: str, uncertainty: float | None) -> None:
        self.specification = Specification(chromaticity_uncertainty=uncertainty)
        self._texts = iter(["XYZ 95 100 108.9", red, red, red])

    def measure(self) -> MeterReading:
        room = room_of(self.specification.chromaticity_uncertainty)
        return parse_reading(next(self._texts), room=room)[0]


@pytest.mark.parametrize("red", [f"Yxy {RED}", "XYZ 47.614 22.4 -0.3622"])
@pytest.mark.parametrize("uncertainty", [0.006, None])
def test_a_meter_that_reads_it_so_loses_neither_light_nor_colour(
    visit: Visit, red: str, uncertainty: float | None
) -> None:
    desk = Desk(visit, COLOURS)
    run_unattended(desk.run, Reds(red, uncertainty), wait=lambda _: None)
    kept = visit.readings()[-1]
    assert (kept.luminance, kept.x, kept.y) == (22.4, approx(0.6836), approx(0.3216))
    assert "add up to 1.0052" in desk.notes[-1]
    assert visit.skips(1) == []


def test_where_it_has_to_lose_its_colour_that_is_said(visit: Visit) -> None:
    desk = Desk(visit, COLOURS)
    run_unattended(desk.run, Reds("XYZ 47.614 22.4 -0.3622", 0.002), wait=lambda _: None)
    kept = visit.readings()[-1]
    assert (kept.luminance, kept.x) == (22.4, None)
    assert "X, Y, Z are those of no light, by 0.0026 in x and y" in desk.notes[-1]
    assert kept.derivation is not None
    assert kept.derivation.outside == pytest.approx(0.0026, abs=0.0001)


def test_black_without_x_and_y_is_kept_with_a_note_and_light_is_asked_about(visit: Visit) -> None:
    desk = Desk(visit, COLOURS.replace("100 %", "0 %", 1))
    assert desk.enter("0,0025") == (
        "Kept 0,0025 for step 1. No x and y were given, so the luminance is kept alone."
    )
    assert "x and y are missing" in desk.enter("20")
    desk.enter("20")
    black, red = visit.readings()
    assert (black.luminance, black.x, red.luminance, red.x) == (0.0025, None, 20, None)
    assert desk.notes == [
        "0,0025: No x and y were given, so the luminance is kept alone.",
        "Doubted and kept, 20: x and y are missing: is it a luminance alone?",
    ]


def test_a_run_taken_up_again_still_knows_its_white(visit: Visit) -> None:
    first = Desk(visit, GREYS)
    first.enter("400", "0.2", "0.05")
    first.run.leave()
    again = Desk(visit, GREYS)
    assert again.run.number == 4
    assert again.run.keeping.expects is not None
    assert again.run.keeping.expects.luminance == pytest.approx(76.5, abs=0.1)


@pytest.mark.parametrize(
    ("new", "old", "text"),
    [
        (102.1, 100, "2.1 % above step 4"),
        (88, 100, "12 % below step 4"),
        (100, 100, "equal to step 4"),
        (4512, 0.1013, "44541 times step 4"),
        (0.1, 430, "0.023 % of step 4"),
        (0, 5, ""),
        (5, 0, ""),
    ],
)
def test_differences_are_percent_or_factors_where_percent_say_nothing(
    new: float, old: float, text: str
) -> None:
    found = difference(new, old)
    assert (found.from_("step 4") if found else "") == text


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.00123456, "0.00123"), (76.5438, "76.54"), (1234.5, "1234"), (0, "0"), (1e-7, "0.0000001")],
)
def test_numbers_are_short_and_plain(number: float, text: str) -> None:
    assert short(number) == text
