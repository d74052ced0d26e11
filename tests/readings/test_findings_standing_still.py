"""A meter that was never moved: what shows it, and what is then not believed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np
import pytest

import sequences
from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.place import in_the_middle, place_read
from player.meters import open_meter
from player.simulated import SimulatedDisplay
from player.simulated.files import load_display
from player.simulated_play import play_simulated
from player.visits import open_or_create
from readings.evidence.measured import Measured
from readings.evidence.shown import codes_in
from readings.findings import findings_from
from readings.findings.base import Finding
from readings.report.gather import gather
from readings.report.summary import summary
from sequences.model import Sequence
from tests.readings.made_readings import METER, made

CANVAS = Canvas(1920, 1080)
Light = Callable[[np.ndarray], float]
"""From a signal 0 to 1 of red, green, blue to cd/m2."""


def lcd(contrast: float, white: float = 300.0, exponent: float = 2.3) -> Light:
    weights = np.array([0.2126, 0.7152, 0.0722])
    return lambda values: (
        white
        * (float(weights @ np.clip(values, 0, 1) ** exponent) * (1 - 1 / contrast) + 1 / contrast)
    )


def read(
    name: str | Sequence, light: Light, *, fixed: bool, run: int = 1, seed: int = 0
) -> list[Measured]:
    """Every light of a shipped sequence, read where it should be or always in the middle.

    The display has one light for each code, and no simulated one has a part in it.
    """
    sequence = sequences.load(name) if isinstance(name, str) else name
    errors, given = np.random.default_rng(seed), []
    for step in sequence.steps:
        if step.read is None or not step.read.of_light or step.pattern.moves:
            continue
        frame = step.pattern.frame(CANVAS, sequence.signal)
        place = place_read(step.read.of, step.pattern, CANVAS)
        codes = codes_in(frame, in_the_middle(CANVAS) if fixed else place)
        true = light(sequence.signal.quantiser.signals(np.array(codes)))
        seen = round(true * (1 + 0.002 * errors.standard_normal()), 4)
        given.append(
            made(
                1000 * run + step.number,
                run=run,
                step=step.number,
                label=step.label,
                role=step.role or None,
                kind=step.pattern.kind,
                parameters=step.pattern.parameters(),
                variables=step.variables,
                of=step.read.of or None,
                inks=dict(frame.inks),
                facts=dict(frame.facts),
                signal=sequence.signal.describe(),
                canvas=(1920, 1080),
                luminance=seen,
                raw=f"Y {seen}",
            )
        )
    return given


def stood(given: Iterable[Measured]) -> list[Finding]:
    """The findings that say that a meter was not moved."""
    return [each for each in findings_from(given, ["plausibility"]) if each.doubt is not None]


SEVERAL_PLACES = ["black-and-contrast", "contrast-by-boxes", "ebu-3325-contrast", "halo"]
"""Shipped sequences that read dark and lit places of one picture."""


@pytest.mark.parametrize("name", SEVERAL_PLACES)
@pytest.mark.parametrize("contrast", [100, 1200, 1e6])
def test_a_meter_that_stays_in_the_middle_of_boxes_is_told(name: str, contrast: float) -> None:
    (found,) = stood(read(name, lcd(contrast), fixed=True))
    told = [each for each in found.warnings if "all read alike" in each]
    assert told
    assert all("was the meter moved to each place" in each for each in told)
    assert found.doubt is not None
    assert found.doubt.wholly


def shipped() -> list[str]:
    """Every shipped sequence of which something is read as light."""
    names = sorted(each.stem for each in Path(sequences.__file__).parent.glob("shipped/*.yaml"))
    return [name for name in names if any(
        step.read and step.read.of_light for step in sequences.load(name).steps)]  # fmt: skip


@pytest.mark.parametrize("contrast", [30, 200, 1200, 1e6])
def test_a_meter_that_is_moved_is_never_told_to_have_stood_still(contrast: float) -> None:
    names = [name for name in shipped() if len(sequences.load(name).steps) < 100]
    assert len(names) > 20
    wrong = []
    for name in names:
        try:
            given = read(name, lcd(contrast), fixed=False)
        except PatternError:
            continue
        wrong += [(name, each.warnings) for each in stood(given)]
    assert wrong == []


def test_what_was_read_elsewhere_tells_nothing_then_in_that_run_and_in_others() -> None:
    board, points = (
        read(name, lcd(1200), fixed=True, run=run)
        for run, name in enumerate(("black-and-contrast", "uniformity-9"), 1)
    )
    (found,) = stood([*board, *points])
    assert found.doubt is not None
    # the fifth of nine points is the middle, where the meter was
    outer = {each.reading for each in points if each.of != "point 5"}
    assert {each for each in found.doubt.readings if each > 2000} == outer
    fields = {each.reading for each in board if each.kind == "field"}
    assert fields
    assert not fields & found.doubt.readings


def test_once_a_picture_shows_that_it_was_moved_what_follows_counts() -> None:
    given = [
        *read("black-and-contrast", lcd(1200), fixed=True, run=1),
        *read("black-and-contrast", lcd(1200), fixed=False, run=2),
        *read("uniformity-9", lcd(1200), fixed=False, run=3),
    ]
    (found,) = stood(given)
    assert found.run == 1
    assert found.doubt is not None
    assert max(found.doubt.readings) < 2000


def test_what_another_meter_read_is_left_alone() -> None:
    board = read("black-and-contrast", lcd(1200), fixed=True)
    points = [
        made(
            each.reading + 5000,
            **{
                name: getattr(each, name)
                for name in ("kind", "parameters", "inks", "signal", "canvas", "luminance", "of")
            },
            run=2,
            instrument=2,
            instrument_name="reference",
            specification=METER,
        )
        for each in read("uniformity-9", lcd(1200), fixed=True, run=2)
    ]
    (found,) = stood([*board, *points])
    assert found.doubt is not None
    assert max(found.doubt.readings) < 2000


def test_dark_places_below_the_meters_floor_are_no_sign_of_it() -> None:
    text = """
title: dark patches
signal: sdr8
steps:
  - each: {patch: [dark 1, dark 5, dark 8]}
    show: {range-check: {ends: black}}
    read: {luminance: "{patch}"}
    label: "{patch}"
"""
    sequence = sequences.load_text(text, "dark.yaml")
    assert stood(read(sequence, lambda _: 0.0015, fixed=False)) == []
    (found,) = stood(read(sequence, lambda _: 0.1, fixed=False))
    assert "3 places of one picture (dark 1 to dark 8)" in found.warnings[0]


def test_on_the_front_page_nothing_is_believed_that_a_meter_in_the_wrong_place_read(
    tmp_path: Path,
) -> None:
    display = SimulatedDisplay(load_display("ticket-desk"))
    path = tmp_path / "lobby.visit"

    class Liar:
        """Says that it moves, and stays where it is."""

        def __init__(self, output, seed):
            self._meter = open_meter("simulated", output, seed, moves="no")
            self.name, self.specification = self._meter.name, self._meter.specification
            self.role, self.moves, self.measure = self._meter.role, "yes", self._meter.measure

    with open_or_create(path, name="lobby wall") as visit:
        for name in ("black-and-contrast", "uniformity-9"):
            play_simulated(sequences.load(name), visit, display, canvas=CANVAS, meter=Liar)
    told = summary(gather(path))
    assert told.of("bad")[0].sentence == "Some readings are hardly plausible"
    judged = [each.sentence for each in (*told.of("good"), *told.of("bad"))]
    assert not [each for each in judged if "evenly" in each or "beside" in each]
    unsure = {each.sentence: each.figures[0].note for each in told.of("unsure")}
    why = "the meter seems not to have been moved to the places that were to be read"
    assert unsure["Whether the screen is evenly bright cannot be told"] == why
