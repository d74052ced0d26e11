"""`report.html`: one file, no network, no scripts; from the contents of visits to the template."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from patterns.plain import plain
from readings.ranges import ranges
from readings.report import telling
from readings.report.changes import HEADS as CHANGES
from readings.report.changes import changes_of
from readings.report.compare import NOTE, SideBySide, note_of
from readings.report.summary import HEADS
from readings.report.tables import cell, value_text
from readings.report.told import Told

FOLDER = Path(__file__).parent


def page(visits: Sequence[Told], beside: Sequence[SideBySide]) -> bytes:
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
    environment.filters |= {
        "time": telling.time_text,
        "ranges": ranges,
        "pairs": telling.pairs_text,
        "specified": telling.specified_text,
        "cell": cell,
        "value_text": value_text,
        "step": telling.step_text,
        "reading": telling.reading_text,
        "as_read": telling.as_read_text,
        "correction": telling.correction_text,
        "received": telling.received_text,
        "codes": telling.codes_text,
        "light_unit": telling.light_unit,
        "from_where": telling.from_where,
    }
    text = environment.get_template("report.html.j2").render(
        visits=visits,
        beside=beside,
        beside_note=NOTE,
        changes=changes_of([visit.contents for visit in visits], beside),
        change_heads=CHANGES,
        visits_note=note_of([visit.contents for visit in visits]),
        run_text=telling.run_text,
        simulated=telling.simulated_text,
        damage=telling.damage_texts,
        heads=HEADS,
        style=(FOLDER / "report.css").read_text("utf-8"),
        guard_counts=telling.guard_counts_text,
        ending=telling.ending_text,
    )
    return plain(text).encode()
