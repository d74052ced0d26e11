"""The description of an instrument: its name, its role, and what its maker promises."""

from __future__ import annotations

import re
from math import inf, isfinite
from pathlib import Path
from typing import Annotated, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, ValidationInfo, field_validator
from pydantic import Field as Parameter

from player.described import DescriptionError, one_line, parse, text_of
from player.meters.base import MeterError, Moves
from readings.bounds import PROMISES, Promise
from readings.visit.records import InstrumentRole, Specification

SUFFIXES = (".yaml", ".yml")
"""What the name of such a file ends in; an instrument's own name does not."""
UNITS = {"share": ("%",), "cd/m2": ("cd/m2", "cd/m²"), "x and y": ()}
"""What may stand after a number, where the promise is written as a text."""
SUCH_AS = {
    "share": "a share of the reading such as 0.04, or '4 %'",
    "cd/m2": "a luminance such as 0.002, or '0.002 cd/m2'",
    "x and y": "a difference of x and y such as 0.006",
}
_WRITTEN = re.compile(r"\s*([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*?)\s*")


class Part(BaseModel):
    """A part of a description: nothing extra, no guessing of types."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, hide_input_in_errors=True
    )


class Promises(Part):
    """What the meter's maker promises, as `readings.visit.records.Specification` explains it.

    Each is a number in the unit that `readings.bounds.PROMISES` says, or a text of a number with
    its unit; a share may have `%` there.
    """

    luminance_relative_uncertainty: float | None = None
    luminance_floor: float | None = None
    luminance_resolution: float | None = None
    chromaticity_uncertainty: float | None = None
    chromaticity_resolution: float | None = None
    luminance_repeatability: float | None = None
    luminance_noise: float | None = None
    chromaticity_repeatability: float | None = None
    luminance_linearity: float | None = None

    @field_validator("*", mode="before")
    @classmethod
    def _believable(cls, given: object, info: ValidationInfo) -> float | None:
        bound = PROMISES[info.field_name or ""]
        return None if given is None else _within(_number(given, bound), bound)


def _number(given: object, bound: Promise) -> float:
    """A promise in its own unit. Raises ValueError."""
    if isinstance(given, int | float) and not isinstance(given, bool):
        return float(given) if abs(given) < 1e300 else inf  # an integer may be any length
    written = _WRITTEN.fullmatch(given) if isinstance(given, str) else None
    if written is None or written[2] not in ("", *UNITS[bound.unit]):
        raise ValueError(f"should be {SUCH_AS[bound.unit]}, not {str(given)[:40]!r}")
    number = float(written[1].replace(",", "."))
    return number / 100 if written[2] == "%" else number


def _within(value: float, bound: Promise) -> float:
    """The value where a meter can have it. Raises ValueError, which says what may be meant."""
    if not isfinite(value):
        raise ValueError(f"should be a finite number, {SUCH_AS[bound.unit]}")
    if value <= 0:
        raise ValueError("should be greater than 0; leave out what is not known")
    if value < bound.least:
        raise ValueError(
            f"should be at least {bound.least:g}, {SUCH_AS[bound.unit]}, not {value:g}: no meter "
            "is that good"
        )
    if value <= bound.most:
        return value
    # a number above the highest share, and up to as many percent, was meant in percent
    if bound.unit == "share" and value <= 100 * bound.most:
        raise ValueError(
            f"{value:g} would be {100 * value:g} %: where {value:g} % is meant, write "
            f"{value / 100:g} or '{value:g} %'"
        )
    raise ValueError(f"should be {SUCH_AS[bound.unit]}, at most {bound.most:g}, not {value:g}")


class InstrumentDescription(Part):
    """An instrument; how it is read is said elsewhere."""

    name: Annotated[str, Parameter(min_length=1, max_length=100), AfterValidator(one_line)]
    role: InstrumentRole = "spot meter"
    moves: Moves | None = None
    """Whether it comes to the place that is read where nobody points it; None where it is not
    said."""
    specification: Promises = Promises()

    @property
    def promised(self) -> Specification:
        """The specification as a visit keeps it."""
        return Specification(**self.specification.model_dump())


Described = TypeVar("Described", bound=InstrumentDescription)


def is_description(text: str) -> bool:
    """Whether a text names a file that describes an instrument, and not the instrument itself."""
    return text.strip().lower().endswith(SUFFIXES)


def load_instrument(source: str | Path) -> InstrumentDescription:
    """Read a description. Raises MeterError, whose one sentence says all that is wrong."""
    otherwise = "it should be a YAML file that describes an instrument"
    return described_in(source, InstrumentDescription, "an instrument", otherwise)


def described_in(
    source: str | Path, model: type[Described], what: str, otherwise: str
) -> Described:
    """An instrument in a file, by its model; texts are as in `player.described`.

    Raises MeterError, whose one sentence says all that is wrong.
    """
    path = Path(source)
    try:
        return parse(text_of(path, what, otherwise), str(path), model, what)
    except DescriptionError as error:
        raise MeterError(str(error)) from error
