"""The zones that were counted, and the presses that they were counted by, on the screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from readings.evidence.measured import Measured
from readings.findings import Finding
from readings.report.pictures.paper import INK, LINE, SOFT, Drawing, Labelled, axes_on, figure

if TYPE_CHECKING:
    from matplotlib.axes import Axes

SHOWN = 200
"""Zones along one axis that are drawn; more would be a grey surface."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """The first run whose columns or rows are counted, or that has presses."""
    for each in labelled:
        mine = [reading for reading in each.readings if reading.presses]
        columns, rows = (_count(each.finding, f"zone-{way}") for way in ("columns", "rows"))
        if mine or columns or rows:
            return _drawing(each, mine, columns, rows)
    return None


def _count(finding: Finding, name: str) -> int | None:
    value = finding.value(name)
    return None if value is None or value.value is None else int(value.value)


def _drawing(
    each: Labelled, mine: Sequence[Measured], columns: int | None, rows: int | None
) -> Drawing:
    width, height = mine[0].canvas if mine else (16, 9)
    paper = figure(0.95 + 3.6 * height / width)
    axes = axes_on(paper, x="", y="", left=0.55, right=0.3, bottom=0.45, top=0.42)
    axes.set_title(each.short, loc="left", pad=9)
    axes.set(xlim=(0, width), ylim=(height, 0), xticks=[], yticks=[])
    axes.grid(visible=False)
    for side in ("top", "right"):
        axes.spines[side].set_visible(True)
    if columns and columns <= SHOWN:
        lines = [width * n / columns for n in range(1, columns)]
        axes.vlines(lines, 0, height, color=LINE, linewidth=0.6)
    if rows and rows <= SHOWN:
        lines = [height * n / rows for n in range(1, rows)]
        axes.hlines(lines, 0, width, color=LINE, linewidth=0.6)
    _presses(axes, mine, width, height)
    axes.annotate(
        f"{columns} columns" if columns else "columns not certain",
        (0.5, 0), xycoords="axes fraction", xytext=(0, -16), textcoords="offset points",
        ha="center", va="top",
    )  # fmt: skip
    axes.annotate(
        f"{rows} rows" if rows else "rows not certain",
        (0, 0.5), xycoords="axes fraction", xytext=(-16, 0), textcoords="offset points",
        ha="right", va="center", rotation=90,
    )  # fmt: skip
    return Drawing(
        paper,
        "Dimming zones",
        "The screen with the boundaries of the zones as they follow from the count, evenly spaced"
        + (
            ", and outside it where the box was at each press of the operator: one row of strokes "
            "for each direction of the box."
            if mine
            else "."
        ),
        (each.finding,),
    )


def _presses(axes: Axes, mine: Sequence[Measured], width: int, height: int) -> None:
    """Strokes below and left of the screen, forwards (dark) nearer to it than backwards."""
    for axis in ("horizontal", "vertical"):
        for away, direction in enumerate(("forward", "backward")):
            at = [
                press.position_px
                for reading in mine
                for press in reading.presses
                if press.axis == axis and press.direction == direction
            ]
            looks: dict[str, Any] = {"linewidth": 0.8, "clip_on": False}
            looks["color"] = SOFT if away else INK
            if axis == "horizontal":
                low = height * (1.02 + 0.035 * away)
                axes.vlines(at, low, low + height * 0.028, **looks)
            else:
                low = -width * (0.012 + 0.02 * away)
                axes.hlines(at, low - width * 0.016, low, **looks)
