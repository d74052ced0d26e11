"""What a display is meant to do, where that is not what its signal says: curve, white, black.

What is not stated is left to the signal: BT.1886 between the black and the white that were
measured, or PQ or HLG; white D65; any luminance of white.

sRGB is the electro-optical transfer function of IEC 61966-2-1:1999, clause 5.2 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from math import isfinite
from typing import Any, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.errors import PatternError
from patterns.signal.transfer.bt1886 import light_between

BT1886, SRGB = "bt1886", "srgb"
LEAST_POWER, MOST_POWER = 1.0, 4.0
"""Between which an exponent is taken for one: a choice of our own."""
BRIGHTEST_WHITE = 10_000.0
"""cd/m2: what PQ ends at."""
D65 = (0.3127, 0.3290)
"""Rec. ITU-R BT.709-6, item 1.4."""
_POWER = re.compile(r"power (\d(?:\.\d{1,3})?)")

CURVES = f"{BT1886}, {SRGB}, or power and an exponent, such as power 2.4"


class AimError(PatternError):
    """No display can be meant to do that; ``str()`` is one clear sentence."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What was stated; None where nothing was. Raises AimError where no display can do it.

    Args:
        curve: how signal becomes light: `bt1886`, `srgb`, or `power` and an exponent. Only of SDR:
            PQ and HLG are curves themselves.
        black: luminance of 0 %, cd/m2, that the curve starts from, instead of what was measured.
        white: luminance of 100 %, cd/m2. Greys are judged against the white that was measured, and
            that white against this.
        white_point: x, y of white and of every grey.
    """

    curve: str | None = None
    black: float | None = None
    white: float | None = None
    white_point: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if self.curve is not None and self.curve not in (BT1886, SRGB):
            exponent = self.power
            if exponent is None or not LEAST_POWER <= exponent <= MOST_POWER:
                raise AimError(
                    f"A curve is {CURVES} ({LEAST_POWER:g} to {MOST_POWER:g}), not {self.curve}."
                )
        if self.white is not None and not 0 < self.white <= BRIGHTEST_WHITE:
            raise AimError(
                f"The luminance of white is more than 0 and at most {BRIGHTEST_WHITE:,.0f} cd/m2, "
                f"not {self.white:g}."
            )
        top = BRIGHTEST_WHITE if self.white is None else self.white
        if self.black is not None and not 0 <= self.black < top:
            raise AimError(
                f"The luminance of black is at least 0 and less than {top:g} cd/m2, not "
                f"{self.black:g}."
            )
        if self.white_point is not None:
            x, y = self.white_point
            if not (0 < x and 0 < y and x + y < 1 and isfinite(x)):
                raise AimError(
                    f"A white point is x and y, both above 0 and together below 1, not {x:g} and "
                    f"{y:g}."
                )

    def __bool__(self) -> bool:
        return any(getattr(self, field.name) is not None for field in fields(self))

    @property
    def power(self) -> float | None:
        """The exponent of a power law; None of other curves."""
        found = _POWER.fullmatch(self.curve or "")
        return None if found is None else float(found[1])

    @property
    def white_xy(self) -> tuple[float, float]:
        """x, y of white: D65 where none was stated."""
        return self.white_point or D65

    def over(self, other: Aim) -> Aim:
        """What is stated here, and what the other states beside it. Raises AimError."""
        return Aim(
            *(
                getattr(other if getattr(self, field.name) is None else self, field.name)
                for field in fields(self)
            )
        )

    @property
    def takes_black(self) -> bool:
        """Whether the curve of SDR starts from the black that was measured: BT.1886 by its own
        formula, the others above it, as a panel that leaks gives them."""
        return self.black is None

    def black_of(self, measured: ArrayLike) -> NDArray[np.float64]:
        """The black in cd/m2 that the curve is drawn from, for a measured black (...)."""
        dark = np.asarray(measured, np.float64)
        return dark if self.black is None else np.full_like(dark, self.black)

    def light(self, values: ArrayLike, white: ArrayLike, black: ArrayLike) -> NDArray[np.float64]:
        """Light in cd/m2 of signal values E' for measured whites and blacks; all broadcast.

        NaN where the black of the curve is below 0, or not below its white.
        """
        signal, lit = np.asarray(values, np.float64), np.asarray(white, np.float64)
        dark = self.black_of(black)
        if self.curve in (None, BT1886):
            return light_between(signal, lit, dark)
        inside = np.maximum(signal, 0.0)
        share = _srgb(inside) if self.power is None else inside**self.power
        with np.errstate(invalid="ignore"):
            return np.where((dark >= 0) & (dark < lit), dark + (lit - dark) * share, np.nan)

    def idle_in(self, transfer: str) -> tuple[str, ...]:
        """What is stated that a signal of this transfer leaves no room for: PQ and HLG are curves
        themselves, and PQ says how bright white is."""
        ends = {"pq": ("curve", "black", "white"), "hlg": ("curve", "black")}.get(transfer, ())
        return tuple(name for name in ends if getattr(self, name) is not None)

    def told_curve(self) -> str:
        """The curve of SDR, for people: `power 2.4`, `BT.1886 from a black of 0.05 cd/m2`."""
        curve = self.curve or BT1886
        name = {BT1886: "BT.1886", SRGB: "sRGB"}.get(curve, curve)
        return name if self.black is None else f"{name} from a black of {self.black:g} cd/m2"

    def told_between(self, white: str, black: str) -> str:
        """The curve of SDR with its ends, for people: `power 2.4 up to the measured white`."""
        if self.takes_black:
            return f"{self.told_curve()} between {white} and {black}"
        return f"{self.told_curve()} up to {white}"

    def told_white_point(self) -> str:
        """White's chromaticity, for people: `D65`, `x 0.3127, y 0.3320`."""
        if self.white_xy == D65:
            return "D65"
        return "x {:.4f}, y {:.4f}".format(*self.white_xy)

    def told(self) -> str:
        """All that was stated, for people; empty where nothing was."""
        parts = [
            f"curve {self.told_curve()}" * (self.curve is not None or self.black is not None),
            f"white {self.told_white_point()}" * (self.white_point is not None),
            "" if self.white is None else f"white of {self.white:g} cd/m2",
        ]
        return "; ".join(filter(None, parts))

    def describe(self) -> dict[str, Any]:
        """As a visit keeps it; what is not stated is left out."""
        given = {field.name: getattr(self, field.name) for field in fields(self)}
        if self.white_point is not None:
            given["white_point"] = list(self.white_point)
        return {name: value for name, value in given.items() if value is not None}

    @classmethod
    def described(cls, given: Mapping[str, Any]) -> Self:
        """From what `describe` gave. Raises ValueError where it is no such thing."""
        known = {field.name for field in fields(cls)}
        curve, point = given.get("curve"), given.get("white_point")
        numbers = [given.get("black"), given.get("white"), *([] if point is None else point)]
        if (
            not set(given) <= known
            or not isinstance(curve, str | None)
            or not all(each is None or type(each) in (int, float) for each in numbers)
            or (point is not None and len(numbers) != 4)
        ):
            raise ValueError(f"no aim is said so: {given!r}")
        return cls(
            curve,
            given.get("black"),
            given.get("white"),
            None if point is None else (float(point[0]), float(point[1])),
        )


NOT_STATED = Aim()


def _srgb(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    linear = signal / 12.92
    return np.where(signal <= 0.04045, linear, ((signal + 0.055) / 1.055) ** 2.4)
