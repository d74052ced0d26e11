"""Numbers with a unit, as people write them: ``50 %``, ``120 cd/m2``, ``code 502``, ``64 px``."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator, WithJsonSchema

from patterns.errors import ParameterError

_NUMBER = r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)"
_SPELLINGS = {"cd/m²": "cd/m2", "seconds": "s", "second": "s", "minutes": "min", "minute": "min"}


@dataclass(frozen=True)
class Measure:
    """A number and its unit."""

    number: Decimal
    unit: str

    @property
    def exact(self) -> Fraction:
        """The number as an exact fraction."""
        return Fraction(self.number)

    def __str__(self) -> str:
        # :f because people write no exponents, and this text is read back
        if self.unit == "code":
            return f"code {self.number:f}"
        return f"{self.number:f} {self.unit}"


def parse_measure(value: object, units: tuple[str, ...], example: str) -> Measure:
    """Read a measure in one of ``units``; a ParameterError says what was expected."""
    may_be = f"{_choice(units)}, such as {example}"
    number_with_unit = f"a number with its unit, such as {example}"
    if isinstance(value, Measure):
        if value.unit in units:
            return value
        raise ParameterError(may_be, str(value))
    if not isinstance(value, str):
        raise ParameterError(number_with_unit, repr(value))
    text = value.strip()
    if len(text) > 60:
        raise ParameterError(number_with_unit)
    code = re.fullmatch(rf"code\s+({_NUMBER})", text)
    if code:
        number, unit = code[1], "code"
    else:
        found = re.fullmatch(rf"({_NUMBER})\s*(\S.*)?", text)
        if found is None:
            raise ParameterError(number_with_unit, repr(text))
        number, unit = found[1], _SPELLINGS.get(found[2] or "", found[2] or "")
        if unit == "":
            message = f"{text!r} has no unit; expected {may_be}"
            raise ParameterError(may_be, amiss="no unit", message=message)
    if unit not in units:
        message = f"unknown unit in {text!r}; expected {may_be}"
        raise ParameterError(may_be, amiss="unknown unit", message=message)
    return Measure(Decimal(number), unit)


def _choice(units: tuple[str, ...]) -> str:
    return units[0] if len(units) == 1 else f"{', '.join(units[:-1])} or {units[-1]}"


def _type(units: tuple[str, ...], example: str, check: Callable[[Measure], None] | None) -> Any:
    def validate(value: object) -> Measure:
        measure = parse_measure(value, units, example)
        if check is not None:
            check(measure)
        return measure

    schema = {"type": "string", "description": f"{_choice(units)}, such as {example}"}
    return Annotated[
        Measure,
        PlainValidator(validate),
        PlainSerializer(str, return_type=str),
        WithJsonSchema(schema),
    ]


def _area(measure: Measure) -> None:
    if not 0 < measure.number <= 100:
        rule = "an area is more than 0 % and at most 100 %"
        raise ParameterError(f"that {rule}", message=f"{rule}, not {measure}")


def _share(measure: Measure) -> None:
    if not 0 <= measure.number <= 100:
        raise ParameterError("0 % to 100 %", str(measure))


def _not_negative(measure: Measure) -> None:
    if measure.number < 0:
        raise ParameterError("0 or more", str(measure))


def _moving(measure: Measure) -> None:
    _not_negative(measure)
    if measure.unit == "s/screen" and measure.number == 0:
        raise ValueError(f"a screen is crossed in more than 0 s, not in {measure}")


def _more_than_none(measure: Measure) -> None:
    if measure.number <= 0:
        raise ParameterError("more than 0", str(measure))


def _whole(number: Decimal) -> bool:
    # not by the remainder: the decimal context has no digits for that of a very long number
    return number == number.to_integral_value()


def _whole_pixels(measure: Measure) -> None:
    _not_negative(measure)
    if measure.unit == "px" and not _whole(measure.number):
        raise ValueError(f"pixels are whole, not {measure}")


def whole_codes(measure: Measure) -> None:
    """A ValueError where a code is not a whole number."""
    if measure.unit == "code" and not _whole(measure.number):
        raise ValueError(f"codes are whole numbers, not {measure}")


Grey = _type(("%", "cd/m2", "code"), "50 %, 120 cd/m2 or code 502", whole_codes)
"""Level of one channel, or of all three."""
Area = _type(("%",), "10 %", _area)
"""Share of the canvas."""
Share = _type(("%",), "60 %", _share)
"""Any other share, from nothing to all."""
Length = _type(("px", "%"), "64 px or 10 %", _whole_pixels)
"""Pixels, or percent of the canvas's side."""
Speed = _type(("px/s", "px/frame", "s/screen"), "240 px/s", _moving)
"""How fast a pattern moves; ``8 s/screen`` crosses the canvas's side in eight seconds."""
Rate = _type(("Hz",), "24 Hz", _more_than_none)
"""How often something comes."""
Density = _type(("%", "dots/Mpx"), "0.1 %", _more_than_none)
"""How densely dots are strewn: share of the canvas, or dots per million pixels."""
Duration = _type(("s", "min", "ms"), "5 s", _not_negative)
"""A time."""
Luminance = _type(("cd/m2",), "100 cd/m2", _not_negative)
"""A luminance."""


def seconds(duration: Measure) -> Fraction:
    """A duration in seconds, exactly."""
    return (
        duration.exact
        * {"s": Fraction(1), "min": Fraction(60), "ms": Fraction(1, 1000)}[duration.unit]
    )


def pixels(length: Measure, side: int) -> Fraction:
    """A length in pixels of a side of this many pixels, exactly (not yet whole)."""
    return length.exact if length.unit == "px" else length.exact * side / 100


def percent(number: int) -> Measure:
    """A level or length in percent, for defaults."""
    return Measure(Decimal(number), "%")


def px(number: int) -> Measure:
    """A length in pixels, for defaults."""
    return Measure(Decimal(number), "px")
