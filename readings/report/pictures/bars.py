"""Bars with their spread and the limit that they are held against, for the pictures of delta E."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from readings.findings.base import Number
from readings.report.limits import VISIBLE
from readings.report.pictures.paper import INK, LIMIT

if TYPE_CHECKING:
    from matplotlib.axes import Axes

BELOW, ABOVE = "#5f8791", "#b3541e"


def bars(axes: Axes, places: Sequence[float], numbers: Sequence[Number], *, flat: bool) -> None:
    """Bars of delta E: those above the limit are hatched. `flat` bars lie on their side."""
    kept = [(place, n) for place, n in zip(places, numbers, strict=True) if n.value is not None]
    limit = float(VISIBLE.limit)
    at = sorted({place for place, _ in kept})
    thick = 0.72 * min((b - a for a, b in pairwise(at)), default=4.0)
    for above in (False, True):
        mine = [(p, n) for p, n in kept if ((n.value or 0.0) > limit) is above]
        if not mine:
            continue
        middle, high = [p for p, _ in mine], [n.value or 0.0 for _, n in mine]
        spread = [n.uncertainty or 0.0 for _, n in mine]
        errors: dict[str, Any] = {
            "xerr" if flat else "yerr": [
                [max(0.0, min(v, u)) for v, u in zip(high, spread, strict=True)],
                spread,
            ]
        }
        draw = axes.barh if flat else axes.bar
        draw(
            middle,
            high,
            thick,
            facecolor=ABOVE if above else BELOW,
            hatch="///" if above else None,
            edgecolor="white",
            linewidth=0,
            error_kw={"ecolor": INK, "elinewidth": 0.7, "capsize": 1.6, "capthick": 0.7},
            **errors,
        )
    (axes.axvline if flat else axes.axhline)(limit, **LIMIT)
