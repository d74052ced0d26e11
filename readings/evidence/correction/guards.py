"""What speaks against a correction, in plain sentences: some refuse it, the others are to be known.

All limits are our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.words import figures
from readings.evidence.correction.matrix import (
    FOUR,
    PRIMARIES,
    CorrectionError,
    FourColour,
    Lights,
    Residual,
    four_colour,
)

FLATTEST = 0.01
"""Least area of the triangle of red, green and blue in x, y; that of BT.709 is 0.112."""
SHIFT = 0.05
"""Most that two instruments may differ in x or y of one colour; more is another colour."""
DRIFT = 0.02
"""Most that white may change, relative, while one instrument reads the colours."""
RATIO = 1.25
"""Most that the luminances of white may differ between the instruments, as a factor."""
CONDITION = 20.0
"""Highest condition number of the meter's matrix; about 4.5 with the primaries of BT.709."""
ADDITIVITY = 0.05
"""Difference of red plus green plus blue from white, relative, that is worth telling."""
DIM = 10.0
"""A reading below so many times the floor is worth telling."""
LEFT_XY = 0.005
LEFT_LUMINANCE = 0.05
"""Residuals of any colour, in x or y and relative, that are worth telling."""


@dataclass(frozen=True, slots=True)
class Guarded:
    """One thing that speaks against a correction."""

    sentence: str
    refuses: bool
    """Whether the correction is not to be kept for it, unless the operator insists."""


@dataclass(frozen=True, slots=True)
class Side:
    """What one instrument gave."""

    name: str
    lights: Lights
    """The mean of the repeats of each colour."""
    whites: tuple[float, ...]
    """Luminance of each reading of white in the order in which they were taken, cd/m2."""
    floor: float | None = None
    """The lowest luminance that it is specified for, cd/m2."""


def look_at(meter: Side, reference: Side) -> list[Guarded]:
    """All that speaks against a correction from `meter` to `reference` before it is worked out."""
    found = [*_own(meter), *_own(reference), *_pair(meter, reference)]
    if not any(guarded.refuses for guarded in found):
        try:
            found += _matrix(four_colour(meter.lights, reference.lights))
        except CorrectionError as error:
            found.append(Guarded(str(error), refuses=True))
    return found


def look_at_residuals(left: Sequence[Residual]) -> list[Guarded]:
    """What the residuals of a correction tell."""
    return [
        Guarded(
            f"Corrected {each.colour} still differs from the reference by {each.x:+.4f} in x, "
            f"{each.y:+.4f} in y and {100 * each.luminance:+.1f} % in luminance.",
            refuses=False,
        )
        for each in left
        if each.chromaticity > LEFT_XY or abs(each.luminance) > LEFT_LUMINANCE
    ]


def _own(side: Side) -> list[Guarded]:
    """What the readings of one instrument show by themselves."""
    found = _floor(side)
    area = abs(_doubled_area(side)) / 2
    if area < FLATTEST:
        found.append(
            Guarded(
                f"Red, green and blue of the {side.name} lie nearly on a line: their triangle in "
                f"x, y has an area of {area:.4f}, and {FLATTEST:g} is the least.",
                refuses=True,
            )
        )
    else:
        outside = _outside(side)
        if outside:
            found.append(
                Guarded(
                    f"White of the {side.name} lies outside the triangle of its red, green and "
                    f"blue, beyond the side across from {outside}.",
                    refuses=True,
                )
            )
    if len(side.whites) < 2:
        found.append(
            Guarded(
                f"White was read once with the {side.name}, so nothing is known of drift.",
                refuses=False,
            )
        )
    else:
        # the widest change, wherever in the run it came
        change = max(side.whites) / min(side.whites) - 1
        if change > DRIFT:
            found.append(
                Guarded(
                    f"White changed by {100 * change:.1f} % while the {side.name} read the "
                    f"colours; {100 * DRIFT:g} % is the most: let the display settle, and take "
                    "the readings again.",
                    refuses=True,
                )
            )
    total = sum(side.lights[name].luminance for name in PRIMARIES)
    gap = total / side.lights["white"].luminance - 1
    if abs(gap) > ADDITIVITY:
        found.append(
            Guarded(
                f"Red, green and blue of the {side.name} add up to {100 * (gap + 1):.1f} % of its "
                "white: the display does not add its primaries up, and mixed colours are "
                "corrected less well.",
                refuses=False,
            )
        )
    return found


def _floor(side: Side) -> list[Guarded]:
    if side.floor is None:
        return []
    found = []
    for name, light in side.lights.items():
        at_floor = light.luminance <= side.floor
        if not at_floor and light.luminance >= DIM * side.floor:
            continue
        distance = (
            "at or below the lowest luminance that it is specified for "
            f"({figures(side.floor)} cd/m2)"
            if at_floor
            else f"less than {DIM:g} times the lowest luminance that it is specified for"
        )
        lit = f"{name.capitalize()} of the {side.name} is {figures(light.luminance)} cd/m2"
        found.append(Guarded(f"{lit}, {distance}.", refuses=at_floor))
    return found


def _doubled_area(side: Side) -> float:
    return float(np.linalg.det([side.lights[name].chromaticity for name in PRIMARIES]))


def _outside(side: Side) -> str:
    """The primary that would have to be taken away to make white; empty where there is none."""
    primaries = np.column_stack([side.lights[name].chromaticity for name in PRIMARIES])
    weights = np.linalg.solve(primaries, side.lights["white"].chromaticity)
    lowest = int(np.argmin(weights))
    return PRIMARIES[lowest] if weights[lowest] <= 0 else ""


def _pair(meter: Side, reference: Side) -> list[Guarded]:
    """What the two instruments show beside each other."""
    found = []
    for name in FOUR:
        own, theirs = meter.lights[name], reference.lights[name]
        shift = max(abs(own.x - theirs.x), abs(own.y - theirs.y))
        if shift > SHIFT:
            found.append(
                Guarded(
                    f"{name.capitalize()} differs by {shift:.3f} in x or y between the "
                    f"instruments; {SHIFT:g} is the most: did both look at the same colour?",
                    refuses=True,
                )
            )
    ratio = reference.lights["white"].luminance / meter.lights["white"].luminance
    if not 1 / RATIO <= ratio <= RATIO:
        found.append(
            Guarded(
                f"White of the {reference.name} is {figures(ratio, 3)} times that of the "
                f"{meter.name}; from {1 / RATIO:g} to {RATIO:g} is trusted: did both look at the "
                "same place, and was the display set alike?",
                refuses=True,
            )
        )
    return found


def _matrix(made: FourColour) -> list[Guarded]:
    if made.condition <= CONDITION:
        return []
    return [
        Guarded(
            f"The matrix is badly conditioned ({made.condition:.0f}; {CONDITION:g} is the most): "
            "small errors of the readings would grow large in it.",
            refuses=True,
        )
    ]
