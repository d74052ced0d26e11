"""What the readings of one run say of its zones: passes, comb answers and meter traces by axis."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from readings.evidence.measured import Measured, Press
from readings.evidence.shown import box_of
from readings.visit.records import Direction
from readings.zones.comb import CombAnswer
from readings.zones.combine import AxisCount, ZoneCount, count_axis, zone_count
from readings.zones.crawl import Pass

if TYPE_CHECKING:
    from readings.zones.trace import Trace

Way = Literal["columns", "rows"]
WAYS: tuple[Way, Way] = ("columns", "rows")
TRACE_ROLES: dict[str, Way] = {"trace-columns": "columns", "trace-rows": "rows"}
"""Roles of steps where a meter looks at a fixed dark spot while a box stands elsewhere."""


@dataclass
class AxisEvidence:
    """All that was seen along one axis of `size` pixels."""

    size: int
    passes: list[Pass] = field(default_factory=list)
    combs: list[CombAnswer] = field(default_factory=list)
    traces: list[Trace] = field(default_factory=list)
    readings: list[Measured] = field(default_factory=list)
    typed: list[Measured] = field(default_factory=list)
    """Numbers of presses that were typed: where the box was is not known, so they do not count."""

    def count(self) -> AxisCount:
        """The count from all of it. Raises ValueError where it contradicts itself."""
        return count_axis(self.passes, self.size, self.combs, self.traces)


def gathered(readings: Iterable[Measured]) -> dict[Way, AxisEvidence]:
    """What readings of one run hold for each axis; an axis that nobody looked at is left out."""
    found: dict[Way, AxisEvidence] = {}
    traced: dict[Way, list[Measured]] = {}

    def along(way: Way, reading: Measured) -> AxisEvidence:
        evidence = found.setdefault(way, AxisEvidence(reading.canvas[way == "rows"]))
        evidence.readings.append(reading)
        return evidence

    for reading in readings:
        way = way_of(reading.kind, reading.parameters)
        if reading.quantity == "tally" and way is not None:
            evidence = along(way, reading)
            if reading.number and not reading.presses:
                evidence.typed.append(reading)
            else:
                evidence.passes += passes_of(reading.presses, planned_direction(reading))
        elif reading.kind == "comb" and reading.quantity == "count" and way is not None:
            groups = None if reading.number is None else int(reading.number)
            counts = [reading.facts.get(name) for name in ("zones", "spacing")]
            zones, spacing = (each if isinstance(each, int) else 0 for each in counts)
            if zones > 0 and spacing > 0:  # else the record does not say which comb it was
                along(way, reading).combs.append(CombAnswer(zones, spacing, groups))
        elif reading.role in TRACE_ROLES and reading.luminance is not None:
            way = TRACE_ROLES[reading.role]
            along(way, reading)
            traced.setdefault(way, []).append(reading)
    for way, places in traced.items():
        found[way].traces += traces_of(places, way)
    return found


def counted(evidence: dict[Way, AxisEvidence]) -> ZoneCount:
    """Both axes, as far as there is anything."""
    columns, rows = (evidence[way].count() if way in evidence else None for way in WAYS)
    return zone_count(columns, rows)


def way_of(kind: str, parameters: object) -> Way | None:
    """Which count a step's pattern serves; None for other patterns."""
    if not isinstance(parameters, dict):
        return None
    along = parameters.get("along")
    if kind == "comb":
        return "rows" if along == "rows" else "columns"
    if kind == "moving-box":
        ways: dict[object, Way] = dict.fromkeys(("top", "bottom", "row"), "columns")
        ways |= dict.fromkeys(("left", "right", "column"), "rows")
        return ways.get(along)
    return None


def planned_direction(reading: Measured) -> Direction:
    """The way the box was to go when it began."""
    return "backward" if reading.parameters.get("direction") == "backward" else "forward"


def passes_of(presses: Iterable[Press], planned: Direction) -> list[Pass]:
    """Passes from presses in their order: each turn of the box begins another one.

    Without any press it is one pass in the planned direction, in which no hop was seen.
    """
    passes: list[Pass] = []
    way: Direction | None = None
    places: list[float] = []
    for press in presses:
        if way is not None and press.direction != way:
            passes.append(Pass(way, tuple(places)))
            places = []
        way = press.direction
        places.append(press.position_px)
    return [*passes, Pass(way or planned, tuple(places))]


def traces_of(readings: Iterable[Measured], way: Way) -> list[Trace]:
    """Meter traces, one for each instrument, from readings with the box's place in their facts."""
    from readings.zones.trace import Trace

    by_meter: dict[int | None, list[tuple[float, float, float]]] = {}
    for reading in readings:
        box = box_of(reading)
        # the shape alone counts, and some readings of a trace may be too dark to be corrected
        luminance = reading.luminance_as_read
        if box is None or luminance is None:
            continue
        side, begin = (box.width, box.x) if way == "columns" else (box.height, box.y)
        points = by_meter.setdefault(reading.instrument, [])
        # a dark offset may leave less than nothing
        points.append((begin + side / 2, max(luminance, 0.0), side))
    return [
        Trace(
            tuple(place for place, _, _ in sorted(points)),
            tuple(luminance for _, luminance, _ in sorted(points)),
            points[0][2],
        )
        for points in by_meter.values()
    ]
