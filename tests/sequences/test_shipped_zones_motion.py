"""The shipped sequences of zones, halo and motion measure where there is something to measure."""

from fractions import Fraction

import pytest

import sequences
from patterns.picture.canvas import Canvas
from sequences.flashing import flashing_steps

NAMES = ["halo", "star-field", "motion", "delay-flash", "column-crawl"]
CANVASES = [Canvas(1920, 1080), Canvas(3440, 1440), Canvas(1080, 1920)]


@pytest.mark.parametrize("canvas", CANVASES, ids=str)
def test_every_point_of_the_halo_that_is_read_is_there(canvas: Canvas):
    steps = [step for step in sequences.load("halo").steps if step.role.startswith("halo")]
    read = [(step, step.read.of) for step in steps if step.read and step.read.of]
    assert len(read) == 18
    assert all(of in step.pattern.spots(canvas) for step, of in read)
    assert {of for step, of in read if step.role == "halo"} == {f"point {n}" for n in range(1, 17)}


@pytest.mark.parametrize("name", NAMES)
def test_none_of_them_flashes_too_often(name: str):
    sequence = sequences.load(name)
    for refresh in (50, 60):
        assert flashing_steps(sequence, Canvas(1920, 1080, Fraction(refresh))) == []


def test_the_column_crawl_goes_both_ways_at_three_heights():
    steps = sequences.load("column-crawl").steps
    assert [(s.variables["place"], s.variables["direction"]) for s in steps] == [
        (place, way) for place in ("25 %", "50 %", "75 %") for way in ("forward", "backward")
    ]
    assert {step.read.quantity for step in steps if step.read} == {"tally"}
