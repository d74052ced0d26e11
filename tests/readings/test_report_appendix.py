"""The appendix of the sheets: no number is broken, and wide tables go on below."""

from collections import Counter

import pytest

from readings.report.appendix import shared_out
from readings.report.compare import visits_side_by_side
from readings.report.sheets import sheets
from readings.report.tables import long_table
from readings.report.visit_report import visit_report
from tests.readings.report_samples import contents, finding, series
from tests.readings.test_report_sheets import text_of

NUMBERS = [0.0024879, -123.45678, 9876.54321, 0.00032109, 3141.592653, 2.7182818]


@pytest.mark.parametrize(
    ("needs", "tables"),
    [
        ([10.0] * 5, [(0, 5)]),
        ([10.0] * 12, [(0, 6), (6, 12)]),
        ([10.0] * 21, [(0, 7), (7, 14), (14, 21)]),
        ([150.0, 10.0], [(0, 1), (1, 2)]),
        ([60.0, 50.0, 60.0], [(0, 1), (1, 2), (2, 3)]),
    ],
)
def test_columns_are_shared_out_evenly_over_as_few_tables_as_hold_them(needs, tables):
    assert shared_out(needs, 100.0) == tables


@pytest.mark.parametrize("columns", [3, 9, 16, 40])
def test_no_number_and_no_word_of_a_head_is_broken_over_two_lines(columns, tmp_path):
    names = [f"Luminance-of-{place}" for place in range(columns)]
    rows = [
        (f"Grey {n} %", *(NUMBERS[(n + place) % len(NUMBERS)] for place in range(columns)))
        for n in range(11)
    ]
    long = series("s", names, rows)
    wall = contents([finding("greyscale", long)])
    paper = text_of(sheets([visit_report(wall)], visits_side_by_side([wall])), tmp_path)
    words = Counter(paper.partition("Appendix: S")[2].split())
    assert all(words[name] for name in names)
    cells = [cell for _, row in long_table(long).rows for cell in row]
    numbers = Counter(cell.number for cell in cells)
    assert len(numbers) == 5  # the two that are smaller than their uncertainty look alike
    assert all(words[number] == many for number, many in numbers.items())
