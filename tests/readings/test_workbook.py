"""XLSX as another library reads it: texts are texts, numbers are numbers, nothing is a formula."""

import csv
import math
from datetime import UTC, datetime
from io import BytesIO

import openpyxl
import pytest

from readings.visit import table
from readings.visit.records import PlannedRun, PlannedStep, Shown, Value
from readings.visit.visit import Visit
from readings.visit.workbook import CUT, Sheet, workbook

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
ODD = ["=1+1", "+1", "-1", "@x", "{=1}", "☼ 0,5", " 1 ", "1\n2", "http://a.b", "#N/A", "12", "1e5"]


def opened(*sheets):
    return openpyxl.load_workbook(BytesIO(workbook(sheets)))


@pytest.mark.parametrize("text", ODD)
def test_a_text_stays_that_text_whatever_it_begins_with(text):
    cell = opened(Sheet("s", ["a"], [{"a": text}])).active["A2"]
    assert (cell.value, cell.data_type) == (text, "s")


def test_numbers_are_numbers_and_what_is_none_or_missing_is_empty():
    page = opened(Sheet("s", ["a", "b", "c"], [{"a": 0.3127, "b": 3, "c": None}])).active
    assert [[cell.value for cell in row] for row in page] == [
        ["a", "b", "c"], [0.3127, 3, None],
    ]  # fmt: skip
    assert page.freeze_panes == "A2"


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_what_no_spreadsheet_holds_as_a_number_stands_there_as_text(number):
    cell = opened(Sheet("s", ["a"], [{"a": number}])).active["A2"]
    assert (cell.value, cell.data_type) == (str(number), "s")


def test_a_text_longer_than_a_cell_is_cut_and_says_so():
    value = opened(Sheet("s", ["a"], [{"a": "=" + "x" * 40_000}])).active["A2"].value
    assert len(value) == 32_767
    assert value.endswith(CUT)


def test_names_of_sheets_are_fit_and_differ():
    long = "the lobby wall of a harbour museum, after"
    names = ["a/b[c]", "", "History", long, long, "Readings", "'x'"]
    assert opened(*(Sheet(name, ["a"], []) for name in names)).sheetnames == [
        "a b c", "readings", "history of readings", "the lobby wall of a harbour mus",
        "the lobby wall of a harbour m 2", "Readings 2", "x",
    ]  # fmt: skip


def test_the_same_tables_give_the_same_bytes():
    sheet = Sheet("s", ["a"], [{"a": "x"}])
    first = workbook([sheet])
    assert workbook([sheet]) == first
    created = openpyxl.load_workbook(BytesIO(first)).properties.created
    assert created == datetime(2000, 1, 1)  # noqa: DTZ001 - XLSX has no zones


@pytest.fixture
def visit(tmp_path):
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as made:
        plan = PlannedRun(
            sequence_title="=SUM(A1)", sequence_text="", sequence_source="lobby.yaml",
            condition="-on", signal_asked={}, signal_shown={}, canvas=(3840, 2160),
            output="simulated",
        )  # fmt: skip
        step = PlannedStep(label="@white", kind="field", parameters={}, quantity="text")
        run = made.start_run(plan, [step]).id
        for raw in ODD:
            shown = Shown(inks={"level": (235, 16, 16)}, frame_sha256="ab" * 32, guard="unknown")
            showing = made.keep_showing(run, 1, shown, at=NOON).id
            made.keep_reading(showing, Value(quantity="text", raw=raw, text=f"={raw}"), at=NOON)
        yield made


def test_both_files_hold_the_same_table_and_the_texts_as_kept(visit, tmp_path):
    table.write_table(visit, tmp_path / "t.csv")
    table.write_table(visit, tmp_path / "T.XLSX")
    with (tmp_path / "t.csv").open(encoding="utf-8", newline="") as file:
        head, *lines = csv.reader(file)
    page = openpyxl.load_workbook(tmp_path / "T.XLSX").active
    rows = [[cell.value for cell in row] for row in page]
    assert rows[0] == head == list(table.COLUMNS)
    raw, text = head.index("raw"), head.index("text")
    assert [row[raw] for row in rows[1:]] == [line[raw] for line in lines] == ODD
    assert [row[text] for row in rows[1:]] == [f"={raw}" for raw in ODD]
    kinds = {cell.data_type for row in page for cell in row}
    assert kinds == {"s", "n"}  # no "f", a formula
    numbers = {"run", "counted", "step", "settle_s", "reading", "replaced"}
    for row, line in zip(rows[1:], lines, strict=True):
        for name, cell, text_there in zip(head, row, line, strict=True):
            assert (float(text_there) if name in numbers else text_there) == (
                cell or (cell if name in numbers else "")
            )


def test_a_workbook_never_goes_over_the_visit(visit):
    with pytest.raises(table.TableError, match="is the visit itself"):
        table.write_xlsx(visit, visit.path)
