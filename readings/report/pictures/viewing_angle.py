"""Luminance and colour seen from the side."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.curves import axes_for, curves_of, draw_curves, points_of_series
from readings.report.pictures.paper import Drawing, Labelled


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture."""
    drawn = curves_of(labelled, points_of_series("viewing-angle", "angle", "loss"))
    if not drawn:
        return None
    paper, axes = axes_for(drawn, x="angle, °", y="loss of luminance, %")
    draw_curves(axes, drawn)
    return Drawing(
        paper,
        "Viewing angle",
        "Loss of luminance against straight ahead, with its expanded uncertainty.",
        tuple(each.run.finding for each in drawn),
    )
