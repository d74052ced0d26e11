"""A ramp: every pixel its own level between two."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink
from patterns.measures import Grey, percent
from patterns.sheet import Box, Sheet

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
