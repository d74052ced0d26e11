"""What the two pictures of the EOTF share: measured steps, targets and the reference curve."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from readings.report.pictures.curves import Curve, Point, curves_of, draw_curves, points_of_series
from readings.report.pictures.paper import TARGET, Labelled, axes_on, figure, room

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

NAMES = ("tone", "greyscale", "near-black")
"""Series with steps; of several with as many, the first."""
BENT = TARGET | {"linestyle": (0, (1, 1.5)), "linewidth": 1.0}


@dataclass(frozen=True, slots=True)
class Track:
    """One run's steps: signal in % and luminances in cd/m2, all above 0."""

    read: Curve
    target: list[Point]
    bent: list[Point]
    """The reference curve of BT.2390 for this display, where the finding has one."""


def tracks_of(labelled: Sequence[Labelled]) -> list[Track]:
    """The runs with steps; of several findings of one run, the one with most."""
    best: dict[int, Track] = {}
    for name in NAMES:
        reads, aims, bends = (
            points_of_series(name, "signal", column, above_zero=True)
            for column in ("luminance", "target-luminance", "reference-curve-luminance")
        )
        for each in labelled:
            run = each.finding.run
            for curve in curves_of([each], reads):
                if run not in best or len(best[run].read.points) < len(curve.points):
                    aim, bent = sorted(aims(each.finding)), sorted(bends(each.finding))
                    best[run] = Track(curve, aim, bent)
    return [best[run] for run in dict.fromkeys(e.finding.run for e in labelled) if run in best]


def axes_for_tracks(drawn: Sequence[Track]) -> tuple[Figure, Axes]:
    """A figure with room above its axes for the names of all lines."""
    above = room(len(drawn) + 1 + any(each.bent for each in drawn))
    paper = figure(2.75 + above)
    axes = axes_on(paper, x="signal, %", y="luminance, cd/m²", left=0.72, top=above)
    axes.set_xlim(0, 104)
    return paper, axes


def draw_tracks(
    axes: Axes,
    drawn: Sequence[Track],
    scale: Callable[[Iterable[float]], list[float]] = list,
) -> float:
    """Draw them; the highest place of all is given back."""
    top = 0.0
    named = set()
    for each in drawn:
        for points, looks, name in (
            (each.target, TARGET, "target"),
            (each.bent, BENT, "BT.2390 curve"),
        ):
            if points:
                heights = scale(y for _, y, _ in points)
                label = None if name in named else name
                axes.plot([x for x, _, _ in points], heights, label=label, **looks)
                named.add(name)
                top = max(top, *heights)
    curves = []
    for each in drawn:
        heights = scale(each.read.y)
        points = [(x, y, 0.0) for x, y in zip(each.read.x, heights, strict=True)]
        curves.append(replace(each.read, points=points))
        top = max(top, *heights)
    draw_curves(axes, curves, spread=False)
    return top


def says(drawn: Sequence[Track]) -> str:
    """How to read it."""
    bent = any(each.bent for each in drawn)
    return (
        "Luminance read at each signal level (marks), and the target for the codes that were shown "
        "(thin and dashed, without marks)"
        + (", and the curve by which BT.2390 would fit the signal to this display (dotted)." * bent)
        + ("" if bent else ".")
        + " Steps that read 0 or less are left out."
    )
