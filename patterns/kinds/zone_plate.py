"""A circular zone plate: every spatial frequency up to one cycle in two pixels."""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction
from itertools import pairwise
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas, split
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, stack
from patterns.picture.spots import Spot
from patterns.signal.exact import round_half_away
from patterns.signal.levels import Ink, Mix
from patterns.signal.measures import Grey, Length, percent, pixels
from patterns.signal.signal import Codes

_FINER = Context(prec=80, Emin=-999_999, Emax=999_999)
"""For the table of cosines: 20,000 turns may each lose a unit of the 80th digit."""


class ZonePlate(Pattern):
    """E' = mean + swing cos(pi r^2 / 2R) between two levels, r from the middle of the canvas.

    At distance x along an axis the frequency is x / 2R cycles per pixel: nought in the middle, and
    a cycle in two pixels, the finest that pixels can carry, at x = R. Beyond R in either axis a
    plate on pixels shows rings of its own making (aliases), so the mean level stands there unless
    ``beyond`` is ``rings``. Close to R the rings fade in and out along the edge, in the middle of
    an edge too where R is even: samples at two to a cycle may fall on its zeros. That is in the
    signal.

    Codes are correctly rounded, not merely close. Pixel centres lie on half pixels, so with dx, dy
    in half pixels, both odd, the phase is pi (dx^2 + dy^2) / 8R, and dx^2 + dy^2 = 8j + 2: only
    2R different phases, pi (4j + 1) / 4R, each with its cosine to 70 digits. None of them lies on a
    half code by rule: such a phase has no rational cosine.
    """

    kind: ClassVar[str] = "zone-plate"
    summary: ClassVar[str] = "rings that grow finer outwards, to one cycle in two pixels"
    family: ClassVar[str] = "geometry and path"
    examples = ({}, {"radius": "50 %", "beyond": "rings", "from": "30 %", "to": "70 %"})

    radius: Length = Parameter(
        percent(50),
        description="where a cycle is two pixels, from the middle; percent of the canvas height",
    )
    beyond: Literal["mean", "rings"] = Parameter(
        "mean", description="past the radius: the mean level, or rings on, which then alias"
    )
    start: Grey = Parameter(percent(0), alias="from", description="level of the dark rings")
    end: Grey = Parameter(percent(100), alias="to", description="level of the light rings")

    def reach(self, canvas: Canvas) -> int:
        """The radius in whole pixels."""
        radius = round_half_away(pixels(self.radius, canvas.height))
        if not 8 <= radius <= 16_384:
            raise PatternError(
                f"A zone plate reaches its finest rings at 8 to 16384 pixels, not at {radius}.",
                ("radius",),
            )
        return radius

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        radius = self.reach(canvas)
        quantiser = ink.signal.quantiser
        low, high = ink.share("from", self.start), ink.share("to", self.end)
        mean = quantiser.code((low + high) / 2)
        for name, code in (
            ("from", quantiser.code(low)),
            ("to", quantiser.code(high)),
            ("mean", mean),
        ):
            ink.codes[name] = (code, code, code)
        span = quantiser.white - quantiser.black
        table = codes_of_phases(
            radius, quantiser.black + (low + high) / 2 * span, (high - low) / 2 * span
        )
        # twice over, so that the sum of two steps needs no remainder of its own
        table = np.concatenate([table, table])
        across, down = _half_pixels(canvas.width), _half_pixels(canvas.height)
        steps = (across**2 - 1) // 8 % (2 * radius)
        flat = np.abs(across) > 2 * radius
        kept = self.beyond == "mean"
        # the bottom half mirrors the top half: middle row first
        half = down[canvas.height // 2 :]
        rows = np.empty((len(half), canvas.width, 3), np.uint16)
        for row, dy in zip(rows, half.tolist(), strict=True):
            if kept and dy > 2 * radius:
                row[:] = mean
                continue
            row[:] = table[steps + (dy * dy - 1) // 8 % (2 * radius)][:, None]
            if kept:
                row[flat] = mean
        order = np.abs(down) // 2
        return stack(ink, rows, order, {"radius_px": radius, "finest": "one cycle in two pixels"})


def codes_of_phases(radius: int, mean: Fraction, swing: Fraction) -> NDArray[np.uint16]:
    """Round(mean + swing cos(pi (4j + 1) / 4 radius)) for j = 0 to 2 radius - 1, (2 radius,)."""
    fine = _FINER
    quarter = fine.divide(_pi(), Decimal(4 * radius))
    # (x, y) is the cosine and sine of a phase; each turn adds four quarters
    x, y = _cos(quarter), _sin(quarter)
    turn_x, turn_y = _cos(4 * quarter), _sin(4 * quarter)
    middle = fine.divide(Decimal(mean.numerator), Decimal(mean.denominator))
    reach = fine.divide(Decimal(swing.numerator), Decimal(swing.denominator))
    codes = np.empty(2 * radius, np.uint16)
    for j in range(2 * radius):
        codes[j] = round_half_away(fine.fma(reach, x, middle))
        x, y = (
            fine.subtract(fine.multiply(x, turn_x), fine.multiply(y, turn_y)),
            fine.add(fine.multiply(x, turn_y), fine.multiply(y, turn_x)),
        )
    return codes


def _half_pixels(side: int) -> NDArray[np.int64]:
    """Distances of pixel centres from the middle of an even side, in half pixels: all odd."""
    return 2 * np.arange(side, dtype=np.int64) + 1 - side


def _pi() -> Decimal:
    """Pi by Machin's formula, 16 arctan(1/5) - 4 arctan(1/239)."""

    def arctan(inverse: int) -> Decimal:
        term = _FINER.divide(Decimal(1), Decimal(inverse))
        total, odd, sign = term, 1, 1
        while term > Decimal("1e-85"):
            term = _FINER.divide(term, Decimal(inverse * inverse))
            odd, sign = odd + 2, -sign
            total = _FINER.fma(Decimal(sign), _FINER.divide(term, Decimal(odd)), total)
        return total

    return _FINER.subtract(
        _FINER.multiply(Decimal(16), arctan(5)), _FINER.multiply(Decimal(4), arctan(239))
    )


def _cos(angle: Decimal) -> Decimal:
    return _series(angle, Decimal(1), 1)


def _sin(angle: Decimal) -> Decimal:
    return _series(angle, angle, 2)


def _series(angle: Decimal, term: Decimal, next_: int) -> Decimal:
    """Taylor's series of cosine (from 1) or sine (from the angle), for angles up to 1."""
    square, total = _FINER.multiply(angle, angle), term
    while abs(term) > Decimal("1e-85"):
        term = _FINER.divide(-_FINER.multiply(term, square), Decimal(next_ * (next_ + 1)))
        total, next_ = _FINER.add(total, term), next_ + 2
    return total


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
            name: ink(name, self._colour(name), (("level",),)) for name in CHANNELS if name in used
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
