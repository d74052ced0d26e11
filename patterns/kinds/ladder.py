"""A ladder: flat steps from one level to another."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame, distinct_rows
from patterns.kinds.base import Pattern
from patterns.kinds.step_marks import DEPTH, strip, unit_of
from patterns.levels import Ink
from patterns.measures import Grey, percent
from patterns.sheet import Box, stack
from patterns.spots import Spot

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
            "steps_box": str(self._box(canvas)),
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
