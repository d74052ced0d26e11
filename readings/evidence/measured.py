"""Readings together with all that is known of them, ready for the findings.

Findings take a list of `Measured` and know no database.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from patterns.aim import NOT_STATED, Aim
from patterns.control import ADJUSTING, Control
from patterns.faults import Faults
from patterns.quantity import LIGHT, Quantity
from readings.evidence.correction.applied import AsRead, Corrected, Corrections
from readings.visit.derivation import Derivation
from readings.visit.records import (
    Adjustment,
    Axis,
    Codes,
    Direction,
    GuardState,
    Instrument,
    Json,
    NoticedOfControl,
    Output,
    Reading,
    Run,
    Showing,
    Specification,
    Step,
    Tally,
    TurnEvent,
)

if TYPE_CHECKING:  # findings know no database
    from readings.visit.visit import Visit

GOES_ON_FROM = "goes_on_from"
"""The fact that names the showing which the operator changed by hand into this one."""


@dataclass(frozen=True, slots=True)
class Press:
    """One press of the tally key."""

    position_px: float
    """Middle of the box, pixels from the left or the top."""
    axis: Axis
    direction: Direction


@dataclass(frozen=True, slots=True)
class Turned:
    """What became of a control while the display was adjusted."""

    control: int
    """Its place among the controls of its adjustment."""
    event: TurnEvent
    advised: float | None
    """What its menu should have read; None where it was turned without advice."""
    value: float | None
    """What its menu reads from then on; None where it was not turned."""
    why: str
    at: datetime


@dataclass(frozen=True, slots=True)
class NoticedControl:
    """What was found out about a control while the display was adjusted."""

    control: int
    """Its place among the controls of its adjustment."""
    what: NoticedOfControl
    point: str | None
    """What the grey or colour is called at which it was seen; None where everywhere."""


@dataclass(frozen=True, slots=True)
class Adjusting:
    """How a display was adjusted in one step: its controls, what was turned, and how it ended."""

    controls: tuple[Control, ...]
    turned: tuple[Turned, ...]
    """In their order."""
    ends: tuple[Adjustment, ...]
    """In their order; the last counts."""
    noticed: tuple[NoticedControl, ...] = ()
    """What was found out about controls, in its order."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One current reading, its step, what was on the display, and the meter.

    Luminance is in cd/m2; None means unknown or not there, never zero. Where the meter has a
    correction, `luminance`, `x`, `y` and `specification` are the corrected ones.
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
    canvas: tuple[int, int]
    """Width and height, pixels."""
    guard: GuardState
    guard_why: str
    instrument: int | None
    """None for the eye, or a number typed without naming a meter."""
    instrument_name: str | None
    specification: Specification | None
    named_at: datetime | None = None
    """When the meter was named, where that was after the reading; else None."""
    raw: str
    """The text as typed or received."""
    luminance: float | None = None
    x: float | None = None
    y: float | None = None
    number: float | None = None
    text: str | None = None
    faults: Faults | None = None
    """Which answers to its step are faults; None where the sequence does not say."""
    derivation: Derivation | None = None
    """How it came from the raw text, where that holds more than the one number."""
    presses: tuple[Press, ...] = ()
    """Of a tally: where the box was at each press that was not taken back, in their order."""
    adjusting: Adjusting | None = None
    """Of a step in which the display is adjusted: all of that; the same for each of its
    readings."""
    as_read: AsRead | None = None
    """What the meter gave, where the reading is corrected; None where it stands as read."""
    uncorrected: str = ""
    """Why it stands as read though its meter has a correction; empty otherwise."""
    taken_at: datetime
    came_on: datetime | None = None
    """When this very picture came on, and has stood unchanged since; None where it is not kept."""
    refresh_hz: float | None = None
    """The refresh of the output, Hz."""
    output: Output = "window"
    """What the frames went to."""
    aim: Aim = NOT_STATED
    """What the display was meant to do."""

    @property
    def of_light(self) -> bool:
        """Whether it is of light, as a meter can read it; a number may be typed all the same."""
        return self.quantity in LIGHT

    @property
    def with_meter(self) -> bool:
        """Whether it is known which meter read it; of the eye, or typed without one, it is not."""
        return self.instrument is not None

    @property
    def meter(self) -> str | None:
        """Whose errors the reading has, the same in every visit; None without a meter.

        A meter of another name or specification is another one, and a corrected one has the errors
        of its correction: as read and corrected, one meter counts as two.
        """
        if not self.with_meter:
            return None
        how = () if self.as_read is None else ("corrected", self.as_read.matrix)
        return repr((self.instrument_name, self.specification, *how))

    @property
    def luminance_as_read(self) -> float | None:
        """The luminance as the meter gave it, corrected or not."""
        return self.luminance if self.as_read is None else self.as_read.light.luminance


def evidence(visit: Visit, run: int | None = None, aim: Aim | None = None) -> list[Measured]:
    """The current readings of one run, or of all that count, by run, step and reading.

    A reading that was retaken is left out; its retake stands for it. Readings of a meter that has
    a correction are corrected by the latest one, and keep what was read beside it. What the display
    was meant to do is what the visit states, or `aim`; a run's own sequence goes before that.

    Raises:
        VisitError: the visit has no such run, or cannot be read.
    """
    # The readings first: what they refer to is there by then, though a player may be writing.
    readings = visit.readings(run)
    runs = [visit.run(run)] if run is not None else [each for each in visit.runs() if each.counted]
    instruments = {known.id: known for known in visit.instruments()}
    corrections = Corrections(visit.corrections(), instruments.values())
    tallies = visit.tallies(run)
    stated = {each.run: each.aim for each in visit.aims()}
    whole = stated.get(None, NOT_STATED) if aim is None else aim
    showings = {shown.id: shown for shown in visit.showings(run)}
    found = []
    for played in runs:
        shown = [each for each in showings.values() if each.run == played.id]
        came_on = came_on_of(shown, visit.resumed(played.id))
        steps = {step.number: step for step in visit.steps(played.id)}
        mine = [reading for reading in readings if reading.run == played.id]
        adjusted = adjusted_of(visit, played.id, steps.values())
        for reading in sorted(mine, key=lambda reading: (reading.step, reading.id)):
            meter = instruments.get(reading.instrument) if reading.instrument else None
            showing = showings[reading.showing]
            presses: tuple[Press, ...] = ()
            if reading.quantity == "tally":
                presses = presses_of(showing, tallies, showings)
            measured = measured_of(played, steps[reading.step], showing, reading, meter, presses)
            meant = stated.get(played.id, NOT_STATED).over(whole)
            measured = replace(
                measured,
                came_on=came_on[showing.id],
                aim=meant,
                adjusting=adjusted.get(reading.step),
            )
            found.append(as_corrected(measured, corrections.of(reading)))
    return found


def adjusted_of(visit: Visit, run: int, steps: Iterable[Step]) -> dict[int, Adjusting]:
    """How the display was adjusted in each step of a run that does so, by the step's number."""
    adjusting = [step.number for step in steps if step.role == ADJUSTING]
    if not adjusting:
        return {}
    kept, turns, ends = visit.controls(run), visit.turns(run), visit.adjustments(run)
    noticed = visit.noticings(run)
    found = {}
    for number in adjusting:
        mine = [each for each in kept if each.step == number]
        places = {each.id: place for place, each in enumerate(mine)}
        found[number] = Adjusting(
            tuple(each.control for each in mine),
            tuple(
                Turned(places[t.control], t.event, t.advised, t.value, t.why, t.at)
                for t in turns
                if t.control in places
            ),
            tuple(each for each in ends if each.step == number),
            tuple(
                NoticedControl(places[each.control], each.what, each.point)
                for each in noticed
                if each.control in places
            ),
        )
    return found


def as_corrected(measured: Measured, outcome: Corrected | str) -> Measured:
    """A reading by its meter's correction, or why it stands as read."""
    if isinstance(outcome, str):
        return replace(measured, uncorrected=outcome) if outcome else measured
    return replace(
        measured,
        luminance=outcome.light.luminance,
        x=outcome.light.x,
        y=outcome.light.y,
        specification=outcome.specification,
        as_read=outcome.as_read,
    )


def presses_of(
    showing: Showing, tallies: Iterable[Tally], showings: Mapping[int, Showing]
) -> tuple[Press, ...]:
    """The presses that belong to a showing, and to those that it goes on from."""
    attempt = attempt_of(showing)
    return tuple(
        Press(tally.position_px, tally.axis, tally.direction)
        for tally in tallies
        if tally.showing in showings and attempt_of(showings[tally.showing]) == attempt
    )


def attempt_of(showing: Showing) -> int:
    """The showing that an attempt at a step began with: changes made by hand make new ones."""
    began = showing.facts.get(GOES_ON_FROM)
    return began if isinstance(began, int) else showing.id


def came_on_of(shown: Iterable[Showing], resumed: Iterable[datetime]) -> dict[int, datetime]:
    """When the picture of each showing came on, by the showing's id.

    Steps that show the same frame one after the other do not change the display, so time goes on
    from the first of them; between leaving a run and taking it up again nothing was shown.

    Args:
        shown: of one run.
        resumed: when that run was taken up again.
    """
    breaks = sorted(resumed)
    found: dict[int, datetime] = {}
    before: Showing | None = None
    for showing in sorted(shown, key=lambda each: each.id):
        stood = (
            before is not None
            and before.frame_sha256 == showing.frame_sha256
            and not any(before.shown_at <= at <= showing.shown_at for at in breaks)
        )
        found[showing.id] = found[before.id] if before and stood else showing.shown_at
        before = showing
    return found


def measured_of(
    run: Run,
    step: Step,
    showing: Showing,
    reading: Reading,
    meter: Instrument | None,
    presses: tuple[Press, ...] = (),
) -> Measured:
    """A reading with what a visit holds of it, as read and without an aim."""
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
        canvas=run.canvas,
        guard=showing.guard,
        guard_why=showing.guard_why,
        instrument=reading.instrument,
        instrument_name=meter.name if meter else None,
        specification=meter.specification if meter else None,
        named_at=reading.named_at,
        raw=reading.raw,
        luminance=reading.luminance,
        x=reading.x,
        y=reading.y,
        number=reading.number,
        text=reading.text,
        faults=step.faults,
        derivation=reading.derivation,
        presses=presses,
        taken_at=reading.taken_at,
        refresh_hz=run.refresh_hz,
        output=run.output,
    )
