"""The noise that the adviser takes a meter to have is that of readings drawn so."""

from __future__ import annotations

import numpy as np
import pytest

from readings.evidence.repeatability import Repeatability
from tests.readings.adjusting.session import MeterNoise


@pytest.mark.parametrize("light", [(95.0, 100.0, 109.0), (0.05, 0.04, 0.06), (30.0, 12.0, 2.0)])
def test_its_covariance_is_that_of_many_readings(light: tuple[float, float, float]):
    chance = np.random.default_rng(3)
    meter = MeterNoise(relative=0.004, chromaticity=0.001, floor=0.003)
    true = np.array(light)
    read = np.array([meter.read(true, chance) for _ in range(20_000)])
    found = Repeatability(0.004, 0.001, 0.003).covariance(true)
    unit = np.sqrt(np.diag(found))
    assert np.allclose(
        np.cov(read.T) / np.outer(unit, unit), found / np.outer(unit, unit), atol=0.05
    )


@pytest.mark.parametrize("light", [(0.0, 0.0, 0.0), (-0.002, -0.001, 0.001), (1e-9, 0.0, 5.0)])
def test_of_next_to_no_light_it_is_a_covariance_of_the_dark(light: tuple[float, float, float]):
    found = Repeatability().covariance(np.array(light))
    assert np.isfinite(found).all()
    assert np.linalg.eigvalsh(found).min() >= 0.002**2 * (1 - 1e-9)
