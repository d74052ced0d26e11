"""Draws of the errors of meters: their sizes, what hangs together, and what cancels."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from readings.evidence.correction.applied import AsRead
from readings.evidence.correction.matrix import Light
from readings.evidence.lights import DRAWS, REACH, field_of, gain_of
from readings.findings.basis import Basis
from readings.findings.ratio import level_value
from readings.report.tables import gap
from tests.readings.made_readings import METER, made


def level(luminance, number=1, **changes):
    return level_value(
        "white", "White", [Basis().estimate([made(number, luminance=luminance, **changes)])]
    )


def test_errors_of_chromaticity_have_one_size_everywhere_and_fade_with_the_distance():
    rng = np.random.default_rng(8)
    first = rng.uniform([0.1, 0.1], [0.5, 0.5], (300, 2))
    turn = rng.uniform(0, 2 * np.pi, 300)
    far = rng.choice([0.25, 0.5, 1.0, 2.0, 4.0], 300) * REACH
    later = first + far[:, None] * np.stack([np.cos(turn), np.sin(turn)], -1)
    field = field_of("spot meter", np.concatenate([first, later]))
    assert field.shape == (DRAWS, 600, 2)
    assert field.std(0) == pytest.approx(1.0, abs=0.12)
    alike = (field[:, :300] * field[:, 300:]).mean((0, 2))
    for distance in np.unique(far):
        expected = np.exp(-((distance / REACH) ** 2) / 2)
        assert alike[far == distance].mean() == pytest.approx(expected, abs=0.06)


def test_x_and_y_and_two_meters_err_by_themselves():
    colours = np.array([[0.2, 0.47]])
    one, other = field_of("one", colours)[:, 0], field_of("other", colours)[:, 0]
    assert abs((one[:, 0] * one[:, 1]).mean()) < 0.1
    assert abs((one * other).mean()) < 0.1
    assert abs((gain_of("one") * gain_of("other")).mean()) < 0.1


def test_the_same_meter_errs_alike_wherever_it_is_asked_for():
    colours = np.array([[0.2, 0.47], [0.45, 0.52]])
    assert field_of("one", colours)[:, 1:] == pytest.approx(field_of("one", colours[1:]))
    assert (gain_of("one") == gain_of("one")).all()


def test_the_gain_of_one_meter_cancels_in_a_change_and_the_scatter_does_not():
    later = made(1).taken_at + timedelta(hours=1)
    change = gap(level(100.0), level(110.0, taken_at=later))
    # 4 % of the 10 that it changed by, and 0.4 % of each reading
    assert change.uncertainty == pytest.approx(np.hypot(0.4, np.hypot(0.4, 0.44)), rel=0.08)
    assert level(100.0).uncertainty == pytest.approx(4.0, rel=0.05)


@pytest.mark.parametrize(
    "changes",
    [
        {"instrument_name": "another meter"},
        {"specification": replace(METER, luminance_floor=0.5)},
        {"as_read": AsRead(1, "reference", Light(100.0, 0.31, 0.33), METER, (), (1.0,) * 9)},
    ],
    ids=["another name", "another specification", "corrected"],
)
def test_two_meters_share_no_error(changes):
    later = made(1).taken_at + timedelta(hours=1)
    change = gap(level(100.0), level(100.0, taken_at=later, **changes))
    assert change.uncertainty == pytest.approx(4.0 * np.sqrt(2), rel=0.08)


def test_two_corrections_of_one_meter_share_no_error_and_one_does():
    def corrected(first):
        return AsRead(1, "reference", Light(100.0, 0.31, 0.33), METER, (), (first, *(1.0,) * 8))

    later = made(1).taken_at + timedelta(hours=1)
    start = level(100.0, as_read=corrected(1.0))
    same = gap(start, level(100.0, taken_at=later, as_read=corrected(1.0)))
    other = gap(start, level(100.0, taken_at=later, as_read=corrected(1.01)))
    assert same.uncertainty < 0.7
    assert other.uncertainty == pytest.approx(4.0 * np.sqrt(2), rel=0.08)


def test_the_same_reading_does_not_differ_from_itself():
    assert gap(level(100.0), level(100.0)).uncertainty == 0.0
