"""A ramp that steps through single codes, each of them equally wide."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.ladder import CHANNELS
from patterns.picture.canvas import Canvas, split
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet, stack
from patterns.picture.spots import Spot
from patterns.signal.exact import round_ratio
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Grey, percent
from patterns.signal.quantise import Quantiser


class CodeRamp(Pattern):
    """Every code from one level to another, once each, in steps of one code and equal width.

    Where the steps do not fit beside each other, they go on in the next row from the left, as
    writing does. What is left of the canvas at either side, and after the last step, is black.
    An error in one code of a path, or a lost one, shows as a step that is missing or out of place.
    """

    kind: ClassVar[str] = "code-ramp"
    summary: ClassVar[str] = "every code from one level to another, one step each"
    family: ClassVar[str] = "geometry and path"
    examples = (
        {},
        {"from": "0 %", "to": "10 %", "back": True},
        {"from": "60 %", "to": "40 %", "step": 8, "channel": "green"},
    )

    start: Grey = Parameter(percent(0), alias="from", description="level of the first step")
    end: Grey = Parameter(percent(100), alias="to", description="level of the last step")
    step: Annotated[int, Parameter(ge=1)] | None = Parameter(
        None, description="width of a step in pixels; as wide as fits in one row if left out"
    )
    back: bool = Parameter(
        False, description="the same again below, from right to left, so that both ways are seen"
    )
    channel: Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "white", description="which channels run; the others stay at 0 %"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        black = ink("background", percent(0))[0]
        first, last = ink("from", self.start)[0], ink("to", self.end)[0]
        codes = np.arange(first, last + 1) if first <= last else np.arange(first, last - 1, -1)
        step = self.step or max(1, canvas.width // len(codes))
        in_row = min(len(codes), canvas.width // step)
        if in_row == 0:
            raise PatternError(
                f"A step of {step} pixels does not fit on a canvas of {canvas}.", ("step",)
            )
        count = -(-len(codes) // in_row)
        bands = count * (2 if self.back else 1)
        if bands > canvas.height:
            fewest = -(-len(codes) // canvas.width) * (2 if self.back else 1)
            raise PatternError(
                f"{len(codes)} codes in steps of {step} pixels need {bands} rows, and a canvas of "
                f"{canvas} has {canvas.height}.",
                # steps of one pixel need the fewest rows
                *([("step",)] if fewest <= canvas.height else []),
                *(("from",), ("to",), ("back",)),
            )
        greys = np.full(count * in_row, black, np.uint16)
        greys[: len(codes)] = codes
        profile = np.repeat(greys.reshape(count, in_row), step, axis=1)
        if self.back:
            profile = np.concatenate([profile, profile[:, ::-1]])
        rows = np.full((bands, canvas.width, 3), black, np.uint16)
        left = (canvas.width - in_row * step) // 2
        used = CHANNELS[self.channel]
        for channel in np.flatnonzero(used):
            rows[:, left : left + in_row * step, channel] = profile
        for name, code in (("from", first), ("to", last)):
            red, green, blue = (code if on else black for on in used)
            ink.codes[name] = (red, green, blue)
        order = np.repeat(np.arange(bands), np.diff(split(canvas.height, bands)))
        facts: dict[str, object] = {
            "codes": [first, last],
            "step_px": step,
            "steps_in_a_row": in_row,
            "rows": bands,
        }
        return stack(ink, rows, order, facts)


DARK = (1, 4, 8, 12, 16, 20, 24, 28)
BRIGHT = (254, 251, 247, 243, 239, 235, 231, 227)
"""Patches from left to right, as codes of 8 bits; 16 and 235 are the ends of narrow range."""
RangePatch = Literal[
    "dark 1", "dark 2", "dark 3", "dark 4", "dark 5", "dark 6", "dark 7", "dark 8",
    "bright 1", "bright 2", "bright 3", "bright 4", "bright 5", "bright 6", "bright 7", "bright 8",
]  # fmt: skip
ALONE = 3
"""A patch alone has this part of the width and of the height."""

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

    For a meter there is one patch alone, in the middle of the canvas on black: what is read of
    several, one after the other, then differs by their codes, and not by where they stand.

    The arrangement is our own. The codes are those of the signal as it is shown, in its depth.
    """

    kind: ClassVar[str] = "range-check"
    summary: ClassVar[str] = "codes beside reference black and white, for range and clipping"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"ends": "black"}, {"ends": "white"}, {"alone": "bright 6"})

    ends: Literal["both", "black", "white"] = Parameter(
        "both", description="which end is shown; black alone keeps glare out of the eye"
    )
    alone: RangePatch | None = Parameter(
        None, description="one patch alone, in the middle on black, for a meter; without ends"
    )
    mark: Level = Parameter(
        percent(25), description="level of the mark above the patches of codes 16 and 235"
    )

    @model_validator(mode="after")
    def _one_arrangement(self) -> Self:
        if self.alone is not None and self.ends != "both":
            raise ValueError("a range check has ends or a patch alone, not both")
        return self

    def layout(self, canvas: Canvas) -> dict[str, Box]:
        """Patches ``dark 1`` to ``bright 8``, their marks, and the ``white`` ground."""
        if self.alone is not None:
            middle = Fraction(canvas.width, 2), Fraction(canvas.height, 2)
            return {self.alone: Box.about(*middle, canvas.width // ALONE, canvas.height // ALONE)}
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
        mark = ink("mark", self.mark) if self.alone is None else None
        codes = patch_codes(quantiser)
        layout = self.layout(canvas)
        for name, box in layout.items():
            if name in codes:
                code = codes[name]
                ink.codes[name] = (code, code, code)
                sheet.box(box, ink.codes[name])
            elif name == "white":
                sheet.box(box, ink("white", percent(100)))
            elif mark is not None:
                sheet.box(box, mark)
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


class DepthRamp(Pattern):
    """Above, every code of the signal's depth; below, the same codes with their last bits cut off.

    Where the path carries the full depth, the upper half is smooth and the lower one has bands.
    Where both halves have bands, the path has no more than the lower half's bits; if it rounds
    rather than cuts, the bands of the upper half stand up to half a band aside. A gentle slope
    makes the bands wide enough to see: ten percent of the signal have about 22 of 8 bits.
    """

    kind: ClassVar[str] = "depth-ramp"
    summary: ClassVar[str] = "a ramp in full depth above the same ramp cut to 8 bits"
    family: ClassVar[str] = "geometry and path"
    depths = (10, 12, 16)
    examples = ({}, {"from": "0 %", "to": "100 %"}, {"from": "20 %", "to": "22 %"})

    start: Grey = Parameter(percent(20), alias="from", description="level at the left edge")
    end: Grey = Parameter(percent(30), alias="to", description="level at the right edge")
    cut: Literal[8, 10, 12] = Parameter(8, description="bits that the lower half is cut to")
    channel: Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "white", description="which channels run; the others stay at 0 %"
    )

    def halves(self, canvas: Canvas) -> tuple[Box, Box]:
        """The upper half in full depth, and the lower half."""
        half = canvas.height // 2
        lower = Box(0, half, canvas.width, canvas.height - half)
        return Box(0, 0, canvas.width, half), lower

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        full, cut = self.halves(canvas)
        return {"full depth": Spot.middle_of(full), "cut": Spot.middle_of(cut)}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        quantiser = ink.signal.quantiser
        if quantiser.bits <= self.cut:
            raise PatternError(
                f"A signal of {quantiser.bits} bits has nothing finer than {self.cut} bits to "
                "compare.",
                ("cut",),
            )
        codes = ink.between("level", self.start, self.end, canvas.width)
        coarse = [cut_to(code, quantiser, self.cut) for code in codes]
        black = ink("background", percent(0))
        sheet = Sheet(canvas, black)
        for box, greys in zip(self.halves(canvas), (codes, coarse), strict=True):
            used = CHANNELS[self.channel]
            profile = [greys if on else [black[0]] * len(greys) for on in used]
            sheet.across(box, np.array(profile, np.uint16).T)
        for name, code in (("from", codes[0]), ("to", codes[-1])):
            red, green, blue = (code if on else black[0] for on in CHANNELS[self.channel])
            ink.codes[name] = (red, green, blue)
        facts: dict[str, object] = {
            "bits": quantiser.bits,
            "cut_to_bits": self.cut,
            "levels_above": len(set(codes)),
            "levels_below": len(set(coarse)),
        }
        return sheet.frame(ink, facts)


def cut_to(code: int, quantiser: Quantiser, bits: int) -> int:
    """The code that is left when a path keeps only the first ``bits`` bits of it.

    The code of fewer bits is code >> (depth - bits). In the full depth it stands for the same code
    shifted back in narrow range, and for Round(code (2^depth - 1) / (2^bits - 1)) in full range,
    as code values of a lower depth always do.
    """
    lost = quantiser.bits - bits
    short = code >> lost
    if quantiser.range == "narrow":
        return short << lost
    return round_ratio(short * ((1 << quantiser.bits) - 1), (1 << bits) - 1)
