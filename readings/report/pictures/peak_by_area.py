"""Luminance against the lit area."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from readings.findings import Finding
from readings.report.pictures.curves import Point, axes_for, curves_of, draw_curves
from readings.report.pictures.paper import Drawing, Labelled, plain

TICKS = (1, 2, 5, 10, 25, 50, 100)


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, with the spread of each reading."""
    drawn = curves_of(labelled, _windows)
    if not drawn:
        return None
    paper, axes = axes_for(drawn, x="lit area, % of the screen", y="luminance, cd/m²")
    axes.set_xscale("log")
    draw_curves(axes, drawn)
    least = min(curve.x[0] for curve in drawn)
    ticks = [tick for tick in TICKS if tick >= least * 0.9]
    axes.set_xticks(ticks, [plain(tick) for tick in ticks])
    axes.set_xticks([], minor=True)
    axes.set_xlim(least * 0.85, 118)
    axes.set_ylim(0, None)
    return Drawing(
        paper,
        "Peak luminance by window area",
        "Luminance in white windows of several areas, with its expanded uncertainty.",
        tuple(each.run.finding for each in drawn),
    )


def _windows(finding: Finding) -> Iterator[Point]:
    for value in finding.values:
        area = value.where.get("area_percent")
        if value.name != "window-luminance" or value.value is None:
            continue
        if isinstance(area, (int, float)) and area > 0:
            yield float(area), value.value, value.uncertainty or 0.0
