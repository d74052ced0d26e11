"""Pictures of the grey in panels above each other, one for each run."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from readings.findings.base import Series
from readings.report.pictures.paper import Labelled, axes_on, column, figure, series_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PANELS = 2
Panel = tuple[Labelled, Series]


def panels_of(labelled: Sequence[Labelled], name: str) -> list[Panel]:
    """The first runs whose greys have numbers in this column, at most PANELS."""
    found = [(each, series_of(each.finding, "greyscale")) for each in labelled]
    return [
        (each, series)
        for each, series in found
        if series and any(value is not None for value in column(series, name))
    ][:PANELS]


def axes_of(drawn: Sequence[Panel], *, y: str, right: float = 0.2) -> tuple[Figure, list[Axes]]:
    """A figure and the axes of each panel, from the top, with the run's name above them."""
    each_high = 2.5 if len(drawn) == 1 else 2.05
    high = 0.4 + each_high * len(drawn)
    paper = figure(high)
    made = []
    for place, (run, _) in enumerate(drawn):
        bottom = high - (place + 1) * each_high + 0.15
        axes = axes_on(
            paper,
            x="signal, %" if place == len(drawn) - 1 else "",
            y=y,
            bottom=bottom,
            top=high - bottom - each_high + 0.5,
            right=right,
        )
        axes.set_title(run.short, loc="left")
        made.append(axes)
    return paper, made
