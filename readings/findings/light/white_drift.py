"""How white changed between its first reading of a visit and its last, under the same settings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

import numpy as np

from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.references import settings_of
from readings.evidence.shown import area_of, grey_value, place_of, signal_of
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.kind import OWN, FindingKind, Limit, Reads
from readings.findings.share import percent_of, shifts_from, value_of, with_possible_colour

ROLES = ("white", "target-white", "grey")
"""White as greys and colours are judged by it; what is read from the side, or of a place of its
own, is another thing."""
WHITE = 1.0
TAKES = 10 / 60
"""min: how long a reading may take, at the end of which it is kept; a choice of our own."""
PLACES = 3
"""Decimal places of E' that tell backgrounds apart."""
DRIFT = 2.0
"""%"""
SIGNALS = {"pq": "PQ", "hlg": "HLG"}
SOURCE = "Our own definitions; no published one was seen"
COLUMNS = (
    Column("minutes", "Time since the first reading", "min"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("change", "Change against the first", "%"),
    Column("delta-uv", "Δu′v′ from the first"),
)
Picture = tuple[object, ...]
"""What is equal for whites that can be compared."""


class WhiteDrift(FindingKind):
    """Change of white over a visit: one finding for each condition, area, signal and meter.

    Reads the roles `white`, `target-white` and `grey` where they show 100 % in the middle.
    """

    name = "white-drift"
    subject = "white, read again later"
    reads = (Reads(ROLES, "white in the middle, read twice or more under one condition"),)
    limits = (
        Limit(
            ("white-drift",),
            "at most",
            DRIFT,
            "%",
            OWN + ": a fifth of what greys may be off",
            "White kept its luminance from its first reading to its last",
            "White changed from its first reading to its last: what was read between is as "
            "uncertain",
            "Whether white kept its luminance from its first reading to its last cannot be told",
            size=True,
        ),
    )
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        found = grouped((r for r in readings if white_shown(r) is not None), white_shown)
        ordered = [sorted(group, key=_when) for group in found.values()]
        ordered.sort(key=lambda group: _when(group[0]))
        return [each for group in ordered if (each := _finding(group)) is not None]


def white_shown(reading: Measured) -> Picture | None:
    """What a white has to share with another for the two to be compared; None of all else."""
    area = area_of(reading)
    if reading.role not in ROLES or area is None or grey_value(reading) != WHITE:
        return None
    place = place_of(reading)
    if place is not None and not place.central:
        return None
    around = () if round(area) == 100 else _around(reading)
    return (*settings_of(reading), round(area), around, reading.meter)


def _around(reading: Measured) -> tuple[float, ...]:
    """E' of what lies around it; nothing where that is black, or not known."""
    signal, codes = signal_of(reading), reading.inks.get("background")
    if signal is None or codes is None:
        return ()
    values = signal.quantiser.signals(np.array(codes))
    return tuple(float(each) for each in values.round(PLACES)) if values.any() else ()


def minutes_between(first: Measured, last: Measured) -> float:
    """Minutes from one reading to another."""
    return (last.taken_at - first.taken_at).total_seconds() / 60


def _when(reading: Measured) -> tuple[datetime, int]:
    return reading.taken_at, reading.reading


def _finding(group: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    whites = with_possible_colour(with_light(group, basis))
    if len(whites) < 2:
        return None
    lights = lights_of([[each] for each in whites], basis)
    changes = [_change(lights, n, basis) for n in range(len(whites))]
    shifts = shifts_from(lights, 0) if lights.coloured[0] else [Number(None)] * len(whites)
    first, last = whites[0], whites[-1]
    area = area_of(last) or 0.0
    named = [f"White, read again, {area:.3g} % of the screen"]
    named += [name] if (name := SIGNALS.get(str(last.signal.get("transfer")))) else []
    named += [f"{range_} range"] if (range_ := last.signal.get("range")) else []
    return basis.finding(
        "white-drift",
        last,
        title=", ".join(named),
        values=_values(whites, changes, shifts),
        method=(
            "Luminance of white against the first reading of it in the visit, under the same "
            "condition, of the same area and signal, by the same meter; the meter's error of gain "
            "cancels where it is known how it repeats. Δu′v′ is the distance of the two in CIE "
            "1976 u′, v′. Whether the display changed, or the meter, the readings cannot tell."
        ),
        source=SOURCE,
        series=(_series(whites, lights, changes, shifts, first),),
    )


def _change(lights: Lights, n: int, basis: Basis) -> Number:
    if not n:
        return Number(0.0)
    share = percent_of([lights.estimates[n]], [lights.estimates[0]], basis, "the first white")
    if share.value is None:
        return share
    return Number(share.value - 100, share.uncertainty, share.bound)


def _values(
    whites: Sequence[Measured], changes: Sequence[Number], shifts: Sequence[Number]
) -> list[Value]:
    minutes = [minutes_between(whites[0], each) for each in whites]
    where = {"area_percent": area_of(whites[-1])}
    values = [
        value_of("white-drift", "Change of white, last against first", changes[-1], "%", where)
    ]
    sized = [n for n, each in enumerate(changes) if n and each.value is not None]
    most = max(sized, key=lambda n: abs(changes[n].value or 0.0), default=0)
    if len(sized) > 1:
        row = "Largest change of white against the first"
        at = f"after {minutes[most]:.0f} min"
        values.append(
            value_of(
                "white-drift-largest",
                f"{row}, {at}",
                changes[most],
                "%",
                {**where, "minutes": round(minutes[most], 1)},
                row=row,
                at=at,
            )
        )
    if shifts[-1].value is not None:
        values.append(
            value_of(
                "white-drift-uv", "Change of its colour, Δu′v′", shifts[-1], "", where, off=True
            )
        )
    span = Number(minutes[-1], TAKES)
    values.append(value_of("white-drift-minutes", "Time between the two", span, "min", where))
    return values


def _series(
    whites: Sequence[Measured],
    lights: Lights,
    changes: Sequence[Number],
    shifts: Sequence[Number],
    first: Measured,
) -> Series:
    rows = []
    for n, white in enumerate(whites):
        estimate = lights.estimates[n]
        numbers = (
            Number(round(minutes_between(first, white), 1)),
            Number.of(estimate.value, estimate.expanded),
            changes[n],
            shifts[n],
        )
        where = {"run": white.run, "step": white.step}
        rows.append(Row(white.label, numbers, where, (white.reading,)))
    return Series("white-drift", "White, reading by reading", COLUMNS, tuple(rows))
