"""A meter read several times for each reading, until the mean is steady: for dark readings."""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from statistics import fmean, stdev

from player.meters.base import Meter, MeterError, MeterReading, reading_of, room_for, xy_of, xyz_of
from player.meters.dark import DarkCorrectedMeter
from readings.visit.derivation import Derivation
from readings.visit.records import Triple

FEWEST_READINGS = 3
"""Readings before a mean may be called steady: two may agree by chance."""
MOST_READINGS = 1000
FORGIVEN = 2
"""Failures among the readings of one mean that do not throw the others away."""


@dataclass(frozen=True, kw_only=True)
class Repeats:
    """How often a meter is read for one reading.

    Raises MeterError where this makes no sense.
    """

    least: int
    most: int
    share: float = 0.005
    """Steady where the standard error of the mean is at most this share of the mean, ..."""
    floor: float | None = None
    """... or at most this, cd/m2; None stands for the last digit that the meter shows, if known."""
    below: float | None = None
    """Read once only where the first reading is at least this, cd/m2; None repeats always."""

    def __post_init__(self) -> None:
        fewest = 1 if self.least == self.most else FEWEST_READINGS
        if not fewest <= self.least <= self.most <= MOST_READINGS:
            raise MeterError(
                f"A reading is repeated 1 to {MOST_READINGS} times, or from {FEWEST_READINGS} "
                f"times up until it is steady, not {self.least} to {self.most}."
            )

    def __str__(self) -> str:
        """As it is written: `5`, or `3 to 20`."""
        return f"{self.least} to {self.most}" if self.until_steady else str(self.most)

    @property
    def until_steady(self) -> bool:
        """Whether it depends on the readings how many there are."""
        return self.most > self.least

    def steady(self, values: list[float], floor: float) -> bool:
        """Whether the mean is known well enough (standard error s / sqrt(n), JCGM 100, 4.2.3)."""
        error = stdev(values) / math.sqrt(len(values))
        return error <= max(self.share * abs(fmean(values)), floor)


class RepeatingMeter:
    """Reads another meter several times and gives the mean as one reading.

    The raw text holds every single reading as received, one below the other.
    """

    def __init__(self, inner: Meter, repeats: Repeats) -> None:
        self.inner = inner
        self.name = inner.name
        self.specification = inner.specification
        self._repeats = repeats
        resolution = inner.specification.luminance_resolution or 0.0
        self._floor = resolution if repeats.floor is None else repeats.floor
        self._given_up = threading.Event()
        self.progress = ""
        """Which reading of the mean is being taken; empty where none is."""

    def give_up(self) -> None:
        """Take no further reading for the mean under way."""
        self._given_up.set()

    def measure(self) -> MeterReading:
        """Read until the mean is steady, or often enough. Raises MeterError."""
        try:
            return self._measure()
        finally:
            self.progress = ""

    def _measure(self) -> MeterReading:
        # one of its own: what was given up stays so while the next is under way
        self._given_up = given_up = threading.Event()
        repeats = self._repeats
        readings = [reading_of(self.inner)]
        values = [_luminance(readings[0])]
        if repeats.below is not None and values[0] >= repeats.below:
            return readings[0]
        failures, steady = 0, not repeats.until_steady
        while len(values) < repeats.most:
            if given_up.is_set():
                raise MeterError("The measurement was given up.")
            self.progress = f"reading {len(values) + 1} of {repeats}"
            try:
                reading = reading_of(self.inner)
                values.append(_luminance(reading))
                readings.append(reading)
            except MeterError as error:
                failures += 1
                if failures > FORGIVEN:
                    raise MeterError(
                        f"{str(error).rstrip('.')}, after {len(values)} of at least "
                        f"{repeats.least} readings."
                    ) from error
                continue
            if len(values) >= max(repeats.least, 2) and repeats.until_steady:
                steady = repeats.steady(values, self._floor)
                if steady:
                    break
        return _mean(readings, values, steady=steady, room=room_for(self))


def one_by_one(meter: Meter) -> Meter:
    """The meter without its repeats: each of its readings is one; a dark offset is subtracted."""
    if isinstance(meter, RepeatingMeter):
        return meter.inner
    if isinstance(meter, DarkCorrectedMeter):
        return DarkCorrectedMeter(one_by_one(meter.inner), meter.dark)
    return meter


def _luminance(reading: MeterReading) -> float:
    if reading.luminance is None:
        raise MeterError(f"The meter gave no luminance: {reading.raw!r}.")
    return reading.luminance


def _mean(
    readings: list[MeterReading], values: list[float], *, steady: bool, room: float
) -> MeterReading:
    """One reading of several; colours are averaged as X Y Z, where every reading has a colour."""
    if len(readings) == 1:
        return readings[0]
    colours = [xyz for reading in readings if (xyz := xyz_of(reading)) is not None]
    tristimulus: Triple | None = None
    chromaticity = None
    if len(colours) == len(readings):
        big_x, big_y, big_z = (fmean(part) for part in zip(*colours, strict=True))
        tristimulus = (big_x, big_y, big_z)
        chromaticity = xy_of(tristimulus, room)
    x, y = chromaticity or (None, None)
    between = "\n\n" if any("\n" in reading.raw for reading in readings) else "\n"
    return MeterReading(
        between.join(reading.raw for reading in readings),
        fmean(values),
        x,
        y,
        tristimulus,
        Derivation(count=len(values), deviation=stdev(values), steady=steady),
    )
