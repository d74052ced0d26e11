"""Repeats of one thing: those of one meter, and what their mean is worth."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Sequence
from statistics import fmean
from zlib import crc32

from readings.evidence import Measured
from readings.records import Specification
from readings.taking import taking_of
from readings.uncertainty import Estimate, repeatability_of

Warn = Callable[[str], None]
"""Takes a sentence for people."""


def estimate_of(repeats: Sequence[Measured], values: Sequence[float], warn: Warn) -> Estimate:
    """The mean of repeats by one meter, cd/m2.

    Args:
        repeats: at least one.
        values: their luminances, cd/m2.
        warn: is told what the meter's specification lacks.
    """
    first = repeats[0]
    known = first.specification or Specification()
    relative, resolution = known.luminance_relative_uncertainty, known.luminance_resolution
    if first.specification is None:
        warn("No meter is named for a reading, so its uncertainty is not known.")
    elif relative is None:
        warn(
            f"The specification of {first.instrument_name} gives no relative uncertainty of "
            "luminance, so the uncertainty is not known."
        )
    elif resolution is None:
        resolution = last_digit(repeats)
        warn(
            f"The specification of {first.instrument_name} gives no resolution: "
            + ("the last digit recorded stands for it." if resolution else "it is not known.")
        )
    return Estimate.of(
        values,
        meter=first.meter,
        relative=relative,
        resolution=resolution,
        floor=known.luminance_floor,
        single=_single_of(fmean(values), repeats),
        seed=crc32(repr([(each.reading, each.taken_at.isoformat()) for each in repeats]).encode()),
    )


def of_one_meter(repeats: Sequence[Measured], warn: Warn) -> list[Measured]:
    """Those of the meter that read most of them, and all corrected or all as read."""
    counts = Counter(reading.meter for reading in repeats)
    if len(counts) == 1:
        return list(repeats)
    # The meter that read most; among equals the one that read first. Corrected and as read,
    # one meter counts as two: its gain is not the same.
    chosen = counts.most_common(1)[0][0]
    kept = [reading for reading in repeats if reading.meter == chosen]
    left = [reading for reading in repeats if reading.meter != chosen]
    others = sorted({_named(r) for r in left if r.instrument != kept[0].instrument})
    if others:
        warn(
            f"{kept[0].label}: read with several meters; {_named(kept[0])} counts, "
            f"{', '.join(others)} {'does' if len(others) == 1 else 'do'} not."
        )
    if any(reading.instrument == kept[0].instrument for reading in left):
        which = "corrected" if kept[0].as_read else "as read"
        warn(
            f"{kept[0].label}: only some readings of {kept[0].instrument_name} can be "
            f"corrected; the {len(kept)} {which} count."
        )
    return kept


def _single_of(luminance: float, repeats: Sequence[Measured]) -> float | None:
    """What is known of one reading by itself, standard, cd/m2: specified, or kept when it was made.

    A reading that is the mean of several keeps their standard deviation; it counts where it is
    larger than what the maker promises.
    """
    known = repeats[0].specification or Specification()
    said = repeatability_of(luminance, known.luminance_repeatability, known.luminance_noise)
    takings = [taking_of(reading.text) for reading in repeats]
    seen = [
        taking.deviation / math.sqrt(taking.count)
        for taking in takings
        if taking is not None and taking.deviation is not None
    ]
    if len(seen) == len(repeats):
        found = math.sqrt(fmean(each**2 for each in seen))
        return found if said is None else max(said, found)
    return said


def _named(reading: Measured) -> str:
    return reading.instrument_name or "a meter without a name"


def last_digit(readings: Sequence[Measured]) -> float | None:
    """The finest last digit among plain numbers as typed or received, cd/m2; None without any."""
    found = (re.fullmatch(r"\s*[-+]?\d+(?:[.,](\d+))?\s*", reading.raw) for reading in readings)
    return min((10.0 ** -len(each[1] or "") for each in found if each), default=None)
