"""Draws of what readings may really have been: sizes, and what hangs together."""

from dataclasses import replace

import numpy as np
import pytest

from readings.colorimetry.chromaticity import xyz_of
from readings.evidence.lights import lights_of
from readings.findings.basis import Basis
from readings.visit.records import Specification
from tests.readings.made_readings import METER, made

UNREPEATED = Specification(
    luminance_relative_uncertainty=0.04, luminance_resolution=0.0001, chromaticity_uncertainty=0.006
)


def reading(number, luminance, x, y, specification=METER, meter=1):
    return made(
        number,
        luminance=luminance,
        x=x,
        y=y,
        specification=specification,
        instrument=meter,
        instrument_name=f"spot meter {meter}",
    )


def lights(*readings):
    return lights_of([[each] for each in readings], Basis())


def test_the_draws_of_one_reading_have_the_size_that_the_specification_gives():
    one = lights(reading(1, 100.0, 0.3127, 0.3290))
    assert one.drawn_luminance[:, 0].std() == pytest.approx(100 * np.hypot(0.02, 0.002), rel=0.06)
    total = one.drawn_xyz[:, 0].sum(-1)
    assert (one.drawn_xyz[:, 0, 0] / total).std() == pytest.approx(np.hypot(3, 0.4) / 1000, rel=0.1)
    assert one.spread(100.0, one.drawn_luminance[:, 0]) == pytest.approx(4.02, rel=0.06)


def test_the_gain_is_common_and_cancels_in_a_ratio():
    two = lights(reading(1, 100.0, 0.31, 0.33), reading(2, 10.0, 0.31, 0.33))
    ratio = two.drawn_luminance[:, 0] / two.drawn_luminance[:, 1]
    assert ratio.std() / 10 == pytest.approx(0.002 * np.sqrt(2), rel=0.1)


def test_the_gain_of_two_meters_does_not_cancel():
    two = lights(reading(1, 100.0, 0.31, 0.33), reading(2, 10.0, 0.31, 0.33, meter=2))
    ratio = two.drawn_luminance[:, 0] / two.drawn_luminance[:, 1]
    assert ratio.std() / 10 == pytest.approx(0.02 * np.sqrt(2), rel=0.1)


def test_without_repeats_or_repeatability_half_of_the_variance_stays_in_a_ratio():
    two = lights(
        reading(1, 100.0, 0.31, 0.33, UNREPEATED), reading(2, 10.0, 0.31, 0.33, UNREPEATED)
    )
    ratio = two.drawn_luminance[:, 0] / two.drawn_luminance[:, 1]
    assert ratio.std() / 10 == pytest.approx(0.02, rel=0.1)


def test_errors_of_chromaticity_hang_together_for_like_colours_only():
    three = lights(
        reading(1, 100.0, 0.3127, 0.3290),
        reading(2, 50.0, 0.3130, 0.3291),
        reading(3, 20.0, 0.640, 0.330),
    )
    x = three.drawn_xyz[..., 0] / three.drawn_xyz.sum(-1)
    hang = np.corrcoef(x.T)
    assert hang[0, 1] > 0.95
    assert abs(hang[0, 2]) < 0.15


def test_a_reading_without_colour_has_none_drawn():
    two = lights(reading(1, 100.0, None, None), reading(2, 50.0, 0.31, 0.33))
    assert np.isnan(two.xyz[0, 0])
    assert np.isnan(two.drawn_xyz[:, 0, 0]).all()
    assert np.isfinite(two.drawn_xyz[:, 1]).all()
    assert list(two.coloured) == [False, True]


def test_noise_in_the_dark_enters_x_and_z_too():
    noisy = replace(METER, luminance_noise=0.02)
    one = lights(reading(1, 0.1, 0.3127, 0.3290, noisy))
    scatter = one.drawn_xyz[:, 0].std(0)
    assert scatter == pytest.approx([0.01, 0.01, 0.01], rel=0.1)
    assert one.xyz[0] == pytest.approx(xyz_of(0.1, (0.3127, 0.3290)))


def test_where_nothing_is_known_of_a_meter_no_uncertainty_is_stated():
    basis = Basis()
    one = lights_of([[reading(1, 100.0, 0.31, 0.33, Specification())]], basis)
    assert one.spread(100.0, one.drawn_luminance[:, 0], colour=False) is None
    assert any("chromaticity of a meter is not known" in told for told in basis.warnings)
