"""The description of an instrument: its name, its role, and what its maker promises."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Annotated, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, field_validator
from pydantic import Field as Parameter

from player.described import DescriptionError, parse, text_of
from player.meters.base import MeterError
from readings.records import InstrumentRole, Specification

SUFFIXES = (".yaml", ".yml")
"""What the name of such a file ends in; an instrument's own name does not."""
Positive = Annotated[float, Parameter(gt=0, le=1e9)]
PROMISES = {field.name for field in fields(Specification)}


class Part(BaseModel):
    """A part of a description: nothing extra, no guessing of types."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, hide_input_in_errors=True
    )


def _promise(name: str) -> str:
    if name not in PROMISES:
        raise ValueError("is not known here")
    return name


class InstrumentDescription(Part):
    """An instrument; how it is read is said elsewhere."""

    name: Annotated[str, Parameter(min_length=1, max_length=100)]
    role: InstrumentRole = "spot meter"
    specification: Mapping[Annotated[str, AfterValidator(_promise)], Positive | None] = {}
    """What the meter's maker promises, by the names in `readings.records.Specification`."""

    @field_validator("name")
    @classmethod
    def _one_line(cls, name: str) -> str:
        if not name.strip() or not name.isprintable():
            raise ValueError("should be one line of plain text")
        return name.strip()

    @property
    def promised(self) -> Specification:
        """The specification as a visit keeps it."""
        return Specification(**self.specification)


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
