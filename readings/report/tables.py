"""The values of findings as tables: runs side by side, each number with its digits and its spread.

Both the page and the printed sheets are made from these.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import hypot

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.evidence.lights import spread_of
from readings.evidence.uncertainty import digits, significant, written
from readings.findings import FINDINGS, Finding, Value
from readings.findings.base import SERIES_DIGITS, Interval, Number, Series, written_interval

COLUMNS = 3
"""Runs side by side in one table: what a sheet of paper holds."""
UNITS = {"cd/m2": "cd/m²"}
BOUNDS: dict[str | None, str] = {"lower": "at least", "upper": "at most", None: ""}
PLACES = {name: place for place, name in enumerate(FINDINGS)}
"""The order in which findings stand."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One value as it is printed."""

    number: str
    unit: str
    spread: str
    """`± 73`, `(0 to 1.7)` of what an interval tells, `± not known`, or empty."""
    bound: str
    """`at least`, `at most`, or empty."""
    step: str
    """The step it was read at, where the row does not say."""


@dataclass(frozen=True, slots=True)
class Row:
    """One value of a finding, run by run."""

    name: str
    label: str
    called: str
    """The label without of how many, and without which step where that is not the same for all."""
    values: list[Value | None]
    cells: list[Cell | None]
    changes: list[Cell | None]
    """Against the first cell; None of the first, and where a difference means nothing."""


@dataclass(frozen=True, slots=True)
class Table:
    """One finding over some runs."""

    findings: list[Finding]
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class Topic:
    """All findings of one title."""

    title: str
    findings: list[Finding]
    tables: list[Table]

    @property
    def changes(self) -> bool:
        """Whether any row says how far a later run lies from the first."""
        return any(each for table in self.tables for row in table.rows for each in row.changes)

    def methods(self) -> dict[str, list[int]]:
        """The methods in order of appearance, each with its runs."""
        methods: dict[str, list[int]] = {}
        for finding in self.findings:
            methods.setdefault(finding.method, []).append(finding.run)
        return methods


def topics(findings: Iterable[Finding]) -> list[Topic]:
    """Findings of one title together, runs of one sequence and transfer side by side."""
    by_title: dict[tuple[str, str], list[Finding]] = {}
    for finding in sorted(findings, key=lambda each: PLACES[each.name]):
        by_title.setdefault((finding.name, finding.title), []).append(finding)
    return [Topic(title, listed, _tables(listed)) for (_, title), listed in by_title.items()]


def _tables(findings: Sequence[Finding]) -> list[Table]:
    """What was shown alike stands beside each other: a PQ white is no change of an SDR one."""
    alike: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        alike.setdefault(finding.played, []).append(finding)
    tables = [
        Table(group[i : i + COLUMNS], rows_of(group[i : i + COLUMNS]))
        for group in alike.values()
        for i in range(0, len(group), COLUMNS)
    ]
    return [table for table in tables if table.rows]  # what speaks against readings has no values


def rows_of(findings: Sequence[Finding]) -> list[Row]:
    """Values of one name and stem share a row, or of one label where a finding has several of a
    name; of several of those too, the first with the first."""
    counts = [Counter(value.name for value in finding.values) for finding in findings]
    found: dict[tuple[str, str, int], dict[int, Value]] = {}
    for column, finding in enumerate(findings):
        seen: Counter[tuple[str, str]] = Counter()
        for value in finding.values:
            single = all(count[value.name] <= 1 for count in counts)
            key = (value.name, value.stem if single else f"{value.stem}: {value.at}")
            found.setdefault((*key, seen[key]), {})[column] = value
            seen[key] += 1
    places = range(len(findings))
    return [
        Row(
            name,
            *_labels(list(by.values())),
            [by.get(n) for n in places],
            [_cell_of(by[n], list(by.values())) if n in by else None for n in places],
            [difference(by[0], by[n]) if n and 0 in by and n in by else None for n in places],
        )
        for (name, _, _), by in found.items()
    ]


def _labels(values: Sequence[Value]) -> tuple[str, str]:
    """The label that all have, or what is the same of it; and what the row is called elsewhere."""
    first = values[0]
    same = len({value.at for value in values}) == 1 and bool(first.at and first.row)
    called = f"{first.stem}: {first.at}" if same else first.stem
    label = first.label if len({value.label for value in values}) == 1 else called
    return label.replace("cd/m2", "cd/m²"), called


def _cell_of(value: Value, others: Sequence[Value]) -> Cell:
    """A cell that says what its row's label does not, because it is not the same for all."""
    made = cell(value)
    if len({other.at for other in others}) == 1:
        return made
    return replace(made, step=value.at)


def gap(first: Value, later: Value) -> Value | None:
    """The later value less the first; None where that cannot be said.

    Of what lies the farthest from a target, on whichever side, it is how much farther it lies.
    Where both keep their draws, its expanded uncertainty is that of the difference draw by draw:
    what one meter got wrong in both cancels. Else it is the root of the sum of the squares of both,
    as if they were independent.
    """
    if first.value is None or later.value is None or first.unit != later.unit:
        return None
    if first.bound or later.bound or first.among or later.among:
        return None
    aim = first.aim
    apart = later.value - first.value
    if aim is not None:
        apart = abs(later.value - aim) - abs(first.value - aim)
    spread = None
    if first.reach is not None and later.reach is not None:
        spread = hypot(*((high - low) / 2 for low, high in (first.reach, later.reach)))
        if first.drawn is not None and later.drawn is not None:
            drawn = _drawn_spread(apart, first.drawn, later.drawn, aim)
            spread = spread if drawn is None else drawn
    return Value(first.name, "", apart, later.unit, spread)


def _drawn_spread(apart: float, first: Floats, later: Floats, aim: float | None) -> float | None:
    """Expanded uncertainty of a difference from draws; None where they are not of one length."""
    if first.shape != later.shape:
        return None
    if aim is not None:
        first, later = np.abs(first - aim), np.abs(later - aim)
    spread = float(spread_of(apart, later - first))
    return spread if np.isfinite(spread) else None


def difference(first: Value, later: Value) -> Cell | None:
    """How far the later value lies from the first, with a sign; None where that cannot be said."""
    found = gap(first, later)
    if found is None:
        return None
    made = cell(found)
    if first.aim is not None:
        made = replace(made, bound="in distance")
    return replace(made, number=f"+{made.number}") if as_printed(found) > 0 else made


def as_printed(value: Value) -> Decimal:
    """The number with the digits that its uncertainty allows; 0 where it is not defined."""
    if value.value is None:
        return Decimal(0)
    return digits(value.value, value.uncertainty)[0]


def cell(value: Value) -> Cell:
    """A value with the digits that its uncertainty allows."""
    step = "" if value.at else str(value.where.get("step", ""))
    if value.among:
        return Cell(value.written(), "", "", "", step)
    if value.value is None:
        return Cell("undefined", "", "", "", step)
    number, plus = _printed(value.value, value.uncertainty, value.interval)
    bound = BOUNDS[value.bound]
    if not (plus or value.bound or value.reach):
        plus = "± not known"
    unit = UNITS.get(value.unit, value.unit)
    return Cell(number, unit, plus, bound, step)


def _printed(value: float, uncertainty: float | None, interval: Interval | None) -> tuple[str, str]:
    """A number and what is known of it, `± 73` or `(0 to 1.7)`, with groups of thousands."""
    if interval is None:
        number, spread = written(value, uncertainty)
        return thousands(number), f"± {thousands(spread)}" if spread else ""
    number, ends = written_interval(value, interval)
    return thousands(number), f"({thousands(ends[0])} to {thousands(ends[1])})" if ends else ""


def value_text(found: Cell) -> str:
    """A cell as one line: `at least 1140:1 ± 98`, `0.090 ± 0.004 cd/m²`."""
    number = f"{found.number}:1" if found.unit == ":1" else found.number
    unit = "" if found.unit == ":1" else found.unit
    return " ".join(part for part in (found.bound, number, found.spread, unit) if part)


def thousands(number: str) -> str:
    """Groups of three from five digits on, by narrow no-break spaces.

    Groups and spaces: ISO 80000-1, 7.3.1 (from memory); from five digits on: our own.
    """
    whole, point, rest = number.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    text = whole + point + rest
    return text.replace("-", "−") if text.strip("-0.") else text.lstrip("-")


@dataclass(frozen=True, slots=True)
class LongTable:
    """A series as it is printed; columns without any number are left out."""

    title: str
    heads: list[str]
    rows: list[tuple[str, list[Cell | None]]]
    """The label, and a cell for each head."""


def long_table(series: Series) -> LongTable:
    """A series with the digits that each uncertainty allows."""
    kept = [
        place
        for place in range(len(series.columns))
        if any(row.numbers[place].value is not None for row in series.rows)
    ]
    heads = [series.columns[place] for place in kept]
    return LongTable(
        series.title,
        [f"{c.label}, {UNITS.get(c.unit, c.unit)}" if c.unit else c.label for c in heads],
        [(row.label, [_number(row.numbers[place]) for place in kept]) for row in series.rows],
    )


def _number(found: Number) -> Cell | None:
    if found.value is None:
        return None
    number, plus = _printed(found.value, found.uncertainty, found.interval)
    if found.reach is None:
        number = thousands(f"{significant(found.value, SERIES_DIGITS):f}")
    return Cell(number, "", plus, BOUNDS[found.bound], "")
