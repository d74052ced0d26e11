"""Light beside a bright box, against the distance from it."""

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
    log_axis,
    positive,
    room,
    series_of,
)  # fmt: skip


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, on an axis of powers of ten."""
    drawn = []
    for each in labelled:
        series = series_of(each.finding, "halo")
        if series is None:
            continue
        points = positive(column(series, "distance"), column(series, "luminance"))
        if points[0]:
            drawn.append((each, points))
    drawn = drawn[:MOST]
    if not drawn:
        return None
    paper = figure(2.6 + room(len(drawn)))
    axes = axes_on(
        paper,
        x="distance from the box, % of the height",
        y="luminance, cd/m²",
        left=0.72,
        top=room(len(drawn)),
    )
    axes.set_yscale("log")
    for place, (each, points) in enumerate(drawn):
        both = sorted(zip(*points, strict=True))
        x, y = [a for a, _ in both], [b for _, b in both]
        axes.plot(x, y, label=each.short, **STYLES[place])
    log_axis(axes.yaxis)
    legend(axes, len(drawn))
    return Drawing(
        paper,
        "Halo against distance",
        "Luminance of black beside a bright box, by the distance from its edge. Places that read "
        "0 or less are left out.",
        tuple(each.finding for each, _ in drawn),
    )
