"""What the run asks of anything that measures light."""

from dataclasses import dataclass
from typing import Protocol

from readings.records import Specification


class MeterError(Exception):
    """The meter gave no usable reading; the text is one sentence for the operator."""


@dataclass(frozen=True)
class MeterReading:
    """One reading.

    `raw` is the text as received from the meter, never edited. `luminance` is in cd/m2;
    `x` and `y` are CIE 1931 chromaticity coordinates. None means "not given", never zero.
    """

    raw: str
    luminance: float | None
    x: float | None
    y: float | None


class Meter(Protocol):
    """An instrument.

    `specification` holds what its maker promises; what is not known stays None.
    """

    name: str
    specification: Specification

    def measure(self) -> MeterReading:
        """Take one reading of what the meter looks at now, or raise MeterError."""
        ...
