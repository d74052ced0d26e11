"""Luminance and colour seen from the side."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.paper import (
    MOST,
    STYLES,
    Drawing,
    Labelled,
    axes_on,
    column,
    figure,
    legend,
    pairs,
    room,
    series_of,
)  # fmt: skip


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture."""
    drawn = []
    for each in labelled:
        series = series_of(each.finding, "viewing-angle")
        if series is None:
            continue
        points = pairs(column(series, "angle"), column(series, "loss"))
        if len(points[0]) > 1:
            drawn.append((each, points))
    drawn = drawn[:MOST]
    if not drawn:
        return None
    paper = figure(2.5 + room(len(drawn)))
    axes = axes_on(paper, x="angle, °", y="loss of luminance, %", top=room(len(drawn)))
    for place, (each, points) in enumerate(drawn):
        both = sorted(zip(*points, strict=True))
        axes.plot([a for a, _ in both], [b for _, b in both], label=each.short, **STYLES[place])
    legend(axes, len(drawn))
    return Drawing(
        paper,
        "Viewing angle",
        "Loss of luminance against straight ahead.",
        tuple(each.finding for each, _ in drawn),
    )
