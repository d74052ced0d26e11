"""What an adjustment aims at: light and drives, errors and their squares, the wanted white."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import approx_fprime

from patterns.aim import Aim
from patterns.signal.signal import named_signal
from readings.adjusting.goal import Goal, Point, greys, peak_of
from readings.evidence.aim import matrix_of
from tests.readings.adjusting.goals import COLOURS
from tests.readings.adjusting.made import grey_goal, mixed

Floats = NDArray[np.float64]
D65 = (0.3127, 0.3290)
LEVELS = range(0, 101, 10)
SPREAD = np.concatenate([-np.geomspace(1.2, 1e-7, 60), [0.0], np.geomspace(1e-7, 1.5, 60)])
"""Of drives, from far below black to far above white."""


def drives() -> Floats:
    return np.random.default_rng(4).permuted(np.repeat(SPREAD[:, None], 3, 1), axis=0)


def colour_goal() -> Goal:
    points = [Point(name, signal) for name, signal in COLOURS.items()]
    lights = mixed((104, 100, 92)), mixed((0.06, 0.05, 0.05))
    return Goal.of(points, named_signal("sdr10"), *lights)


def pq_goal(white: float = 1000.0) -> Goal:
    levels = [*range(10, 75, 5), 75]
    return grey_goal(levels, np.array([1.02, 1, 0.97]) * white, (0.004,) * 3, signal="pq10")


# ---- light and drives


@pytest.mark.parametrize("made", [grey_goal, colour_goal, pq_goal])
def test_light_and_drives_are_inverses_of_each_other_below_black_too(made):
    goal, given = made(), drives()
    light = goal.light(given)
    assert np.allclose(goal.drives(light), given, rtol=1e-9, atol=1e-12)
    assert np.allclose(goal.light(goal.drives(light)), light, rtol=1e-12, atol=1e-12)


def test_black_as_found_is_drives_of_0_and_wanted_white_is_nearly_1():
    goal = grey_goal()
    assert np.array_equal(goal.drives(goal.black), np.zeros(3))
    assert np.array_equal(goal.light(np.zeros(3)), goal.black)
    assert goal.drives(goal.white + goal.black) == pytest.approx(np.ones(3), abs=1e-12)


def test_drives_are_the_share_of_whites_light_above_black_to_the_power_of_bt1886():
    goal = grey_goal(white=(100, 100, 100), black=(0.1, 0.1, 0.1))
    at = mixed((100 * 0.5**2.4 + 0.1, 100 * 0.2**2.4 + 0.1, 100 * 0.9**2.4 + 0.1))
    assert goal.drives(at) == pytest.approx([0.5, 0.2, 0.9], abs=1e-9)
    assert goal.channels(at) == pytest.approx([0.5**2.4, 0.2**2.4, 0.9**2.4], abs=1e-12)


def test_near_black_drives_are_in_proportion_to_light_and_join_the_curve():
    goal = grey_goal(white=(100, 100, 100), black=(0, 0, 0))
    near, twice = goal.drives(mixed((0.002,) * 3)), goal.drives(mixed((0.004,) * 3))
    assert twice == pytest.approx(2 * near, rel=1e-9)
    below, above = goal.drives(mixed((0.00999999,) * 3)), goal.drives(mixed((0.01000001,) * 3))
    assert below == pytest.approx(above, rel=1e-5)


@pytest.mark.parametrize("made", [grey_goal, colour_goal, pq_goal])
def test_slopes_are_the_derivatives_of_light(made):
    goal = made()
    joins = 1e-4 ** (1 / 2.4)
    for given in drives()[::3]:
        if np.any(np.abs(np.abs(given) - joins) < 1e-5):
            continue
        numeric = approx_fprime(given, goal.light, 1e-7)
        slopes = goal.slopes(given)
        assert np.allclose(slopes, numeric, rtol=1e-4, atol=1e-6 * goal.white[1])


def test_arrays_of_any_shape_go_through_at_once():
    goal, given = grey_goal(), drives()[:120].reshape(4, 6, 5, 3)
    assert goal.light(given).shape == goal.drives(given).shape == (4, 6, 5, 3)
    assert np.array_equal(goal.slopes(given)[2, 3, 1], goal.slopes(given[2, 3, 1]))
    assert np.array_equal(goal.light(given)[1, 0, 4], goal.light(given[1, 0, 4]))


# ---- errors


def lab(goal: Goal, xyz: Floats) -> Floats:
    white = goal.white / goal.white.sum()
    return np.asarray(colour.XYZ_to_Lab(xyz / goal.white[1], white[:2]))


def test_errors_are_ciede2000_relative_to_the_wanted_white():
    goal = grey_goal(LEVELS)
    xyz = goal.light(goal.wanted + np.random.default_rng(2).normal(0, 0.03, (11, 3)))
    pairs = zip(lab(goal, xyz), lab(goal, goal.xyz), strict=True)
    apart = [float(colour.delta_E(one, two, method="CIE 2000")) for one, two in pairs]
    assert goal.errors(xyz) == pytest.approx(apart, rel=1e-9)
    assert goal.errors(xyz[[7, 2]], [7, 2]) == pytest.approx([apart[7], apart[2]], rel=1e-9)
    assert goal.error(4, xyz[4]) == pytest.approx(apart[4], rel=1e-9)
    assert goal.errors(np.stack([xyz, goal.xyz]))[1] == pytest.approx(np.zeros(11), abs=1e-9)


def itp(xyz: Floats) -> Floats:
    """I, T, P in units of delta E ITP, from the tables of BT.2100 and BT.2124 (second-hand)."""
    to_rgb = np.linalg.inv(matrix_of(named_signal("pq10").primaries, D65))
    to_lms = np.array([[1688, 2146, 262], [683, 2951, 462], [99, 309, 3688]]) / 4096
    to_ictcp = np.array([[2048, 2048, 0], [6610, -13613, 7003], [17933, -17390, -543]]) / 4096
    share = (xyz @ to_rgb.T @ to_lms.T / 10_000) ** (2610 / 16384)
    coded = ((3424 / 4096 + 2413 / 128 * share) / (1 + 2392 / 128 * share)) ** (2523 / 32)
    return np.asarray(coded @ to_ictcp.T * 720 * [1, 0.5, 1])


def test_errors_of_pq_are_delta_e_itp():
    goal = pq_goal()
    assert goal.itp
    xyz = goal.light(goal.wanted * (1 + np.random.default_rng(2).normal(0, 0.01, (14, 3))))
    apart = np.sqrt(((itp(xyz) - itp(goal.xyz)) ** 2).sum(1))
    assert goal.errors(xyz) == pytest.approx(apart, rel=1e-6)


def test_hlg_is_judged_so_too_and_its_white_is_as_bright_as_it_was_found():
    goal = grey_goal(white=(800, 800, 800), signal="hlg10")
    assert goal.itp
    assert goal.white[1] == pytest.approx(800, rel=1e-9)
    assert goal.xyz[-1, 1] == pytest.approx(800, rel=1e-3)


# ---- squares of errors, as a form of the drives


def ciede2000_near_grey(goal: Goal, xyz: Floats) -> Floats:
    """dL'^2 / SL^2 + (1.5 da)^2 + db^2 (CIE 15:2018, from memory): at a grey G is 0.5."""
    one, other = lab(goal, xyz), lab(goal, goal.xyz)
    off = one - other
    middle = ((one + other)[:, 0] / 2 - 50) ** 2
    spread = 1 + 0.015 * middle / np.sqrt(20 + middle)
    return np.asarray((off[:, 0] / spread) ** 2 + (1.5 * off[:, 1]) ** 2 + off[:, 2] ** 2)


def ways(goal: Goal, size: float, seed: int) -> Floats:
    """Drives off what is wanted, all in one direction by chance."""
    step = np.random.default_rng(seed).normal(0, 1, (len(goal.points), 3))
    return np.asarray(step / np.linalg.norm(step, axis=1)[:, None] * size)


@pytest.mark.parametrize("seed", range(6))
def test_squares_near_grey_are_those_of_ciede2000(seed: int):
    goal = grey_goal(LEVELS)
    off = ways(goal, 0.003, seed)[2:]
    form = np.einsum("na,nab,nb->n", off, goal.squares[2:], off)
    xyz = goal.light(goal.wanted + np.concatenate([np.zeros((2, 3)), off]))
    written = ciede2000_near_grey(goal, xyz)[2:]
    assert form == pytest.approx(written, rel=0.05)
    assert form == pytest.approx(goal.errors(xyz)[2:] ** 2, rel=0.05)


@pytest.mark.parametrize("seed", range(6))
def test_squares_of_pq_are_those_of_delta_e_itp(seed: int):
    goal = pq_goal()
    shift = np.random.default_rng(seed).normal(0, 1, (14, 3)) * 1e-5
    ahead, behind = (itp(goal.light(goal.wanted + s * shift)) for s in (1, -1))
    exact = (((ahead - behind) / 2) ** 2).sum(1)
    form = np.einsum("na,nab,nb->n", shift, goal.squares, shift)
    assert form == pytest.approx(exact, rel=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_squares_of_colours_are_those_of_ciede2000(seed: int):
    goal = colour_goal()
    off = ways(goal, 0.004, seed)
    form = np.einsum("na,nab,nb->n", off, goal.squares, off)
    there, opposite = (goal.errors(goal.light(goal.wanted + s * off)) ** 2 for s in (1, -1))
    assert form == pytest.approx((there + opposite) / 2, rel=0.1)


@pytest.mark.parametrize("made", [grey_goal, colour_goal, pq_goal])
def test_squares_are_symmetric_and_never_below_0(made):
    squares = made().squares
    assert np.allclose(squares, squares.transpose(0, 2, 1))
    assert np.linalg.eigvalsh(squares).min() >= -1e-6 * squares.max()


# ---- what is wanted


def test_white_is_wanted_as_bright_as_its_weakest_channel_lets_it_be():
    goal = grey_goal(white=(104, 100, 92))
    assert goal.white[1] == pytest.approx(92, rel=1e-12)
    assert goal.white / goal.white.sum() == pytest.approx([0.3127, 0.3290, 0.3583], abs=1e-9)
    assert goal.xyz[-1] == pytest.approx(goal.white, rel=1e-12)


def test_white_keeps_85_percent_of_its_light_where_a_channel_is_very_weak():
    luminance = mixed((110, 100, 40))[1]
    assert grey_goal(white=(110, 100, 40)).white[1] == pytest.approx(0.85 * luminance)
    whites = np.array([mixed((104, 100, 92)), mixed((110, 100, 40))])
    matrix = matrix_of(named_signal("sdr10").primaries, D65)
    assert peak_of(whites, matrix) == pytest.approx([92, 0.85 * luminance])


def test_white_is_as_bright_as_was_stated_and_of_the_stated_white_point():
    goal = grey_goal(aim=Aim(white=120.0, white_point=(0.3, 0.32)))
    assert goal.white == pytest.approx([120 * 0.3 / 0.32, 120, 120 * 0.38 / 0.32])
    assert goal.xyz[-1] == pytest.approx(goal.white)


def test_greys_are_wanted_along_the_stated_curve():
    goal = grey_goal([0, 50, 100], (100,) * 3, (0, 0, 0), Aim(curve="power 2.2"))
    assert goal.xyz[1, 1] == pytest.approx(100 * 0.5**2.2)
    # Rec. ITU-R BT.1886, annex 1, with a black of 0.1
    lifted = grey_goal([0, 50, 100], (100,) * 3, (0.1,) * 3)
    root, low = 100 ** (1 / 2.4), 0.1 ** (1 / 2.4)
    assert lifted.xyz[1, 1] == pytest.approx((0.5 * (root - low) + low) ** 2.4)


def test_black_is_wanted_as_it_was_found_with_its_colour():
    dark = (0.09, 0.05, 0.02)
    goal = grey_goal(black=dark)
    assert goal.xyz[0] == pytest.approx(mixed(dark), rel=1e-12)
    assert np.array_equal(goal.wanted[0], np.zeros(3))
    assert goal.error(0, goal.black) == 0
    assert goal.error(0, 2 * goal.black) > 0


def test_a_meter_that_reads_black_a_little_below_no_light_is_no_hindrance():
    goal = grey_goal(black=(-0.001, -0.001, -0.001))
    assert np.isfinite(goal.xyz).all()
    assert goal.xyz[1, 1] == pytest.approx(92 * 0.2**2.4, rel=1e-6)


def test_pq_is_absolute():
    goal = pq_goal(1000.0)
    assert [point.label for point in goal.points][-1] == "75 %"
    # Rec. ITU-R BT.2100-3, table 4: 75 % of the signal is 983.4 cd/m2
    assert goal.xyz[-1, 1] == pytest.approx(983.4, abs=0.1)
    assert goal.white[1] == pytest.approx(983.4, abs=0.1)


def test_of_pq_that_rolls_off_points_are_left_out_that_are_too_bright():
    goal = pq_goal(500.0)
    # 65 % is 365.6 cd/m2, and 70 % 595.5: more than 0.8 times 500
    assert [point.label for point in goal.points][-1] == "65 %"
    assert len(goal.points) == len(goal.xyz) == 12
    assert goal.white[1] == pytest.approx(goal.xyz[-1, 1])
    assert goal.white[1] <= 0.8 * 500


def test_pq_a_little_weak_keeps_all_its_points():
    assert len(pq_goal(900.0).points) == 14
    assert len(pq_goal(870.0).points) == 13


@pytest.mark.parametrize("levels", [[75, 100], [0, 100]])
def test_a_display_that_reaches_no_point_of_pq_with_light_is_told_so(levels: list[int]):
    with pytest.raises(ValueError, match="no point is left"):
        grey_goal(levels, (100,) * 3, (0.01,) * 3, signal="pq10")


@pytest.mark.parametrize(
    ("white", "black"), [((0, 0, 0), (0, 0, 0)), ((5, 5, 5), (5, 5, 5)), ((1, 1, 1), (2, 0, 0))]
)
def test_white_without_light_above_black_is_refused(white, black):
    with pytest.raises(ValueError, match="white has no light above black"):
        Goal.of(greys([0, 100]), named_signal("sdr10"), white, black)


def test_points_know_what_they_are():
    black, grey, red = *greys([0, 12.5]), Point("red", (0.75, 0.2, 0.2))
    assert (black.label, grey.label) == ("0 %", "12.5 %")
    assert grey.signal == (0.125, 0.125, 0.125)
    assert [point.black for point in (black, grey, red)] == [True, False, False]
    assert [point.grey for point in (black, grey, red)] == [True, True, False]
