"""Ladders with marks: ticks and numbers stand outside the steps and tell which is which."""

from fractions import Fraction

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.sheet import Box
from patterns.signal.signal import named_signal

HD = Canvas(1920, 1080)
CANVASES = [(1920, 1080), (3840, 2160), (3440, 1440), (1366, 768), (1080, 1920), (64, 64)]
Ladder = KINDS["ladder"]


def framed(canvas=HD, signal="pq10", **parameters):
    named = {key.rstrip("_"): value for key, value in parameters.items()}
    return Ladder.model_validate(named).frame(canvas, named_signal(signal))


def steps_box(frame):
    """Columns and rows of the steps, from the facts."""
    box = Box.described(frame.facts["steps_box"])
    return slice(box.y, box.bottom), slice(box.x, box.right)


@pytest.mark.parametrize("size", CANVASES)
@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("steps", [2, 11, 33])
def test_marks_stand_outside_the_steps_and_the_steps_are_as_without(size, axis, steps):
    canvas = Canvas(*size)
    marked = framed(canvas, axis=axis, steps=steps, marks=True)
    plain = framed(canvas, axis=axis, steps=steps).pixels()
    box = steps_box(marked)
    pixels = marked.pixels()
    assert (pixels[box] == plain[box]).all()
    assert set(np.unique(pixels).tolist()) <= {codes[0] for codes in marked.inks.values()}
    pixels = pixels.copy()
    pixels[box] = 64
    # 25 % is code 283 at 10 bits narrow: 64 + 219
    assert set(np.unique(pixels).tolist()) == {64, 283}
    assert plain[box].shape[0 if axis == "y" else 1] == (size[1] if axis == "y" else size[0])


def test_ticks_stand_at_every_edge_of_a_step(reference):
    """At 1080 the unit is 4 pixels: ticks of 2 x 12 pixels touch the steps."""
    frame = framed(marks=True)
    rows, _ = steps_box(frame)
    assert (rows.start, rows.stop) == (44, 1036)
    for row in (32, 43, 1036, 1047):
        lit = np.flatnonzero(frame.pixels()[row, :, 0] == 283).tolist()
        starts = [reference.rounded_ratio(Fraction(1920 * i, 11)) - 1 for i in range(1, 11)]
        assert lit == [0, 1, *(each for x in starts for each in (x, x + 1)), 1918, 1919]
    assert 283 not in frame.pixels()[[31, 1048], :, 0]


FIGURES = """
###  #  ### ### # # ### ### ### ### ###
# # ##    #   # # # #   #     # # # # #
# #  #  ###  ## ### ### ###  #  ### ###
# #  #  #     #   #   # # #  #  # #   #
### ### ### ###   # ### ###  #  ### ###
"""


def drawn(text):
    """A number as rows of # and space, three dots a figure and one between."""
    lines = [line.ljust(40) for line in FIGURES.strip("\n").splitlines()]
    return [" ".join(line[4 * int(c) : 4 * int(c) + 3] for c in text) for line in lines]


def test_the_number_of_each_step_stands_under_and_over_its_middle():
    frame = framed(marks=True)
    lit = frame.pixels()[:, :, 0] == 283
    for number in range(1, 12):
        known = drawn(str(number))
        middle = (2 * number - 1) * 1920 / 22
        for top in (8, 1052):  # figures of 20 pixels, 16 away from the steps
            left = round(middle - 2 * len(known[0]))
            dots = [
                "".join("# "[not lit[top + 2 + 4 * y, left + 2 + 4 * x]] for x in range(len(line)))
                for y, line in enumerate(known)
            ]
            assert dots == known, number


def test_numbers_beside_stacked_steps_stand_at_their_middles():
    frame = framed(marks=True, axis="y", steps=12)
    lit = frame.pixels()[:, :, 0] == 283
    rows, columns = steps_box(frame)
    assert (rows.start, rows.stop) == (0, 1080)
    known = drawn("12")
    left, top = columns.stop + 16, 1035 - 10
    dots = ["".join("# "[not lit[top + 2 + 4 * y, left + 2 + 4 * x]] for x in range(7))
            for y in range(5)]  # fmt: skip
    assert dots == known
    # and to the left of the steps, they end as far away
    assert lit[top : top + 20, columns.start - 20 : columns.start - 16].any()
    assert not lit[top : top + 20, columns.start - 16 : columns.start - 12].any()


@pytest.mark.parametrize(("steps", "shown"), [(11, 11), (101, 21), (256, 26), (1024, 21)])
def test_many_steps_have_fewer_numbers_and_none_overlap(steps, shown):
    frame = framed(marks=True, steps=steps)
    figures = (frame.pixels()[8:28, :, 0] == 283).any(axis=0)
    gaps = np.flatnonzero(~figures)
    # numbers are apart by two units at least, figures of one number by one
    apart = np.split(gaps, np.flatnonzero(np.diff(gaps) > 1) + 1)
    wide = [gap for gap in apart if len(gap) >= 8]
    inside = [gap for gap in wide if gap[0] > 0 and gap[-1] < 1919]
    assert len(inside) == shown - 1


def test_narrow_steps_have_no_ticks():
    frame = framed(marks=True, steps=960)
    assert 283 not in frame.pixels()[1036:1048, :, 0]


def test_marks_are_dim_whatever_the_steps_are():
    frame = framed(marks=True, from_="50 %", to="100 %")
    assert frame.inks["mark"] == (283, 283, 283)
    assert frame.inks["strip"] == (64, 64, 64)
    assert frame.inks["step 1"] == (502, 502, 502)
    assert "geometry of our own" in frame.facts["marks"]
    assert "marks" not in framed().facts


@pytest.mark.parametrize("size", CANVASES)
@pytest.mark.parametrize("axis", ["x", "y"])
@pytest.mark.parametrize("marks", [False, True])
def test_measuring_places_of_a_ladder_lie_on_their_steps(size, axis, marks):
    canvas = Canvas(*size)
    parameters = {"steps": 11, "axis": axis, "marks": marks}
    frame = framed(canvas, **parameters)
    pixels = frame.pixels()
    spots = Ladder.model_validate(parameters).spots(canvas)
    assert list(spots) == [f"step {n}" for n in range(1, 12)]
    for name, at in spots.items():
        assert tuple(pixels[int(at.y), int(at.x)].tolist()) == frame.inks[name], name


def test_a_ladder_has_few_distinct_rows():
    assert len(framed().rows) == 1
    assert len(framed(axis="y").rows) == 11
    assert len(framed(marks=True).rows) <= 8
    assert len(framed(marks=True, axis="y").rows) < 120


def test_marks_are_true_or_false():
    with pytest.raises(ValidationError):
        Ladder.model_validate({"marks": "yes"})


def test_a_ladder_that_does_not_fit_has_no_measuring_places():
    with pytest.raises(PatternError, match="65 steps do not fit on 64 pixels"):
        Ladder.model_validate({"steps": 65}).spots(Canvas(64, 64))
