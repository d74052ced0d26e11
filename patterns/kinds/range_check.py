"""Codes around reference black and white: which of them a display keeps apart."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import ClassVar, Literal

from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.exact import round_ratio
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.quantise import Quantiser
from patterns.sheet import Box, Sheet
from patterns.spots import Spot

DARK = (1, 4, 8, 12, 16, 20, 24, 28)
BRIGHT = (254, 251, 247, 243, 239, 235, 231, 227)
"""Patches from left to right, as codes of 8 bits; 16 and 235 are the ends of narrow range."""

_DARK_MARK, _BRIGHT_MARK = DARK.index(16), BRIGHT.index(235)


class RangeCheck(Pattern):
    """Eight dark patches on reference black, and eight bright ones on reference white.

    A mark stands above the patches at the ends of narrow range (16 and 235 of 8 bits). What is
    seen says how the display takes the signal:

    - Narrow range, taken as narrow: the patches to the left of the mark merge with the ground
      (below black), or, in the bright row, may be brighter than it (above white, where the display
      keeps some in reserve); the marked one is the ground itself; those to the right are seen.
    - Narrow range taken as full: the dark patches to the left of the mark are darker than their
      ground, which is grey, and white is dull.
    - Full range, taken as full: all patches but perhaps the first are seen.
    - Full range taken as narrow: all patches up to the marked one merge with the ground.

    The arrangement is our own. The codes are those of the signal as it is shown, in its depth.
    """

    kind: ClassVar[str] = "range-check"
    summary: ClassVar[str] = "codes beside reference black and white, for range and clipping"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"ends": "black"}, {"ends": "white"})

    ends: Literal["both", "black", "white"] = Parameter(
        "both", description="which end is shown; black alone keeps glare out of the eye"
    )
    mark: Level = Parameter(
        percent(25), description="level of the mark above the patches of codes 16 and 235"
    )

    def layout(self, canvas: Canvas) -> dict[str, Box]:
        """Patches ``dark 1`` to ``bright 8``, their marks, and the ``white`` ground."""
        half = canvas.height // 2
        shown = ["dark", "bright"] if self.ends == "both" else [_row(self.ends)]
        top = (canvas.height - half * len(shown)) // 2
        boxes: dict[str, Box] = {}
        for number, name in enumerate(shown):
            boxes |= _band(name, Box(0, top + number * half, canvas.width, half))
        return boxes

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        boxes = self.layout(canvas).items()
        return {name: Spot.middle_of(box) for name, box in boxes if name[-1].isdigit()}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        quantiser = ink.signal.quantiser
        sheet = Sheet(canvas, ink("black", percent(0)))
        mark = ink("mark", self.mark)
        codes = patch_codes(quantiser)
        layout = self.layout(canvas)
        for name, box in layout.items():
            if name in codes:
                code = codes[name]
                ink.codes[name] = (code, code, code)
                sheet.box(box, ink.codes[name])
            else:
                sheet.box(box, ink("white", percent(100)) if name == "white" else mark)
        facts: dict[str, object] = {
            "range": quantiser.range,
            "codes": {name: code for name, code in codes.items() if name in layout},
        }
        return sheet.frame(ink, facts)


def patch_codes(quantiser: Quantiser) -> dict[str, int]:
    """Codes of the patches by name, in this depth and range.

    Codes of 8 bits c are c << (bits - 8) in narrow range and Round(c (2^bits - 1) / 255) in full.
    In narrow range the first bright patch is the highest code of video data (1019 of 10 bits).
    """
    codes: dict[str, int] = {}
    for name, row in (("dark", DARK), ("bright", BRIGHT)):
        for number, code in enumerate(row, 1):
            if quantiser.range == "narrow":
                codes[f"{name} {number}"] = code << (quantiser.bits - 8)
            else:
                codes[f"{name} {number}"] = round_ratio(code * ((1 << quantiser.bits) - 1), 255)
    if quantiser.range == "narrow":
        codes["bright 1"] = quantiser.highest
    return codes


def _row(end: str) -> str:
    return "dark" if end == "black" else "bright"


def _band(name: str, band: Box) -> dict[str, Box]:
    """A row of patches, its mark and, under the bright ones, the white ground."""
    ground = Box(
        band.x + band.width // 20,
        band.y + band.height // 10,
        band.width - 2 * (band.width // 20),
        band.height - 2 * (band.height // 10),
    )
    boxes = {"white": ground} if name == "bright" else {}
    edges = split(ground.width, len(DARK))
    top, high = ground.y + ground.height // 4, ground.height // 2
    for number, (left, right) in enumerate(pairwise(edges), 1):
        wide = (right - left) * 6 // 10
        x = ground.x + left + (right - left - wide) // 2
        boxes[f"{name} {number}"] = Box(x, top, wide, high)
    marked = boxes[f"{name} {(_DARK_MARK if name == 'dark' else _BRIGHT_MARK) + 1}"]
    thick = max(1, ground.height // 40)
    boxes[f"{name} mark"] = Box(marked.x, top - 4 * thick, marked.width, thick)
    return boxes
