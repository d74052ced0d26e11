"""Greyscale balance: red, green and blue beside each other along the grey."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings.base import Series
from readings.report.pictures.panels import axes_of, panels_of
from readings.report.pictures.paper import INK, Drawing, Labelled, column, pairs

CHANNELS = (
    ("red", "R", "#b3261e", "s", (0, (5, 2))),
    ("green", "G", "#1d6b2f", "^", "-"),
    ("blue", "B", "#1f4fa3", "o", (0, (1.5, 1.5))),
)
FROM = 10.0
"""Percent: below it the balance is mostly noise, and would set the axis."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each run, at most two."""
    drawn = panels_of(labelled, "red")
    if not drawn:
        return None
    middle, reach = _reach([series for _, series in drawn])
    name_of_axis = "of the target, %" if middle else "from the target, %"
    paper, each_axes = axes_of(drawn, y=name_of_axis, right=0.35)
    for axes, (_, series) in zip(each_axes, drawn, strict=True):
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
