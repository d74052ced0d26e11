"""Curves of several runs in one picture: which runs have one, and how they are drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from readings.findings import Finding
from readings.report.pictures.paper import (
    INK,
    MOST_RUNS,
    STYLES,
    Labelled,
    axes_on,
    column,
    figure,
    legend,
    numbers,
    room,
    series_of,
)  # fmt: skip

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Point = tuple[float, float, float]
"""Where, how much, and its expanded uncertainty; 0 where that is not known."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One run's curve, from left to right."""

    run: Labelled
    points: list[Point]

    @property
    def x(self) -> list[float]:
        return [x for x, _, _ in self.points]

    @property
    def y(self) -> list[float]:
        return [y for _, y, _ in self.points]


def curves_of(
    labelled: Sequence[Labelled], points_of: Callable[[Finding], Iterable[Point]]
) -> list[Curve]:
    """The curves of the first runs that have one: two points at least, MOST_RUNS runs at most."""
    found = [Curve(each, sorted(points_of(each.finding))) for each in labelled]
    return [curve for curve in found if len(curve.points) > 1][:MOST_RUNS]


def points_of_series(
    name: str, x: str, y: str, *, above_zero: bool = False
) -> Callable[[Finding], list[Point]]:
    """What gives the points of two columns; without those of 0 or less for a log axis."""

    def points(finding: Finding) -> list[Point]:
        series = series_of(finding, name)
        if series is None:
            return []
        return [
            (place, number.value, number.uncertainty or 0.0)
            for place, number in zip(column(series, x), numbers(series, y), strict=True)
            if place is not None and number.value is not None
            if number.value > 0 or not above_zero
        ]

    return points


def axes_for(curves: Sequence[Curve], *, x: str, y: str, high: float = 2.6) -> tuple[Figure, Axes]:
    """A figure with room above its axes for the name of every curve; `high` inches without it."""
    above = room(len(curves))
    paper = figure(high + above)
    return paper, axes_on(paper, x=x, y=y, left=0.72, top=above)


def draw_curves(axes: Axes, curves: Sequence[Curve], *, spread: bool = True) -> None:
    """Draw them with their marks, lines and names, and where asked with their uncertainty."""
    for curve, looks in zip(curves, STYLES, strict=False):
        if spread and any(each for _, _, each in curve.points):
            axes.errorbar(
                curve.x, curve.y, [each for _, _, each in curve.points], label=curve.run.short,
                ecolor=INK, elinewidth=0.7, capsize=2, capthick=0.7, **looks,
            )  # fmt: skip
        else:
            axes.plot(curve.x, curve.y, label=curve.run.short, **looks)
    legend(axes, len(curves))
