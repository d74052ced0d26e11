"""What the readings of a run aim at, with the whites and blacks of its visit at hand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from threading import Thread

import numpy as np

from patterns.control import ADJUSTING
from patterns.words import duration
from player.run.expecting import Coded
from player.run.target import Target, Told, balance_of, is_end, target_of, told_of
from player.run.watching import Light
from readings.colorimetry.chromaticity import uv_distance
from readings.evidence.correction.applied import Corrections
from readings.evidence.measured import Measured, as_corrected, evidence, measured_of
from readings.evidence.references import settings_of, signal_settings
from readings.evidence.uncertainty import ratio_of
from readings.findings.basis import Basis
from readings.findings.light.white_drift import Picture, white_shown
from readings.visit.records import Instrument, Reading, Showing
from readings.visit.visit import Visit
from sequences.model import Sequence, Step


@dataclass(frozen=True)
class Said:
    """What is to be told of a reading that was kept."""

    told: Told | None
    """How far it is from its target; None where none is known."""
    drift: str
    """How far white has moved since it was read first, in a sentence; empty of all else."""

    @property
    def sentence(self) -> str:
        """All of it."""
        return " ".join(filter(None, (self.told.sentence if self.told else "", self.drift)))


NOTHING = Said(None, "")
Shares = tuple[float, float, float]


@dataclass(frozen=True)
class SeenLight:
    """What there is to be said of light that is only looked at."""

    luminance: float
    """cd/m2, by the meter's correction where it has one."""
    x: float | None
    y: float | None
    corrected: bool
    told: Told | None
    """How far it is from its target; None where none is known."""
    balance: tuple[float, float, float] | None
    """Of a grey, as `balance_of` gives it."""
    balance_spread: tuple[float, float, float] | None
    """How far each of these may be off, k = 2; None where that is not known."""


class Aiming:
    """Knows the target of each step of light, and keeps the whites and blacks that it rests on.

    All that is slow is done, or begun, when it is made, and not at a key.

    Args:
        visit: all runs of it that count are looked through once.
        run: the run's id in the visit.
        sequence: what is played.
    """

    def __init__(self, visit: Visit, run: int, sequence: Sequence) -> None:
        self._visit = visit
        reads = {step.read.quantity for step in sequence.steps if step.read is not None}
        self._idle = not reads & {"luminance", "colour"}
        self._ends: list[Measured] = []
        self._whites: dict[Picture, list[Measured]] = {}
        """Those of them that can be compared, by what they share."""
        self._asked: tuple[object, Target | None] = (None, None)
        self._loading: Thread | None = None
        self._changes = 0
        if self._idle:
            return
        if "colour" in reads:
            # seconds: the first picture settles meanwhile, and keys are taken
            self._loading = Thread(target=_load_colorimetry, daemon=True)
            self._loading.start()
        self._run = visit.run(run)
        self._steps = {step.number: step for step in visit.steps(run)}
        self._aim = visit.aim(run)
        self._instruments: dict[int, Instrument] = {}
        self._corrections = Corrections((), ())
        self._look_up_meters()
        ours = (self._run.condition, *signal_settings(self._run.signal_shown))
        for each in evidence(visit):
            if each.role != ADJUSTING and is_end(each) and settings_of(each) == ours:
                self._add(each)

    def target(self, step: Step, showing: Showing | None, coded: Coded | None) -> Target | None:
        """What a reading of this step should come to; None where that cannot be said."""
        if self._idle or showing is None or coded is None or coded.codes is None:
            return None
        asked = (step.number, showing.id, coded.codes, self._changes)
        if self._asked[0] != asked:
            empty = self._nothing_read(step, showing)
            found = None if empty is None else target_of(_at(empty, coded), self._ends)
            self._asked = asked, found
        return self._asked[1]

    def keep(self, reading: Reading, showing: Showing, coded: Coded | None) -> Said:
        """A reading was kept: what is to be told of it. It stands for the one it replaces."""
        if self._idle or not reading.of_light or reading.luminance is None:
            return NOTHING
        self._changes += 1
        if reading.replaces is not None:
            self._drop(reading.replaces)
        measured = self._measured(reading, showing)
        told = None
        if coded is not None and coded.codes is not None:
            if self._loading is not None:
                self._loading.join()
            told = told_of(_at(measured, coded), self._ends)
        drift = drift_of(measured, self._whites.get(white_shown(measured) or (), []))
        if measured.role != ADJUSTING and is_end(measured):
            self._add(measured)
        return Said(told, drift)

    def load_colour(self) -> None:
        """Begin to load what differences of colour need, where that was not done yet."""
        if self._loading is None and not self._idle:
            self._loading = Thread(target=_load_colorimetry, daemon=True)
            self._loading.start()

    @property
    def colour_loaded(self) -> bool:
        """Whether a difference of colour can be told without waiting."""
        return self._loading is not None and not self._loading.is_alive()

    def seen(
        self,
        step: Step,
        showing: Showing,
        coded: Coded | None,
        light: Light,
        instrument: int | None,
        spread: Light | None = None,
    ) -> SeenLight:
        """What light of a step comes to that is not kept.

        Its colour is judged also where the step asks for a luminance alone, once it can be. With a
        spread (k = 2 of each of the three) the balance has one too.
        """
        coloured = light.x is not None and self.colour_loaded
        reading = replace(
            _unread(self._run.id, step, showing),
            quantity="colour" if coloured else "luminance",
            instrument=instrument,
            luminance=light.luminance,
            x=light.x,
            y=light.y,
        )
        measured = self._measured(reading, showing)
        told = balance = off = None
        if coded is not None and coded.codes is not None:
            measured = _at(measured, coded)
            told = told_of(measured, self._ends)
            target = target_of(measured, self._ends)
            balance = balance_of(measured, target)
            if balance is not None and spread is not None:
                off = _balance_spread(measured, target, balance, spread)
        return SeenLight(
            light.luminance if measured.luminance is None else measured.luminance,
            measured.x,
            measured.y,
            measured.as_read is not None,
            told,
            balance,
            off,
        )

    def _add(self, end: Measured) -> None:
        self._ends.append(end)
        picture = white_shown(end)
        if picture is not None:
            self._whites.setdefault(picture, []).append(end)

    def _drop(self, reading: int) -> None:
        for listed in (self._ends, *self._whites.values()):
            listed[:] = [each for each in listed if each.reading != reading]

    def floor_of(self, instrument: int | None) -> float | None:
        """cd/m2 below which a meter promises nothing; None where that is not known."""
        known = None if self._idle or instrument is None else self._instruments.get(instrument)
        return None if known is None else known.specification.luminance_floor

    def _measured(self, reading: Reading, showing: Showing) -> Measured:
        if reading.instrument is not None and reading.instrument not in self._instruments:
            self._look_up_meters()
        meter = None if reading.instrument is None else self._instruments[reading.instrument]
        found = measured_of(self._run, self._steps[reading.step], showing, reading, meter)
        return as_corrected(replace(found, aim=self._aim), self._corrections.of(reading))

    def _nothing_read(self, step: Step, showing: Showing) -> Measured | None:
        if step.read is None or not step.read.of_light:
            return None
        reading = replace(_unread(self._run.id, step, showing), quantity=step.read.quantity)
        found = measured_of(self._run, self._steps[step.number], showing, reading, None)
        return replace(found, aim=self._aim)

    def _look_up_meters(self) -> None:
        known = self._visit.instruments()
        self._instruments = {each.id: each for each in known}
        self._corrections = Corrections(self._visit.corrections(), known)


def drift_of(white: Measured, alike: list[Measured]) -> str:
    """How far white has moved since the first one like it, in a sentence; empty where none is.

    Args:
        white: what was read.
        alike: whites of before that can be compared with it.
    """
    lit = [each for each in alike if (each.luminance or 0) > 0]
    first = min(lit, key=lambda each: (each.taken_at, each.reading), default=None)
    if first is None or not (white.luminance or 0) > 0:
        return ""
    start, end = (Basis().estimate([each]) for each in (first, white))
    found = ratio_of([end], [start])
    change = 100 * (found.value - 1)
    text = f"{abs(change):.1f}" if abs(change) < 9.95 else f"{abs(change):.0f}"
    ago = duration(max((white.taken_at - first.taken_at).total_seconds(), 0.0))
    said = f"White is {text} % {'above' if change > 0 else 'below'} the first one, read {ago} ago"
    if float(text) == 0:
        said = f"White is as bright as the first one, read {ago} ago"
    elif found.expanded is not None and abs(change) <= 100 * found.expanded:
        said += ", within the meter's error"
    if first.x is not None and white.x is not None and first.y and white.y:
        moved = float(uv_distance((white.x, white.y), (first.x, first.y)))
        said += f"; its colour moved by {moved:.4f} in u'v'"
    return f"{said}."


def _balance_spread(
    measured: Measured, target: Target | None, balance: Shares, spread: Light
) -> Shares | None:
    """How far a balance may be off where luminance, x and y are, each by itself."""
    if measured.luminance is None or measured.x is None or measured.y is None:
        return None
    moved = [replace(measured, luminance=measured.luminance + spread.luminance)]
    if spread.x is not None and spread.y is not None:
        moved.append(replace(measured, x=measured.x + spread.x))
        moved.append(replace(measured, y=measured.y + spread.y))
    found = [near for each in moved if (near := balance_of(each, target)) is not None]
    # without a luminance to aim at, that of the balance is the reading's own
    red, green, blue = (float(each) for each in np.hypot.reduce(np.subtract(found, balance)))
    return red, green, blue


def _unread(run: int, step: Step, showing: Showing) -> Reading:
    """A reading of a step that no visit has."""
    return Reading(
        id=0,
        run=run,
        step=step.number,
        showing=showing.id,
        instrument=None,
        quantity="luminance",
        raw="",
        taken_at=showing.shown_at,
        replaces=None,
        replaced_by=None,
    )


def _at(measured: Measured, coded: Coded) -> Measured:
    """With the codes at the place that is read, whatever else is on the picture."""
    return replace(measured, inks={} if coded.codes is None else {"level": coded.codes})


def _load_colorimetry() -> None:
    """Load what the first difference of colour would wait for, seconds of it."""
    from readings.colorimetry.difference import delta_e_2000, delta_e_itp

    white = np.array([95.0, 100.0, 108.0])
    delta_e_2000(white, white, white)
    delta_e_itp(white, white)
