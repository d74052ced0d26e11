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


def against(*readings, beside):
    return lights_of([[each] for each in readings], Basis(), np.array(beside, float))


NEUTRAL = xyz_of(100.0, (0.3127, 0.3290))


def test_beside_a_light_that_the_same_meter_reads_only_what_repeats_not_is_left():
    one = against(reading(1, 100.0, 0.3130, 0.3293), beside=[NEUTRAL])
    assert one.drawn_luminance[:, 0].std() == pytest.approx(100 * 0.002, rel=0.06)
    x = one.drawn_xyz[:, 0, 0] / one.drawn_xyz[:, 0].sum(-1)
    assert x.std() == pytest.approx(0.0004, rel=0.1)


def test_the_farther_a_colour_lies_the_more_of_what_a_meter_errs_by_is_left():
    near, far = (against(reading(1, 100.0, x, 0.3290), beside=[NEUTRAL]) for x in (0.3150, 0.3600))
    spreads = [(d[:, 0, 0] / d[:, 0].sum(-1)).std() for d in (near.drawn_xyz, far.drawn_xyz)]
    assert spreads[0] < 0.0005
    assert 0.0006 < spreads[1] < 0.003 * np.sqrt(2)


def test_of_a_meter_without_repeats_or_repeatability_half_of_the_variance_is_left():
    one = against(reading(1, 100.0, 0.3127, 0.3290, UNREPEATED), beside=[NEUTRAL])
    assert one.drawn_luminance[:, 0].std() == pytest.approx(100 * 0.02 / np.sqrt(2), rel=0.06)
    x = one.drawn_xyz[:, 0, 0] / one.drawn_xyz[:, 0].sum(-1)
    assert x.std() == pytest.approx(0.003 / np.sqrt(2), rel=0.1)


def test_beside_no_light_all_that_a_meter_errs_by_is_left():
    given = reading(1, 100.0, 0.3127, 0.3290)
    whole, bare = lights(given), against(given, beside=[[np.nan] * 3])
    assert np.array_equal(whole.drawn_xyz, bare.drawn_xyz)


def test_what_does_not_cancel_may_be_known_where_the_meters_uncertainty_is_not():
    only_repeats = replace(
        METER, luminance_relative_uncertainty=None, chromaticity_uncertainty=None
    )
    given = reading(1, 100.0, 0.3127, 0.3290, only_repeats)
    assert not lights(given).knows()
    assert against(given, beside=[NEUTRAL]).knows()
    nothing = reading(1, 100.0, 0.3127, 0.3290, Specification())
    assert not against(nothing, beside=[NEUTRAL]).knows()


def test_how_linear_a_meter_is_counts_between_the_two_lights():
    bent = replace(METER, luminance_linearity=0.01, luminance_repeatability=1e-6)
    one = against(reading(1, 10.0, 0.3127, 0.3290, bent), beside=[NEUTRAL])
    # a rectangle of 1 % over one decade
    assert one.drawn_luminance[:, 0].std() / 10 == pytest.approx(0.01 / np.sqrt(3), rel=0.06)
