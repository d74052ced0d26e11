"""`report.html`: one file, no network, no scripts; from the contents of visits to the template."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from patterns.plain import plain
from readings.report import wording
from readings.report.changes import HEADS as CHANGES
from readings.report.changes import changes_of
from readings.report.compare import NOTE, SideBySide, note_of
from readings.report.summary import HEADS
from readings.report.visit_report import VisitReport

FOLDER = Path(__file__).parent


def page(visits: Sequence[VisitReport], beside: Sequence[SideBySide]) -> bytes:
    """The report of some visits as HTML in UTF-8, the same bytes for the same visits."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    text = environment.get_template("report.html.j2").render(
        visits=visits,
        beside=beside,
        beside_note=NOTE,
        changes=changes_of([visit.contents for visit in visits], beside),
        change_heads=CHANGES,
        visits_note=note_of([visit.contents for visit in visits]),
        words=wording,
        heads=HEADS,
        style=(FOLDER / "report.css").read_text("utf-8"),
    )
    return plain(text).encode()
