"""What is assumed of a meter of which nothing is promised, so that much can be told all the same.

Nobody named it, or named it and did not say what its maker promises: of its errors as little is
known either way.

It serves verdicts alone: values keep their unknown uncertainty. Its floor also stands, and is
named, where a reading of 0 would tell nothing but that it is below what the meter shows. All
numbers are our own, and generous: a meter for displays that keeps to none of them would be a poor
one.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from readings.evidence.measured import Measured
from readings.visit.records import Specification

FLOOR = 0.05
"""The lowest luminance that such a meter is taken to tell from none, cd/m2."""
ASSUMED = Specification(
    luminance_relative_uncertainty=0.1,
    luminance_floor=FLOOR,
    chromaticity_uncertainty=0.02,
)
"""Of such a meter, without the last digits, which are those that were typed."""
NOTHING = Specification()
"""Of a meter that was named without what its maker promises."""
_NUMBER = r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_TYPED = re.compile(rf"\s*(?:Yxy\s+)?({_NUMBER}(?:[\s;]+{_NUMBER})*)\s*(?:cd/m2|cd/m²)?\s*")
"""What is typed: Y, or Y x y."""


def without_promises(reading: Measured) -> bool:
    """Whether it is of light, and nothing is promised of the meter, or nobody said which it was."""
    return reading.luminance is not None and reading.specification in (None, NOTHING)


def with_assumption(readings: Iterable[Measured]) -> list[Measured]:
    """The same readings, with the assumed meter where nothing is promised.

    Those have no `meter`: nothing that it gets wrong cancels in a ratio.
    """
    return [
        replace(reading, instrument=None, specification=_specification(reading.raw))
        if without_promises(reading)
        else reading
        for reading in readings
    ]


def _specification(raw: str) -> Specification:
    """With the last digits as typed; unknown where the text is more than plain numbers."""
    typed = _TYPED.fullmatch(raw)
    if typed is None:
        return ASSUMED
    numbers = (number.replace(",", ".") for number in re.findall(_NUMBER, typed[1]))
    digits = [10.0 ** -len(number.partition(".")[2]) for number in numbers]
    return replace(
        ASSUMED,
        luminance_resolution=digits[0],
        chromaticity_resolution=max(digits[1:], default=None),
    )
