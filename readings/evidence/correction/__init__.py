"""Meter correction: a spot meter brought to a reference instrument, by readings of four colours."""

from readings.evidence.correction.guards import Guarded, look_at
from readings.evidence.correction.matrix import (
    FOUR,
    CorrectionError,
    FourColour,
    Light,
    Residual,
    four_colour,
    least_squares,
    residuals,
    three_colour,
)

__all__ = [
    "FOUR",
    "CorrectionError",
    "FourColour",
    "Guarded",
    "Light",
    "Residual",
    "four_colour",
    "least_squares",
    "look_at",
    "residuals",
    "three_colour",
]
