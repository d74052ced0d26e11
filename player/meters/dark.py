"""A meter whose reading with its cap on is subtracted from what it reads without."""

from __future__ import annotations

from dataclasses import replace

from player.meters.base import Meter, MeterError, MeterReading, xy_of, xyz_of
from readings.records import Triple
from readings.taking import Taking

BRIGHTEST = 0.1
"""cd/m2: what reads more than this has no cap on."""


class DarkCorrectedMeter:
    """Subtracts a reading taken in the dark from another meter's; never silently.

    The raw text stays as received, `tristimulus` is what was measured, and `taking` says how
    much was subtracted. Where the dark reading has no colour, only the luminance is corrected.
    """

    def __init__(self, inner: Meter, dark: MeterReading) -> None:
        self.inner = inner
        self.name = inner.name
        self.specification = inner.specification
        self.dark = dark
        self._dark = dark_of(dark)

    @property
    def note(self) -> str:
        """What the visit keeps of the dark reading itself."""
        how = f", {self.dark.taking}" if self.dark.taking is not None else ""
        return (
            f"Dark offset of {self.name}: {self._dark:.9g} cd/m2 with its cap on{how}. "
            f"As received:\n{self.dark.raw}"
        )

    def measure(self) -> MeterReading:
        """Read, and subtract the dark. Raises MeterError."""
        reading = self.inner.measure()
        if reading.luminance is None:
            return reading
        taking = replace(reading.taking or Taking(), measured=reading.luminance, dark=self._dark)
        luminance = reading.luminance - self._dark
        measured, dark = xyz_of(reading), xyz_of(self.dark)
        x, y = reading.x, reading.y
        if measured is not None and dark is not None:
            left: Triple = (measured[0] - dark[0], luminance, measured[2] - dark[2])
            x, y = xy_of(left) or (None, None)
        elif luminance <= 0:
            x, y = None, None
        elif x is not None:
            taking = replace(taking, whole_colour=False)
        return MeterReading(reading.raw, luminance, x, y, measured, taking)


def dark_of(reading: MeterReading) -> float:
    """The luminance that a capped meter reads, cd/m2. Raises MeterError where it sees light."""
    if reading.luminance is None:
        raise MeterError(f"The meter gave no luminance: {reading.raw!r}.")
    if abs(reading.luminance) > BRIGHTEST:
        raise MeterError(
            f"The meter reads {reading.luminance:.6g} cd/m2: a dark offset is read with its cap "
            f"on, and is at most {BRIGHTEST:g} cd/m2."
        )
    return reading.luminance
