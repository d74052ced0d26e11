"""Greys of one run, what they should have been, and draws of what they may really have been."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Context
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from patterns.aim import Aim
from patterns.signal.signal import Signal
from readings.colorimetry.chromaticity import Floats
from readings.evidence.aim import aimed_xyz
from readings.evidence.lights import DRAWS, Ends, Lights, lights_of, own_of
from readings.evidence.measured import Measured
from readings.evidence.references import Reference, black_of, white_of
from readings.evidence.shown import area_of, codes_of, grey_value, signal_of
from readings.evidence.uncertainty import written
from readings.findings.base import Bound, Number, Row, Value
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.ratio import ALIKE, level_number
from readings.findings.share import has_colour, numbers_of

FAR = 2.0
"""Target over the most that a reading below the meter's reach may be, from which on it is evidence:
less far, a display that is right may read so. A limit of our own."""


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
    def aim(self) -> Aim:
        """What they were meant to be."""
        return self.first[0].aim

    @property
    def curve_black(self) -> float:
        """cd/m2 that the curve of SDR starts from: stated, measured, or none."""
        return float(self.aim.black_of(self.black))

    @property
    def drawn_curve_black(self) -> Floats:
        """(m,)."""
        return self.aim.black_of(self.drawn_black)

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
    def most(self) -> Floats:
        """(n,) cd/m2: the most that a grey may be which is not clear; NaN of those that are."""
        found = np.full(self.count, np.nan)
        for n, estimate in enumerate(self.lights.estimates[: self.count]):
            if estimate.hidden:
                found[n] = level_number([estimate]).value
        return found

    @cached_property
    def bounded(self) -> NDArray[np.bool_]:
        """(n,): not clear, and yet surely darker than asked for by a factor of `FAR` or more."""
        spread = self.lights.spread(self.target, self.drawn_target, colour=False)
        least = self.target if spread is None else self.target - spread
        with np.errstate(invalid="ignore"):
            return np.asarray(least > FAR * self.most) & (self.target > 0)

    @cached_property
    def comparable(self) -> NDArray[np.bool_]:
        """(n,): greys that say how far they are off their target: clear, or bounded."""
        return np.asarray(self.clear | self.bounded)

    @cached_property
    def taken(self) -> Floats:
        """(n,) cd/m2 as they count against their targets: as read, and of one that is bounded the
        middle of what it may be, from nothing up to its bound."""
        return np.where(self.bounded, self.most / 2, self.luminance)

    @cached_property
    def drawn_taken(self) -> Floats:
        """(m, n) cd/m2: all that are bounded lie alike between nothing and their bounds, which
        makes the most of it in an average."""
        if not self.bounded.any():
            return self.drawn
        place = own_of(sum(each.seed for each in self.lights.estimates[: self.count]))
        return np.where(self.bounded, self.most * place.random((DRAWS, 1)), self.drawn)

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
        return percent_off(self.taken, self.target)

    @cached_property
    def drawn_error(self) -> Floats:
        """(m, n) percent."""
        return percent_off(self.drawn_taken, self.drawn_target)

    def numbers(self, value: Floats, drawn: Floats, *, colour: bool = False) -> list[Number]:
        """n numbers with their uncertainties from draws (m, n)."""
        return numbers_of(value, self.lights.spread(value, drawn, colour=colour))

    def luminances(self) -> list[Number]:
        """n luminances; at most so much where they are below what the meter shows."""
        found = self.numbers(self.luminance, self.drawn)
        for n, estimate in enumerate(self.lights.estimates[: self.count]):
            if estimate.hidden:
                found[n] = level_number([estimate])
        return found

    def errors(self) -> list[Number]:
        """n errors of luminance, in percent of the target; at most so much where the light is at
        most so much, and nothing of greys that tell nothing."""
        found = self.numbers(np.where(self.clear, self.error, np.nan), self.drawn_error)
        for n in np.flatnonzero(self.bounded):
            found[n] = Number(float(percent_off(self.most[n], self.target[n])), None, "upper")
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

    def level_at(self, name: str, label: str, n: int, bound: Bound) -> Value:
        """The same, with the code at the end of its label, where the channels have one."""
        codes = codes_of(self.first[n])
        at = f"code {codes[0]}" if codes else self.first[n].label
        return replace(self.level(name, f"{label} {at}", n, bound), row=label, at=at)


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


def percent_off(luminance: Floats, target: Floats) -> Floats:
    """Luminance less target in percent of the target; NaN where that is 0 or not known."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(100 * (luminance / np.where(target > 0, target, np.nan) - 1))


WHITE, BLACK = 1.0, 0.0
PLACES = 9
"""Decimal places of E' that tell codes of 16 bits apart."""


def gathered(
    group: Sequence[Measured],
    mine: Sequence[Measured],
    everything: Sequence[Measured],
    basis: Basis,
) -> Greys | None:
    """Greys out of a group of readings of one run; None where there is none with a luminance.

    Args:
        group: the readings to work with.
        mine: all readings of their run, among which white and black are looked for first.
        everything: all readings of the visit.
        basis: keeps what is used, and is warned.
    """
    lit = [_possible(reading, basis) for reading in with_light(group, basis)]
    greys = [reading for reading in lit if grey_value(reading) is not None]
    left = len(lit) - len(greys)
    if left:
        basis.warn(
            f"{left} of {len(lit)} readings that should be of greys were not of a known grey, and "
            "do not count."
        )
    signal = signal_of(greys[0]) if greys else None
    if signal is None:
        return None
    listed = grouped(greys, lambda reading: round(grey_value(reading) or 0.0, PLACES))
    values = sorted(listed)
    things = [listed[value] for value in values]
    ours = {reading.reading for reading in greys}
    beside = [r for r in mine if r.reading not in ours and area_of(r) is not None]
    pool = [*greys, *(r for r in beside if grey_value(r) in (WHITE, BLACK))]
    ordered = sorted(everything, key=lambda r: (r.run, r.step, r.reading))
    white, black = white_of(pool, ordered), black_of(pool, ordered)
    at_white = _place(white, things, basis)
    at_black = _place(black, things, basis)
    lights = lights_of(things, basis)
    found = Ends(lights, at_white, at_black)
    lit_white = found.white
    if lit_white is not None and lit_white <= found.black:
        basis.warn(
            f"White ({written(lit_white)[0]} cd/m2) reads no higher than black "
            f"({written(found.black)[0]} cd/m2): were they swapped? There is nothing to judge "
            "greys against."
        )
        lit_white = None
    elif lit_white is not None and lit_white <= ALIKE * found.black:
        basis.warn(
            "White is hardly brighter than black: is the display showing the patterns? What the "
            "codes stand for means little."
        )
    return Greys(
        signal=signal,
        values=np.array(values),
        lights=lights,
        white=lit_white,
        black=found.black,
        drawn_white=found.drawn_white if lit_white is not None else np.full(DRAWS, np.nan),
        drawn_black=found.drawn_black,
        at_white=at_white,
        at_black=at_black,
        white_from=white,
        black_from=black,
    )


def warn_of_references(greys: Greys, basis: Basis, *, dark: bool = True) -> None:
    """Say what is missing of white and black, or taken from elsewhere.

    Args:
        greys: what white and black are for.
        basis: is warned.
        dark: whether black matters to them.
    """
    relative = greys.transfer != "pq"
    dark = dark and (greys.transfer != "bt1886" or greys.aim.takes_black)
    if greys.white is None and relative and not greys.white_from.readings:
        basis.warn(
            "No 100 % white was read under this condition, so what the greys should have been is "
            "not known."
        )
    for needed, reference in ((relative, greys.white_from), (dark, greys.black_from)):
        if needed and reference.elsewhere is not None:
            basis.warn(f"Judged against the {reference.called}, as there is none in this run.")
    if not dark:
        return
    if greys.at_black is None:
        if relative:
            basis.warn("No 0 % black was read under this condition: it is taken as 0 cd/m2.")
    elif greys.black <= 0:
        basis.warn(
            "Black reads 0 cd/m2, which is below what the meter shows: targets take it as 0."
        )
    elif greys.lights.at_floor[greys.at_black]:
        basis.warn(
            "Black is at or below the lowest luminance that the meter is specified for: targets "
            "of the darkest greys rest on it."
        )


def _place(found: Reference, things: list[list[Measured]], basis: Basis) -> int | None:
    """Where a white or a black stands among things; added at the end where it does not yet."""
    if not found.readings:
        return None
    wanted = {reading.reading for reading in found.readings}
    for place, thing in enumerate(things):
        if wanted & {reading.reading for reading in thing}:
            return place
    things.append([_possible(r, basis) for r in with_light(found.readings, basis)])
    if not things[-1]:
        things.pop()
        return None
    return len(things) - 1


def _possible(reading: Measured, basis: Basis) -> Measured:
    """The reading, without a chromaticity that no light has."""
    if reading.x is None or reading.y is None or has_colour(reading):
        return reading
    basis.warn(
        f"Reading {reading.reading} ({reading.label}) has x {reading.x:g}, y {reading.y:g}, which "
        "no light has: its colour does not count. Were numbers swapped?"
    )
    return replace(reading, x=None, y=None)
