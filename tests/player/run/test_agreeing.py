"""Readings that agree: within what the meter scatters, k = 2 of their difference."""

from __future__ import annotations

import pytest

from player.run.agreeing import agreed
from player.run.watching import Light
from readings.evidence.repeatability import Repeatability

METER = Repeatability(relative=0.005, chromaticity=0.001, floor=0.002)


@pytest.mark.parametrize(
    ("before", "after", "agree"),
    [
        # 2 sqrt(2) deviations of 0.5 of 100, and of 0.001
        (Light(100, 0.31, 0.33), Light(101.40, 0.31, 0.33), True),
        (Light(100, 0.31, 0.33), Light(101.50, 0.31, 0.33), False),
        (Light(100, 0.31, 0.33), Light(100, 0.3127, 0.33), True),
        (Light(100, 0.31, 0.33), Light(100, 0.3130, 0.33), False),
        (Light(100, 0.31, 0.33), Light(100, 0.31, 0.3330), False),
        # without colour, as in the dark: 2 sqrt(2) times 0.002
        (Light(0.05, None, None), Light(0.055, None, None), True),
        (Light(0.05, None, None), Light(0.057, None, None), False),
    ],
)
def test_two_readings_agree_within_what_the_meter_scatters(
    before: Light, after: Light, agree: bool
) -> None:
    assert agreed([before, after], METER) is agree


def test_one_reading_alone_agrees_with_none_and_the_sixth_is_taken_as_it_is() -> None:
    far = [Light(each, 0.31, 0.33) for each in (10, 20, 30, 40, 50, 60)]
    assert [agreed(far[:count], METER) for count in range(1, 7)] == [False] * 5 + [True]


def test_only_the_last_two_count() -> None:
    lights = [Light(each, 0.31, 0.33) for each in (100, 100, 90)]
    assert not agreed(lights, METER)
