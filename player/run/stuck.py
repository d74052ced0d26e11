"""Whether a meter gives the same number whatever is shown: it hangs, holds, or looks elsewhere.

The limits are our own: three pictures whose light or colour is far apart do not read alike to the
last digit, on a display that shows them, with a meter that works.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from patterns.signal.colours import to_uv
from player.run.expecting import Coded, short
from readings.bounds import DARK
from readings.visit.records import Value

ENOUGH = 3
"""Readings in a row that are one and the same number."""
APART = 0.2
"""Share of the brighter of two pictures by which they differ in light."""
OF_WHITE = 0.02
"""Share of white, or of what was read in PQ, below which a raised black may hide that."""
COLOURS = 0.02
"""Distance in CIE 1976 u'v' by which they differ in colour."""
TOP, NEARLY = 0.5, 0.95
"""Share of white from which on a display may clip, and of the most that was read."""
LIFTED = 10.0
"""cd/m2 up to which a black may be lifted, so that all that is coded below it reads alike."""


@dataclass(frozen=True)
class Seen:
    """A reading of light, and what is coded where it was read."""

    value: Value
    coded: Coded

    @property
    def received(self) -> tuple[float | None, float | None, float | None]:
        """Luminance, x and y as typed or received."""
        return self.value.luminance, self.value.x, self.value.y


def stuck(last: Sequence[Seen], *, most: float, floor: float | None, absolute: bool) -> str:
    """That the last readings are one number for unlike pictures, in a sentence; empty otherwise.

    Args:
        last: readings of light in the order in which they were taken.
        most: cd/m2, the most that was read in the run so far.
        floor: cd/m2 below which the meter promises nothing; None where that is not known.
        absolute: whether codes stand for cd/m2, as in PQ.
    """
    rows = list(last)[-ENOUGH:]
    read = rows[-1].value.luminance if len(rows) == ENOUGH else None
    if read is None or read <= 0 or read <= (floor or 0.0):
        return ""
    if len({each.received for each in rows}) > 1:
        return ""
    coloured = rows[-1].value.x is not None
    if not all(
        _unlike(one.coded, other.coded, read, coloured=coloured, absolute=absolute)
        for one, other in combinations(rows, 2)
    ):
        return ""
    if _ends(rows, read, most, absolute=absolute):
        return ""
    given = short(read)
    if coloured:
        given = f"{given} {rows[-1].value.x:.4f} {rows[-1].value.y:.4f}"
    return f"The meter gave {given} three times for three different pictures: is it stuck?"


def _unlike(one: Coded, other: Coded, read: float, *, coloured: bool, absolute: bool) -> bool:
    """Whether two pictures are far apart in light, or in colour where that was read."""
    low, high = sorted(
        (each.luminance if absolute else each.share) for each in (one, other)
    )  # cd/m2, or shares of white
    least = OF_WHITE * read if absolute else OF_WHITE
    if high - low > APART * high and high - low >= least:
        return True
    if not coloured or one.x is None or one.y is None or other.x is None or other.y is None:
        return False
    (u, v), (other_u, other_v) = to_uv((one.x, one.y)), to_uv((other.x, other.y))
    return hypot(u - other_u, v - other_v) > COLOURS


def _ends(rows: Sequence[Seen], read: float, most: float, *, absolute: bool) -> bool:
    """Whether a display may show them alike: above where it clips, or below its black."""
    if absolute:
        coded = [each.coded.luminance for each in rows]
        above = min(coded) >= NEARLY * read
        below = max(coded) <= read <= LIFTED
    else:
        shares = [each.coded.share for each in rows]
        above, below = min(shares) >= TOP, max(shares) <= OF_WHITE and read <= LIFTED
    # the primaries of one light differ in colour alone, and no display clips that
    return (above and read >= NEARLY * most) or below or read < DARK * OF_WHITE
