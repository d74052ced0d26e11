"""How a meter's value came about where it is more than the one number that the raw text holds.

A mean of several readings, or a reading with the meter's own dark taken off, says so in the
`text` of its reading, as one sentence that is made and understood here and nowhere else. The
single values stand in the raw text, as received.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_NUMBER = r"(-?\d+(?:\.\d+)?(?:e[+-]\d+)?)"
_SENTENCE = re.compile(
    rf"(?:mean of (\d+) readings, standard deviation {_NUMBER} cd/m2(, not steady)?)?"
    rf"(?:; )?(?:measured {_NUMBER} cd/m2, dark {_NUMBER} cd/m2 subtracted"
    r"(, chromaticity as measured)?)?"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """How a luminance was worked out. Luminance is in cd/m2."""

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

    def __str__(self) -> str:
        """The sentence kept with the reading; empty where there is nothing to say."""
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
        return "; ".join(parts)


def taking_of(text: str | None) -> Taking | None:
    """The taking that a reading's `text` states; None where it states none."""
    found = _SENTENCE.fullmatch(text) if text else None
    if found is None:
        return None
    count, deviation, restless, measured, dark, uncoloured = found.groups()
    return Taking(
        count=int(count) if count else 1,
        deviation=float(deviation) if deviation else None,
        steady=restless is None,
        measured=float(measured) if measured else None,
        dark=float(dark) if dark else None,
        whole_colour=uncoloured is None,
    )
