"""Reference charts: one patch in a window, or the whole chart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.patch import ChartPattern, chart_white
from patterns.picture.canvas import Canvas
from patterns.picture.charts import (
    Adaptation,
    ChartPatch,
    Size,
    chart,
    chart_facts,
    chart_light,
)
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Luminance, percent
from patterns.signal.signal import Codes

_SHAPES: dict[int, tuple[int, int]] = {24: (6, 4), 140: (14, 10)}
"""Columns and rows: known here, so that measuring places need no colour data."""


class OneChartPatch(ChartPattern):
    """One patch of the 24- or 140-patch chart; refused where the signal cannot hold its colour."""

    kind: ClassVar[str] = "chart-patch"
    summary: ClassVar[str] = "one patch of the 24- or 140-patch reference chart"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"patch": 2},
        {"chart": 140, "patch": 39, "adaptation": "cat02"},
    )

    chosen_by = (("patch",), ("chart",))

    chart: Size = Parameter(24, description="patches of the chart: 24 or 140")
    patch: Annotated[int, Parameter(ge=1, le=140)] = Parameter(
        1, description="number of the patch, from left to right, then down"
    )

    @model_validator(mode="after")
    def _on_the_chart(self) -> Self:
        if self.patch > self.chart:
            raise ValueError(
                f"a {self.chart}-patch chart has patches 1 to {self.chart}, not {self.patch}"
            )
        return self

    def patch_of(self) -> ChartPatch:
        return chart(self.chart).patches[self.patch - 1]


class WholeChart(Pattern):
    """All patches of a chart as squares, in the chart's order.

    Squares and gaps are of our own making: the largest that fit, with gaps of an eighth. A patch
    that the signal cannot hold stays at the background and is named in the facts, unless clip asks
    for the nearest that the signal holds.
    """

    kind: ClassVar[str] = "chart"
    summary: ClassVar[str] = "the whole 24- or 140-patch reference chart"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"chart": 140, "background": "20 %"})

    chart: Size = Parameter(24, description="patches of the chart: 24 or 140")
    background: Level = Parameter(percent(0), description="level between and around the patches")
    white: Luminance | None = Parameter(
        None,
        description="luminance of a perfect diffuser; 100 % signal unless given, 203 cd/m2 in PQ, "
        "75 % signal in HLG",
    )
    adaptation: Adaptation = Parameter(
        "bradford", description="from the data's D50 to the signal's white: bradford or cat02"
    )

    def boxes(self, canvas: Canvas) -> list[Box]:
        """The squares, from left to right, then down."""
        columns, rows = _SHAPES[self.chart]
        # a side of 8 and gaps of 1 eighth: columns of them, and a gap at either edge
        side = min(8 * canvas.width // (9 * columns + 1), 8 * canvas.height // (9 * rows + 1))
        gap = max(1, side // 8)
        if side >= 16:  # edges on even pixels, for 4:2:0 to carry the colours
            side, gap = side // 2 * 2, gap // 2 * 2
        across, down = columns * (side + gap) - gap, rows * (side + gap) - gap
        if across > canvas.width or down > canvas.height:
            raise PatternError(
                f"{self.chart} patches do not fit on a canvas of {canvas}.", ("chart",)
            )
        left, top = (canvas.width - across) // 4 * 2, (canvas.height - down) // 4 * 2
        return [
            Box(left + column * (side + gap), top + row * (side + gap), side, side)
            for row in range(rows)
            for column in range(columns)
        ]

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {f"patch {n}": Spot.middle_of(box) for n, box in enumerate(self.boxes(canvas), 1)}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        boxes = self.boxes(canvas)
        white = chart_white(ink, self.white)
        sheet = Sheet(canvas, ink("background", self.background))
        outside: list[int] = []
        for patch, box in zip(chart(self.chart).patches, boxes, strict=True):
            light, _, _ = chart_light(ink.signal, patch, self.adaptation, white)
            clipped = len(ink.clipped)
            try:
                name, strength = f"patch {patch.number}", (("white",),)
                sheet.box(box, ink.light(name, light, str(patch), colour=(), strength=strength))
                held = len(ink.clipped) == clipped
            except PatternError:
                held = False
            if not held:
                outside.append(patch.number)
        facts: dict[str, object] = {"chart": f"{self.chart}-patch chart", "side": boxes[0].width}
        facts |= chart_facts(self.adaptation, white)
        if outside:
            facts["outside"] = outside
        return sheet.frame(ink, facts)


Layout = dict[str, Box]
"""Patches by name, from left to right and down."""


def row(top: int, bottom: int, edges: Sequence[int], names: Sequence[str]) -> Layout:
    """Patches side by side: one name for each gap between two edges, pixels."""
    gaps = pairwise(edges)
    return {
        name: Box(left, top, right - left, bottom - top)
        for name, (left, right) in zip(names, gaps, strict=True)
    }


def painted(canvas: Canvas, ink: Ink, layout: Layout, colours: Mapping[str, Codes]) -> Sheet:
    """A sheet with all patches of the layout; the ink keeps their codes, by patch alone."""
    sheet = Sheet(canvas, colours[next(iter(layout))])
    ink.codes.clear()
    for name, box in layout.items():
        ink.codes[name] = colours[name]
        sheet.box(box, colours[name])
    return sheet


def middles(layout: Layout) -> dict[str, Spot]:
    """The middle of each patch."""
    return {name: Spot.middle_of(box) for name, box in layout.items()}


def wide(canvas: Canvas) -> bool:
    """Whether the canvas is 16:9, for which broadcast bars are laid out."""
    return canvas.width * 9 == canvas.height * 16
