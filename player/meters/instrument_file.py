"""The description of an instrument: its name, its role, and what its maker promises."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, field_validator
from pydantic import Field as Parameter

from player.described import DescriptionError, parse, text_of
from player.meters.base import MeterError
from readings.records import InstrumentRole, Specification

WHAT = "an instrument"
SUFFIXES = (".yaml", ".yml")
"""What the name of such a file ends in; an instrument's own name does not."""
Positive = Annotated[float, Parameter(gt=0, le=1e9)]


class Part(BaseModel):
    """A part of a description: nothing extra, no guessing of types."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, strict=True, allow_inf_nan=False, hide_input_in_errors=True
    )


class Promises(Part):
    """What the meter's maker promises, as `readings.records.Specification` has it."""

    luminance_relative_uncertainty: Positive | None = None
    luminance_floor: Positive | None = None
    luminance_resolution: Positive | None = None
    chromaticity_uncertainty: Positive | None = None
    chromaticity_resolution: Positive | None = None
    luminance_repeatability: Positive | None = None
    luminance_noise: Positive | None = None
    chromaticity_repeatability: Positive | None = None


class InstrumentDescription(Part):
    """An instrument; how it is read is said elsewhere."""

    name: Annotated[str, Parameter(min_length=1, max_length=100)]
    role: InstrumentRole = "spot meter"
    specification: Promises = Promises()

    @field_validator("name")
    @classmethod
    def _one_line(cls, name: str) -> str:
        if not name.strip() or not name.isprintable():
            raise ValueError("should be one line of plain text")
        return name.strip()

    @property
    def promised(self) -> Specification:
        """The specification as a visit keeps it."""
        return Specification(**self.specification.model_dump())


def is_description(text: str) -> bool:
    """Whether a text names a file that describes an instrument, and not the instrument itself."""
    return text.strip().lower().endswith(SUFFIXES)


def load_instrument(source: str | Path) -> InstrumentDescription:
    """Read a description. Raises MeterError, whose one sentence says all that is wrong."""
    path = Path(source)
    try:
        return parse(text_of(path, WHAT), str(path), InstrumentDescription, WHAT)
    except (OSError, ValueError) as error:
        if isinstance(error, DescriptionError):
            raise MeterError(str(error)) from error
        reason = getattr(error, "strerror", None) or str(error)
        raise MeterError(
            f"{path} cannot be read ({reason}); it should be a YAML file that describes an "
            "instrument."
        ) from error
