"""How a correction is applied: to which readings, and what their uncertainty is afterwards."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from readings.evidence.correction.matrix import CorrectionError, Light
from readings.ranges import ranges
from readings.visit.records import Correction, Instrument, Reading, Specification

NO_COLOUR = "luminance alone: there is no X Y Z to correct"
NO_LIGHT = "no light in it to correct"
AT_FLOOR = "at or below the lowest luminance that the meter is specified for"
LOST = "the correction leaves no light of it"


@dataclass(frozen=True, slots=True)
class AsRead:
    """A corrected reading as it was read."""

    correction: int
    """The id of the correction that was applied."""
    reference: str
    """The name of the instrument that it brings the reading to."""
    light: Light
    specification: Specification
    """What is known of the meter itself."""
    doubts: tuple[str, ...] = ()
    """What spoke against the correction, which the operator kept all the same."""
    matrix: tuple[float, ...] = ()
    """The nine numbers of the correction, row by row."""


@dataclass(frozen=True, slots=True)
class Corrected:
    """A reading after its correction."""

    light: Light
    specification: Specification
    """What is known of corrected readings of this meter."""
    as_read: AsRead


class Corrections:
    """The corrections of a visit: for each instrument the latest one counts, for all its readings.

    One that was made of a run which is set aside does not count, and the one before it does. A
    reference that has a correction of its own is not corrected on the way: corrections do not
    follow upon each other.
    """

    def __init__(
        self, corrections: Iterable[Correction], instruments: Iterable[Instrument]
    ) -> None:
        ordered = sorted(corrections, key=lambda correction: correction.id)
        self._latest = {each.from_instrument: each for each in ordered if each.counted}
        self._aside = {each.from_instrument: each for each in ordered if not each.counted}
        self._instruments = {instrument.id: instrument for instrument in instruments}

    def latest(self, instrument: int | None) -> Correction | None:
        """The correction that counts for an instrument."""
        return None if instrument is None else self._latest.get(instrument)

    def of(self, reading: Reading) -> Corrected | str:
        """The corrected reading; or why it stands as read, empty where it has no correction."""
        correction = self.latest(reading.instrument)
        if correction is None or not reading.of_light:
            return self._no_more(reading)
        meter = self._instruments[correction.from_instrument]
        reference = self._instruments[correction.to_instrument]
        if reading.luminance is None or reading.x is None or reading.y is None:
            return NO_COLOUR
        if not (reading.luminance > 0 and reading.y > 0):
            return NO_LIGHT
        floor = meter.specification.luminance_floor
        if floor is not None and reading.luminance <= floor:
            return AT_FLOOR
        # what a visit keeps as X Y Z may still hold the dark that was subtracted later
        light = Light(reading.luminance, reading.x, reading.y)
        try:
            corrected = apply(correction.matrix, light)
        except CorrectionError:
            return LOST
        return Corrected(
            light=corrected,
            specification=corrected_specification(
                meter.specification, reference.specification, correction
            ),
            as_read=AsRead(
                correction.id,
                reference.name,
                light,
                meter.specification,
                doubts_of(correction),
                tuple(correction.matrix),
            ),
        )

    def _no_more(self, reading: Reading) -> str:
        """Why the correction that there was is not used; empty where there was none."""
        if reading.instrument not in self._aside or not reading.of_light:
            return ""
        return set_aside_text(self._aside[reading.instrument])


def set_aside_text(correction: Correction) -> str:
    """Why a correction that rests on a run which is set aside is not used."""
    runs = f"run{'s' if len(correction.aside) > 1 else ''} {ranges(correction.aside)}"
    is_ = "is" if len(correction.aside) == 1 else "are"
    return f"correction {correction.id} was made of {runs}, which {is_} set aside"


def doubts_of(correction: Correction) -> tuple[str, ...]:
    """The sentences that refused a correction, which was kept all the same."""
    accepted = correction.fit.get("accepted", ())
    return tuple(map(str, accepted)) if isinstance(accepted, (list, tuple)) else ()


def apply(matrix: Iterable[float], light: Light) -> Light:
    """A light corrected by nine numbers, row by row.

    Raises:
        CorrectionError: what comes out is no light.
    """
    # what overflows is no light, and is said to be none
    with np.errstate(all="ignore"):
        return Light.from_tristimulus(np.reshape(list(matrix), (3, 3)) @ light.tristimulus)


def corrected_specification(
    meter: Specification, reference: Specification, correction: Correction
) -> Specification:
    """What is known of corrected readings.

    The matrix takes the place of the meter's own calibration, so the uncertainties (k = 2) are
    those of the reference with the largest residual of the correction, added by squares: never
    less than the reference's, and unknown where that is. Floor and resolution stay the meter's.
    """
    return replace(
        meter,
        luminance_relative_uncertainty=_with_residual(
            reference.luminance_relative_uncertainty, correction, "luminance_residual"
        ),
        chromaticity_uncertainty=_with_residual(
            reference.chromaticity_uncertainty, correction, "chromaticity_residual"
        ),
    )


def _with_residual(known: float | None, correction: Correction, name: str) -> float | None:
    left = correction.fit.get(name, 0.0)
    if known is None or not isinstance(left, (int, float)):
        return known
    return math.hypot(known, left)
