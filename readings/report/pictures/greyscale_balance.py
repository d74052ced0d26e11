"""Greyscale balance: red, green and blue beside each other along the grey."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings.base import Series
from readings.report.pictures.paper import (
    INK,
    Drawing,
    Labelled,
    axes_on,
    column,
    figure,
    pairs,
    series_of,
)  # fmt: skip

CHANNELS = (
    ("red", "R", "#b3261e", "s", (0, (5, 2))),
    ("green", "G", "#1d6b2f", "^", "-"),
    ("blue", "B", "#1f4fa3", "o", (0, (1.5, 1.5))),
)
PANELS = 2
FROM = 10.0
"""Percent: below it the balance is mostly noise, and would set the axis."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each run, at most two."""
    drawn = []
    for each in labelled:
        series = series_of(each.finding, "greyscale")
        if series and any(value is not None for value in column(series, "red")):
            drawn.append((each, series))
    drawn = drawn[:PANELS]
    if not drawn:
        return None
    each_high = 2.5 if len(drawn) == 1 else 1.95
    paper = figure(0.35 + each_high * len(drawn))
    high = paper.get_size_inches()[1]
    middle, reach = _reach([series for _, series in drawn])
    for place, (each, series) in enumerate(drawn):
        bottom = high - (place + 1) * each_high - 0.05 + 0.2
        axes = axes_on(
            paper,
            x="signal, %" if place == len(drawn) - 1 else "",
            y="of the target, %" if middle else "from the target, %",
            bottom=bottom,
            top=high - bottom - each_high + 0.45,
            right=0.35,
        )
        axes.set_title(each.short, loc="left")
        axes.axhline(middle, color=INK, linewidth=0.9)
        low, top = middle - reach, middle + reach
        ends = []
        for name, letter, colour, mark, line in CHANNELS:
            x, y = pairs(column(series, "signal"), column(series, name))
            if not x:
                continue
            y = [min(max(value, low), top) for value in y]
            axes.plot(x, y, color=colour, marker=mark, linestyle=line, clip_on=False)
            ends.append((y[-1], letter, colour))
        free = low
        for y_end, letter, colour in sorted(ends):
            at = max(y_end, free)
            axes.annotate(
                letter, (101, at), (6, 0), textcoords="offset points", color=colour, va="center",
                weight="bold", annotation_clip=False,
            )  # fmt: skip
            free = at + 0.2 * reach
        axes.set_ylim(low, top)
        axes.set_xlim(0, 102)
    return Drawing(
        paper,
        "Greyscale balance",
        "Red (squares), green (triangles) and blue (circles) at each grey, against what the target "
        "white needs of each at that luminance; on the line in the middle grey is neutral. What "
        "lies beyond the edge is drawn at the edge.",
        tuple(each.finding for each, _ in drawn),
    )


def _reach(found: Sequence[Series]) -> tuple[float, float]:
    """The middle, and how far the axis goes from it: for steps of 10 % and more."""
    values = [
        value
        for series in found
        for name, *_ in CHANNELS
        for signal, value in zip(
            *pairs(column(series, "signal"), column(series, name)), strict=True
        )
        if signal >= FROM
    ] or [100.0]
    middle = 100.0 if sorted(values)[len(values) // 2] > 50 else 0.0
    reach = max(abs(value - middle) for value in values)
    return middle, min(max(1.15 * reach, 5.0), 60.0)
