"""How far the greys of two runs or visits lie off the signal's curve, in one picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from readings.report.pictures.curves import axes_for, curves_of, draw_curves, points_of_series
from readings.report.pictures.paper import INK, Drawing, Labelled

LEAST_REACH, MOST_REACH = 5.0, 30.0
"""Percent that the axis reaches on either side."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture."""
    curves = curves_of(labelled, points_of_series("greyscale", "signal", "eotf-error"))
    if not curves:
        return None
    reach = min(max(LEAST_REACH, *(1.15 * abs(y) for curve in curves for y in curve.y)), MOST_REACH)
    shown = [
        replace(curve, points=[(x, min(max(y, -reach), reach), u) for x, y, u in curve.points])
        for curve in curves
    ]
    paper, axes = axes_for(shown, x="signal, %", y="luminance off target, %")
    axes.axhline(0, color=INK, linewidth=0.9)
    axes.set_ylim(-reach, reach)
    axes.set_xlim(0, 104)
    draw_curves(axes, shown)
    return Drawing(
        paper,
        "EOTF: luminance off target",
        "How much brighter (above the line in the middle) or darker each grey is than the signal's "
        "curve wants it, with its expanded uncertainty. What lies beyond the edge is drawn at the "
        "edge.",
        tuple(curve.run.finding for curve in curves),
    )
