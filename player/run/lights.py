"""XYZ of what is read in a run, with the correction of its meter."""

from __future__ import annotations

from contextlib import suppress
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from readings.bounds import DARK
from readings.evidence.correction.applied import Corrections, apply
from readings.evidence.correction.matrix import CorrectionError, Light
from readings.visit.records import Value
from readings.visit.visit import Visit

Floats = NDArray[np.float64]


class Lights:
    """Knows the corrections of a visit, and the white that the run aims at.

    Args:
        visit: keeps them.
        run: the run's id in the visit.
    """

    def __init__(self, visit: Visit, run: int) -> None:
        self._visit = visit
        self._run = run

    def xyz(self, value: Value, instrument: int | None, *, black: bool = False) -> Floats | None:
        """XYZ (3,) in cd/m2 of a reading; None where it does not say them.

        Of what is dark a luminance is enough: it is taken to be of white's colour.

        Args:
            value: what was read.
            instrument: the id of the meter; None where it is not known.
            black: whether it was read of 0 %.
        """
        luminance, x, y = value.luminance, value.x, value.y
        if luminance is None:
            return None
        dark = black or luminance < DARK
        if x is None or not y:
            if not dark:
                return None
            return np.asarray(Light(luminance, *self._white).tristimulus, np.float64)
        light = Light(luminance, x, y)
        correction = self._corrections.latest(instrument)
        if correction is not None and not dark:
            with suppress(CorrectionError):
                light = apply(correction.matrix, light)
        return np.asarray(light.tristimulus, np.float64)

    @cached_property
    def _white(self) -> tuple[float, float]:
        return self._visit.aim(self._run).white_xy

    @cached_property
    def _corrections(self) -> Corrections:
        return Corrections(self._visit.corrections(), self._visit.instruments())
