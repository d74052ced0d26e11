"""The white and the black that a run's readings are judged against, found among all readings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from readings.evidence.measured import Measured
from readings.evidence.shown import area_of, at_value
from readings.visit.records import Json

NEAR = 1.0
"""Percent of the canvas by which areas may differ and still be the same."""


@dataclass(frozen=True, slots=True)
class Reference:
    """Readings of white or of black, the repeats of one thing; may be none."""

    readings: tuple[Measured, ...] = ()
    called: str = ""
    """What they are and where from, as a part of a sentence; empty where there are none."""
    elsewhere: int | None = None
    """The run they are from, where it is another one than what is judged by them."""


def settings_of(reading: Measured) -> tuple[str, ...]:
    """Under what it was read: condition, transfer, primaries and range. Depth changes no white."""
    return (reading.condition, *signal_settings(reading.signal))


def signal_settings(signal: Json) -> tuple[str, ...]:
    """Transfer, primaries and range of a signal as it is kept."""
    return tuple(str(signal.get(part, "")) for part in ("transfer", "primaries", "range"))


def white_of(
    mine: Sequence[Measured], everything: Sequence[Measured], area: float | None = None
) -> Reference:
    """100 % white with a luminance, nearest to how `mine` were shown.

    In the same run before others of the same condition and transfer; of the area that most of
    `mine` have before any other, or of the one that is given, percent.
    """
    return _grey_of(1.0, "white", mine, everything, area)


def black_of(
    mine: Sequence[Measured], everything: Sequence[Measured], area: float | None = None
) -> Reference:
    """0 % black likewise."""
    return _grey_of(0.0, "black", mine, everything, area)


def _grey_of(
    value: float,
    name: str,
    mine: Sequence[Measured],
    everything: Sequence[Measured],
    area: float | None,
) -> Reference:
    if not mine:
        return Reference()
    own = _lit(at_value(mine, value))
    area = _usual_area(mine) if area is None else area
    if own:
        chosen, size = _of_area(own, area)
        return Reference(chosen, f"{name} {size} of the same run")
    first = mine[0]
    others = [
        reading
        for reading in everything
        if reading.run != first.run
        and reading.condition == first.condition
        and reading.signal.get("transfer") == first.signal.get("transfer")
    ]
    found = _lit(at_value(others, value))
    if not found:
        return Reference()
    near = min({reading.run for reading in found}, key=lambda run: (abs(run - first.run), run))
    chosen, size = _of_area([reading for reading in found if reading.run == near], area)
    return Reference(chosen, f"{name} {size} of run {near}", near)


def _lit(readings: Sequence[Measured]) -> list[Measured]:
    """With a luminance, on a plain screen or in a window: a box of a board is something else."""
    return [r for r in readings if r.luminance is not None and area_of(r) is not None]


def _usual_area(mine: Sequence[Measured]) -> float | None:
    areas = [area for reading in mine if (area := area_of(reading)) is not None]
    return Counter(areas).most_common(1)[0][0] if areas else None


def _of_area(found: Sequence[Measured], area: float | None) -> tuple[tuple[Measured, ...], str]:
    """Those nearest to an area, and how that area is called."""
    sizes = {reading.reading: area_of(reading) or 100.0 for reading in found}
    wanted = max(sizes.values()) if area is None else area
    best = min(sizes.values(), key=lambda size: (abs(size - wanted), size))
    chosen = tuple(r for r in found if abs(sizes[r.reading] - best) < NEAR)
    return chosen, "on the full screen" if best >= 100 - NEAR else f"in a window of {best:.3g} %"
