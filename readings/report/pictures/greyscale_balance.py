"""Greyscale balance: red, green and blue beside each other along the grey."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import compress

from readings.findings.base import Series
from readings.report.pictures.panels import Panel, axes_of, panels_of
from readings.report.pictures.paper import INK, Drawing, Labelled, column, numbers, pairs

CHANNELS = (
    ("red", "R", "#b3261e", "s", (0, (5, 2))),
    ("green", "G", "#1d6b2f", "^", "-"),
    ("blue", "B", "#1f4fa3", "o", (0, (1.5, 1.5))),
)
NAMED = 4
"""Steps that are named where they are left out."""
FROM = 10.0
"""Percent: below it the balance is mostly noise, and would set the axis."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each run, at most two."""
    drawn = panels_of(labelled, "red")
    if not drawn:
        return None
    middle, reach = _reach([series for _, series in drawn])
    most = max(reach, *(_usual(series) for _, series in drawn))
    name_of_axis = "of the target, %" if middle else "from the target, %"
    paper, each_axes = axes_of(drawn, y=name_of_axis, right=0.35)
    for axes, (_, series) in zip(each_axes, drawn, strict=True):
        axes.axhline(middle, color=INK, linewidth=0.9)
        low, top = middle - reach, middle + reach
        ends = []
        drawable = [spread <= most for spread in _spreads(series)]
        for name, letter, colour, mark, line in CHANNELS:
            levels = compress(column(series, "signal"), drawable)
            x, y = pairs(list(levels), list(compress(column(series, name), drawable)))
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
        f"lies beyond the edge is drawn at the edge.{_left_out(drawn, most)}",
        tuple(each.finding for each, _ in drawn),
    )


def _spreads(series: Series) -> list[float]:
    """The largest uncertainty of the three channels at each step, %; 0 where none is known."""
    three = zip(*(numbers(series, name) for name, *_ in CHANNELS), strict=True)
    return [max(number.uncertainty or 0.0 for number in step) for step in three]


def _usual(series: Series) -> float:
    """Twice the uncertainty that steps of 10 % and more have: what a meter has at all of them."""
    signals = column(series, "signal")
    found = [s for x, s in zip(signals, _spreads(series), strict=True) if x is None or x >= FROM]
    return 2 * sorted(found)[(len(found) - 1) // 2] if found else 0.0


def _left_out(drawn: Sequence[Panel], most: float) -> str:
    """Which steps are not drawn, and why."""
    unclear = dict.fromkeys(
        row.label
        for _, series in drawn
        for row, spread in zip(series.rows, _spreads(series), strict=True)
        if spread > most
    )
    if not unclear:
        return ""
    which = ", ".join(unclear) if len(unclear) <= NAMED else f"{len(unclear)} steps"
    return f" Not drawn, for want of a reading that is known within ± {most:.0f} %: {which}."


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
