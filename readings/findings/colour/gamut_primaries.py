"""Which readings of a run are its primaries, its white, its boundary, or samples of its cube."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from readings.bounds import BRIGHTEST
from readings.colorimetry.chromaticity import xy_of
from readings.evidence.aim import aimed_xyz
from readings.evidence.measured import Measured
from readings.evidence.references import NEAR
from readings.evidence.shown import area_of, codes_of, values_of
from readings.findings.basis import Basis, grouped
from readings.findings.colour.patches import with_colour
from readings.findings.share import has_colour

NAMES = ("red", "green", "blue")
PURE = (*NAMES, "cube", "ebu-primary")
"""Roles among which a primary may be, as its codes tell."""
Repeats = tuple[Measured, ...]
Sample = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Found:
    """What a run has of red, green and blue at their highest level, and of white at the same."""

    primaries: tuple[Repeats, ...]
    """Red, green, blue; an empty one was not read."""
    white: Repeats
    level: float
    """E' of the primaries."""
    pure: bool
    """Whether each is light of one channel alone, as its codes tell."""

    @property
    def missing(self) -> tuple[str, ...]:
        """The names of those that were not read."""
        return tuple(n for n, each in zip(NAMES, self.primaries, strict=True) if not each)


def primaries_of(mine: Sequence[Measured], basis: Basis) -> Found | None:
    """The primaries of a run; None where it has none at all.

    A reading is judged by its codes: one channel lit, the others at black. Only where a run has
    none of those, its readings with the roles count, such as BT.709's red in a signal of BT.2020.
    """
    known = [reading for reading in mine if values_of(reading) is not None]
    named = [reading for reading in known if reading.role in NAMES]
    wanted = [
        reading
        for reading in known
        if reading.role in PURE and (reading.role in NAMES or _channel(reading) is not None)
    ]
    light = with_colour(wanted, basis)
    if not light:
        return Found(((), (), ()), (), 0.0, pure=True) if named else None
    by_codes = [[r for r in light if _channel(r) == channel] for channel in range(3)]
    by_role = [[r for r in light if r.role == name] for name in NAMES]
    pure = all(by_codes) or not all(by_role)
    chosen = by_codes if pure else by_role
    tops = [max((_top(r) for r in each), default=0.0) for each in chosen]
    level = min((top for top, each in zip(tops, chosen, strict=True) if each), default=0.0)
    at = [tuple(r for r in each if _top(r) == level) for each in chosen]
    if not any(at):
        return None
    areas = [area for each in at for r in each if (area := area_of(r)) is not None]
    white = tuple(
        reading
        for reading in known
        if set(_sample(reading)) == {level} and usable(reading) and _as_large(reading, areas)
    )
    return Found(tuple(at), white, level, pure)


def _as_large(reading: Measured, areas: Sequence[float]) -> bool:
    """Whether a white was shown as large as the primaries were."""
    area = area_of(reading)
    if area is None:
        return False
    return abs(area - (max(areas) if areas else 100.0)) < NEAR


def boundary_of(mine: Sequence[Measured], basis: Basis) -> list[Repeats]:
    """The points of a walk along the boundary, each with its repeats, round about white.

    Their order is that of the angles around white at which their codes should lie in x, y.
    """
    walk = with_colour([r for r in mine if r.role == "gamut-boundary"], basis)
    points = grouped([r for r in walk if values_of(r) is not None], codes_of)
    firsts = [repeats[0] for repeats in points.values()]
    if not firsts:
        return []
    aimed = xy_of(aimed_xyz(firsts, 100.0, 0.0)) - firsts[0].aim.white_xy
    turns = np.arctan2(aimed[:, 1], aimed[:, 0])
    listed = list(points.values())
    # from the first that was read, which is red
    onwards = np.mod(turns - turns[0], 2 * np.pi)
    return [tuple(listed[n]) for n in np.argsort(onwards, kind="stable") if np.isfinite(onwards[n])]


def cube_of(mine: Sequence[Measured]) -> dict[Sample, Repeats]:
    """Samples of the RGB cube by E' of R, G, B, with their repeats; only what carries light."""
    samples = [r for r in mine if r.role == "cube" and r.luminance is not None]
    known = [r for r in samples if values_of(r) is not None]
    return {sample: tuple(each) for sample, each in grouped(known, _sample).items()}


def _sample(reading: Measured) -> Sample:
    values = values_of(reading)
    if values is None:
        return (np.nan, np.nan, np.nan)
    red, green, blue = (round(float(value), 9) for value in values)
    return red, green, blue


def _channel(reading: Measured) -> int | None:
    """The one channel that is lit while the others are black: 0, 1, 2; None otherwise."""
    sample = _sample(reading)
    lit = [n for n, value in enumerate(sample) if value > 0]
    return lit[0] if len(lit) == 1 else None


def _top(reading: Measured) -> float:
    return max(_sample(reading))


def usable(reading: Measured) -> bool:
    """Whether it carries light with a chromaticity that light can have."""
    light = reading.luminance
    return light is not None and 0 < light <= BRIGHTEST and has_colour(reading)
