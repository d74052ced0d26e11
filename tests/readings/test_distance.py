"""Distances: how sure one is, and that the same readings give one answer wherever they stand."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from readings.colorimetry.chromaticity import xyz_of
from readings.colorimetry.difference import delta_e_2000, delta_e_itp
from readings.evidence.distance import (
    Distance,
    WithDraws,
    change_of,
    delta_e_2000_of,
    delta_e_itp_of,
    delta_uv_of,
    largest_delta_uv_of,
    non_uniformity_of,
)
from readings.findings import Value
from readings.findings.colour.colour import Colour
from readings.report.summary import verdict_of
from readings.visit.records import Specification
from tests.readings.grey_readings import D65, SDR, grey, power, signal_of_code
from tests.readings.made_readings import HLG, METER, PQ, only

M = 2000


def normal(seed, *shape):
    return np.random.default_rng(seed).standard_normal(shape)


def of_errors(off, errors, known=True):
    """The lengths of vectors (..., k), with draws off by errors (m, ..., k)."""
    off = np.asarray(off, float)
    return Distance.of_vectors(WithDraws(off, off + errors), known=known)


# the class alone


def ends(found):
    """The lower and the upper end of one distance."""
    return tuple(float(each) for each in found.interval())


def test_far_from_0_a_distance_is_as_sure_as_the_errors_along_it():
    found = of_errors([50.0, 0.0], normal(1, M, 2) * [1.0, 3.0])
    assert found.value == 50.0
    # what lies across lifts it by 3^2 / (2 * 50) on the average
    assert ends(found) == pytest.approx((50 - 2.09, 50 + 2.09), abs=0.2)


def test_a_distance_of_0_may_be_0_or_what_the_errors_hide():
    found = of_errors([0.0, 0.0], normal(2, M, 2))
    # the mean length of two normal deviates, sqrt(pi / 2), and two of its standard deviations
    assert found.errors() == pytest.approx(np.sqrt(np.pi / 2), rel=0.04)
    low, high = ends(found)
    assert low == 0
    # of normal deviates in two directions 2.3 % are longer than sqrt(-2 ln 0.0228)
    assert high == pytest.approx(2.75, rel=0.05)


def test_a_distance_that_errors_alone_could_make_may_be_0():
    errors = normal(3, M, 2)
    for length in (0.1, 0.5, 1.0, 1.5, 2.0, 2.4):
        low, high = ends(of_errors([length, 0.0], errors))
        assert low == 0
        assert high > length
    assert ends(of_errors([2.6, 0.0], errors))[0] == 0
    assert ends(of_errors([2.9, 0.0], errors))[0] > 0
    assert ends(of_errors([6.0, 0.0], errors))[0] > 3


def test_no_truth_lies_further_than_the_errors_reach():
    errors = normal(4, M, 3) * [1.0, 0.5, 0.2]
    reach = np.quantile(np.linalg.norm(errors, axis=-1), 0.97725, method="nearest")
    for length in np.linspace(0, 8, 30):
        low, high = ends(of_errors([length, 0.0, 0.0], errors))
        assert length - reach - 1e-4 <= low <= length <= high <= length + reach + 1e-12


def test_the_interval_has_no_step_where_a_distance_comes_clear_of_the_errors():
    errors = normal(5, M, 2) * [0.2, 1.0]
    found = [ends(of_errors([length, 0.0], errors)) for length in np.linspace(0.1, 6.0, 60)]
    low, high = np.array(found).T
    # bias 1 / (2 * 6), and twice the deviation of what lies along it and of half the square across
    wide = 1 / 12 + 2 * np.hypot(0.2, 1 / (6 * np.sqrt(2)))
    assert 6 - low[-1] == pytest.approx(wide, rel=0.1)
    assert (np.diff(low) >= 0).all()
    assert np.diff(low).max() < 0.5
    assert high[-1] - 6 == pytest.approx(wide, rel=0.15)
    assert np.abs(np.diff(high)).max() < 0.2


def test_an_average_of_many_distances_of_0_is_surer_than_one_of_them():
    many = of_errors(np.zeros((20, 2)), normal(6, M, 20, 2))
    average = many.mean()
    assert average.value == 0
    assert average.errors() == pytest.approx(np.sqrt(np.pi / 2), rel=0.03)
    assert ends(average)[1] < many.interval()[1].min()


@pytest.mark.parametrize("truth", [0.0, 0.5, 1.0, 2.0, 4.0, 10.0])
@pytest.mark.parametrize(("count", "common"), [(1, 0.0), (10, 0.0), (10, 0.9)])
def test_the_interval_holds_the_truth_as_often_as_it_says(truth, count, common):
    random = np.random.default_rng(7)

    def errors(*shape):
        shared = random.standard_normal((*shape, 1, 2))
        own = random.standard_normal((*shape, count, 2))
        return np.sqrt(common) * shared + np.sqrt(1 - common) * own

    inside, tries, widths = 0, 300, []
    for _ in range(tries):
        turn = random.uniform(0, 2 * np.pi, count)
        meant = truth * np.stack([np.cos(turn), np.sin(turn)], -1)
        average = of_errors(meant + errors(), errors(300)).mean()
        low, high = ends(average)
        inside += bool(low <= truth <= high)
        widths.append(high - low)
    # of 300 with 95 %, fewer than 275 are as good as impossible
    assert inside >= 275
    # and no wider than ± two deviations of one error along it and what errors across may hide
    assert np.mean(widths) < 4.5


def test_some_one_and_the_largest_of_several_are_what_they_are_of():
    several = of_errors([[1.0, 0.0], [0.0, 7.0], [3.0, 4.0]], 0.1 * normal(8, M, 3, 2))
    assert several.value == pytest.approx([1, 7, 5])
    assert several.largest() == 1
    assert several.of(2).value == pytest.approx(5)
    low, high = several.interval()
    assert ends(several.of(2)) == pytest.approx((low[2], high[2]))
    some = several.of(np.array([True, False, True]))
    assert some.value == pytest.approx([1, 5])
    assert several.of(np.array([2, 0])).interval()[1] == pytest.approx(high[[2, 0]])
    assert some.mean().value == pytest.approx(3)
    assert some.mean().drawn == pytest.approx(some.drawn.mean(-1))


def test_what_is_not_known_is_no_number_and_draws_that_are_not_defined_count_for_nothing():
    errors = normal(9, M, 2, 2)
    assert of_errors([[1.0, 0.0], [0.0, 1.0]], errors, known=False).interval() is None
    holes = errors.copy()
    holes[::2, 1] = np.nan
    found = of_errors([[5.0, 0.0], [0.0, 5.0]], holes)
    first = of_errors([5.0, 0.0], errors[:, 0]), of_errors([0.0, 5.0], errors[1::2, 1])
    for end in (0, 1):
        assert found.interval()[end] == pytest.approx([ends(each)[end] for each in first], rel=1e-4)
    assert np.isnan(of_errors([[np.nan, 0.0], [0.0, 1.0]], errors).interval()).tolist() == [
        [True, False],
        [True, False],
    ]
    assert of_errors([[np.nan, 0.0], [0.0, 1.0]], errors).largest() == 1


# how a distance is worked out


def test_colour_differences_are_those_of_the_readings_and_the_gain_of_a_meter_moves_none():
    xyz = xyz_of([100.0, 20.0], [(0.32, 0.33), (0.40, 0.35)])
    target = xyz_of([100.0, 22.0], [D65, (0.41, 0.35)])
    gain = 1 + 0.02 * normal(10, M)
    seen = WithDraws(xyz, gain[:, None, None] * xyz)
    aim = WithDraws(target, gain[:, None, None] * target)
    white = WithDraws(np.asarray(120.0), 120 * gain)
    found = delta_e_2000_of(seen, aim, white, known=True)
    assert found.value == pytest.approx(delta_e_2000(xyz, target, 120 * xyz_of(1.0, D65)))
    for end in found.interval():
        assert end == pytest.approx(found.value, abs=1e-9)
    itp = delta_e_itp_of(seen, aim, known=True)
    assert itp.value == pytest.approx(delta_e_itp(xyz, target))
    # absolute, so it counts: but in the colour and its target alike
    low, high = itp.interval()
    assert (high - low < 0.2 * itp.value).all()


def test_shifts_in_u_v_count_what_moves_one_chromaticity_against_the_other():
    xy = np.array([[0.3127, 0.329], [0.33, 0.34]])
    common = 0.003 * normal(11, M, 1, 2)
    draws = xy + common
    found = delta_uv_of(WithDraws(xy, draws), WithDraws(xy[0], draws[:, :1]), known=True)
    assert found.value[0] == 0
    # by hand: u' = 4x / (-2x + 12y + 3), v' = 9y / (-2x + 12y + 3)
    assert found.value[1] == pytest.approx(np.hypot(0.20561 - 0.19783, 0.47664 - 0.46832), abs=2e-5)
    low, high = found.interval()
    assert high[1] - low[1] < 0.4 * found.value[1]
    pair = largest_delta_uv_of(WithDraws(xy, draws), known=True)
    assert pair.value == pytest.approx(found.value[1])
    assert ends(pair) == pytest.approx((low[1], high[1]))


def test_non_uniformity_counts_scatter_from_place_to_place_and_no_gain():
    light = np.array([90.0, 100.0, 95.0])
    gain = 1 + 0.02 * normal(12, M, 1)
    steady = non_uniformity_of(WithDraws(light, gain * light), known=True)
    assert steady.value == pytest.approx(10)
    assert ends(steady) == pytest.approx((10, 10), abs=1e-9)
    scatter = 1 + 0.002 * normal(13, M, 3)
    found = non_uniformity_of(WithDraws(light, gain * scatter * light), known=True)
    low, high = ends(found)
    assert (high - low) / 2 == pytest.approx(2 * 90 * 0.002 * np.sqrt(2), rel=0.06)


# the same readings as greys and as patches

SHIFTS = (0.0, 0.002, 0.006, 0.01, 0.03)
"""In x and y: none, less than the meter promises, about that, and clear of it."""
CODES = (152, 327, 502, 677, 852, 920)
SPECIFICATIONS = (
    METER,
    Specification(
        luminance_relative_uncertainty=0.04,
        luminance_floor=0.002,
        luminance_resolution=0.0001,
        chromaticity_uncertainty=0.006,
    ),
    replace(METER, luminance_floor=0.06, chromaticity_uncertainty=0.002),
)
"""Of a filter meter, of one without a repeatability, and of a better one that reaches no black."""
LIMIT = Colour.limits[0]
"""A delta E of 3."""
COLUMNS = ("delta-e-2000", "delta-e-itp")


def greys_of(shift, specification, signal=SDR):
    """A run of white, black and six greys, all off by a shift in x, y."""
    display = power(2.3, black=0.05)
    xy = (D65[0] + shift, D65[1] + shift / 2)
    ends = [(940, "white"), (64, "black")]
    return [
        grey(
            n,
            code,
            display(signal_of_code(code, signal)),
            xy,
            role=role,
            specification=specification,
            signal=signal,
        )
        for n, (code, role) in enumerate([*ends, *((code, "grey") for code in CODES)], 1)
    ]


def as_patches(readings):
    return [
        replace(r, role="chart-24", parameters={"patch": r.step}) if r.role == "grey" else r
        for r in readings
    ]


def by_code(finding, column):
    (series,) = finding.series
    return {
        tuple(row.where["codes"]): number
        for row, number in zip(series.rows, series.column(column), strict=True)
    }


@pytest.mark.parametrize("specification", SPECIFICATIONS)
@pytest.mark.parametrize("shift", SHIFTS)
def test_greys_are_as_far_off_and_as_sure_as_the_same_readings_as_patches(shift, specification):
    readings = greys_of(shift, specification)
    grey_ones, patches = only("greyscale", readings), only("colour", as_patches(readings))
    for column, code in product(COLUMNS, CODES):
        mine = by_code(grey_ones, column)[(code,) * 3]
        other = by_code(patches, column)[(code,) * 3]
        assert mine.value == pytest.approx(other.value, abs=1e-9)
        assert mine.interval == pytest.approx(other.interval, abs=1e-9)
        assert mine.interval[0] < mine.interval[1]
        told = [Value(column, "", n.value, "", interval=n.interval) for n in (mine, other)]
        assert verdict_of(told[0], LIMIT) == verdict_of(told[1], LIMIT)


def test_the_grid_of_readings_is_judged_in_every_way():
    verdicts = []
    for shift, specification in product(SHIFTS, SPECIFICATIONS):
        found = by_code(only("greyscale", greys_of(shift, specification)), "delta-e-2000")
        told = [found[(code,) * 3] for code in CODES]
        verdicts += [
            verdict_of(Value("", "", n.value, "", interval=n.interval), LIMIT) for n in told
        ]
    assert len(verdicts) == 90
    assert min(verdicts.count(each) for each in ("good", "bad", "unsure")) > 10


@pytest.mark.parametrize("signal", [PQ, HLG])
def test_greys_of_hdr_are_as_far_off_as_the_same_readings_as_patches(signal):
    readings = greys_of(0.004, METER, signal)
    grey_ones, patches = only("greyscale", readings), only("colour", as_patches(readings))
    for code in CODES:
        mine = by_code(grey_ones, "delta-e-itp")[(code,) * 3]
        other = by_code(patches, "delta-e-itp")[(code,) * 3]
        assert mine.value == pytest.approx(other.value, abs=1e-9)
        assert mine.interval == pytest.approx(other.interval, abs=1e-9)


@pytest.mark.parametrize("specification", SPECIFICATIONS)
@pytest.mark.parametrize("shift", SHIFTS)
def test_what_reads_largest_is_as_sure_in_the_values_as_in_the_series(shift, specification):
    readings = greys_of(shift, specification)
    for finding in (only("greyscale", readings), only("colour", as_patches(readings))):
        for column in COLUMNS:
            largest = finding.value(f"{column}-largest")
            row = by_code(finding, column)[tuple(largest.where["codes"])]
            assert largest.value == row.value
            assert largest.interval == pytest.approx(row.interval, rel=1e-9)


def test_the_draws_of_a_large_chart_are_those_of_a_small_one():
    few = as_patches(greys_of(0.004, METER))
    several = [
        replace(few[-1], reading=n, step=n, parameters={"patch": n},
                inks={"level": (n + 700,) * 3, "background": (64,) * 3})
        for n in range(20, 80)
    ]  # fmt: skip
    alone, among = (only("colour", each) for each in (few, [*few, *several]))
    for code in CODES:
        one, other = (by_code(each, "delta-e-2000")[(code,) * 3] for each in (alone, among))
        assert one.interval == pytest.approx(other.interval, rel=1e-9)


# the largest, and what changed


def test_the_largest_is_at_least_what_any_is_and_at_most_what_any_may_be():
    errors = normal(21, M, 2, 2) * [[0.05], [1.0]]
    most = of_errors([[3.0, 0.0], [2.5, 0.0]], errors).most()
    assert most.value == 3.0
    low, high = ends(most)
    assert low == pytest.approx(2.9, abs=0.02)
    assert high > 4.3


def test_a_change_has_the_arms_of_both_by_squares():
    first = of_errors([50.0, 0.0], normal(22, M, 2) * [3.0, 0.1])
    later = of_errors([20.0, 0.0], normal(23, M, 2) * [4.0, 0.1])
    low, high = (float(each) for each in change_of(first, later))
    assert low == pytest.approx(-30 - 10, abs=0.8)
    assert high == pytest.approx(-30 + 10, abs=0.8)


def test_what_both_share_is_in_no_change_and_what_goes_against_each_other_counts_twice():
    shared, own = normal(24, M, 2) * [2.0, 0.1], normal(25, M, 2) * [0.2, 0.1]
    first = of_errors([50.0, 0.0], shared)
    alike, against = of_errors([20.0, 0.0], shared + own), of_errors([20.0, 0.0], own - shared)
    low, high = (float(each) for each in change_of(first, alike))
    assert high - low == pytest.approx(4 * 0.2, rel=0.2)
    low, high = (float(each) for each in change_of(first, against))
    assert high - low == pytest.approx(2 * 8, rel=0.1)


def test_where_one_interval_ends_below_the_other_the_change_is_sure():
    for seed in range(30):
        errors = (
            normal(30 + seed, 2, M, 6, 2) * np.random.default_rng(seed).uniform(0.05, 1, 6)[:, None]
        )
        off = np.random.default_rng(100 + seed).uniform(0, 4, (2, 6, 2)) * [[[1.0]], [[0.5]]]
        first, later = (of_errors(o, e).most() for o, e in zip(off, errors, strict=True))
        (low, _), (_, high) = ends(first), ends(later)
        if high < low:
            assert change_of(first, later)[1] < 0


def test_a_change_of_what_is_not_known_is_not_known():
    known, not_known = (
        of_errors([1.0, 0.0], normal(26, M, 2), known=each) for each in (True, False)
    )
    assert change_of(known, not_known) is None
    assert change_of(known, known) is not None
