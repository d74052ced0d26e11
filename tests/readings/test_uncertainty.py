"""Uncertainties after JCGM 100:2008, against numbers worked out by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from readings.evidence.uncertainty import (
    Estimate,
    combined,
    digits,
    effective_freedom,
    mean_of,
    ratio_of,
    rectangular,
    standard_from,
    type_a,
    written,
)


def exact(*values: float, meter: str | None = "spot meter", relative: float = 0.04) -> Estimate:
    """Readings of a meter that shows every digit."""
    return Estimate.of(values, meter=meter, relative=relative, resolution=0.0)


def test_repeats_give_the_standard_deviation_of_their_mean():
    # s = 0.1, three of them: 0.1 / sqrt(3)
    assert type_a([102.5, 102.6, 102.7]) == pytest.approx(0.0577350269, rel=1e-8)


def test_one_reading_says_nothing_of_repeatability():
    assert type_a([102.6]) is None


def test_a_resolution_is_a_rectangle():
    # JCGM 100:2008, F.2.2.1: 0.29 of the step, from memory
    assert rectangular(0.01) == pytest.approx(0.00288675135, rel=1e-8)


@pytest.mark.parametrize(("k", "standard"), [(2.0, 0.03), (3.0, 0.02)])
def test_a_stated_uncertainty_is_divided_by_its_own_coverage_factor(k, standard):
    assert standard_from(0.06, k) == pytest.approx(standard)


def test_independent_parts_combine_by_squares_and_sensitivities():
    assert combined([(1.0, 3.0), (1.0, 4.0)]) == pytest.approx(5.0)
    assert combined([(2.0, 3.0), (-4.0, 2.0)]) == pytest.approx(10.0)


def test_the_gauge_block_example_of_the_guide_comes_out():
    # JCGM 100:2008, H.1 (from memory): 25, 9.7, 2.9 and 16.6 nm give 32 nm, 16.7 degrees
    parts = [(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)]
    assert combined([(1.0, part) for part, _ in parts]) == pytest.approx(31.67, abs=0.01)
    assert effective_freedom(parts) == pytest.approx(16.76, abs=0.01)


def test_a_specification_alone_has_no_end_of_degrees_of_freedom():
    assert effective_freedom([(2.0, None), (0.1, None)]) == math.inf


def test_one_luminance_has_gain_and_resolution():
    # 2 x sqrt((0.02 x 102.6)^2 + (0.1 / sqrt 12)^2) = 2 x sqrt(4.210704 + 0.000833)
    found = Estimate.of([102.6], meter="spot meter", relative=0.04, resolution=0.1)
    assert found.expanded == pytest.approx(4.104406, rel=1e-6)
    assert written(found.value, found.expanded) == ("102.6", "4.1")


def test_repeats_add_their_scatter_to_the_specification():
    # 2 x sqrt(1 + (0.02 x 101)^2) = 2 x sqrt(1 + 4.0804)
    assert exact(100.0, 102.0).expanded == pytest.approx(4.507949, rel=1e-6)


@pytest.mark.parametrize(("relative", "resolution"), [(None, 0.1), (0.04, None), (None, None)])
def test_a_missing_specification_leaves_the_uncertainty_unknown(relative, resolution):
    vague = Estimate.of([100.0, 101.0], meter="a", relative=relative, resolution=resolution)
    assert vague.expanded is None
    assert ratio_of([vague], [exact(1.0)]).expanded is None
    assert ratio_of([exact(1.0)], [vague]).expanded is None


def test_a_meters_gain_does_not_average_out_over_its_readings():
    assert mean_of([exact(100.0), exact(100.0)]).expanded == pytest.approx(4.0)


def test_the_gains_of_two_meters_do_average():
    both = [exact(100.0, meter="a"), exact(100.0, meter="b")]
    assert mean_of(both).expanded == pytest.approx(2.828427, rel=1e-6)


def test_with_repeats_the_gain_of_one_meter_cancels_in_a_ratio_and_repeatability_does_not():
    # 1010 x sqrt((1 / 101)^2 + (0.01 / 0.1)^2) = 101.49385, twice
    found = ratio_of([exact(100.0, 102.0)], [exact(0.09, 0.11)])
    assert found.value == pytest.approx(1010.0)
    assert found.expanded == pytest.approx(202.9877, rel=1e-6)
    assert found.cancels
    # Welch-Satterthwaite: (10^2 + 101^2)^2 / (10^4 + 101^4)
    assert found.freedom == pytest.approx(1.019604, rel=1e-5)
    assert found.thin


def test_the_gains_of_two_meters_do_not_cancel():
    # 1010 x sqrt(0.00009803 + 0.01 + 0.02^2 + 0.02^2) = 105.43757, twice
    found = ratio_of([exact(100.0, 102.0, meter="a")], [exact(0.09, 0.11, meter="b")])
    assert found.expanded == pytest.approx(210.8751, rel=1e-6)
    assert not found.cancels


def test_readings_of_no_named_meter_do_not_cancel():
    found = ratio_of([exact(100.0, 102.0, meter=None)], [exact(0.09, 0.11, meter=None)])
    assert found.expanded == pytest.approx(210.8751, rel=1e-6)


def test_with_single_readings_the_specification_counts_in_full_above_and_below():
    # 1140 x sqrt(0.02^2 + 0.02^2 + (0.00288675 / 0.09)^2 + (0.00288675 / 102.6)^2), twice
    one = Estimate.of([102.6], meter="a", relative=0.04, resolution=0.01)
    other = Estimate.of([0.09], meter="a", relative=0.04, resolution=0.01)
    found = ratio_of([one], [other])
    assert found.value == pytest.approx(1140.0)
    assert found.expanded == pytest.approx(97.503, rel=1e-4)
    assert not found.cancels


@pytest.mark.parametrize(
    ("value", "uncertainty", "printed"),
    [
        (1140.0, 73.2, ("1140", "73")),
        (30000.0, 867.0, ("30000", "870")),
        (1234.5, 119.6, ("1230", "120")),
        (5.0312, 0.0996, ("5.03", "0.10")),
        (0.05, 0.0104, ("0.050", "0.010")),
        (0.5, 12.0, ("1", "12")),
        (-0.5, 12.0, ("-1", "12")),
        (2.5, 10.0, ("3", "10")),
        (1139.99, None, ("1140", None)),
        (2400.0, None, ("2400", None)),
        (0.05, None, ("0.05", None)),
        (0.0, None, ("0", None)),
        (0.0, 0.0123, ("0.000", "0.012")),
        (612.0, 0.0, ("612", None)),
    ],
)
def test_no_more_digits_are_written_than_the_uncertainty_allows(value, uncertainty, printed):
    assert written(value, uncertainty) == printed


@given(st.floats(-1e300, 1e300), st.floats(1e-300, 1e300))
def test_any_uncertainty_keeps_two_digits_and_the_value_ends_where_it_does(value, uncertainty):
    number, spread = digits(value, uncertainty)
    assert len(f"{spread:e}".partition("e")[0].replace(".", "")) == 2
    assert number.as_tuple().exponent == spread.as_tuple().exponent
    assert abs(float(spread) - uncertainty) <= 0.05000001 * uncertainty
