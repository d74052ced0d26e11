"""A ladder: flat steps from one level to another."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink
from patterns.measures import Grey, percent
from patterns.sheet import Box, Sheet


class Ladder(Pattern):
    """Steps evenly spaced in signal, each with the correctly rounded code of its own level."""

    kind: ClassVar[str] = "ladder"
    summary: ClassVar[str] = "flat grey steps from one level to another"
    family: ClassVar[str] = "line-up"

    steps: Annotated[int, Parameter(ge=2)] = Parameter(11, description="number of steps")
    start: Grey = Parameter(percent(0), alias="from", description="level of the first step")
    end: Grey = Parameter(percent(100), alias="to", description="level of the last step")
    axis: Literal["x", "y"] = Parameter("x", description="steps side by side (x) or stacked (y)")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side = canvas.width if self.axis == "x" else canvas.height
        if self.steps > side:
            raise PatternError(f"{self.steps} steps do not fit on {side} pixels.")
        greys = ink.between("level", self.start, self.end, self.steps)
        ink.codes.update({f"step {n}": (code, code, code) for n, code in enumerate(greys, 1)})
        widths = np.diff(split(side, self.steps))
        profile = np.repeat(np.array(greys, np.uint16), widths)
        codes = np.stack([profile] * 3, axis=-1)
        sheet = Sheet(canvas, (greys[0], greys[0], greys[0]))
        whole = Box(0, 0, canvas.width, canvas.height)
        if self.axis == "x":
            sheet.across(whole, codes)
        else:
            sheet.down(whole, codes)
        return sheet.frame(ink)
