"""Named rectangles in rows, for pictures that are made up of many flat patches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from patterns.canvas import Canvas
from patterns.levels import Ink
from patterns.sheet import Box, Sheet
from patterns.signal import Codes
from patterns.spots import Spot

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
