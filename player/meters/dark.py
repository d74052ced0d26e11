"""A meter whose reading with its cap on is subtracted from what it reads without."""

from __future__ import annotations

from dataclasses import replace

from patterns.words import figures
from player.meters.base import Meter, MeterError, MeterReading, reading_of, room_for, xy_of, xyz_of
from readings.bounds import DARK
from readings.visit.derivation import Derivation
from readings.visit.records import Triple


class DarkCorrectedMeter:
    """Subtracts a reading taken in the dark from another meter's; never silently.

    The raw text stays as received, `tristimulus` is what was measured, and `derivation` says how
    much was subtracted. Where the dark reading has no colour, only the luminance is corrected.
    Without a dark reading the other meter's readings stay as they are.
    """

    def __init__(self, inner: Meter, dark: MeterReading | None = None) -> None:
        self.inner = inner
        self.name = inner.name
        self.specification = inner.specification
        self.dark: MeterReading | None = None
        """The reading with the cap on; None where there is none yet."""
        if dark is not None:
            self.take(dark)

    def take(self, dark: MeterReading) -> None:
        """Subtract this from now on. Raises MeterError where it is no dark reading."""
        dark_of(dark)
        self.dark = dark

    @property
    def offset_text(self) -> str:
        """The offset in a few words; empty where there is none."""
        if self.dark is None:
            return ""
        count = self.dark.derivation.count if self.dark.derivation is not None else 1
        mean = f", mean of {count}" if count > 1 else ""
        return f"Dark offset: {figures(dark_of(self.dark))} cd/m2{mean}"

    @property
    def note(self) -> str:
        """What the visit keeps of the dark reading itself; empty where there is none."""
        if self.dark is None:
            return ""
        return f"{self.summary} As received:\n{self.dark.raw}"

    @property
    def summary(self) -> str:
        """What the dark reading came to, as a sentence; empty where there is none."""
        if self.dark is None:
            return ""
        how = f", {self.dark.derivation}" if self.dark.derivation is not None else ""
        return f"Dark offset of {self.name}: {dark_of(self.dark):.9g} cd/m2 with its cap on{how}."

    def measure(self) -> MeterReading:
        """Read, and subtract the dark. Raises MeterError."""
        reading = reading_of(self.inner)
        if reading.luminance is None or self.dark is None:
            return reading
        offset = dark_of(self.dark)
        derivation = replace(
            reading.derivation or Derivation(), measured=reading.luminance, dark=offset
        )
        luminance = reading.luminance - offset
        measured, dark = xyz_of(reading), xyz_of(self.dark)
        x, y = reading.x, reading.y
        if measured is not None and dark is not None:
            left: Triple = (measured[0] - dark[0], luminance, measured[2] - dark[2])
            x, y = xy_of(left, room_for(self)) or (None, None)
            if x is not None:
                derivation = replace(derivation, outside=None)
        elif luminance <= 0:
            x, y = None, None
        elif x is not None:
            derivation = replace(derivation, whole_colour=False)
        return MeterReading(reading.raw, luminance, x, y, measured, derivation)


def dark_of(reading: MeterReading) -> float:
    """The luminance that a capped meter reads, cd/m2. Raises MeterError where it sees light."""
    if reading.luminance is None:
        raise MeterError(f"The meter gave no luminance: {reading.raw!r}.")
    if abs(reading.luminance) > DARK:
        raise MeterError(
            f"The meter reads {reading.luminance:.6g} cd/m2: a dark offset is read with its cap "
            f"on, and is at most {DARK:g} cd/m2."
        )
    return reading.luminance
