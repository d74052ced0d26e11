"""Coloured lines one and two pixels wide: whether the path halves the resolution of colour."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Mix
from patterns.measures import Grey, percent
from patterns.sheet import Box, stack
from patterns.signal import Codes
from patterns.spots import Spot

CHANNELS = {
    "black": (0, 0, 0),
    "white": (1, 1, 1),
    "red": (1, 0, 0),
    "green": (0, 1, 0),
    "blue": (0, 0, 1),
    "magenta": (1, 0, 1),
}
PAIRS = {
    "white-black": ("white", "black"),
    "red-black": ("red", "black"),
    "blue-black": ("blue", "black"),
    "red-blue": ("red", "blue"),
    "green-magenta": ("green", "magenta"),
}
"""Colour of the lines, and what they stand on."""

GROUPS: tuple[tuple[Literal["vertical", "horizontal"], int], ...] = (
    ("vertical", 1),
    ("vertical", 2),
    ("horizontal", 1),
    ("horizontal", 2),
)
"""Groups from the top down: which way their lines run, and how many pixels wide they are."""


def carried_at(*colours: Codes) -> dict[str, object]:
    """The fact ``needs: 4:4:4`` where fine detail in these colours is not all grey.

    Grey detail lives in luma, which every sampling carries whole; colour does not.
    """
    grey = all(red == green == blue for red, green, blue in colours)
    return {} if grey else {"needs": "4:4:4"}


class ChromaLines(Pattern):
    """Groups of lines by colour pair (across) and by direction and width (down).

    The arrangement is our own. Lines and gaps are equally wide, and every group starts on an even
    pixel in both axes. What a path leaves of them:

    - 4:4:4: all groups sharp. From afar, the four groups of a pair are equally bright.
    - 4:2:2 (colour halved across): vertical lines of one pixel lose their colour, and from afar
      that group is darker than the others of its pair (the green and magenta one: another grey).
      Lines of two pixels keep theirs or smear at their edges; horizontal ones stay sharp.
    - 4:2:0 (halved both ways): so do the horizontal lines of one pixel.

    The white and black pair is the control: it stays sharp in all of them, and where it does not,
    the picture is scaled.
    """

    kind: ClassVar[str] = "chroma-lines"
    summary: ClassVar[str] = "coloured lines one and two pixels wide, for chroma subsampling"
    family: ClassVar[str] = "geometry and path"
    detail: ClassVar[bool] = True
    examples = ({}, {"pair": "red-blue", "level": "75 %"})

    pair: Literal["all", "white-black", "red-black", "blue-black", "red-blue", "green-magenta"] = (
        Parameter("all", description="colour of the lines and what they stand on; all side by side")
    )
    level: Grey = Parameter(percent(100), description="level of the channels that are lit")

    @property
    def pairs(self) -> list[str]:
        """The pairs shown, from left to right."""
        return list(PAIRS) if self.pair == "all" else [self.pair]

    def boxes(self, canvas: Canvas) -> dict[tuple[str, str, int], Box]:
        """The groups by pair, direction and width of their lines."""
        across, down = _places(canvas.width, len(self.pairs)), _places(canvas.height, len(GROUPS))
        return {
            (pair, direction, width): Box(x, y, wide, high)
            for pair, (x, wide) in zip(self.pairs, across, strict=True)
            for (direction, width), (y, high) in zip(GROUPS, down, strict=True)
        }

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        """Such as ``red-black vertical 1``."""
        return {
            f"{pair} {direction} {width}": Spot.middle_of(box)
            for (pair, direction, width), box in self.boxes(canvas).items()
        }

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        boxes = self.boxes(canvas)
        used = {name for pair in self.pairs for name in PAIRS[pair]} | {"black"}
        inks = {
            name: ink(name, self._colour(name), ("level",)) for name in CHANNELS if name in used
        }
        # row 0 is black; each group has two rows, alike where its lines are vertical
        rows = np.empty((1 + 2 * len(GROUPS), canvas.width, 3), np.uint16)
        rows[:] = inks["black"]
        order = np.zeros(canvas.height, np.intp)
        for number, (direction, width) in enumerate(GROUPS):
            first = 1 + 2 * number
            for pair in self.pairs:
                box = boxes[pair, direction, width]
                line, ground = (inks[name] for name in PAIRS[pair])
                two = np.array([line, ground], np.uint16)
                if direction == "vertical":
                    rows[first, box.x : box.right] = two[_in_turn(box.width, width)]
                else:
                    rows[first : first + 2, box.x : box.right] = two[:, None]
                order[box.y : box.bottom] = first + (
                    0 if direction == "vertical" else _in_turn(box.height, width)
                )
        return stack(ink, rows, order, carried_at(*inks.values()))

    def _colour(self, name: str) -> Mix:
        dark = percent(0)
        red, green, blue = (self.level if on else dark for on in CHANNELS[name])
        return Mix(r=red, g=green, b=blue)


def _in_turn(length: int, width: int) -> NDArray[np.intp]:
    """0 and 1 in turn, each ``width`` pixels long."""
    return np.arange(length) // width % 2


def _places(side: int, count: int) -> list[tuple[int, int]]:
    """Start and length of groups along a side: the middle 80 % of even parts.

    Starts are even and lengths multiples of 4, so that all groups hold whole cycles and meet the
    pairs of 4:2:2 and 4:2:0 alike. The smallest canvas, 64 pixels, leaves two cycles in a group.
    """
    edges = split(side, count)
    places = []
    for start, end in pairwise(edges):
        length = (end - start) * 8 // 10 // 4 * 4
        places.append(((start + (end - start - length) // 2) // 2 * 2, length))
    return places
