"""What a reader is told before any number: which visit, how set, and whether it is real."""

from dataclasses import replace
from datetime import UTC, datetime
from types import SimpleNamespace

import pytest

from readings.findings.base import Value
from readings.report.compare import note_of, visits_side_by_side
from readings.report.gather import RunContents
from readings.report.page import page
from readings.report.sheets import sheets
from readings.report.visit_report import visit_report
from readings.report.wording import run_text, simulated_text
from readings.visit.records import Run
from tests.readings.report_samples import contents, finding
from tests.readings.test_report_sheets import text_of


def played(number, output):
    """A run that shows on this output, and nothing else of it."""
    names = dict.fromkeys(Run.__dataclass_fields__)
    known = {
        "id": number, "output": output, "condition": "", "sequence_title": "Greys",
        "sequence_source": "greys", "sequence_sha256": "0" * 64, "signal_asked": {},
        "signal_shown": {}, "guards": {}, "overrides": {}, "canvas": (64, 36),
        "started_at": datetime(2031, 5, 4, tzinfo=UTC), "step_count": 0, "counted": True,
    }  # fmt: skip
    return RunContents(Run(**(names | known)), [], [], [], [], 0, [])


def visit(file="wall.visit", *, settings="", display="Lobby wall", outputs=()):
    grey = finding("greyscale", values=[Value("e", "Average", 2.0, "", 0.3)], condition="")
    runs = [played(number, output) for number, output in enumerate(outputs, 1)]
    made = contents([grey], runs, display)
    return replace(made, file=file, about=replace(made.about, settings=settings))


def test_a_run_without_a_condition_is_pointed_at_by_its_number_alone():
    assert run_text(4, "") == "run 4"
    assert run_text(4, "dimming on") == "run 4: dimming on"


@pytest.mark.parametrize(
    ("outputs", "said"),
    [
        (("window", "files"), ""),
        (("simulated",), "The display is simulated: these readings say nothing about a real one."),
        (
            ("window", "simulated"),
            "In run 2 the display is simulated: what was read there says nothing about a real one.",
        ),
    ],
)
def test_a_simulated_display_is_told(outputs, said):
    assert simulated_text(visit(outputs=outputs)) == said


def test_page_and_sheets_begin_with_the_settings_and_that_the_display_is_simulated(tmp_path):
    one = visit_report(visit(settings="warm, gamma 2.4", outputs=("simulated",)))
    html = page([one], []).decode()
    paper = text_of(sheets([one], []), tmp_path)
    for text in (html, paper):
        front = text[: text.index("Found, and held against no limit")]
        assert "Settings: warm, gamma 2.4" in front
        assert "The display is simulated" in front


def test_visits_to_one_display_are_told_apart_by_their_files():
    both = [visit("before.visit"), visit("after.visit")]
    (table,) = visits_side_by_side(both)
    assert [column.head for column in table.columns] == ["1. before.visit", "2. after.visit"]
    two = [visit(), visit(display="Ticket desk")]
    (table,) = visits_side_by_side(two)
    assert [column.head for column in table.columns] == ["1. Lobby wall", "2. Ticket desk"]


def test_a_correction_that_one_visit_alone_has_is_told_beside_the_differences():
    made = SimpleNamespace(counted=True)
    plain, corrected = visit("before.visit"), replace(visit("after.visit"), corrections=[made])
    assert "a meter correction in visit 2 and none in visit 1:" in note_of([plain, corrected])
    assert "correction" not in note_of([plain, plain])
    assert "correction" not in note_of([corrected, corrected])
