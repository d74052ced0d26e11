"""A checkerboard of single pixels, or of checks a few pixels wide."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.chroma_lines import carried_at
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import stack


class PixelChecks(Pattern):
    """Checks of whole pixels from the top left corner, over the whole canvas.

    Mapped pixel for pixel it is an even grey from afar and sharp checks under a loupe. Scaled, by
    however little, it shows beats: broad waves or bars that the signal does not have.
    """

    kind: ClassVar[str] = "pixel-checks"
    summary: ClassVar[str] = "a checkerboard of single pixels, for 1:1 mapping and sharpness"
    family: ClassVar[str] = "geometry and path"
    detail: ClassVar[bool] = True
    examples = ({}, {"side": 2, "level": "50 %"})

    side: Annotated[int, Parameter(ge=1)] = Parameter(1, description="side of a check in pixels")
    start: Literal["lit", "dark"] = Parameter("lit", description="the top left check: lit or dark")
    level: Level = Parameter(percent(100), description="level of the lit checks")
    background: Level = Parameter(percent(0), description="level of the dark checks")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        if self.side > min(canvas.width, canvas.height):
            raise PatternError(
                f"A check of {self.side} pixels does not fit on a canvas of {canvas}.",
                ("side",),
            )
        dark, lit = ink("background", self.background), ink("level", self.level)
        pair = np.array([lit, dark] if self.start == "lit" else [dark, lit], np.uint16)
        across = np.arange(canvas.width) // self.side % 2
        down = np.arange(canvas.height) // self.side % 2
        rows = np.stack([pair[across], pair[1 - across]])
        return stack(ink, rows, down, carried_at(dark, lit))
