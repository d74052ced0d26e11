"""Numbers and times in words."""

import re
from decimal import Decimal
from pathlib import Path

import pytest

from patterns.words import count, duration, figures, signed

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "0 s"),
        (59.9, "59 s"),
        (60, "1 min"),
        (179.9, "2 min"),
        (3599, "59 min"),
        (3600, "1 h 00 min"),
        (7500, "2 h 05 min"),
    ],
)
def test_a_duration_is_told_in_its_own_unit_and_never_as_more_than_it_is(seconds, said):
    assert duration(seconds) == said


def test_a_duration_may_be_told_to_the_second_or_in_seconds_for_longer():
    assert duration(245, seconds_too=True) == "4 min 05 s"
    assert duration(45, seconds_too=True) == "45 s"
    assert duration(3725, seconds_too=True) == "1 h 02 min"
    assert duration(119, minutes_from=120) == "119 s"
    assert duration(120, minutes_from=120) == "2 min"


def test_one_thing_is_not_told_as_several():
    assert [count(number, "step") for number in (0, 1, 2)] == ["0 steps", "1 step", "2 steps"]


@pytest.mark.parametrize(
    ("number", "most", "said"),
    [
        (10_000, 4, "10000"),
        (12_345.6, 2, "12346"),
        (99.99, 2, "100"),
        (99.6, 2, "100"),
        (130.4, 2, "130"),
        (0.00002, 4, "0.00002"),
        (0.000123456, 3, "0.000123"),
        (1.5, 4, "1.5"),
        (-0.04, 2, "-0.04"),
        (100.0, 3, "100"),
        (0, 4, "0"),
        (-0.0, 4, "0"),
        (Decimal(10000), 4, "10000"),
    ],
)
def test_a_number_is_told_in_figures_and_never_with_an_exponent(number, most, said):
    assert figures(number, most) == said
    assert signed(number, most) == (f"+{said}" if number > 0 else said)


def test_no_number_and_no_share_that_people_read_is_formatted_with_few_digits_and_an_exponent():
    """`.1g` and `.2g` make 1e+02 of 99.6 and of 100: `figures` is for them."""
    found = [
        f"{path.relative_to(ROOT)}:{place}"
        for room in ("patterns", "sequences", "readings", "player")
        for path in sorted((ROOT / room).rglob("*.py"))
        for place, line in enumerate(path.read_text("utf-8").splitlines(), 1)
        if re.search(r":[+,]?\.[12]g\}", line)
    ]
    assert found == []


def test_more_than_one_thing_has_the_plural_that_it_takes():
    assert [count(n, "patch") for n in (1, 3)] == ["1 patch", "3 patches"]
    assert [count(n, "step") for n in (0, 1, 2)] == ["0 steps", "1 step", "2 steps"]
