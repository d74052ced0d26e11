"""How a meter's value came about where it is more than the one number that the raw text holds.

A mean of several readings, or a reading with the meter's own dark taken off, keeps this beside its
value. The single values stand in the raw text, as received.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, fields
from typing import Any, Self

Json = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Derivation:
    """How a luminance was worked out. Luminance is in cd/m2.

    Raises ValueError where it is none: a count below 1, or a number that is not finite.
    """

    count: int = 1
    """Readings that the value is the mean of."""
    deviation: float | None = None
    """Their standard deviation, n - 1 in the denominator; None with one."""
    steady: bool = True
    """False where they were repeated until steady and never were."""
    measured: float | None = None
    """What was measured before the dark was subtracted; None where none was."""
    dark: float | None = None
    """What the meter read with its cap on; None where nothing was subtracted."""
    whole_colour: bool = True
    """False where a dark without colour left the chromaticity as it was measured."""
    outside: float | None = None
    """How far x and y of the X Y Z each lie outside what light can be, where that left a reading
    without a colour (`readings.bounds.outside`); None where it did not."""

    def __post_init__(self) -> None:
        numbers = (self.deviation, self.measured, self.dark, self.outside)
        if self.count < 1 or not all(math.isfinite(n) for n in numbers if n is not None):
            raise ValueError(f"no value was derived so: {self!r}")

    def describe(self) -> Json:
        """As a visit keeps it: each field by its name; what is None is left out."""
        return {name: value for name, value in asdict(self).items() if value is not None}

    @classmethod
    def described(cls, given: Json) -> Self:
        """From what `describe` gave. Raises ValueError where it is no such thing."""
        known = {name: given[name] for name in (each.name for each in fields(cls)) if name in given}
        for name, value in known.items():
            kind = {"count": (int,), "steady": (bool,), "whole_colour": (bool,)}
            if type(value) not in kind.get(name, (int, float)):
                raise ValueError(f"{name} is not {value!r}")
        return cls(**known)

    def __str__(self) -> str:
        """In words, for people and for tables; empty where there is nothing to say."""
        parts = []
        if self.deviation is not None:
            steady = "" if self.steady else ", not steady"
            parts.append(
                f"mean of {self.count} readings, standard deviation {self.deviation:.6g} cd/m2"
                f"{steady}"
            )
        if self.measured is not None and self.dark is not None:
            colour = "" if self.whole_colour else ", chromaticity as measured"
            parts.append(
                f"measured {self.measured:.9g} cd/m2, dark {self.dark:.9g} cd/m2 subtracted{colour}"
            )
        if self.outside is not None:
            parts.append(f"no x and y: those of X, Y, Z lie {self.outside:.4f} beyond any light's")
        return "; ".join(parts)
