"""Greys next to black and next to white: what is told apart by eye, and by meter against target."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.evidence.aim import Aimed
from readings.evidence.measured import Measured
from readings.evidence.shown import grey_value
from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE
from readings.findings.base import Bound, Column, Finding, Number, Series, Value
from readings.findings.basis import Basis, by_run, only_found
from readings.findings.grey.clipped_whites import METHOD as CLIPPED
from readings.findings.grey.clipped_whites import clipped_values, with_clipped
from readings.findings.grey.crushed import METHOD as CRUSHED
from readings.findings.grey.crushed import crushed_values, with_crushed
from readings.findings.grey.greys import Greys, gathered, warn_of_references
from readings.findings.grey.seen_patches import Seen, seen_in
from readings.findings.share import average_of, average_size_of, value_of

COLUMNS = (
    Column("signal", "Signal", "%"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("target-luminance", "Target luminance", "cd/m2"),
)
SOURCE = (
    "Targets: Rec. ITU-R BT.1886 (03/2011) Annex 1 or BT.2100-3 (second-hand); what is told apart "
    "and averages are definitions of our own"
)


@dataclass(frozen=True, slots=True)
class End:
    """One end of the range."""

    name: str
    """Of the finding; also the role of readings by meter, and the stem of that by eye."""
    title: str
    what: str
    """`black` or `white`."""
    value: float
    """E' of it."""
    seen: Bound
    """Which bound a patch that is told apart is, on where the display stops to tell apart."""

    @property
    def hidden(self) -> Bound:
        """Which bound one that is not told apart is."""
        return "lower" if self.seen == "upper" else "upper"


def near(end: End, readings: Sequence[Measured]) -> list[Finding]:
    """What is told apart at one end of the range, per run."""
    return only_found(_finding(end, mine, readings) for mine in by_run(readings).values())


def _finding(end: End, mine: Sequence[Measured], everything: Sequence[Measured]) -> Finding | None:
    basis = Basis(aimed=Aimed.of(mine[0]))
    seen = seen_in([r for r in mine if r.role == f"{end.name}-patches"], basis)
    group = [r for r in mine if r.role == end.name]
    greys = None
    if group:
        beside = [r for r in mine if r.role == end.what and grey_value(r) == end.value]
        greys = gathered([*group, *beside], mine, everything, basis)
    if not basis.used:
        return None
    values = [value for each in seen for value in _by_eye(end, each)]
    series: tuple[Series, ...] = ()
    if greys is not None:
        warn_of_references(greys, basis, dark=end.what == "black")
        lost = crushed_values(greys) if end.what == "black" else clipped_values(greys)
        values = [*lost, *values]
        values += [*_by_meter(end, greys, basis), *_errors(end, greys)]
        columns = [
            [Number.of(100 * float(value)) for value in greys.values],
            greys.luminances(),
            [Number.of(float(each)) for each in greys.target],
        ]
        series = (Series(end.name, end.title, COLUMNS, greys.rows(columns)),)
    finding = basis.finding(
        end.name,
        mine[0],
        title=end.title,
        values=values,
        method=_method(end, Aimed.of(mine[0])),
        source=SOURCE,
        series=series,
    )
    return with_crushed(finding) if end.what == "black" else with_clipped(finding)


def _method(end: End, aimed: Aimed) -> str:
    curve = aimed.told_curve("the measured white", "the measured black")
    beyond = "above black" if end.what == "black" else "below white"
    return (
        f"By eye: the patch nearest to {end.what} that was told from it, and the next nearer one "
        f"that was not. By meter: the code nearest to {end.what} from which on all read {beyond} "
        "by more than chance makes of so many comparisons (1 in 1,000 for all of them together; "
        "the meter's error of gain cancels). "
        f"Luminance off target: against the curve for the codes shown, {curve}; averages over the "
        f"codes next to {end.what}."
    ) + (CRUSHED if end.what == "black" else CLIPPED)


def _by_eye(end: End, seen: Seen) -> list[Value]:
    """Patches count from the end of the range: 1 is the nearest to it; 0 stands for none."""
    first = seen.number or len(seen.patches) + 1
    step = seen.reading.label
    how, values = f"by eye ({step})", []
    if first <= len(seen.patches):
        label = f"Told from {end.what} {how}"
        values.append(seen.level(f"{end.name}-told-apart", label, first, end.seen, step))
    if first > 1:
        label = f"Not told from {end.what} {how}"
        values.append(seen.level(f"{end.name}-not-told-apart", label, first - 1, end.hidden, step))
    return values


def _by_meter(end: End, greys: Greys, basis: Basis) -> list[Value]:
    """The code nearest to the end that differs from it, with all beyond."""
    place = greys.at_black if end.what == "black" else greys.at_white
    if place is None:
        basis.warn(f"No {end.what} was read beside these greys, to tell them from it by meter.")
        return []
    sign = 1.0 if end.what == "black" else -1.0
    base, drawn_base = _base(greys, place)
    apart = sign * (greys.luminance - base)
    spread = greys.lights.spread(apart, sign * (greys.drawn - drawn_base), colour=False)
    if spread is None:
        return []  # the estimate has said that nothing is known of the meter
    order = [n for n in range(greys.count) if sign * (greys.values[n] - end.value) > 0]
    room = surely(len(order), greys.lights.freedom) / COVERAGE * spread
    clear = (apart > room) & (greys.clear if end.what == "black" else True)
    if end.what == "white":
        order.reverse()
    # from the far side towards the end: the last that is clear, with all before it
    last = None
    for n in reversed(order):
        if not clear[n]:
            break
        last = n
    if last is None:
        if order:
            basis.warn(f"By meter none of these greys stands clear of {end.what}.")
        return []
    label = f"Nearest signal that the meter tells from {end.what}"
    return [greys.level(f"{end.name}-by-meter", label, last, end.seen)]


def _base(greys: Greys, place: int) -> tuple[float, Floats]:
    """Luminance of the end and its draws (m, 1)."""
    lights = greys.lights
    return float(lights.luminance[place]), lights.drawn_luminance[:, place, None]


def _errors(end: End, greys: Greys) -> list[Value]:
    inside = greys.comparable & np.isfinite(greys.error)
    inside &= (greys.values > 0) if end.what == "black" else (greys.values < 1)
    used = np.flatnonzero(inside)
    if not used.size:
        return []
    off = greys.lights, greys.error[used], greys.drawn_error[:, used]
    row, count = "Luminance off target, average", used.size
    return [
        value_of(
            f"{end.name}-error", f"{row} of {count}", average_of(*off), "%", row=row, count=count
        ),
        value_of(
            f"{end.name}-error-size",
            f"{row} size of {count}",
            average_size_of(*off),
            "%",
            row=f"{row} size",
            count=count,
            off=True,
        ),
    ]
