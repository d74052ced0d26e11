"""The appendix of `report.pdf`: the long tables and all readings.

A column is as wide as its widest number, so that none is broken over two lines; a table that is too
wide for the sheet goes on in another one below.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import ceil

from readings.findings import Finding
from readings.report import wording
from readings.report.gather import RunContents
from readings.report.history import Said
from readings.report.paper_sheet import ROOM, Cell, Sheet
from readings.report.tables import Cell as Printed
from readings.report.tables import LongTable
from readings.report.visit_report import VisitReport

SIZE = 6.5
LABELS = (44.0, 26.0)
"""The most that the labels of rows take where their words are short enough, mm: the second where
that saves a table."""
LOOSE = 5.0
"""The most that a column is given beyond what it needs, mm."""
HEAD_LINES = 3
"""Lines that a head is broken into, about."""


def appendix(sheet: Sheet, visit: VisitReport) -> None:
    """Every series of a visit, then every reading, then what was stated afterwards."""
    # where a run has several findings of a kind, their tables are called the same
    kinds = Counter((each.name, each.run) for topic in visit.topics for each in topic.findings)
    for topic in visit.topics:
        for finding in topic.findings:
            for series in finding.series:
                if series.rows:
                    of = finding.title if kinds[finding.name, finding.run] > 1 else ""
                    _series(sheet, finding, visit.long(series), of)
    for run in visit.contents.runs:
        if run.measured:
            _readings(sheet, run)
    if visit.contents.history:
        _history(sheet, visit.contents.history)


def _series(sheet: Sheet, finding: Finding, long: LongTable, of: str) -> None:
    title = wording.long_title(long.title, finding)
    sheet.head(" · ".join(filter(None, (f"Appendix: {of or title}", of and title))), 9.5)
    labels = [Cell.of(label) for label, _ in long.rows]
    cells = [
        [Cell.of("–") if each is None else Cell.of(_bounded(each), each.spread) for each in row]
        for _, row in long.rows
    ]
    needs = [
        _width(sheet, head, [row[place] for row in cells]) for place, head in enumerate(long.heads)
    ]
    firsts = [_label_width(sheet, labels, most) for most in LABELS]
    first, tables = min(
        ((first, shared_out(needs, ROOM - first)) for first in firsts),
        key=lambda pair: len(pair[1]),
    )
    for number, (start, end) in enumerate(tables):
        sheet.gap(3.0 if number else 0.0)
        free = (ROOM - first - sum(needs[start:end])) / (end - start)
        more = min(max(free, 0.0), LOOSE)
        sheet.table(
            ["", *long.heads[start:end]],
            [[label, *row[start:end]] for label, row in zip(labels, cells, strict=True)],
            [first, *(need + more for need in needs[start:end])],
            size=SIZE,
        )


def shared_out(needs: Sequence[float], room: float) -> list[tuple[int, int]]:
    """Columns so wide in as few tables as hold them, about as wide as each other.

    Args:
        needs: the width of each column.
        room: what one table may take; a column that is wider has a table of its own.

    Returns:
        the first column of each table, and the one after its last.
    """
    fewest = max(1, ceil(sum(needs) / room))
    even = sum(needs) / fewest + max(needs, default=0.0) / 2
    loose = _filled(needs, min(even, room))
    return loose if len(loose) <= fewest else _filled(needs, room)


def _filled(needs: Sequence[float], room: float) -> list[tuple[int, int]]:
    starts, used = [0], 0.0
    for place, need in enumerate(needs):
        if used + need > room and place > starts[-1]:
            starts.append(place)
            used = 0.0
        used += need
    return list(zip(starts, [*starts[1:], len(needs)], strict=True))


def _width(sheet: Sheet, head: str, cells: Sequence[Cell]) -> float:
    """What a column needs: no number is broken, nor a word of its head."""
    words = sheet.plain(head).split(" ")
    named = max(sheet.width(word, SIZE, bold=True) for word in words)
    named = max(named, sheet.width(head, SIZE, bold=True) / HEAD_LINES)
    return max(named, *(sheet.needs(cell, SIZE) for cell in cells))


def _label_width(sheet: Sheet, labels: Sequence[Cell], most: float) -> float:
    whole = max(sheet.needs(label, SIZE) for label in labels)
    words = {word for label in labels for text, _ in label.lines for word in text.split(" ")}
    return max(min(whole, most), min(max(sheet.width(w, SIZE) for w in words), ROOM / 2))


def _bounded(cell: Printed) -> str:
    return f"{cell.bound} {cell.number}".strip()


def _readings(sheet: Sheet, contents: RunContents) -> None:
    head = wording.run_head(contents)
    sheet.head(f"Appendix: readings of {head[:1].lower()}{head[1:]}", 9.5)
    rows = [
        [
            Cell.of(str(reading.reading)),
            Cell.of(wording.step_text(reading)),
            Cell.of(
                wording.reading_text(reading),
                wording.as_read_text(reading),
                wording.received_text(reading),
                wording.derivation_text(reading),
            ),
            Cell.of(wording.codes_text(reading)),
            Cell.of(reading.guard),
            Cell.of(wording.meter_text(reading)),
            Cell.of(wording.clock_text(reading)),
        ]
        for reading in contents.measured
    ]
    widths = (9.0, 37.0, 56.0, 30.0, 14.0, 19.0, 13.0)
    sheet.table(wording.READING, rows, widths, size=6.0, right_from=len(wording.READING))


def _history(sheet: Sheet, history: Sequence[Said]) -> None:
    sheet.head(f"Appendix: {wording.STATED[:1].lower()}{wording.STATED[1:]}", 9.5)
    sheet.text(wording.STATED_NOTE, 7.0)
    sheet.gap(1.0)
    rows = [[Cell.of(text) for text in wording.said_cells(said)] for said in history]
    widths = (26.0, 34.0, 38.0, 38.0, 18.0, 24.0)
    sheet.table(wording.SAID, rows, widths, size=6.0, right_from=len(wording.SAID))
