"""Luminance while time goes by."""

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
    plain,
    room,
    series_of,
)  # fmt: skip

LEAST, MOST_SHARE = 1e-3, 1000
"""cd/m2 of the first reading from which a share of it says anything, and the largest that does."""
LONG = 600
"""Seconds from which the axis counts in minutes."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture."""
    drawn = []
    for each in labelled:
        series = series_of(each.finding, "over-time")
        if series is None:
            continue
        points = pairs(column(series, "time"), column(series, "luminance"))
        if len(points[0]) > 1:
            drawn.append((each, points))
    drawn = drawn[:MOST]
    if not drawn:
        return None
    minutes = max(max(x) for _, (x, _) in drawn) > LONG
    paper = figure(2.6 + room(len(drawn)))
    axes = axes_on(
        paper,
        x="time, min" if minutes else "time, s",
        y="luminance, cd/m²",
        left=0.72,
        top=room(len(drawn)),
    )
    highest = 0.0
    for place, (each, (seconds, light)) in enumerate(drawn):
        both = sorted(zip(seconds, light, strict=True))
        x = [second / 60 if minutes else second for second, _ in both]
        y = [value for _, value in both]
        axes.plot(x, y, label=each.short, **STYLES[place])
        share = 100 * y[-1] / y[0] if y[0] > LEAST else 0.0
        if 0 < share < MOST_SHARE:
            text = f"{plain(round(share))} % of the first"
            axes.annotate(
                text, (x[-1], y[-1]), (0, 5), textcoords="offset points", ha="right",
                color=STYLES[place]["color"],
            )  # fmt: skip
        highest = max(highest, *y)
    axes.set_ylim(0, highest * 1.12 or 1)
    legend(axes, len(drawn))
    return Drawing(
        paper,
        "Luminance over time",
        "Luminance of one picture as it stands, from its first reading on.",
        tuple(each.finding for each, _ in drawn),
    )
