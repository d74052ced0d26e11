"""Light beside a bright box, against the distance from it."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.curves import axes_for, curves_of, draw_curves, points_of_series
from readings.report.pictures.paper import Drawing, Labelled, log_axis


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, on an axis of powers of ten."""
    points = points_of_series("halo", "distance", "luminance", above_zero=True)
    drawn = curves_of(labelled, points)
    if not drawn:
        return None
    paper, axes = axes_for(drawn, x="distance from the box, % of the height", y="luminance, cd/m²")
    axes.set_yscale("log")
    draw_curves(axes, drawn, spread=False)
    log_axis(axes.yaxis)
    return Drawing(
        paper,
        "Halo against distance",
        "Luminance of black beside a bright box, by the distance from its edge. Places that read "
        "0 or less are left out.",
        tuple(each.run.finding for each in drawn),
    )
