"""`report.pdf`: the same report on A4 sheets, with the long tables as an appendix."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings import Finding
from readings.report import wording
from readings.report.appendix import appendix
from readings.report.changes import HEADS as CHANGES
from readings.report.changes import Change, changes_of
from readings.report.compare import NOTE, SideBySide, note_of
from readings.report.gather import RunContents
from readings.report.paper_sheet import DEEP, LEADING, ROOM, SOFT, Cell, Sheet
from readings.report.pictures import Picture
from readings.report.summary import HEADS, Figure, Statement, Verdict
from readings.report.tables import Cell as Printed
from readings.report.tables import Row, Topic, value_text
from readings.report.visit_report import VisitReport

WARN = (138, 75, 0)
BARS: dict[Verdict, tuple[tuple[int, int, int], float, bool]] = {
    "good": (DEEP, 1.0, False),
    "bad": (WARN, 1.8, False),
    "unsure": (SOFT, 1.0, True),
    "open": (SOFT, 0.3, False),
}
"""Ink, width and whether dashed, of the mark beside each part of the front page."""


def sheets(visits: Sequence[VisitReport], beside: Sequence[SideBySide]) -> bytes:
    """The report of some visits as a PDF, the same bytes for the same visits."""
    names = dict.fromkeys(visit.contents.about.display for visit in visits)
    sheet = Sheet(f"{', '.join(names)}: report")
    several = len(visits) > 1
    if several:
        _beside(sheet, visits, beside)
    for number, visit in enumerate(visits, 1):
        if several:
            sheet.new_page()
        _visit(sheet, visit, wording.which_visit(number, len(visits)), noted=bool(beside))
    sheet.gap(4)
    sheet.text(wording.CLOSING, 7, ink=SOFT)
    return sheet.bytes()


def _beside(sheet: Sheet, visits: Sequence[VisitReport], beside: Sequence[SideBySide]) -> None:
    sheet.text(wording.KICKER, 8, ink=SOFT)
    contents = [visit.contents for visit in visits]
    changes = changes_of(contents, beside)
    sheet.text(changes.title, 18, bold=True)
    for number, each in enumerate(visits, 1):
        listed = wording.listed_text(each.contents)
        sheet.text(f"Visit {number}: {each.contents.file}, {listed}", 8.5, ink=SOFT)
        sheet.text(each.summary.in_short(), 8.5, indent=4)
        if simulated := wording.simulated_text(each.contents):
            sheet.text(simulated, 8.5, indent=4, bold=True, ink=WARN)
        for sentence in wording.damage_texts(each.contents):
            sheet.text(sentence, 8.5, indent=4, bold=True, ink=WARN)
    sheet.gap(2)
    sheet.text(" ".join(changes.lead), 9)
    for sure, head in CHANGES.items():
        found = changes.of(sure)
        if found:
            _part(sheet, head)
        for change in found:
            _change(sheet, change)
    if beside:
        sheet.gap(1)
        sheet.text(note_of(contents), 7, ink=SOFT, whole=True)
    for table in beside:
        drawn = [_drawn(each, wording.THIS_TABLE) for each in table.pictures]
        sheet.head(table.title, 11, keep=sheet.height_of(drawn) if drawn else 22.0)
        sheet.pictures(drawn)
        heads = [f"{c.head}, {wording.run_text(c.run, c.finding.condition)}" for c in table.columns]
        _values(sheet, heads, table.rows)


def _change(sheet: Sheet, change: Change) -> None:
    sure = change.sure == "changed"
    sheet.need((3 if sure else 2) * 8.0 * LEADING)
    start, page = sheet.y, sheet.pdf.page_no()
    if change.sure == "alike":
        sheet.with_small(f"{change.sentence}.", f"{change.figures}.", (7.0, 6.0), indent=4)
    else:
        sheet.text(f"{change.sentence}.", 8, bold=sure, indent=4)
        sheet.text(f"{change.figures}.", 7, indent=4, ink=SOFT)
    height = sheet.y - start if sheet.pdf.page_no() == page else sheet.y
    sheet.bar(height, DEEP if sure else SOFT, thick=1.0, dashed=not sure)
    sheet.gap(0.4)


def _visit(sheet: Sheet, visit: VisitReport, which: str, *, noted: bool) -> None:
    contents = visit.contents
    sheet.text(which, 8, ink=SOFT)
    sheet.text(contents.about.display, 18, bold=True)
    sheet.text(wording.heading_facts(contents), 8.5, ink=SOFT)
    if settings := wording.settings_text(contents):
        sheet.text(settings, 8.5, ink=SOFT)
    if simulated := wording.simulated_text(contents):
        sheet.text(simulated, 8.5, bold=True, ink=WARN)
    for sentence in wording.damage_texts(contents):
        sheet.text(sentence, 8.5, bold=True, ink=WARN)
    sheet.gap(3)
    _front(sheet, visit, noted=noted)
    for topic in visit.topics:
        _topic(sheet, topic, visit.pictures_of(topic), visit.undrawn_of(topic))
    _display(sheet, visit)
    for run in contents.runs:
        _run(sheet, run)
    if contents.notes:
        sheet.head(wording.NOTES, 11)
        for note in contents.notes:
            sheet.named(wording.note_head(note), note.text, wide=62)
    appendix(sheet, visit)


def _front(sheet: Sheet, visit: VisitReport, *, noted: bool) -> None:
    found = visit.summary
    if found.unpromised:
        sheet.text(found.unpromised, 8)
    for verdict, head in HEADS.items():
        statements = found.of(verdict)
        if not statements:
            continue
        _part(sheet, head)
        for statement in statements:
            _statement(sheet, statement)
    if nothing := wording.nothing_found(visit.contents):
        sheet.text(nothing, 9)
    if found.not_measured:
        _part(sheet, found.missing_head)
        for sentence in found.not_measured:
            start = sheet.y
            sheet.text(sentence, 8, indent=4)
            sheet.bar(sheet.y - start, SOFT, thick=1.0, dashed=True)
            sheet.gap(0.8)
    sheet.gap(1.5)
    # said once for all tables, and with several visits on the page before them
    note = NOTE if not noted and any(topic.changes for topic in visit.topics) else ""
    legend = (wording.LEGEND, wording.warnings_stand(found.warnings), note)
    sheet.text(" ".join(part for part in legend if part), 7, ink=SOFT, whole=True)


def _statement(sheet: Sheet, statement: Statement) -> None:
    ink, thick, dashed = BARS[statement.verdict]
    sheet.need(4 * 8.5 * LEADING)
    start, page = sheet.y, sheet.pdf.page_no()
    end = ":" if statement.verdict == "open" else "."
    sheet.text(f"{statement.sentence}{end}", 8.5, bold=True, indent=4)
    if limit := wording.limit_text(statement.held, assumed=statement.assumed):
        sheet.text(limit, 7, indent=4, ink=SOFT)
    for each in statement.figures:
        sheet.text(_figure(each, statement.sentence), 8, indent=4)
    height = sheet.y - start if sheet.pdf.page_no() == page else sheet.y
    sheet.bar(height, ink, thick=thick, dashed=dashed)
    sheet.gap(1.3)


def _part(sheet: Sheet, head: str) -> None:
    sheet.gap(2.5)
    sheet.need(27)  # the head never stands without its first sentence
    sheet.text(head, 11, bold=True, ink=DEEP)
    sheet.gap(0.8)


def _figure(each: Figure, sentence: str) -> str:
    what = wording.named_figure(each.what, sentence)
    note = f"; {each.note}" if each.note else ""
    return f"{what}{each.text}{note} ({wording.run_text(each.run, each.condition)})"


def _drawn(picture: Picture, where: str) -> tuple[str, str, str, str]:
    """A picture with its words."""
    source = wording.drawn_from(where, picture.left_out)
    return picture.svg, picture.title, picture.says, source


def _topic(sheet: Sheet, topic: Topic, pictures: Sequence[Picture], undrawn: Sequence[str]) -> None:
    drawn = [_drawn(each, wording.from_where(each.used)) for each in pictures]
    sheet.head(topic.title, keep=sheet.height_of(drawn[:2]) if drawn else 22.0)
    sheet.pictures(drawn)
    for sentence in undrawn:
        sheet.text(sentence, 8, ink=SOFT)
        sheet.gap(1)
    for table in topic.tables:
        heads = [wording.capital(wording.run_text(f.run, f.condition)) for f in table.findings]
        _values(sheet, heads, table.rows)
        sheet.gap(2)
    for finding in topic.findings:
        if finding.warnings:
            _warnings(sheet, finding)
    for name, text in wording.origin(topic):
        sheet.named(name, text)


def _warnings(sheet: Sheet, finding: Finding) -> None:
    sheet.gap(0.5)
    sheet.need(12)
    start, page = sheet.y, sheet.pdf.page_no()
    sheet.text(wording.warnings_head(finding), 8, bold=True, ink=WARN, indent=4)
    for warning in finding.warnings:
        sheet.text(f"• {wording.light_unit(warning)}", 8, indent=4)
    height = sheet.y - start if sheet.pdf.page_no() == page else sheet.y
    sheet.bar(height, WARN, thick=1.0, dashed=False)
    sheet.gap(2)


def _values(sheet: Sheet, heads: Sequence[str], rows: Sequence[Row]) -> None:
    first = ROOM * (0.46 if len(heads) == 1 else 0.34)
    widths = [first, *[(ROOM - first) / len(heads)] * len(heads)]
    printed = [
        [
            Cell.of(row.label, bold=not place),
            *(_cell(cell, change) for cell, change in zip(row.cells, row.changes, strict=True)),
        ]
        for place, row in enumerate(rows)
    ]
    sheet.table([wording.VALUE, *heads], printed, widths)


def _cell(cell: Printed | None, change: Printed | None) -> Cell:
    if cell is None:
        return Cell.of("–")
    small = [wording.step_at(cell.step)]
    small.append(f"change: {value_text(change)}" if change else "")
    return Cell.of(value_text(cell), *small)


def _display(sheet: Sheet, visit: VisitReport) -> None:
    sheet.head(wording.DISPLAY, 11)
    for name, text in wording.display_rows(visit.contents):
        sheet.named(name, text)


def _run(sheet: Sheet, contents: RunContents) -> None:
    sheet.head(wording.run_head(contents), 11)
    for name, text in wording.run_rows(contents):
        sheet.named(name, text)
