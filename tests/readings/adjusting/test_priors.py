"""What is supposed of controls goes the way their names say, and can be a Gaussian at all."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.control import PRIMARIES, Control
from patterns.signal.signal import named_signal
from readings.adjusting.goal import Goal, Point
from readings.adjusting.priors import SURE, Effect, Hats, Layout, as_found, effects
from tests.readings.adjusting.goals import COLOURS
from tests.readings.adjusting.made import control, every_kind, grey_goal, mixed

GREYS = grey_goal(range(0, 101, 10))
COLOURED = Goal.of(
    [*(Point(name, signal) for name, signal in COLOURS.items()), Point("100 %", (1.0, 1.0, 1.0))],
    named_signal("sdr10"),
    mixed((100, 100, 100)),
    mixed((0.05, 0.05, 0.05)),
)


def six_colour() -> list[Control]:
    kinds = ("hue", "saturation", "brightness")
    return [control(does, name) for name in COLOURS for does in kinds]  # type: ignore[arg-type]


def effect(of: Control, goal: Goal = GREYS) -> Effect:
    return effects([of], goal)[0]


def by_point(of: Control, goal: Goal = GREYS) -> np.ndarray:
    return effect(of, goal).mean.reshape(-1, 3)


@pytest.mark.parametrize(("goal", "controls"), [(GREYS, every_kind()), (COLOURED, six_colour())])
def test_all_that_is_not_known_is_a_covariance(goal: Goal, controls: list[Control]):
    parts = [*as_found(Layout.of(goal))]
    for each in effects(controls, goal):
        assert each.size.max() > 0
        assert each.shape.max() > 0
        parts += [each.size, each.shape]
    for part in parts:
        assert np.allclose(part, part.T)
        assert np.linalg.eigvalsh(part).min() > -1e-9 * np.abs(part).max()


@pytest.mark.parametrize("place", range(3))
def test_a_gain_raises_its_channel_and_white_most(place: int):
    moved = by_point(control("gain", PRIMARIES[place]))
    assert (np.diff(moved[:, place]) > 0).all()
    assert moved[0, place] == 0
    # over its whole range of 100 clicks, a quarter of white's drive
    assert moved[-1, place] * 100 == pytest.approx(0.25, rel=0.05)
    assert not np.delete(moved, place, axis=1).any()


@pytest.mark.parametrize("place", range(3))
def test_an_offset_raises_its_channel_and_dark_greys_most(place: int):
    moved = by_point(control("offset", PRIMARIES[place]))
    assert (moved[:, place] > 0).all()
    assert moved[1, place] > 2 * moved[-1, place]
    assert not np.delete(moved, place, axis=1).any()


def test_a_point_acts_on_its_level_and_little_on_the_second_next():
    controls = [control("point", "red", level) for level in range(10, 101, 10)]
    moved = effects(controls, GREYS)[5].mean.reshape(-1, 3)[:, 0]
    assert moved.argmax() == 6
    assert moved[5] < 0.3 * moved[6]
    assert moved[4] < 0.02 * moved[6]


def test_a_point_may_act_by_light_where_a_set_decodes_pq_before_it():
    """20 % of what a set computes with after PQ is 2.9 % of white's light, as its panel's power
    of 2.2 has it, and not 20 % of the signal, 0.24 % of it."""
    goal = grey_goal(range(0, 76, 5), (1000, 1000, 1000), (0.01, 0.01, 0.01), signal="pq10")
    controls = [control("point", "red", level) for level in range(10, 101, 10)]
    share = goal.xyz[:, 1] / goal.white[1]
    for of, light in (("signal", 0.0024), ("light", 0.029)):
        moved = effects(controls, goal, Hats(of=of))[1].mean.reshape(-1, 3)[:, 0]
        assert share[moved.argmax()] == pytest.approx(light, rel=0.25)
    assert moved[share > 0.2].max() < 0.02 * moved.max()


def test_a_backlight_turns_all_light_by_one_share_as_far_as_it_was_found_up():
    moved = by_point(control("backlight"))
    share = moved[1:] / GREYS.wanted[1:].mean(1, keepdims=True)
    # found 60 clicks up of 100, and its lowest gives light too, as if it stood 10 up: light as
    # 71 is to 70, and drives as the power 1 / 2.4 of that
    assert np.allclose(share, 1 / 2.4 / 70, rtol=1e-6)
    assert not moved[0].any()


def test_a_preset_of_gamma_darkens_the_middle_as_it_rises_and_leaves_the_ends():
    moved = by_point(control("preset"))
    assert (moved[1:-1] < 0).all()
    assert abs(moved[0]).max() < 1e-6
    assert abs(moved[-1]).max() < 0.05 * abs(moved).max()
    assert moved[:, 0].argmin() in (3, 4)


def test_what_is_supposed_of_a_click_does_not_depend_on_how_menus_count():
    """Half as many clicks over the same range do twice as much each."""
    fine = by_point(control("gain", "blue"))
    coarse = by_point(Control("blue", "gain", "blue", None, 0, 500, 10, 300))
    assert np.allclose(coarse, 2 * fine)


@pytest.mark.parametrize("name", COLOURS)
def test_a_six_colour_control_moves_its_own_colour_alone(name):
    place = list(COLOURS).index(name)
    for does in ("hue", "saturation", "brightness"):
        moved = by_point(control(does, name), COLOURED)
        assert moved[place].any()
        assert not np.delete(moved, place, axis=0).any()


@pytest.mark.parametrize("name", COLOURS)
def test_brightness_scales_saturation_empties_and_hue_turns_a_colour(name):
    place = list(COLOURS).index(name)
    drive = COLOURED.wanted[place]
    bright, full, turned = (
        by_point(control(does, name), COLOURED)[place]
        for does in ("brightness", "saturation", "hue")
    )
    assert np.allclose(bright / drive, (bright / drive)[0])
    assert bright[0] > 0
    assert full.max() == pytest.approx(0, abs=1e-9)
    assert full.min() < 0
    assert turned.sum() == pytest.approx(0, abs=1e-9)
    assert turned @ (drive - drive.mean()) == pytest.approx(0, abs=1e-9)


def test_greys_close_to_each_other_are_as_found_alike_and_colours_are_not():
    smooth, bumps = as_found(Layout.of(GREYS))
    whole = smooth + bumps
    alike = whole / np.sqrt(np.outer(np.diag(whole), np.diag(whole)))
    assert alike[18, 21] > alike[18, 27]
    assert (np.diag(whole) > 0).all()
    layout = Layout.of(COLOURED)
    assert np.array_equal(layout.alike(0.3), np.eye(7))


def test_errors_of_a_curve_are_alike_farther_than_bumps():
    fifth_away = []
    for part in as_found(Layout.of(grey_goal(range(0, 101, 5)))):
        alike = part / np.sqrt(np.outer(np.diag(part), np.diag(part)))
        fifth_away.append(alike[3 * 10, 3 * 14])
    assert fifth_away[0] > 0.6
    assert fifth_away[1] < 0.1


@pytest.mark.parametrize("of", every_kind(), ids=lambda each: each.name)
def test_a_size_that_is_not_known_goes_with_the_whole_of_what_a_control_does(of: Control):
    its = effect(of)
    most = int(np.abs(its.mean).argmax())
    share = np.sqrt(its.size[most, most]) / abs(its.mean[most])
    assert 0.1 < share <= 1
    assert np.allclose(its.size, share**2 * np.outer(its.mean, its.mean))
    if of.does in ("gain", "offset", "point"):
        assert share == pytest.approx(SURE)
