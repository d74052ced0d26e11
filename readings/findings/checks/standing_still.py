"""Whether a meter was moved: places of a picture that all read alike where the picture does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from patterns.picture.frame import Frame
from patterns.place import Place
from readings.evidence.measured import Measured
from readings.evidence.shown import codes_in, frame_of, place_of, signal_of
from readings.evidence.uncertainty import written
from readings.findings.basis import Basis, by_run, check_for, grouped, light

ALIKE = 0.05
"""Share of the brightest by which readings that are all alike may lie apart."""
APART = 1.5
"""By what factor the light of two places differs at least, on whatever display, that cannot read
alike."""
BLACK = 1 / 200
"""Share of white that a display may have as black, and its room may add to it."""
SHOWN = 100.0
"""cd/m2 that any display shows of a PQ picture; of others, half of white. Above it may clip."""
DIM = 0.01
"""Share of white below which a place may be too dark for a meter near its floor. All our own."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Readings of one picture by one meter, in places of which some have to be brighter."""

    readings: tuple[Measured, ...]
    places: int
    """How many places they are of."""
    alike: bool
    """Whether they read alike all the same."""

    def warning(self) -> str:
        """What is said of it."""
        lights = [light(reading) for reading in self.readings]
        first, *_, last = self.readings
        return (
            f"{self.places} places of one picture ({first.label} to {last.label}) all read alike, "
            f"{written(min(lights))[0]} to {written(max(lights))[0]} cd/m2, where the picture is "
            "brighter in some of them: was the meter moved to each place, and is the picture there?"
        )


def pictures_of(lit: Sequence[Measured]) -> list[Picture]:
    """Every picture of a run that can tell whether its meter was moved.

    Args:
        lit: readings with a luminance.
    """
    found = []
    for alike in grouped(lit, _picture).values():
        if len({reading.of for reading in alike}) < 2:
            continue
        places = {place for reading in alike if (place := place_of(reading)) is not None}
        frame, white = frame_of(alike[0]), _white(alike[0])
        if len(places) < 2 or frame is None or white is None:
            continue
        asked = [_asked(alike[0], frame, place, white) for place in places]
        if max(asked) < APART * min(asked):
            continue
        lights = [light(reading) for reading in alike]
        specification = alike[0].specification
        floor = (specification.luminance_floor if specification else None) or 0.0
        too_dark = max(lights) <= 2 * floor
        if too_dark and max(asked) < DIM * white:
            continue
        same = too_dark or max(lights) - min(lights) <= ALIKE * max(lights)
        found.append(Picture(tuple(alike), len(places), same))
    return found


def look_for_a_meter_that_stood_still(lit: Sequence[Measured], basis: Basis) -> None:
    """Warn of pictures whose places all read alike."""
    for picture in pictures_of(lit):
        if picture.alike:
            basis.used += picture.readings
            basis.warn(picture.warning())


def doubted(lit: Sequence[Measured]) -> dict[int, frozenset[int]]:
    """Which readings of a visit tell nothing, by the run that shows that its meter stood still.

    Those are the readings that show it, and what the same meter read elsewhere than in the middle
    of a screen in that run, and in others until a picture shows that it was moved.
    """
    checks: dict[str | None, dict[int, tuple[int, bool]]] = {}
    shown: dict[int, set[int]] = {}
    for run, mine in by_run(lit).items():
        for picture in pictures_of(mine):
            of_meter = checks.setdefault(picture.readings[0].meter, {})
            of_meter[run] = (run, picture.alike or of_meter.get(run, (run, False))[1])
            if picture.alike:
                shown.setdefault(run, set()).update(r.reading for r in picture.readings)
    for reading in lit:
        check = check_for(reading.run, checks.get(reading.meter, {}))
        if check is not None and check[1] and not _central(reading):
            shown.setdefault(check[0], set()).add(reading.reading)
    return {run: frozenset(ids) for run, ids in shown.items()}


def _picture(reading: Measured) -> tuple[object, ...]:
    """Equal for readings of one picture by one meter."""
    parameters, inks = (
        str(sorted(each.items(), key=str)) for each in (reading.parameters, reading.inks)
    )
    return reading.kind, parameters, inks, reading.meter


def _asked(reading: Measured, frame: Frame, place: Place, white: float) -> float:
    """The light that is surely to be seen in a place, above the worst black, cd/m2."""
    shown = SHOWN if _absolute(reading) else white / 2
    luminance = float(frame.signal.luminance(np.array(codes_in(frame, place), np.uint16)))
    return min(luminance, shown) + BLACK * white


def _white(reading: Measured) -> float | None:
    """The signal's white, or what any display shows of a PQ picture, cd/m2."""
    signal = signal_of(reading)
    if signal is None:
        return None
    white = np.full(3, signal.quantiser.white, np.uint16)
    return SHOWN if _absolute(reading) else float(signal.luminance(white))


def _absolute(reading: Measured) -> bool:
    return reading.signal.get("transfer") == "pq"


def _central(reading: Measured) -> bool:
    place = place_of(reading)
    return place is None or place.central
