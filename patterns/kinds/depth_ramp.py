"""A ramp in full depth above the same ramp cut to fewer bits: whether the path cuts bits too."""

from __future__ import annotations

from fractions import Fraction
from typing import ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_ratio
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.ramp import CHANNELS
from patterns.levels import Ink
from patterns.measures import Grey, percent
from patterns.quantise import Quantiser
from patterns.sheet import Box, Sheet
from patterns.spots import Spot


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
