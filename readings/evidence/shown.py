"""What a reading was shown: its codes, their signal values, and which readings are white or black.

Targets start from the codes really shown, never from what a sequence meant.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from patterns.errors import PatternError
from patterns.kinds import KINDS, Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box
from patterns.place import Place, place_read
from patterns.signal.signal import Signal, signal_from_parts
from readings.colorimetry.chromaticity import Floats
from readings.evidence.measured import Measured
from readings.visit.records import Codes

SEEN = ("level", "colour", "grey")
"""Names of the ink that a meter is pointed at, where a pattern has several."""
FULL = ("field", "ebu-grey", "ebu-colour")
"""Kinds of pattern that are one level over the whole canvas."""


def codes_of(reading: Measured) -> Codes | None:
    """Red, green, blue under the meter; None where the pattern does not say which of several."""
    inks = reading.inks
    for name in SEEN:
        if name in inks:
            return inks[name]
    return next(iter(inks.values())) if len(inks) == 1 else None


def signal_of(reading: Measured) -> Signal | None:
    """The signal really shown; None where the record is not one that can be understood."""
    try:
        return _signal(json.dumps(dict(reading.signal), sort_keys=True, default=str))
    except (PatternError, TypeError, ValueError):
        return None


@lru_cache(maxsize=64)
def _signal(parts: str) -> Signal:
    return signal_from_parts(json.loads(parts))


def values_of(reading: Measured) -> Floats | None:
    """E' (3,) of red, green, blue: 0 is black, 1 white; narrow range may lie outside."""
    signal, codes = signal_of(reading), codes_of(reading)
    if signal is None or codes is None:
        return None
    return signal.quantiser.signals(np.array(codes))


def is_grey(reading: Measured) -> bool:
    """Whether the three channels carry one code."""
    codes = codes_of(reading)
    return codes is not None and len(set(codes)) == 1


def grey_value(reading: Measured) -> float | None:
    """E' of a grey; None of a colour."""
    values = values_of(reading) if is_grey(reading) else None
    return None if values is None else float(values[0])


def at_value(readings: Sequence[Measured], value: float) -> list[Measured]:
    """The readings of a grey of exactly this E', such as 1 for white and 0 for black."""
    return [reading for reading in readings if grey_value(reading) == value]


def pattern_of(reading: Measured) -> Pattern | None:
    """The pattern shown; None where the record is not one that this version understands."""
    written = {name: value for name, value in reading.parameters.items() if value is not None}
    return _pattern(reading.kind, json.dumps(written, sort_keys=True, default=str))


@lru_cache(maxsize=512)
def _pattern(kind: str, parameters: str) -> Pattern | None:
    if kind not in KINDS:
        return None
    try:
        return KINDS[kind].model_validate(json.loads(parameters))
    except ValueError:  # pydantic's own is one
        return None


def place_of(reading: Measured) -> Place | None:
    """Where the meter was to be pointed; None where that cannot be told of the record."""
    pattern = pattern_of(reading)
    if pattern is None:
        return None
    try:
        return place_read(reading.of or "", pattern, Canvas(*reading.canvas))
    except PatternError:
        return None


def frame_of(reading: Measured) -> Frame | None:
    """The picture, drawn once more from the record.

    None where that cannot be told of the record, or the picture moves.
    """
    pattern, signal = pattern_of(reading), signal_of(reading)
    if pattern is None or signal is None or pattern.moves:
        return None
    try:
        return pattern.frame(Canvas(*reading.canvas), signal)
    except PatternError:
        return None


def codes_in(frame: Frame, place: Place) -> Codes:
    """Red, green, blue in the middle of a place."""
    row = frame.rows[frame.order[min(int(place.y), frame.height - 1)]]
    red, green, blue = row[min(int(place.x), frame.width - 1)].tolist()
    return red, green, blue


def box_of(reading: Measured) -> Box | None:
    """Where the box of the pattern stood; None where it has none, or several."""
    return Box.described(reading.facts.get("box"))


def area_of(reading: Measured) -> float | None:
    """Percent of the canvas that is lit; None where it was not kept."""
    if reading.kind in FULL:
        return 100.0
    area = reading.facts.get("area_percent")
    return float(area) if isinstance(area, (int, float)) and 0 < area <= 100 else None
