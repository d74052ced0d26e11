"""The front page of several visits: what changed, by how much, and whether that is sure.

Only the main values are told here: those that a limit is for, and a few that a client asks for. The
tables below have them all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from readings.findings import FINDINGS, Value
from readings.ranges import ranges
from readings.report.compare import Column, SideBySide
from readings.report.gather import VisitContents
from readings.report.tables import Row, as_printed, cell, gap, value_text
from readings.report.wording import light_unit, run_text

Sure = Literal["changed", "alike", "open"]
HEADS: dict[Sure, str] = {
    "changed": "What changed by more than the uncertainty of the change",
    "alike": "What changed by less than that, or not at all",
    "open": "What changed, with an uncertainty that is not known",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One main value of two visits."""

    sure: Sure
    sentence: str
    """`Greyscale, luminance off target, average size: smaller by 18.84 ± 0.72 percentage points,
    nearer to the target`, without its full stop."""
    figures: str
    """`From 22.03 ± 0.58 % (run 1) to 3.19 ± 0.43 % (run 1: adjusted)`, without its full stop; a
    run that is called the same in both is named once. What is alike does without `From`."""


@dataclass(frozen=True, slots=True)
class Changes:
    """The front page of several visits."""

    title: str
    lead: tuple[str, ...]
    """Sentences that come first."""
    changes: tuple[Change, ...]

    def of(self, sure: Sure) -> list[Change]:
        """Those of one kind."""
        return [each for each in self.changes if each.sure == sure]


def changes_of(visits: Sequence[VisitContents], beside: Sequence[SideBySide]) -> Changes:
    """The front page of these visits and their tables."""
    several = len(visits) > 2
    changes, untold = [], []
    for table in beside:
        for row, place in _main(table):
            change = _change(table, row, place, named=several)
            if change:
                changes.append(change)
            else:
                untold.append(_called(table.title, row))
    one = len({visit.about.display for visit in visits}) == 1
    times = [visit.about.created_at for visit in visits]
    end = "the first visit that has the value" if several else "visit 1 to visit 2"
    lead = [f"Changes are counted from {end}."]
    if one and times != sorted(times):
        lead.append("The visits are not in the order in which they were begun.")
    lead += _judged_by(visits)
    number, sure = len(changes), sum(each.sure == "changed" for each in changes)
    if number:
        lead.append(
            f"Of {number} main value{'s' if number > 1 else ''} that can be compared, "
            f"{sure or 'none'} changed by more than the uncertainty of the change."
        )
    else:
        lead = ["No main value of one visit can be compared with one of another."]
    if untold:
        names = "; ".join(dict.fromkeys(untold))
        lead.append(f"No difference is made of bounds, counts and undefined values: {names}.")
    title = f"{len(visits)} visits side by side"
    if len(visits) == 2 and one:
        title = f"{visits[0].about.display}, before and after"
    return Changes(title, tuple(lead), tuple(changes))


def _judged_by(visits: Sequence[VisitContents]) -> list[str]:
    """That a visit is judged by the aim of another one, where it is."""
    others = [n for n, visit in enumerate(visits, 1) if visit.aim != visit.stated]
    if not others:
        return []
    by = max(n for n, visit in enumerate(visits, 1) if visit.aim == visit.stated)
    told = light_unit(visits[by - 1].aim.told())
    return [f"Visit {ranges(others)} is judged here by the aim of visit {by}: {told}."]


def _main(table: SideBySide) -> Iterator[tuple[Row, int]]:
    """The main rows of a table, each with the place of each later column that has the value."""
    finding = table.columns[0].finding
    kind = FINDINGS[finding.name]
    names = dict.fromkeys(name for limit in kind.limits for name in limit.values)
    names |= dict.fromkeys(kind.main)
    judged = {value.name for value in finding.values if value.judged}
    # the first row of each name: of several coverages, that of the smallest space
    first = {row.name: row for row in reversed(table.rows) if row.name in judged}
    for row in [first[name] for name in names if name in first] or table.rows[:1]:
        if row.values[0]:
            yield from ((row, place) for place, later in enumerate(row.values) if place and later)


def _change(table: SideBySide, row: Row, place: int, *, named: bool) -> Change | None:
    first, later = row.values[0], row.values[place]
    change = gap(first, later) if first and later else None
    if first is None or later is None or change is None:
        return None
    number, spread = change.value or 0.0, change.uncertainty
    sure: Sure = "open" if spread is None else "changed" if abs(number) > spread else "alike"
    size = cell(Value("", "", abs(number), change.unit, spread))
    if change.unit == "%":
        # from 10 % to 5 % could be called half as well
        size = replace(size, unit="percentage points")
    sentence = f"{'smaller' if number < 0 else 'larger'} by {value_text(size)}"
    if not as_printed(change):
        unit = "" if size.unit == ":1" else size.unit
        sentence = f"no change ({' '.join(part for part in (size.spread, unit) if part)})"
    elif sure == "changed" and (first.off or first.aim is not None) and _of_one_aim(table, place):
        sentence += f", {'nearer to' if number < 0 else 'farther from'} the target"
    start, end = (
        (value_text(cell(value)), _where(column, named=named))
        for value, column in ((first, table.columns[0]), (later, table.columns[place]))
    )
    # both may be of a run of one number and condition
    began = f"{start[0]} ({start[1]})" if start[1] != end[1] else start[0]
    figures = f"{began} to {end[0]} ({end[1]})"
    if start == end:
        figures = f"{start[0]} in both ({start[1]})"
    elif sure != "alike":  # those that are alike are told on one line
        figures = f"From {figures}"
    return Change(sure, f"{_called(table.title, row)}: {sentence}", figures)


def _of_one_aim(table: SideBySide, place: int) -> bool:
    """Whether both columns were judged by the same aim: else nearer and farther mean nothing."""
    return table.columns[0].finding.aimed == table.columns[place].finding.aimed


def _where(column: Column, *, named: bool) -> str:
    """The run, and its visit where there are more than two."""
    run = run_text(column.run, column.finding.condition)
    return f"visit {column.visit}, {run}" if named else run


def _called(title: str, row: Row) -> str:
    """The value's label, after what it is of where that does not say the same."""
    if any(value.titled for value in row.values if value):
        return title
    label = row.called
    return f"{title}, {label[:1].lower() + label[1:] if label[1:2].islower() else label}"
