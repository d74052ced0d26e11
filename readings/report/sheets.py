"""`report.pdf`: the same report on A4 sheets, with the long tables as an appendix."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings import Finding
from readings.ranges import ranges
from readings.report import telling
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
from readings.report.told import Told

WARN = (138, 75, 0)
BARS: dict[Verdict, tuple[tuple[int, int, int], float, bool]] = {
    "good": (DEEP, 1.0, False),
    "bad": (WARN, 1.8, False),
    "unsure": (SOFT, 1.0, True),
    "open": (SOFT, 0.3, False),
}
"""Ink, width and whether dashed, of the mark beside each part of the front page."""
LEGEND = (
    "± is the expanded uncertainty, k = 2 (about 95 %), by JCGM 100:2008; numbers keep no more "
    "digits than it allows. A thing is called good, or not, only where the whole of its "
    "uncertainty lies on one side of its limit."
)
CLOSING = (
    "“Verified” means that the picture handed to the display output held the codes asked for; "
    "nothing is claimed about the cable or the display's own processing. Times are in UTC. The "
    "same numbers, for machines, are in findings.json; all readings, with the codes shown, in "
    "readings.xlsx."
)


def sheets(visits: Sequence[Told], beside: Sequence[SideBySide]) -> bytes:
    """The report of some visits as a PDF, the same bytes for the same visits."""
    names = dict.fromkeys(visit.contents.about.display for visit in visits)
    sheet = Sheet(f"{', '.join(names)}: report")
    several = len(visits) > 1
    if several:
        _beside(sheet, visits, beside)
    for number, visit in enumerate(visits, 1):
        if several:
            sheet.new_page()
        which = f", visit {number} of {len(visits)}" if several else ""
        _visit(sheet, visit, which, noted=bool(beside))
    sheet.gap(4)
    sheet.text(CLOSING, 7, ink=SOFT)
    return sheet.bytes()


def _beside(sheet: Sheet, visits: Sequence[Told], beside: Sequence[SideBySide]) -> None:
    sheet.text("Display report", 8, ink=SOFT)
    contents = [visit.contents for visit in visits]
    changes = changes_of(contents, beside)
    sheet.text(changes.title, 18, bold=True)
    for number, each in enumerate(visits, 1):
        about = each.contents.about
        settings = f", settings: {about.settings}" if about.settings else ""
        said = f"{about.display}, {telling.time_text(about.created_at)}{settings}"
        sheet.text(f"Visit {number}: {each.contents.file}, {said}", 8.5, ink=SOFT)
        sheet.text(each.summary.in_short(), 8.5, indent=4)
        if simulated := telling.simulated_text(each.contents):
            sheet.text(simulated, 8.5, indent=4, bold=True, ink=WARN)
        for sentence in telling.damage_texts(each.contents):
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
        drawn = [
            (p.svg, p.title, p.says, _from(p, "the runs of this table")) for p in table.pictures
        ]
        sheet.head(table.title, 11, keep=sheet.height_of(drawn) if drawn else 22.0)
        sheet.pictures(drawn)
        heads = [f"{c.head}, {telling.run_text(c.run, c.finding.condition)}" for c in table.columns]
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


def _visit(sheet: Sheet, visit: Told, which: str, *, noted: bool) -> None:
    contents = visit.contents
    about = contents.about
    sheet.text(f"Display report{which}", 8, ink=SOFT)
    sheet.text(about.display, 18, bold=True)
    facts = [about.place, telling.time_text(about.created_at), contents.file]
    sheet.text(" · ".join(fact for fact in facts if fact), 8.5, ink=SOFT)
    if about.settings:
        sheet.text(f"Settings: {about.settings}", 8.5, ink=SOFT)
    if simulated := telling.simulated_text(contents):
        sheet.text(simulated, 8.5, bold=True, ink=WARN)
    for sentence in telling.damage_texts(contents):
        sheet.text(sentence, 8.5, bold=True, ink=WARN)
    sheet.gap(3)
    _front(sheet, visit, noted=noted)
    for topic in visit.topics:
        _topic(sheet, topic, visit.pictures_of(topic), visit.undrawn_of(topic))
    _display(sheet, visit)
    for run in contents.runs:
        _run(sheet, run)
    if contents.notes:
        sheet.head("Notes", 11)
        for note in contents.notes:
            where = f", run\u00a0{note.run}" if note.run else ""
            where += f", step\u00a0{note.step}" if note.step else ""
            sheet.named(telling.time_text(note.at) + where, note.text, wide=62)
    appendix(sheet, visit)


def _front(sheet: Sheet, visit: Told, *, noted: bool) -> None:
    found = visit.summary
    for verdict, head in HEADS.items():
        statements = found.of(verdict)
        if not statements:
            continue
        _part(sheet, head)
        for said in statements:
            _statement(sheet, said)
    if not any(run.measured for run in visit.contents.runs):
        sheet.text("No reading was taken in this visit, so there is nothing to find.", 9)
    elif not visit.contents.findings and not visit.contents.not_worked_out:
        sheet.text("Readings were taken, but none that a finding speaks to.", 9)
    if found.not_measured:
        _part(sheet, found.missing_head)
        for sentence in found.not_measured:
            start = sheet.y
            sheet.text(sentence, 8, indent=4)
            sheet.bar(sheet.y - start, SOFT, thick=1.0, dashed=True)
            sheet.gap(0.8)
    sheet.gap(1.5)
    warned = ""
    if found.warnings:
        many = "1 warning stands" if found.warnings == 1 else f"{found.warnings} warnings stand"
        warned = f" {many} with the findings below: read them before you rely on a number."
    # said once for all tables, and with several visits on the page before them
    note = f" {NOTE}" if not noted and any(topic.changes for topic in visit.topics) else ""
    sheet.text(LEGEND + warned + note, 7, ink=SOFT, whole=True)


def _statement(sheet: Sheet, said: Statement) -> None:
    ink, thick, dashed = BARS[said.verdict]
    sheet.need(4 * 8.5 * LEADING)
    start, page = sheet.y, sheet.pdf.page_no()
    end = ":" if said.verdict == "open" else "."
    sheet.text(f"{said.sentence}{end}", 8.5, bold=True, indent=4)
    if said.held:
        sheet.text(f"Limit: {said.held}.", 7, indent=4, ink=SOFT)
    for each in said.figures:
        sheet.text(_figure(each, said.sentence), 8, indent=4)
    height = sheet.y - start if sheet.pdf.page_no() == page else sheet.y
    sheet.bar(height, ink, thick=thick, dashed=dashed)
    sheet.gap(1.3)


def _part(sheet: Sheet, head: str) -> None:
    sheet.gap(2.5)
    sheet.need(27)  # the head never stands without its first sentence
    sheet.text(head, 11, bold=True, ink=DEEP)
    sheet.gap(0.8)


def _figure(each: Figure, sentence: str) -> str:
    what = "" if each.what in {"", sentence} else f"{each.what}: "
    note = f"; {each.note}" if each.note else ""
    return f"{what}{each.text}{note} ({telling.run_text(each.run, each.condition)})"


def _topic(sheet: Sheet, topic: Topic, pictures: Sequence[Picture], undrawn: Sequence[str]) -> None:
    drawn = [(p.svg, p.title, p.says, _from(p, telling.from_where(p.used))) for p in pictures]
    sheet.head(topic.title, keep=sheet.height_of(drawn[:2]) if drawn else 22.0)
    sheet.pictures(drawn)
    for sentence in undrawn:
        sheet.text(sentence, 8, ink=SOFT)
        sheet.gap(1)
    for table in topic.tables:
        heads = [_capital(telling.run_text(f.run, f.condition)) for f in table.findings]
        _values(sheet, heads, table.rows)
        sheet.gap(2)
    for finding in topic.findings:
        if finding.warnings:
            _warnings(sheet, finding)
    for method, runs in topic.methods().items():
        which = f", run {ranges(runs)}" if len(topic.methods()) > 1 else ""
        sheet.named(f"Method{which}", telling.light_unit(method))
    sheet.named("Source", f"{topic.findings[0].source}.")
    sheet.named("Readings used", telling.from_where(topic.findings))


def _capital(text: str) -> str:
    """The first letter alone: conditions stay as they were written."""
    return text[:1].upper() + text[1:]


def _from(picture: Picture, where: str) -> str:
    said = f"From {where}."
    if picture.left_out:
        more = "run is" if picture.left_out == 1 else "runs are"
        said += f" {picture.left_out} more {more} in the tables only."
    return said


def _warnings(sheet: Sheet, finding: Finding) -> None:
    sheet.gap(0.5)
    sheet.need(12)
    start, page = sheet.y, sheet.pdf.page_no()
    which = telling.run_text(finding.run, finding.condition)
    sheet.text(f"Warnings, {which}", 8, bold=True, ink=WARN, indent=4)
    for warning in finding.warnings:
        sheet.text(f"• {telling.light_unit(warning)}", 8, indent=4)
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
    sheet.table(["Value", *heads], printed, widths)


def _cell(cell: Printed | None, change: Printed | None) -> Cell:
    if cell is None:
        return Cell.of("–")
    said = [f"at {cell.step}" if cell.step else ""]
    said.append(f"change: {value_text(change)}" if change else "")
    return Cell.of(value_text(cell), *said)


def _display(sheet: Sheet, visit: Told) -> None:
    contents = visit.contents
    about = contents.about
    sheet.head("Display and instruments", 11)
    sheet.named("Display", about.display)
    sheet.named("Place", about.place or "not given")
    sheet.named("Settings", about.settings or "not given")
    for meter in contents.instruments:
        text = f"{meter.name} ({meter.kind}): {telling.specified_text(meter)}."
        sheet.named(meter.role.capitalize(), text)
    if not contents.instruments:
        sheet.named("Instruments", "none named")
    for correction in contents.corrections:
        sheet.named("Correction", telling.correction_text(correction, contents))


def _run(sheet: Sheet, contents: RunContents) -> None:
    run = contents.run
    sheet.head(_capital(telling.run_text(run.id, run.condition)), 11)
    sheet.named("Sequence", f"{run.sequence_title} ({run.sequence_source})")
    sheet.named("Time", f"{telling.time_text(run.started_at)}, {telling.ending_text(run)}")
    shown = telling.pairs_text(run.signal_shown)
    if run.signal_asked != run.signal_shown:
        shown += f" (asked: {telling.pairs_text(run.signal_asked)})"
    sheet.named("Signal shown", shown)
    rate = f" at {run.refresh_hz:g} Hz" if run.refresh_hz else ""
    sheet.named("Canvas", f"{run.canvas[0]} × {run.canvas[1]}{rate}, output: {run.output}")
    sheet.named("Pictures shown", telling.guard_counts_text(contents))
    if run.guards:
        sheet.named("Guards at the start", telling.pairs_text(run.guards))
    if run.overrides:
        sheet.named("Changed for this run", telling.pairs_text(run.overrides))
    sheet.named("Readings", f"{len(contents.measured)}, and {contents.retaken} replaced")
