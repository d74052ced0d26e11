"""Readings together with all that is known of them, ready for the findings.

Findings take a list of `Measured` and know no database.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from readings.records import (
    Codes,
    GuardState,
    Instrument,
    Json,
    Quantity,
    Reading,
    Run,
    Showing,
    Specification,
    Step,
)

if TYPE_CHECKING:  # findings know no database
    from readings.visit import Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One current reading, its step, what was on the display, and the meter.

    Luminance is in cd/m2; None means unknown or not there, never zero.
    """

    reading: int
    """The reading's id in its visit."""
    run: int
    condition: str
    sequence: str
    """The title of the run's sequence."""
    step: int
    """The step's number, 1 for the first."""
    label: str
    role: str | None
    kind: str
    """The pattern kind, such as `window`."""
    parameters: Json
    """The pattern's parameters as its sequence wrote them."""
    variables: Json
    """The values that `each` gave the step."""
    quantity: Quantity
    of: str | None
    """What it was read of, such as `box 3`."""
    inks: dict[str, Codes]
    """The codes really shown: ink name to red, green, blue."""
    facts: Json
    """What was true of the frame, such as `area_percent`."""
    signal: Json
    """The signal really shown, as `Signal.describe` gives it."""
    guard: GuardState
    guard_why: str
    instrument: int | None
    """None for the eye, or a number typed without naming a meter."""
    instrument_name: str | None
    specification: Specification | None
    raw: str
    """The text as typed or received."""
    luminance: float | None = None
    x: float | None = None
    y: float | None = None
    number: float | None = None
    text: str | None = None
    taken_at: datetime


def evidence(visit: Visit, run: int | None = None) -> list[Measured]:
    """The current readings of one run, or of all, by run, step and reading.

    A reading that was retaken is left out; its retake stands for it.

    Raises:
        VisitError: the visit has no such run, or cannot be read.
    """
    # The readings first: what they refer to is there by then, though a player may be writing.
    readings = visit.readings(run)
    runs = [visit.run(run)] if run is not None else visit.runs()
    instruments = {known.id: known for known in visit.instruments()}
    showings = {shown.id: shown for shown in visit.showings(run)}
    found = []
    for played in runs:
        steps = {step.number: step for step in visit.steps(played.id)}
        mine = [reading for reading in readings if reading.run == played.id]
        for reading in sorted(mine, key=lambda reading: (reading.step, reading.id)):
            meter = instruments.get(reading.instrument) if reading.instrument else None
            showing = showings[reading.showing]
            found.append(_measured(played, steps[reading.step], showing, reading, meter))
    return found


def _measured(
    run: Run, step: Step, showing: Showing, reading: Reading, meter: Instrument | None
) -> Measured:
    return Measured(
        reading=reading.id,
        run=run.id,
        condition=run.condition,
        sequence=run.sequence_title,
        step=step.number,
        label=step.label,
        role=step.role,
        kind=step.kind,
        parameters=step.parameters,
        variables=step.variables,
        quantity=reading.quantity,
        of=step.read_of,
        inks=dict(showing.inks),
        facts=showing.facts,
        signal=run.signal_shown,
        guard=showing.guard,
        guard_why=showing.guard_why,
        instrument=reading.instrument,
        instrument_name=meter.name if meter else None,
        specification=meter.specification if meter else None,
        raw=reading.raw,
        luminance=reading.luminance,
        x=reading.x,
        y=reading.y,
        number=reading.number,
        text=reading.text,
        taken_at=reading.taken_at,
    )
