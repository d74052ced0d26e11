"""Side by side: one finding under several conditions, before and after, or of several visits.

A difference is against the first column: `readings.report.tables.difference`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from readings.findings import Finding
from readings.ranges import ranges
from readings.report.gather import VisitContents
from readings.report.pictures import BESIDE, Labelled, Picture, pictures_of
from readings.report.tables import COLUMNS, PLACES, Row, rows_of
from readings.report.wording import condition_text, run_text

NOTE = (
    "Differences are against the first column. What a meter of one name and specification gets "
    "wrong in both alike cancels in them; where that is not known, both figures count as "
    "independent (JCGM 100:2008, 5.1.2 and 5.2.2, from memory)."
)
BELOW = "What one visit alone has stands with it below."
MOST_ROWS = 20
"""Values of one finding side by side; the rest stand with each visit."""


@dataclass(frozen=True, slots=True)
class Column:
    """One finding of one visit."""

    visit: int
    """1 for the first."""
    head: str
    condition: str
    run: int
    finding: Finding


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One finding in several columns."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    pictures: tuple[Picture, ...]
    """Of all columns together."""


def note_of(visits: Sequence[VisitContents]) -> str:
    """What is to be known before differences between these visits are read."""
    corrected = [
        n for n, visit in enumerate(visits, 1) if any(c.counted for c in visit.corrections)
    ]
    others = [n for n, visit in enumerate(visits, 1) if n not in corrected]
    if not corrected or not others:
        return f"{NOTE} {BELOW}"
    return (
        f"{NOTE} There is a meter correction in visit {ranges(corrected)} and none in visit "
        f"{ranges(others)}: a difference between them may be that of the correction. {BELOW}"
    )


def visits_side_by_side(visits: Sequence[VisitContents]) -> list[SideBySide]:
    """Findings that at least two visits have, the runs of one condition beside each other.

    Runs of the same condition stand together; where a visit has only one run of a finding, it
    stands beside the others' whatever its condition is, as in before and after.
    """
    by_title: dict[tuple[str, str, tuple[str, str]], list[Column]] = {}
    # before and after are visits to one display: then the file tells them apart
    alike = len({visit.about.display for visit in visits}) < len(visits)
    for number, visit in enumerate(visits, 1):
        for finding in visit.findings:
            head = f"{number}. {visit.file if alike else visit.about.display}"
            column = Column(number, head, condition_text(finding.condition), finding.run, finding)
            key = (finding.name, finding.title, finding.played)
            by_title.setdefault(key, []).append(column)
    tables: list[SideBySide] = []
    for (_, title, _), columns in sorted(by_title.items(), key=lambda item: PLACES[item[0][0]]):
        for group in _grouped(columns):
            for start in range(1, len(group), COLUMNS - 1):
                listed = [group[0], *group[start : start + COLUMNS - 1]]
                rows = [
                    row
                    for row in rows_of([column.finding for column in listed])
                    if sum(each is not None for each in row.cells) > 1
                ][:MOST_ROWS]
                if rows:
                    pictures = _pictures(listed, f"b{len(tables) + 1}")
                    tables.append(SideBySide(title, tuple(listed), tuple(rows), pictures))
    return tables


def _pictures(columns: Sequence[Column], mark: str) -> tuple[Picture, ...]:
    """What is asked for most, drawn of all columns; what cannot be drawn is in the table."""
    labelled = [
        Labelled(f"{each.head}, {run_text(each.run, each.finding.condition)}", each.finding)
        for each in columns
    ]
    return tuple(pictures_of(labelled, mark=mark, wanted=BESIDE)[0])


def _grouped(columns: Sequence[Column]) -> list[list[Column]]:
    """Columns that belong beside each other, from at least two visits."""
    counts = Counter(column.visit for column in columns)
    if len(counts) < 2:
        return []
    if max(counts.values()) == 1:
        return [list(columns)]
    groups: dict[str, list[Column]] = {}
    for column in columns:
        groups.setdefault(column.condition, []).append(column)
    # several runs of one condition in one visit: the last of them stands for it
    last = [list({c.visit: c for c in group}.values()) for group in groups.values()]
    return [group for group in last if len(group) > 1]
