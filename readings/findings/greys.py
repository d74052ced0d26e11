"""Greys of one run, what they should have been, and draws of what they may really have been."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Context
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.signal.signal import Signal
from readings.aim import aimed_xyz
from readings.colorimetry.chromaticity import Floats
from readings.evidence import Measured
from readings.findings.base import Bound, Number, Row, Value
from readings.findings.ratio import level_number
from readings.lights import Lights
from readings.references import Reference
from readings.shown import codes_of

LEAST = 1e-9
"""An uncertainty below this is one of the computer's arithmetic."""


@dataclass(frozen=True, eq=False)
class Greys:
    """n greys, rising, with a white and a black beside them where there are any."""

    signal: Signal
    values: Floats
    """(n,) E'."""
    lights: Lights
    """The greys first, then a white and a black that are not among them."""
    white: float | None
    """cd/m2; None where none was read."""
    black: float
    """cd/m2; 0 where none was read."""
    drawn_white: Floats
    """(m,); NaN where none was read."""
    drawn_black: Floats
    """(m,)."""
    at_white: int | None
    """Its place among the lights."""
    at_black: int | None
    white_from: Reference
    """Whence the white is."""
    black_from: Reference

    @property
    def count(self) -> int:
        """How many greys there are."""
        return len(self.values)

    @property
    def transfer(self) -> str:
        """Such as `pq`."""
        return self.signal.transfer.name

    @property
    def first(self) -> tuple[Measured, ...]:
        """The first reading of each grey."""
        return self.lights.first[: self.count]

    @cached_property
    def luminance(self) -> Floats:
        """(n,) cd/m2."""
        return self.lights.luminance[: self.count]

    @cached_property
    def drawn(self) -> Floats:
        """(m, n) cd/m2."""
        return self.lights.drawn_luminance[:, : self.count]

    @cached_property
    def clear(self) -> NDArray[np.bool_]:
        """(n,): brighter than the meter's floor, and than nothing."""
        floor = np.array(self.lights.at_floor[: self.count])
        return ~floor & (self.luminance > 0)

    @cached_property
    def target_xyz(self) -> Floats:
        """(n, 3) cd/m2; NaN where it is not known."""
        white = np.nan if self.white is None else self.white
        return aimed_xyz(self.first, white, self.black)

    @cached_property
    def drawn_target_xyz(self) -> Floats:
        """(m, n, 3) cd/m2."""
        return aimed_xyz(self.first, self.drawn_white, self.drawn_black)

    @property
    def target(self) -> Floats:
        """(n,) cd/m2."""
        return self.target_xyz[:, 1]

    @property
    def drawn_target(self) -> Floats:
        """(m, n) cd/m2."""
        return self.drawn_target_xyz[..., 1]

    @cached_property
    def error(self) -> Floats:
        """(n,) luminance less target, percent of the target; NaN where that is 0."""
        return percent_off(self.luminance, self.target)

    @cached_property
    def drawn_error(self) -> Floats:
        """(m, n) percent."""
        return percent_off(self.drawn, self.drawn_target)

    def numbers(self, value: Floats, drawn: Floats, *, colour: bool = False) -> list[Number]:
        """n numbers with their uncertainties from draws (m, n)."""
        return numbers_of(value, self.lights.spread(value, drawn, colour=colour))

    def luminances(self) -> list[Number]:
        """n luminances; at most the floor where the meter reads no lower."""
        found = self.numbers(self.luminance, self.drawn)
        for n, estimate in enumerate(self.lights.estimates[: self.count]):
            if estimate.at_floor:
                found[n] = level_number([estimate])
        return found

    def rows(self, columns: Sequence[Sequence[Number]]) -> tuple[Row, ...]:
        """A row for each grey, from the numbers column by column."""
        return tuple(
            Row(
                reading.label,
                tuple(column[n] for column in columns),
                {"step": reading.step, "codes": list(codes_of(reading) or ())},
                tuple(each.reading for each in self.lights.things[n]),
            )
            for n, reading in enumerate(self.first)
        )

    def where(self, n: int) -> dict[str, object]:
        """Which grey a value belongs to."""
        return {
            "signal_percent": round(100 * float(self.values[n]), 4),
            "step": self.first[n].label,
            "codes": list(codes_of(self.first[n]) or ()),
        }

    def level(self, name: str, label: str, n: int, bound: Bound) -> Value:
        """The level of a grey as a bound: cd/m2 that PQ stands for; else percent of the signal."""
        return level_of(self.signal, name, label, float(self.values[n]), bound, self.where(n))


def level_of(
    signal: Signal,
    name: str,
    label: str,
    value: float,
    bound: Bound,
    where: dict[str, object],
) -> Value:
    """E' as a bound: the cd/m2 of a grey of PQ, which is absolute; else percent of the signal.

    Three digits, rounded so that the bound still holds.
    """
    level, unit = 100 * value, "%"
    if signal.transfer.name == "pq":
        level, unit = float(signal.transfer.decode(np.full(3, value))[0]), "cd/m2"
    if level:
        rounding = ROUND_FLOOR if bound == "lower" else ROUND_CEILING
        level = float(Context(prec=3, rounding=rounding).create_decimal(f"{level:.9g}"))
    return Value(name, label, level, unit, None, bound, where)


def numbers_of(values: Floats, spreads: Floats | None) -> list[Number]:
    """Numbers with their uncertainties; a value that errors cannot move, such as 0 by its own
    definition, has none."""
    if spreads is None:
        return [Number.of(float(value)) for value in values]
    return [
        Number.of(float(value), float(spread) if spread > LEAST else None)
        for value, spread in zip(
            np.where(spreads > LEAST, values, np.round(values, 4)), spreads, strict=True
        )
    ]


def percent_off(luminance: Floats, target: Floats) -> Floats:
    """Luminance less target in percent of the target; NaN where that is 0 or not known."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(100 * (luminance / np.where(target > 0, target, np.nan) - 1))
