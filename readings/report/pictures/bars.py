"""Bars with their spread and the limit that they are held against, for the pictures of delta E."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from readings.colorimetry.difference import VISIBLE
from readings.findings.base import Number
from readings.report.pictures.paper import INK, LIMIT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BELOW, ABOVE = "#5f8791", "#b3541e"
Corner = tuple[float, float]


def arms_of(number: Number) -> tuple[float, float]:
    """How far what is known of a number reaches below and above it; 0 where that is not known."""
    if number.value is None or number.reach is None:
        return 0.0, 0.0
    low, high = number.reach
    return max(number.value - low, 0.0), max(high - number.value, 0.0)


def bars(axes: Axes, places: Sequence[float], numbers: Sequence[Number], *, flat: bool) -> None:
    """Bars of delta E: those above the limit are hatched. `flat` bars lie on their side.

    All bars of one kind are one shape: a shape for each takes a millisecond.
    """
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    found = [
        (place, number.value, *arms_of(number))
        for place, number in zip(places, numbers, strict=True)
        if number.value is not None
    ]
    limit = VISIBLE
    steps = sorted({place for place, *_ in found})
    half = 0.36 * min((b - a for a, b in pairwise(steps)), default=4.0)
    for above in (False, True):
        mine = [(place, high) for place, high, *_ in found if (high > limit) is above]
        corners: list[Corner] = []
        for place, high in mine:
            a, b = place - half, place + half
            corners += [(a, 0.0), (b, 0.0), (b, high), (a, high), (a, 0.0)]
        if flat:
            corners = [(across, along) for along, across in corners]
        if corners:
            codes = [Path.MOVETO, Path.LINETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY]
            axes.add_patch(
                PathPatch(
                    Path(corners, codes * len(mine)), facecolor=ABOVE if above else BELOW,
                    hatch="///" if above else None, edgecolor="white", linewidth=0,
                )
            )  # fmt: skip
    if found:
        where, high_, below, spread = (list(column) for column in zip(*found, strict=True))
        low = [max(0.0, min(value, each)) for value, each in zip(high_, below, strict=True)]
        looks: dict[str, Any] = {"ecolor": INK, "elinewidth": 0.7, "capsize": 1.6, "capthick": 0.7}
        if flat:
            axes.errorbar(high_, where, xerr=[low, spread], fmt="none", **looks)
        else:
            axes.errorbar(where, high_, yerr=[low, spread], fmt="none", **looks)
    (axes.axvline if flat else axes.axhline)(limit, **LIMIT)
