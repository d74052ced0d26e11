"""From the readings of a visit to a correction: the two sides, what they make, what is kept of it.

The steps of a paired run carry the roles `correction-red`, `correction-green`, `correction-blue`
and `correction-white`; any other colour after `correction-` checks the correction. Readings are
taken as they were read: an earlier correction does not enter.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from readings.evidence.correction.guards import Guarded, Side, look_at, look_at_residuals
from readings.evidence.correction.matrix import (
    FOUR,
    CorrectionError,
    FourColour,
    Light,
    Residual,
    four_colour,
    residuals,
)
from readings.evidence.measured import Measured

if TYPE_CHECKING:  # what is worked out here knows no database
    from readings.visit.records import Correction
    from readings.visit.visit import Visit

ROLE = "correction-"
METHOD = "four-colour matrix"


@dataclass(frozen=True, slots=True)
class Taken:
    """The colours that one instrument read in one run."""

    run: int
    instrument: int
    name: str
    floor: float | None
    """The lowest luminance that the instrument is specified for, cd/m2."""
    readings: Mapping[str, list[Measured]]
    """By colour, in the order in which they were taken; all with a chromaticity."""
    dark: tuple[str, ...]
    """Colours that were read without a chromaticity."""

    def side(self) -> Side:
        """The mean of each colour. Raises CorrectionError where one of the four is missing."""
        missing = [name for name in FOUR if name not in self.readings]
        if missing:
            why = [f"{name} without x and y" if name in self.dark else name for name in missing]
            raise CorrectionError(
                f"Run {self.run} lacks readings of the {self.name}: {', '.join(why)}."
            )
        return Side(
            name=self.name,
            lights={
                colour: Light.mean([_light(each) for each in repeats])
                for colour, repeats in self.readings.items()
            },
            whites=tuple(_light(each).luminance for each in self.readings["white"]),
            floor=self.floor,
        )

    def ids(self) -> list[int]:
        """The readings, in order."""
        return sorted(each.reading for repeats in self.readings.values() for each in repeats)


def colour_of(reading: Measured) -> str:
    """Which colour a reading is for a correction, as its role says: `white`; empty of others."""
    role = reading.role or ""
    return role.removeprefix(ROLE) if role.startswith(ROLE) else ""


def taken(readings: Iterable[Measured]) -> list[Taken]:
    """What was taken for corrections, by run and instrument, the latest last.

    Readings of a meter without a name are left out: there is nothing to correct.
    """
    sides: dict[tuple[int, int], list[Measured]] = {}
    for each in readings:
        if each.instrument is not None and colour_of(each):
            sides.setdefault((each.run, each.instrument), []).append(each)
    found = []
    for (run, instrument), mine in sides.items():
        colours: dict[str, list[Measured]] = {}
        dark = []
        for each in sorted(mine, key=lambda each: (each.taken_at, each.reading)):
            colour = colour_of(each)
            if _has_light(each):
                colours.setdefault(colour, []).append(each)
            else:
                dark.append(colour)
        first = mine[0]
        specification = (
            first.specification if first.as_read is None else first.as_read.specification
        )
        found.append(
            Taken(
                run=run,
                instrument=instrument,
                name=first.instrument_name or "meter",
                floor=specification.luminance_floor if specification else None,
                readings=colours,
                dark=tuple(dark),
            )
        )
    return sorted(found, key=lambda side: (side.run, side.instrument))


def _has_light(reading: Measured) -> bool:
    if reading.as_read is not None:
        return True
    light, y = reading.luminance, reading.y
    return light is not None and light > 0 and y is not None and y > 0


def _light(reading: Measured) -> Light:
    """A reading as it was read."""
    if reading.as_read is not None:
        return reading.as_read.light
    if reading.luminance is None or reading.x is None or reading.y is None:
        raise CorrectionError(f"Reading {reading.reading} has no chromaticity.")
    return Light(reading.luminance, reading.x, reading.y)


@dataclass(frozen=True, slots=True)
class Made:
    """A correction worked out, not yet kept."""

    meter: Taken
    reference: Taken
    found: FourColour
    left: list[Residual]
    guarded: list[Guarded]
    """All that speaks against it."""

    @property
    def refused(self) -> list[str]:
        """The sentences for which it is not to be kept."""
        return [each.sentence for each in self.guarded if each.refuses]

    @property
    def matrix(self) -> list[float]:
        """Nine numbers, row by row."""
        return [float(value) for value in self.found.matrix.ravel()]

    @property
    def luminance_residual(self) -> float:
        """The largest, relative, over all colours."""
        return max(abs(each.luminance) for each in self.left)

    @property
    def chromaticity_residual(self) -> float:
        """The largest, in x or y, over all colours."""
        return max(each.chromaticity for each in self.left)

    def method(self) -> str:
        """How it was made, in one line."""
        return (
            f"{METHOD}, {self.meter.name} of run {self.meter.run} to {self.reference.name} of run "
            f"{self.reference.run}"
        )

    def fit(self) -> dict[str, object]:
        """What it was made of and how well it fits, as the visit keeps it.

        `luminance_residual` is relative, `chromaticity_residual` in x or y: the largest of all
        colours. `accepted` are the sentences that refused it, where the operator insisted.
        """
        return {
            "runs": {"meter": self.meter.run, "reference": self.reference.run},
            "readings": {"meter": self.meter.ids(), "reference": self.reference.ids()},
            "luminance_residual": self.luminance_residual,
            "chromaticity_residual": self.chromaticity_residual,
            "residuals": [
                {
                    "colour": each.colour,
                    "x": each.x,
                    "y": each.y,
                    "luminance": each.luminance,
                    "fitted": each.fitted,
                }
                for each in self.left
            ],
            "condition": self.found.condition,
            "accepted": self.refused,
            "noted": [each.sentence for each in self.guarded if not each.refuses],
        }


def make(meter: Taken, reference: Taken) -> Made:
    """Work out the correction from one side to the other, with all that speaks against it.

    Raises:
        CorrectionError: a colour is missing, or there is no matrix at all.
    """
    if meter.instrument == reference.instrument:
        raise CorrectionError(
            f"Run {meter.run} and run {reference.run} were read with the same instrument, "
            f"{meter.name}: a correction needs two."
        )
    found, left, guarded = work_out(meter.side(), reference.side())
    return Made(meter, reference, found, left, [*_shown(meter, reference), *guarded])


def work_out(meter: Side, reference: Side) -> tuple[FourColour, list[Residual], list[Guarded]]:
    """The correction, what it leaves over, and all that speaks against it.

    Raises:
        CorrectionError: there is no matrix, or none of finite numbers.
    """
    try:
        with np.errstate(all="ignore"):
            guarded = look_at(meter, reference)
            found = four_colour(meter.lights, reference.lights)
            left = residuals(found.matrix, meter.lights, reference.lights)
    except np.linalg.LinAlgError as error:
        raise CorrectionError("The readings are too far apart to work out a matrix.") from error
    numbers = [found.condition, *found.matrix.ravel()]
    numbers += [value for each in left for value in (each.x, each.y, each.luminance)]
    if not np.isfinite(numbers).all():
        raise CorrectionError("The readings are too far apart to work out a matrix.")
    return found, left, [*guarded, *look_at_residuals(left)]


def keep(visit: Visit, made: Made) -> Correction:
    """Keep a correction in a visit that is open for writing. Raises VisitError."""
    return visit.add_correction(
        from_instrument=made.meter.instrument,
        to_instrument=made.reference.instrument,
        matrix=made.matrix,
        method=made.method(),
        fit=made.fit(),
    )


def _shown(meter: Taken, reference: Taken) -> list[Guarded]:
    """Whether both looked at the same pictures, and whether these were whole."""
    found = []
    for colour, repeats in meter.readings.items():
        others = reference.readings.get(colour, [])
        if len({_picture(each) for each in (*repeats, *others)}) > 1:
            found.append(
                Guarded(
                    f"{colour.capitalize()} was not shown alike to both instruments: codes, signal "
                    "or canvas differ.",
                    refuses=True,
                )
            )
    altered = sorted(
        each.reading
        for side in (meter, reference)
        for repeats in side.readings.values()
        for each in repeats
        if each.guard == "altered"
    )
    if altered:
        ids = ", ".join(str(number) for number in altered)
        found.append(
            Guarded(f"The picture was altered on its way for readings {ids}.", refuses=False)
        )
    return found


def _picture(reading: Measured) -> tuple[str, ...]:
    return (
        repr(sorted(reading.inks.items())),
        repr(sorted(reading.signal.items())),
        repr(reading.canvas),
    )
