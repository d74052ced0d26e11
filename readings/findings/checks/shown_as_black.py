"""Readings at a meter's floor that crushed blacks explain: the display's fault, and not theirs."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.evidence.shown import area_of, grey_value
from readings.findings.basis import Basis, grouped
from readings.findings.grey.crushed import last_crushed
from readings.findings.grey.greys import BLACK, PLACES, gathered
from readings.findings.grey.greyscale import ROLES as GREY
from readings.findings.grey.near_black import END

ROLES = (*GREY, END.name)
"""Of the greys that crushed blacks are told of."""


def shown_as_black(
    low: Sequence[Measured], mine: Sequence[Measured], everything: Sequence[Measured]
) -> frozenset[int]:
    """The ids of those whose codes greys of their run say that the display shows as black.

    Args:
        low: readings of one run, at the meter's floor where light is coded.
        mine: all readings of their run.
        everything: all readings of the visit.
    """
    asked = {reading.reading: grey_value(reading) for reading in low}
    if all(value is None for value in asked.values()):
        return frozenset()
    crushed = _crushed_to(mine, everything)
    return frozenset(
        number
        for number, value in asked.items()
        if value is not None and round(value, PLACES) <= crushed
    )


def _crushed_to(mine: Sequence[Measured], everything: Sequence[Measured]) -> float:
    """E' of the brightest grey of a run that is shown as black; below that of black without one."""
    lit = [reading for reading in mine if reading.of_light and grey_value(reading) is not None]
    black = [reading for reading in lit if grey_value(reading) == BLACK]
    found = [BLACK - 1.0]
    steps = [reading for reading in lit if reading.role in ROLES]
    for group in grouped(steps, lambda r: (r.role, r.kind, round(area_of(r) or 0.0))).values():
        greys = gathered([*group, *black], mine, everything, Basis())
        last = None if greys is None else last_crushed(greys)
        if greys is not None and last is not None:
            found.append(float(greys.values[last]))
    return max(found)
