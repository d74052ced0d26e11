"""A circular zone plate: every spatial frequency up to one cycle in two pixels."""

from __future__ import annotations

from decimal import Context, Decimal
from fractions import Fraction
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.exact import round_half_away
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.levels import Ink
from patterns.measures import Grey, Length, percent, pixels
from patterns.sheet import stack

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
