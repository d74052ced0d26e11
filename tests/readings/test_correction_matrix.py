"""The four-colour matrix method: the worked example to the printed digits, and what it promises."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from readings.evidence.correction import (
    FOUR,
    CorrectionError,
    Light,
    four_colour,
    least_squares,
    residuals,
    three_colour,
)
from readings.evidence.correction.guards import Side
from readings.evidence.correction.paired import work_out

DATA = Path(__file__).parents[1] / "data"
TENTH = 0.5e-10 * 1.001
FOURTH = 0.5e-4 * 1.001


def rows(name):
    lines = (DATA / f"{name}.csv").read_text("utf-8").splitlines()
    said = [line[2:].partition(":")[0] for line in lines if line.startswith("# ")]
    assert said == ["document", "table", "trust", "tolerance"]
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def printed(what):
    """A matrix of the worked example; a vector where it has one row, a number where one digit."""
    found = [
        [float(row[column]) for column in "123" if row[column]]
        for row in rows("four_colour_matrices")
        if row["what"] == what
    ]
    return np.array(found).squeeze()


@pytest.fixture(scope="module")
def example():
    sides = ({}, {})
    for row in rows("four_colour_readings"):
        for side, whose in zip(sides, ("meter", "reference"), strict=True):
            side[row["colour"]] = Light(
                float(row[f"{whose}_luminance"]), float(row[f"{whose}_x"]), float(row[f"{whose}_y"])
            )
    return sides


def test_every_number_of_the_worked_example_comes_out_as_printed(example):
    made = four_colour(*example)
    for what, value in {
        "k_m": made.weights_meter,
        "k_r": made.weights_reference,
        "M": made.meter,
        "N": made.reference,
        "R": made.relative,
        "k_Y": made.factor,
        "k_Y R": made.matrix,
    }.items():
        assert np.abs(value - printed(what)).max() <= TENTH, what


def test_the_printed_matrix_brings_the_meters_readings_to_the_reference(example):
    meter, reference = example
    corrected_luminance = {
        row["colour"]: float(row["corrected_luminance"]) for row in rows("four_colour_readings")
    }
    for name in FOUR:
        corrected = Light.from_tristimulus(printed("k_Y R") @ meter[name].tristimulus)
        assert abs(corrected.x - reference[name].x) < 1e-9
        assert abs(corrected.y - reference[name].y) < 1e-9
        assert abs(corrected.luminance - corrected_luminance[name]) <= FOURTH


def test_the_other_way_round_it_is_the_inverse_of_the_printed_matrix(example):
    meter, reference = example
    back = four_colour(reference, meter)
    assert np.abs(back.matrix @ printed("k_Y R") - np.eye(3)).max() < 1e-9
    for name in FOUR:
        given_back = Light.from_tristimulus(back.matrix @ reference[name].tristimulus)
        assert abs(given_back.x - meter[name].x) < 1e-12
        assert abs(given_back.y - meter[name].y) < 1e-12
    white = back.matrix @ reference["white"].tristimulus
    assert white[1] == pytest.approx(99.0, abs=1e-10)


def test_the_two_alternatives_come_out_as_printed(example):
    assert np.abs(three_colour(*example) - printed("three-colour")).max() <= TENTH
    assert np.abs(least_squares(*example) - printed("least squares")).max() <= TENTH


def test_the_residuals_of_the_worked_example_are_those_of_luminance_alone(example):
    left = residuals(four_colour(*example).matrix, *example)
    assert [each.colour for each in left] == list(FOUR)
    assert max(each.chromaticity for each in left) < 1e-14
    told = {each.colour: round(100 * each.luminance, 2) for each in left}
    assert told == {"red": 3.93, "green": -0.31, "blue": 1.22, "white": 0.0}


def test_a_meter_that_agrees_with_the_reference_is_left_as_it_is(example):
    _, reference = example
    assert np.abs(four_colour(reference, reference).matrix - np.eye(3)).max() < 1e-14


ERROR = np.array([[1.021, -0.012, 0.003], [0.006, 1.004, -0.002], [0.002, -0.009, 1.031]])
MIXED = {"cyan": (0, 1, 1), "magenta": (1, 0, 1), "yellow": (1, 1, 0), "grey": (0.2, 0.2, 0.2)}


def seen(error, primaries):
    """What a meter of this error sees of a display that adds its primaries up."""
    mixes = {"red": (1, 0, 0), "green": (0, 1, 0), "blue": (0, 0, 1), "white": (1, 1, 1), **MIXED}
    return {
        name: Light.from_tristimulus(error @ primaries @ np.array(mix, float))
        for name, mix in mixes.items()
    }


def display(example):
    _, reference = example
    return np.column_stack([reference[name].tristimulus for name in FOUR[:3]])


def test_an_error_that_is_a_matrix_is_corrected_exactly_in_every_colour(example):
    primaries = display(example)
    meter, truth = seen(ERROR, primaries), seen(np.eye(3), primaries)
    made = four_colour(meter, truth)
    assert np.abs(made.matrix @ ERROR - np.eye(3)).max() < 1e-13
    left = residuals(made.matrix, meter, truth)
    assert [each.colour for each in left if not each.fitted] == list(MIXED)
    assert max(max(each.chromaticity, abs(each.luminance)) for each in left) < 1e-13


@given(st.lists(st.floats(0.2, 5.0), min_size=4, max_size=4))
def test_no_drift_of_luminance_between_the_colours_enters_chromaticity(drift):
    primaries = np.array([[41.2, 35.8, 18.0], [21.3, 71.5, 7.2], [1.9, 11.9, 95.1]])
    truth = seen(np.eye(3), primaries)
    meter = {
        name: Light(light.luminance * change, light.x, light.y)
        for (name, light), change in zip(seen(ERROR, primaries).items(), drift, strict=False)
    }
    relative = four_colour(meter, truth).relative
    still = four_colour(seen(ERROR, primaries), truth).relative
    assert np.abs(relative - still).max() < 1e-11


def test_noise_leaves_residuals_in_the_colours_that_are_not_fitted(example):
    primaries = display(example)
    noise = np.random.default_rng(1)
    truth = seen(np.eye(3), primaries)
    meter = {
        name: Light.from_tristimulus(light.tristimulus * (1 + 0.002 * noise.standard_normal(3)))
        for name, light in seen(ERROR, primaries).items()
    }
    left = {each.colour: each for each in residuals(four_colour(meter, truth).matrix, meter, truth)}
    assert max(left[name].chromaticity for name in FOUR) < 1e-14
    assert 0 < abs(left["red"].luminance) < 0.02
    for name in MIXED:
        assert 1e-5 < left[name].chromaticity < 0.005


def test_primaries_on_a_line_have_no_matrix(example):
    meter, reference = example
    line = {
        "red": Light(20.0, 0.6, 0.3),
        "green": Light(70.0, 0.4, 0.35),
        "blue": Light(7.0, 0.2, 0.4),
        "white": meter["white"],
    }
    with pytest.raises(CorrectionError, match=r"^Red, green and blue of the meter lie on a line"):
        four_colour(line, reference)
    with pytest.raises(CorrectionError, match=r"of the reference lie on a line"):
        four_colour(meter, line)
    with pytest.raises(CorrectionError, match=r"lie on a line"):
        three_colour(line, reference)


def test_what_is_no_light_is_said_to_be_none():
    with pytest.raises(CorrectionError, match=r"are no light\.$"):
        Light.from_tristimulus([1.0, 0.0, -2.0])


def test_the_mean_of_repeats_is_taken_over_tristimulus_values():
    mean = Light.mean([Light(10.0, 0.2, 0.2), Light(30.0, 0.3, 0.6)])
    # X Y Z of 10 10 30 and 15 30 5: the mean is 12.5 20 17.5
    assert (mean.luminance, mean.x, mean.y) == pytest.approx((20.0, 0.25, 0.4))


number = st.one_of(
    st.sampled_from([5e-324, 1e-300, 1e-6, 0.001, 1.0, 1e308]),
    st.floats(1e-6, 1e5),
    st.floats(0, 1),
)
light = st.builds(Light, number.filter(bool), st.floats(0, 1), number.filter(bool))
colours = st.fixed_dictionaries(dict.fromkeys((*FOUR, "cyan"), light))


@given(colours, colours)
def test_whatever_was_read_there_is_a_finite_matrix_or_a_sentence(own, theirs):
    meter = Side("spot meter", own, (own["white"].luminance,), 0.01)
    reference = Side("reference", theirs, (theirs["white"].luminance,) * 2)
    try:
        found, left, guarded = work_out(meter, reference)
    except CorrectionError:
        return
    assert np.isfinite(found.matrix).all()
    assert all(np.isfinite([each.x, each.y, each.luminance]).all() for each in left)
    assert all(each.sentence.endswith((".", "?")) for each in guarded)
