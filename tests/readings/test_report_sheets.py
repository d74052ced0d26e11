"""The report on paper: every page holds what it should, and the same bytes come again."""

import re
import subprocess
import time

import pytest

from readings.findings.base import Value
from readings.report import sheets as module
from readings.report.compare import visits_side_by_side
from readings.report.paper_sheet import Cell, Sheet
from readings.report.sheets import sheets
from readings.report.vectors import place, size_of
from readings.report.visit_report import visit_report
from tests.needs import program
from tests.readings.report_samples import contents, every_finding, finding, greyscale

SQUARE = '<svg viewBox="0 0 100 50"><path d="M 0 0 L 10 0 L 10 10 z" style="fill: #ff0000"/></svg>'


@pytest.fixture(scope="module")
def visit():
    return contents([*every_finding(), greyscale(2, "local dimming off")])


@pytest.fixture
def sheet():
    made = Sheet("x")
    yield made
    for font in made.pdf.fonts.values():
        font.close()


def text_of(pdf, tmp_path):
    """What a reader sees, by another program."""
    (tmp_path / "r.pdf").write_bytes(pdf)
    command = [program("pdftotext", "reads the PDF"), "-layout", tmp_path / "r.pdf", "-"]
    done = subprocess.run(command, capture_output=True, check=True)
    return done.stdout.decode()


def test_the_same_visit_gives_the_same_bytes_at_another_time(visit):
    first = sheets([visit_report(visit)], [])
    time.sleep(1.1)
    assert sheets([visit_report(visit)], []) == first
    assert first.startswith(b"%PDF-")


def test_the_sheets_hold_the_front_page_the_pictures_and_the_series(visit, tmp_path):
    text = text_of(sheets([visit_report(visit)], []), tmp_path)
    assert "Lobby wall" in text
    assert "What was not measured" in text
    assert "Black is deep against full white." in text
    assert "Δ" not in text or "\ufffd" not in text
    assert "Greyscale balance" in text
    assert "Appendix: Greyscale, run 2: local dimming off" in text
    assert re.search(r"≥ 120.000", text)  # a label within a picture, as letters


def test_visits_stand_side_by_side_on_the_first_sheet(tmp_path):
    def visit(value, condition):
        grey = [Value("delta-e-2000-average", "Average", value, "", 0.3)]
        return contents([finding("greyscale", condition=condition, values=grey)])

    both = [visit(4.0, "before"), visit(1.0, "after")]
    pdf = sheets(
        [visit_report(each, n) for n, each in enumerate(both, 1)], visits_side_by_side(both)
    )
    text = text_of(pdf, tmp_path)
    assert "Lobby wall, before and after" in text
    assert "change: −3.00 ± 0.42" in text


def test_what_the_font_lacks_is_shown_as_replaced_and_nothing_is_said_on_the_terminal(capfd, sheet):
    odd = contents([greyscale(condition="漢字 \x07 <b>")], display="壁 \u202e wall")
    assert sheets([visit_report(odd)], []).startswith(b"%PDF-")
    assert capfd.readouterr() == ("", "")
    assert sheet.plain("a\u00a0b\n c 壁 Δ ± ′") == "a\u00a0b c \ufffd Δ ± ′"


def test_lines_break_at_spaces_and_a_long_word_is_broken_too(sheet):
    lines = sheet.lines("one two three four five six", 20, 10)
    assert " ".join(lines) == "one two three four five six"
    assert len(lines) > 1
    broken = sheet.lines("x" * 200, 30, 10)
    assert "".join(broken) == "x" * 200
    for line in (*lines, *broken):
        sheet.pdf.set_font("DejaVu Sans", "", 10)
        assert sheet.pdf.get_string_width(line) <= 30.5


def test_a_long_table_goes_on_on_the_next_page_under_its_heads(tmp_path, sheet):
    rows = [[Cell.of(f"row {n}"), Cell.of(str(n))] for n in range(200)]
    sheet.table(["Name", "Number"], rows, [60, 40])
    assert sheet.pdf.page_no() == 4
    text = text_of(sheet.bytes(), tmp_path)
    assert text.count("Number") == 4
    assert [int(n) for n in re.findall(r"row (\d+)", text)] == list(range(200))


def test_a_picture_keeps_its_shape_and_stays_in_its_place(sheet):
    assert size_of(SQUARE) == (100.0, 50.0)
    assert place(sheet.pdf, SQUARE, 10, 10, 80, "DejaVu Sans") == 40.0
    with pytest.raises(ValueError, match="no viewBox"):
        size_of("<svg/>")


def test_a_picture_comes_out_in_its_colours(tmp_path, sheet):
    place(sheet.pdf, SQUARE, 0, 0, 210, "DejaVu Sans")
    (tmp_path / "r.pdf").write_bytes(sheet.bytes())
    tool = program("pdftoppm", "draws the PDF")
    subprocess.run([tool, "-r", "25.4", "-png", tmp_path / "r.pdf", tmp_path / "p"], check=True)
    from PIL import Image

    with Image.open(tmp_path / "p-1.png") as picture:
        assert picture.convert("RGB").getpixel((18, 3)) == (255, 0, 0)  # within the triangle
        assert picture.convert("RGB").getpixel((3, 18)) == (255, 255, 255)


def test_every_part_of_the_front_page_has_a_mark_of_its_own():
    marks = module.BARS.values()
    assert len({(thick, dashed) for _, thick, dashed in marks}) == len(module.BARS)
