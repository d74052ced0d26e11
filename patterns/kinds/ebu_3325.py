"""Patterns of EBU Tech 3325 v2.0 (2022), as public material quotes its Tables 5 to 7: second-hand.

Codes are the document's own, 10 bits, narrow range, kept as they are at 10 bits; other depths and
full range get the nearest code of the same signal E', and full range does not hold code 1019.
The thirteen points are those of :mod:`patterns.picture.spots`; their numbers are our own. The
document speaks of 16:9 pictures: elsewhere the shorter side of the canvas stands for the height,
and the points keep their shares of both sides. EBU_3's windows of 4, 10, 25 and 81 % of the area
are ``window``, its full white and full black ``field``.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator
from pydantic import Field as Parameter

from patterns.errors import ParameterError, ParameterPath
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot, spots_of
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Codes
from patterns.signal.ycbcr import BT709

DOCUMENT = "EBU Tech 3325 v2.0 (2022), second-hand"
WRITTEN = Quantiser(10, "narrow")

BLACK, GREY, WHITE, HIGHEST = 64, 502, 940, 1019

GREY_CODES = (
    *(64, 86, 138, 190, 242, 294, 346, 398, 450, 502),
    *(554, 606, 658, 710, 762, 814, 866, 918, 940, 1019),
)
"""EBU_4, codes of R = G = B."""

COLOURS = (
    *((381, 470, 578), (636, 457, 599), (582, 478, 592), (577, 340, 480), (579, 544, 411)),
    *((586, 597, 543), (433, 443, 487), (460, 465, 703), (658, 380, 370), (470, 639, 468)),
    *((319, 490, 616), (487, 422, 396), (321, 617, 491), (655, 349, 673), (494, 601, 593)),
)
"""EBU_5, the fifteen test colours: codes of BT.709 Y', C'B, C'R."""

PRIMARIES = {"red": (250, 409, 960), "green": (691, 167, 105), "blue": (127, 960, 471)}
"""EBU_5, its primaries: the codes of BT.709's 100 % bars, so R'G'B' are 100 % or 0 %."""

MID_EDGES = ("point 2", "point 6", "point 8", "point 12")
"""Of the thirteen points, those at (0, ±0.4) and (±0.4, 0)."""


def grey(ink: Ink, name: str, code: int, *parameters: ParameterPath) -> Codes:
    """Codes of the signal for a 10-bit grey of the document, and the parameter that chose it."""
    share = WRITTEN.signal(code)
    described = f"code {code} of 10 bits, narrow range"
    return ink.exact(name, (share, share, share), described, *parameters)


def square(canvas: Canvas, spot: Spot) -> Box:
    """A square of side H / 7.5 about a point."""
    side = round_half_away(Fraction(2 * min(canvas.width, canvas.height), 15))
    return Box.about(spot.x, spot.y, side, side)


class Ebu(Pattern):
    """What they have in common: the document, and where its squares lie."""

    @abstractmethod
    def squares(self, canvas: Canvas) -> dict[str, Box]:
        """The squares by what they are called."""

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {name: Spot.middle_of(box) for name, box in self.squares(canvas).items()}


class EbuBoxes(Ebu):
    """EBU_1 and EBU_2: 50 % grey, black squares midway along the edges, a white one in the centre.

    The white is code 940 in EBU_1 and code 1019 in EBU_2.
    """

    kind: ClassVar[str] = "ebu-boxes"
    summary: ClassVar[str] = "EBU Tech 3325, EBU_1 and 2: black squares and a white one on grey"
    family: ClassVar[str] = "black and contrast"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"centre": "highest", "clip": True})

    centre: Literal["white", "highest"] = Parameter(
        "white", description="white: code 940 of 10 bits (EBU_1); highest: code 1019 (EBU_2)"
    )

    def squares(self, canvas: Canvas) -> dict[str, Box]:
        points = spots_of(13, canvas)
        names = dict(zip(("top", "left", "right", "bottom"), MID_EDGES, strict=True))
        boxes = {f"{name} square": square(canvas, points[each]) for name, each in names.items()}
        return {"centre": square(canvas, points["point 7"]), **boxes}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        sheet = Sheet(canvas, grey(ink, "grey", GREY))
        black = grey(ink, "black", BLACK)
        code = WHITE if self.centre == "white" else HIGHEST
        white = grey(ink, "white", code, ("centre",))
        for name, box in self.squares(canvas).items():
            sheet.box(box, white if name == "centre" else black)
        return sheet.frame(
            ink,
            {
                "document": DOCUMENT,
                "pattern": "EBU_1" if self.centre == "white" else "EBU_2",
                "codes_10_bit": {"grey": GREY, "black": BLACK, "white": code},
            },
        )


class EbuSquare(Ebu):
    """EBU_3: one white square on black at one of the thirteen points."""

    kind: ClassVar[str] = "ebu-square"
    summary: ClassVar[str] = "EBU Tech 3325, EBU_3: a white square at one of 13 points"
    family: ClassVar[str] = "uniformity and panel"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"point": 3})

    point: Annotated[int, Parameter(ge=1, le=13)] = Parameter(
        7, description="the point, counted from left to right, then down; 7 is the centre"
    )

    def squares(self, canvas: Canvas) -> dict[str, Box]:
        return {"square": square(canvas, spots_of(13, canvas)[f"point {self.point}"])}

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        sheet = Sheet(canvas, grey(ink, "black", BLACK))
        (box,) = self.squares(canvas).values()
        sheet.box(box, grey(ink, "white", WHITE))
        area = 100 * box.width * box.height / canvas.pixels
        facts: dict[str, object] = {"document": DOCUMENT, "pattern": "EBU_3"}
        return sheet.frame(ink, facts | {"box": box.describe(), "area_percent": area})


class EbuGrey(Pattern):
    """EBU_4: one of its twenty greys, here as a full field."""

    kind: ClassVar[str] = "ebu-grey"
    summary: ClassVar[str] = "EBU Tech 3325, EBU_4: one of its 20 greys, over the whole canvas"
    family: ClassVar[str] = "peak and tone"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"step": 20, "clip": True})

    step: Annotated[int, Parameter(ge=1, le=20)] = Parameter(
        10, description="1 is code 64 of 10 bits, 10 is 502, 19 is 940, 20 is 1019"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        code = GREY_CODES[self.step - 1]
        facts: dict[str, object] = {"document": DOCUMENT, "pattern": "EBU_4"}
        sheet = Sheet(canvas, grey(ink, "grey", code, ("step",)))
        return sheet.frame(ink, facts | {"code_10_bit": code})


def _colour(value: object) -> object:
    """One sentence where pydantic would tell what each of the two refuses."""
    known = (
        value in PRIMARIES if isinstance(value, str) else type(value) is int and 1 <= value <= 15
    )
    if not known:
        raise ParameterError("1 to 15, red, green or blue")
    return value


class EbuColour(Pattern):
    """EBU_5: one of its test colours, here as a full field.

    The document gives 10-bit BT.709 Y'C'BC'R. They are turned to R'G'B' by the exact inverse of
    the matrix and rounded once; at 10 bits, narrow range, they turn back to the very same codes.
    """

    kind: ClassVar[str] = "ebu-colour"
    summary: ClassVar[str] = "EBU Tech 3325, EBU_5: one of its test colours, over the whole canvas"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"colour": 8}, {"colour": "green"})
    signals: ClassVar[tuple[str, ...]] = ("bt1886",)
    gamuts: ClassVar[tuple[str, ...]] = ("bt709",)

    colour: Annotated[
        Annotated[int, Parameter(ge=1, le=15)] | Literal["red", "green", "blue"],
        BeforeValidator(_colour),
    ] = Parameter(1, description="1 to 15 in the document's order, or red, green, blue")

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        if isinstance(self.colour, int):
            codes = COLOURS[self.colour - 1]
            shares = BT709.shares(codes, WRITTEN)
        else:
            codes = PRIMARIES[self.colour]
            red, green, blue = (Fraction(self.colour == each) for each in PRIMARIES)
            shares = (red, green, blue)
        described = "Y'CbCr {} {} {} of 10 bits".format(*codes)
        facts: dict[str, object] = {"document": DOCUMENT, "pattern": "EBU_5"}
        sheet = Sheet(canvas, ink.exact("colour", shares, described, ("colour",)))
        return sheet.frame(ink, facts | {"ycbcr_10_bit": list(codes)})
