"""One light as a share of another, and what several findings do with luminances alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import hypot, isfinite, nan
from statistics import NormalDist
from typing import SupportsFloat, TypedDict, Unpack

import numpy as np

from patterns.errors import PatternError
from readings.bounds import is_chromaticity, room_of
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.evidence.distance import Distance, WithDraws, delta_uv_of
from readings.evidence.lights import Lights
from readings.evidence.measured import Measured
from readings.evidence.shown import signal_of
from readings.evidence.uncertainty import COVERAGE, Estimate, mean_of, ratio_of
from readings.findings.base import Number, Part, Value
from readings.findings.basis import Basis
from readings.findings.ratio import level_number
from readings.visit.records import Codes

NO_UNCERTAINTY = 1e-9
"""An uncertainty below this is one of the computer's arithmetic."""


def distances_of(distances: Distance) -> list[Number]:
    """Distances (n,) with their intervals; one that errors cannot move, such as 0 by its own
    definition, has none."""
    ends = distances.interval()
    if ends is None:
        return [Number.of(float(value)) for value in distances.value]
    return [
        Number.of(float(value), interval=(float(low), float(high)))
        if high - low > NO_UNCERTAINTY
        else Number.of(round(float(value), 4) if value < NO_UNCERTAINTY else float(value))
        for value, low, high in zip(distances.value, *ends, strict=True)
    ]


def numbers_of(values: Floats, spreads: Floats | None) -> list[Number]:
    """Numbers with their uncertainties; a value that errors cannot move, such as 0 by its own
    definition, has none."""
    if spreads is None:
        return [Number.of(float(value)) for value in values]
    return [
        Number.of(float(value), float(spread) if spread > NO_UNCERTAINTY else None)
        for value, spread in zip(
            np.where(spreads > NO_UNCERTAINTY, values, np.round(values, 4)), spreads, strict=True
        )
    ]


def percent_of(
    part: Sequence[Estimate], whole: Sequence[Estimate], basis: Basis, named: str
) -> Number:
    """The mean of `part` in percent of the mean of `whole`, which is `named` so, as `the box`.

    Not defined where the whole is 0 or less; at most the meter's floor where a part is below it.
    """
    below = mean_of(whole).value
    if below <= 0:
        basis.warn(f"The luminance of {named} is 0 or less, so nothing is a share of it.")
        return Number(None)
    level = level_number(part)
    if level.bound == "upper" and level.value is not None:
        return Number(100 * level.value / below, None, "upper")
    result = ratio_of(part, whole)
    basis.look_at(result)
    return Number.of(100 * result.value, None if result.expanded is None else 100 * result.expanded)


def of_the_highest(
    share: Number, part: Estimate, highest: Estimate, everything: Sequence[Estimate]
) -> Number:
    """A share of the highest of several readings, with what choosing the highest does to it.

    Among readings that their own scatter does not tell apart, the highest is the one that scatter
    lifted most: it lies too high by the expected largest of so many normal deviates, and every
    share of it lies too low. That is added to the uncertainty, by squares, and not corrected.
    """
    alone = highest.scatter
    if part is highest or share.value is None or share.uncertainty is None or alone <= 0:
        return share
    close = sum(highest.value - each.value < 3 * hypot(alone, each.scatter) for each in everything)
    # Blom's approximation of the largest of n normal deviates (from memory)
    lifted = NormalDist().inv_cdf((close - 0.375) / (close + 0.25)) if close > 1 else 0.0
    shift = COVERAGE * lifted * alone / highest.value * share.value
    return replace(share, uncertainty=hypot(share.uncertainty, shift))


def farthest_of(
    value: float, spread: SupportsFloat | None, draws: Floats, off: Floats, drawn: Floats
) -> Number:
    """The one of several that reads farthest off, with what choosing it does to it.

    Errors lift one of many: by how much on average, the draws say. That is added to the
    uncertainty, by squares, and not corrected.

    Args:
        value: of the one that was chosen, in whatever unit.
        spread: its expanded uncertainty; None where it is not known.
        draws: (m,) of it.
        off: (n,) how far each of them reads off, with its sign.
        drawn: (m, n) the same from each draw.
    """
    if spread is None:
        return Number.of(value)
    chosen = np.argmax(np.abs(drawn), axis=1)
    farthest = np.take_along_axis(drawn, chosen[:, None], 1)[:, 0]
    lifted = float(np.mean(np.sign(farthest) * (farthest - off[chosen])))
    return Number.of(value, hypot(float(spread), COVERAGE * max(lifted, 0.0)), draws)


def average_of(lights: Lights, off: Floats, drawn: Floats) -> Number:
    """The average of how far luminances lie off something.

    Args:
        lights: what was read.
        off: (n,) percent, with its sign; n at least 1.
        drawn: (m, n) the same from each draw.
    """
    mean = float(off.mean())
    means = drawn.mean(-1)
    return Number.of(mean, lights.spread(mean, means, colour=False), means)


def average_size_of(lights: Lights, off: Floats, drawn: Floats) -> Number:
    """The average of the sizes of the same, whatever their signs."""
    sizes = WithDraws(off[..., None], drawn[..., None])
    return number_of(Distance.of_vectors(sizes, known=lights.knows(colour=False)).mean())


def number_of(distance: Distance) -> Number:
    """One distance () with its interval and its draws."""
    ends = distance.interval()
    interval = None if ends is None else (float(ends[0]), float(ends[1]))
    return Number.of(distance.value, None, distance.drawn, interval)


def shifts_from(lights: Lights, place: int) -> list[Number]:
    """Distance in u', v' of each light from the one at a place, which has none from itself."""
    xy, drawn = lights.xy, xy_of(lights.drawn_xyz)
    other = WithDraws(xy[place], drawn[:, place : place + 1])
    found = delta_uv_of(WithDraws(xy, drawn), other, known=lights.knows())
    shifts = distances_of(found)
    return [*shifts[:place], Number(0.0), *shifts[place + 1 :]]


class Facts(TypedDict, total=False):
    """Facts of a `Value` beside its number; it says what they mean."""

    parts: tuple[Part, ...]
    row: str
    at: str
    count: int
    judged: bool
    off: bool
    aim: float


def value_of(
    name: str,
    label: str,
    number: Number,
    unit: str,
    where: Mapping[str, object] | None = None,
    **facts: Unpack[Facts],
) -> Value:
    """A number as a value of a finding, with what else is known of it."""
    return Value(
        name,
        label,
        number.value,
        unit,
        number.uncertainty,
        number.bound,
        where or {},
        drawn=number.drawn,
        interval=number.interval,
        **facts,
    )


def room_for(reading: Measured) -> float:
    """How far x and y of it may each lie outside what light can be: by as much as its meter errs.

    A corrected reading may lie there by what the meter itself errs, or by what is left of that.
    """
    known = [reading.specification]
    if reading.as_read is not None:
        known.append(reading.as_read.specification)
    return max(room_of(each.chromaticity_uncertainty if each else None) for each in known)


def has_colour(reading: Measured) -> bool:
    """Whether it carries a chromaticity, and no slip or columns exchanged."""
    x, y = reading.x, reading.y
    if x is None or y is None:
        return False
    return is_chromaticity(x, y, room_for(reading))


def without_colour(readings: Sequence[Measured]) -> list[Measured]:
    """The same readings for what rests on luminance alone."""
    return [replace(reading, x=None, y=None) for reading in readings]


def with_possible_colour(readings: Sequence[Measured]) -> list[Measured]:
    """The same readings, without x, y that are no chromaticity: a slip, or columns exchanged."""
    return [
        reading if has_colour(reading) else replace(reading, x=None, y=None) for reading in readings
    ]


def asked_of(reading: Measured, codes: Codes | None) -> float | None:
    """cd/m2 that codes stand for; None where they ask for none.

    Only PQ is absolute (Rec. ITU-R BT.2100-3, table 4, second-hand).
    """
    signal = signal_of(reading)
    if codes is None or signal is None or signal.transfer.name != "pq":
        return None
    try:
        return float(signal.luminance(np.array(codes)))
    except (PatternError, ValueError):  # codes beyond the signal's depth
        return None


def plain_number(text: object) -> float | None:
    """A number that was written with or without a unit, such as `30`, `30 °` or `-7.5 deg`.

    None where there is none, or none that is finite.
    """
    words = str(text).replace("°", " ").split()
    try:
        number = float(words[0]) if words else nan
    except ValueError:
        return None
    return number if isfinite(number) else None
