"""Curves against distance and time, and the arithmetic of frames."""

import numpy as np
import pytest

from readings.colorimetry.profile import half_distance, settled_from
from readings.colorimetry.uniformity import largest_apart
from readings.findings.checks.delay import between_pictures, frame_ms


def test_an_exponential_is_halved_where_its_formula_says():
    far = np.array([1.0, 3.0, 4.0, 9.0])
    for reach in (0.5, 1.3, 4.0):
        expected = 1 + reach * np.log(2)
        assert half_distance(far, 7 * np.exp(-far / reach)) == pytest.approx(expected)


def test_a_straight_fall_is_halved_where_straight_lines_say():
    assert half_distance([0.0, 10.0], [2.0, 0.0], straight=True) == pytest.approx(5.0)


def test_what_is_never_halved_has_no_half_distance_draw_by_draw():
    found = half_distance([0.0, 1.0], [[1.0, 0.9], [1.0, 0.25], [0.0, 0.0]])
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("values", "first"),
    [([5.0], 0), ([1.0, 99.0, 100.0], 1), ([99.0, 90.0, 100.0], 2), ([0.0, 0.0], 0)],
)
def test_settled_is_what_stays_near_the_last_value_and_not_what_passes_by(values, first):
    assert settled_from(values, 0.02) == first


def test_a_frame_at_60_hz_is_16_7_ms():
    assert frame_ms(60.0) == pytest.approx(16.7, abs=0.04)
    assert frame_ms(50.0) == 20.0


def test_the_difference_of_two_pictures_scatters_by_a_picture_over_root_six():
    random = np.random.default_rng(1)
    drawn = random.random(100_000) - random.random(100_000)
    assert between_pictures(1.0) == pytest.approx(drawn.std(), rel=0.01)


def test_the_largest_distance_looks_at_all_pairs():
    assert float(largest_apart([[0, 0], [3, 0], [0, 4]])) == 5.0
