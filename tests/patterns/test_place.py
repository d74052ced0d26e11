"""Where a meter is pointed: by the name of a place, or in the middle."""

from fractions import Fraction

import pytest

import sequences
from patterns.errors import PatternError
from patterns.kinds import KINDS, Pattern
from patterns.picture.canvas import Canvas
from patterns.place import Place, in_the_middle, place_read

CANVAS = Canvas(640, 360)


def pattern(kind: str, **values: object) -> Pattern:
    return KINDS[kind].model_validate(values)


@pytest.mark.parametrize(
    ("of", "number", "shares"),
    [
        ("box 1", 1, (0.125, 0.125)),
        ("box 4", 4, (0.875, 0.125)),
        ("Box 5", 5, (0.125, 0.375)),
        ("the middle of box 16", 16, (0.875, 0.875)),
        ("", None, (0.5, 0.5)),
        ("boxer 3", None, (0.5, 0.5)),
    ],
)
def test_boxes_are_counted_row_by_row(of: str, number: int | None, shares: tuple[float, float]):
    place = place_read(of, pattern("checkerboard"), CANVAS)
    assert (place.number, place.shares) == (number, shares)
    assert place.label == ("middle" if number is None else f"box {number}")


def test_a_place_is_told_in_pixels_of_its_canvas():
    place = place_read("box 8", pattern("checkerboard", columns=6, rows=3), Canvas(3840, 2160))
    assert (place.x, place.y, place.shares) == (960, 1080, (0.25, 0.5))


@pytest.mark.parametrize("number", [0, 17, 999999])
def test_a_box_that_is_not_there_is_told(number: int):
    told = f"no box {number} on this pattern, which has box 1 to box 16"
    with pytest.raises(PatternError, match=told):
        place_read(f"box {number}", pattern("checkerboard"), CANVAS)


def test_a_window_is_read_in_its_middle():
    box = pattern(
        "window", size={"width": "64 px", "height": "36 px"}, at={"x": "20 %", "y": "75 %"}
    )
    place = place_read("", box, CANVAS)
    assert (place.label, place.number, place.shares) == ("window", 1, (0.2, 0.75))
    assert place_read("box 3", pattern("window"), CANVAS).central


def test_any_other_pattern_is_read_in_the_middle_of_the_screen():
    assert place_read("box 3", pattern("field"), CANVAS) == in_the_middle(CANVAS)


def test_a_place_a_pixel_off_the_middle_is_read_there_and_a_tenth_off_is_not():
    centre = in_the_middle(Canvas(1920, 1080))
    beside = Place("a", 1, centre.x + 1, centre.y - Fraction(1, 2), centre.canvas)
    away = Place("b", 2, centre.x + 192, centre.y, centre.canvas)
    assert (beside.central, away.central) == (True, False)
    assert beside.near(centre)
    assert not away.near(beside)


@pytest.mark.parametrize(
    ("name", "elsewhere"),
    [
        ("greyscale-21", 0),
        ("peak-by-area", 0),
        ("path-check-8", 0),
        ("path-check-10", 0),
        ("zone-trace-columns", 0),
        ("uniformity-9", 25),
    ],
)
def test_what_a_meter_in_the_middle_can_read_of_shipped_sequences(name: str, elsewhere: int):
    steps = [step for step in sequences.load(name).steps if step.read and step.read.of_light]
    places = [place_read(step.read.of, step.pattern, Canvas(3840, 2160)) for step in steps
              if step.read]  # fmt: skip
    assert places
    assert sum(not place.central for place in places) == elsewhere
