"""The page on meter correction has the numbers of the worked example and the limits that hold."""

import re
from pathlib import Path

from readings.evidence.correction import guards
from tests.readings.test_correction_matrix import printed, rows

PAGE = (Path(__file__).parents[2] / "docs" / "meter-correction.md").read_text("utf-8")


def table(mark):
    lines = PAGE.partition(f"<!-- {mark} -->\n")[2].splitlines()
    end = next(number for number, line in enumerate(lines) if not line.startswith("|"))
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:end]]


def test_the_readings_on_the_page_are_those_of_the_worked_example():
    shown = table("readings of the worked example")
    told = {row[0]: [float(cell) for cell in row[1:]] for row in shown}
    assert told == {
        row["colour"]: [float(value) for name, value in row.items() if name != "colour"]
        for row in rows("four_colour_readings")
    }


def test_the_matrix_and_the_weights_on_the_page_are_those_of_the_worked_example():
    told = [[float(cell) for cell in row[1:]] for row in table("matrix of the worked example")]
    assert told == printed("k_Y R").tolist()
    for name in ("k_m", "k_r"):
        found = re.search(rf"{name} = \(([^)]*)\)", PAGE)
        assert [float(number) for number in found[1].split(", ")] == printed(name).tolist()
    assert float(re.search(r"k_Y = ([\d.]+\d)", PAGE)[1]) == float(printed("k_Y"))


def test_the_limits_on_the_page_are_those_of_the_guards():
    limits = " ".join(limit for _, limit in table("guards"))
    numbers = [float(found) for found in re.findall(r"\d+(?:\.\d+)?", limits)]
    assert numbers == [
        guards.FLATTEST,
        709,
        0.112,
        0,
        100 * guards.DRIFT,
        1 / guards.RATIO,
        guards.RATIO,
        guards.SHIFT,
        guards.CONDITION,
        709,
        4.5,
    ]
    assert f"above {guards.LEFT_XY:g} in x or y, or above {100 * guards.LEFT_LUMINANCE:g} %" in PAGE
    assert f"by more than {100 * guards.ADDITIVITY:g} %" in PAGE
