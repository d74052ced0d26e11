"""What visits of versions 1 and 2 kept as sentences, and what they said.

Later ones keep it as data. This is the one place that reads the sentences, and nothing writes them
any more: they stand in visits of before, and in the rows of before of a visit that has grown since.
"""

from __future__ import annotations

import re

from patterns.picture.sheet import Box
from patterns.quantity import BY_EYE, needs_someone
from readings.visit.derivation import Derivation

_NUMBER = r"(-?\d{1,300}(?:\.\d+)?(?:e[+-]\d+)?)"
_DERIVATION = re.compile(
    rf"(?:mean of (\d{{1,9}}) readings, standard deviation {_NUMBER} cd/m2(, not steady)?)?"
    rf"(?:; )?(?:measured {_NUMBER} cd/m2, dark {_NUMBER} cd/m2 subtracted"
    r"(, chromaticity as measured)?)?"
)
_NEEDS_AN_EYE = {f"{quantity} needs an eye": needs_someone(quantity) for quantity in BY_EYE}
_BOX = re.compile(r"(\d{1,9})x(\d{1,9}) at (\d{1,9}),(\d{1,9})")


def derivation_of(text: str | None) -> Derivation | None:
    """What the `text` of a reading by meter said of its derivation; None where it said nothing."""
    found = _DERIVATION.fullmatch(text) if text else None
    if found is None:
        return None
    count, deviation, restless, measured, dark, uncoloured = found.groups()
    try:
        return Derivation(
            count=int(count) if count else 1,
            deviation=float(deviation) if deviation else None,
            steady=restless is None,
            measured=float(measured) if measured else None,
            dark=float(dark) if dark else None,
            whole_colour=uncoloured is None,
        )
    except ValueError:
        return None


def box_of(text: str) -> Box | None:
    """The fact `box` of a showing; None where the text was no such box."""
    found = _BOX.fullmatch(text)
    if found is None:
        return None
    width, height, x, y = map(int, found.groups())
    return Box(x, y, width, height)


def skip_of(why: str) -> str:
    """Why a step was skipped, where it was told of its quantity alone: `count needs an eye`."""
    return _NEEDS_AN_EYE.get(why, why)
