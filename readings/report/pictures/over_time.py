"""Luminance while time goes by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from readings.report.pictures.curves import axes_for, curves_of, draw_curves, points_of_series
from readings.report.pictures.paper import STYLES, Drawing, Labelled, plain

LEAST_LIGHT, MOST_SHARE = 1e-3, 1000
"""cd/m2 of the first reading from which a share of it says anything, and the largest that does."""
LONG = 600
"""Seconds from which the axis counts in minutes."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture; the meter's error of gain, which all readings share, is left out."""
    drawn = curves_of(labelled, points_of_series("over-time", "time", "luminance"))
    if not drawn:
        return None
    minutes = max(curve.x[-1] for curve in drawn) > LONG
    if minutes:
        drawn = [replace(c, points=[(x / 60, y, u) for x, y, u in c.points]) for c in drawn]
    unit = "min" if minutes else "s"
    paper, axes = axes_for(drawn, x=f"time, {unit}", y="luminance, cd/m²")
    draw_curves(axes, drawn, spread=False)
    for curve, looks in zip(drawn, STYLES, strict=False):
        (_, first, _), (at, last, _) = curve.points[0], curve.points[-1]
        share = 100 * last / first if first > LEAST_LIGHT else 0.0
        if 0 < share < MOST_SHARE:
            axes.annotate(
                f"{plain(round(share))} % of the first", (at, last), (0, 6),
                textcoords="offset points", ha="right", color=looks["color"],
            )  # fmt: skip
    axes.set_ylim(0, max(0.0, *(max(curve.y) for curve in drawn)) * 1.12 or 1)
    return Drawing(
        paper,
        "Luminance over time",
        "Luminance of one picture as it stands, from its first reading on.",
        tuple(each.run.finding for each in drawn),
    )
