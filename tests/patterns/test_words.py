"""Numbers and times in words."""

import pytest

from patterns.words import count, duration


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
