"""A ladder: flat steps from one level to another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import count, pairwise
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas, split
from patterns.picture.digits import strokes
from patterns.picture.frame import Frame, distinct_rows
from patterns.picture.sheet import Box, Sheet, stack
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink
from patterns.signal.measures import Grey, percent

CHANNELS = {
    "white": (1, 1, 1),
    "red": (1, 0, 0),
    "green": (0, 1, 0),
    "blue": (0, 0, 1),
    "cyan": (0, 1, 1),
    "magenta": (1, 0, 1),
    "yellow": (1, 1, 0),
}


class Ramp(Pattern):
    """Linear in signal from edge to edge; the first and the last pixel have the end levels."""

    kind: ClassVar[str] = "ramp"
    summary: ClassVar[str] = "a smooth run of levels from one edge to the other"
    family: ClassVar[str] = "geometry and path"

    start: Grey = Parameter(percent(0), alias="from", description="level at the left or top edge")
    end: Grey = Parameter(percent(100), alias="to", description="level at the right or bottom edge")
    axis: Literal["x", "y"] = Parameter("x", description="runs across (x) or down (y)")
    channel: Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "white", description="which channels run; the others stay at 0 %"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side = canvas.width if self.axis == "x" else canvas.height
        greys = np.array(ink.between("level", self.start, self.end, side), np.uint16)
        black = ink("background", percent(0))
        used = CHANNELS[self.channel]
        ends = ((int(greys[0]), "from"), (int(greys[-1]), "to"))
        for code, name in ends:
            red, green, blue = (code if on else black[0] for on in used)
            ink.codes[name] = (red, green, blue)
        codes = np.stack([greys if on else np.full(side, black[0], np.uint16) for on in used], -1)
        sheet = Sheet(canvas, black)
        whole = Box(0, 0, canvas.width, canvas.height)
        if self.axis == "x":
            sheet.across(whole, codes)
        else:
            sheet.down(whole, codes)
        return sheet.frame(ink)


Mask = NDArray[np.bool_]

TICK, GAP, TALL, FREE = 3, 1, 5, 2
"""From the steps outwards along x: tick, gap, figures, and what stays free at the border."""
WIDE = 3
"""Dots that a figure is wide."""
DEPTH = {"x": TICK + GAP + TALL + FREE, "y": TICK + GAP + 4 * 4 - 1 + FREE}
"""Depth of a strip: under steps side by side, and beside stacked ones (four figures wide)."""


def unit_of(side: int) -> int:
    """Pixels of a unit on a canvas whose shorter side has so many."""
    return max(1, side // 270)


def strip(edges: Sequence[int], axis: Literal["x", "y"], unit: int, *, after: bool) -> Mask:
    """The strip after (below, right of) the steps or before them; True where there is a mark.

    ``edges`` are those of the steps along the axis, from 0 to its length in pixels. The mask is
    (depth, length) for x and (length, depth) for y.
    """
    length, depth = edges[-1], DEPTH[axis] * unit
    mask = np.zeros((depth, length) if axis == "x" else (length, depth), np.bool_)
    # along the axis, and from the steps outwards
    inner = slice(0, TICK * unit) if after else slice(depth - TICK * unit, depth)
    for start, end in _ticks(edges, unit):
        mask[(inner, slice(start, end)) if axis == "x" else (slice(start, end), inner)] = True
    for number in _numbered(edges, axis, unit):
        dots = figures(number, unit)
        high, wide = dots.shape
        along, out = (wide, high) if axis == "x" else (high, wide)
        if out + (TICK + GAP) * unit > depth:
            continue
        start = min(max((edges[number - 1] + edges[number] - along) // 2, 0), length - along)
        away = (TICK + GAP) * unit if after else depth - (TICK + GAP) * unit - out
        top, left = (away, start) if axis == "x" else (start, away)
        mask[top : top + high, left : left + wide] |= dots
    return mask


def figures(number: int, unit: int) -> Mask:
    """A number in figures of 3 by 5 dots, a dot apart."""
    text = str(number)
    dots = np.zeros((TALL, (WIDE + 1) * len(text) - 1), np.bool_)
    for place, digit in enumerate(text):
        for stroke in strokes(int(digit), WIDE, TALL):
            left = (WIDE + 1) * place + stroke.x
            dots[stroke.y : stroke.bottom, left : left + stroke.width] = True
    return np.repeat(np.repeat(dots, unit, axis=0), unit, axis=1)


def _ticks(edges: Sequence[int], unit: int) -> Iterator[tuple[int, int]]:
    """Start and end of each tick along the axis; none where steps are narrower than four."""
    thick = max(1, unit // 2)
    if min(end - start for start, end in pairwise(edges)) < 4 * thick:
        return
    for edge in edges:
        start = min(max(edge - thick // 2, 0), edges[-1] - thick)
        yield start, start + thick


def _numbered(edges: Sequence[int], axis: Literal["x", "y"], unit: int) -> range:
    """The steps that have their numbers: all, or every 2nd, 5th, 10th ... from the first."""
    steps = len(edges) - 1
    along = (4 * len(str(steps)) - 1 if axis == "x" else TALL) + 2 * GAP
    strides = (base * 10**tens for tens in count() for base in (1, 2, 5))
    stride = next(each for each in strides if each * edges[-1] >= steps * along * unit)
    return range(1, steps + 1, stride)


MARK = percent(25)


class Ladder(Pattern):
    """Steps evenly spaced in signal, each with the correctly rounded code of its own level.

    With marks, black strips along two borders hold a tick at every edge and the numbers of the
    steps at 25 %; the steps themselves stay clean.
    """

    kind: ClassVar[str] = "ladder"
    summary: ClassVar[str] = "flat grey steps from one level to another"
    family: ClassVar[str] = "line-up"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {},
        {"marks": True},
        {"steps": 21, "from": "100 %", "to": "0 %", "axis": "y", "marks": True},
    )

    steps: Annotated[int, Parameter(ge=2)] = Parameter(11, description="number of steps")
    start: Grey = Parameter(percent(0), alias="from", description="level of the first step")
    end: Grey = Parameter(percent(100), alias="to", description="level of the last step")
    axis: Literal["x", "y"] = Parameter("x", description="steps side by side (x) or stacked (y)")
    marks: bool = Parameter(
        False, description="ticks and step numbers in strips outside the steps (true or false)"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        edges = self._edges(canvas)
        greys = ink.between("level", self.start, self.end, self.steps)
        ink.codes.update({f"step {n}": (code, code, code) for n, code in enumerate(greys, 1)})
        profile = np.repeat(np.array(greys, np.uint16), np.diff(edges))
        sideways = self.axis == "x"
        if not self.marks:
            if sideways:
                order, grey = np.zeros(canvas.height, np.uint16), profile[None]
            else:
                order = np.repeat(np.arange(self.steps, dtype=np.uint16), np.diff(edges))
                grey = np.repeat(np.array(greys, np.uint16)[:, None], canvas.width, axis=1)
            return stack(ink, np.stack([grey] * 3, axis=-1), order)
        black, mark = ink("strip", percent(0))[0], ink("mark", MARK)[0]
        unit = unit_of(min(canvas.width, canvas.height))
        before, after = (
            np.where(strip(edges, self.axis, unit, after=after), mark, black).astype(np.uint16)
            for after in (False, True)
        )
        if sideways:
            clean = canvas.height - len(before) - len(after)
            grey = np.concatenate([before, profile[None], after])
            repeats = [*[1] * len(before), clean, *[1] * len(after)]
            order = np.repeat(np.arange(len(grey), dtype=np.uint16), repeats)
        else:
            # a row by its two strips and its step; most are alike
            keys = np.concatenate([before, after, profile[:, None]], axis=1)
            keys, order = distinct_rows(keys)
            depth = before.shape[1]
            middle = np.repeat(keys[:, -1:], canvas.width - 2 * depth, axis=1)
            grey = np.concatenate([keys[:, :depth], middle, keys[:, depth:-1]], axis=1)
        facts: dict[str, object] = {
            "steps_box": self._box(canvas).describe(),
            "marks": "ticks and step numbers outside the steps; geometry of our own",
        }
        return stack(ink, np.stack([grey] * 3, axis=-1), order, facts)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        whole, edges = self._box(canvas), self._edges(canvas)
        boxes = [
            Box(start, whole.y, end - start, whole.height)
            if self.axis == "x"
            else Box(whole.x, start, whole.width, end - start)
            for start, end in pairwise(edges)
        ]
        return {f"step {n}": Spot.middle_of(box) for n, box in enumerate(boxes, 1)}

    def _edges(self, canvas: Canvas) -> list[int]:
        side = canvas.width if self.axis == "x" else canvas.height
        if self.steps > side:
            raise PatternError(f"{self.steps} steps do not fit on {side} pixels.", ("steps",))
        return split(side, self.steps)

    def _box(self, canvas: Canvas) -> Box:
        """What all steps take together."""
        unit = unit_of(min(canvas.width, canvas.height))
        depth = DEPTH[self.axis] * unit if self.marks else 0
        if self.axis == "x":
            return Box(0, depth, canvas.width, canvas.height - 2 * depth)
        return Box(depth, 0, canvas.width - 2 * depth, canvas.height)
