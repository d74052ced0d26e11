"""Invented displays do what their menus and faults say, and a search finds their best."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from patterns.control import PRIMARIES
from tests.readings.adjusting.displays import MENUS, NASTY, SPOILED, Display, _Maker, display_of
from tests.readings.adjusting.goals import goal_of, reachable, signals_of
from tests.readings.adjusting.session import SLIPS, MeterNoise, Session

GREY = np.full(3, 0.7)


def control_of(display: Display, does: str, channel: str | None) -> int:
    for i, control in enumerate(display.controls):
        if (control.does, control.channel) == (does, channel):
            return i
    raise LookupError(f"{does} {channel}")


def channels(display: Display, signal: np.ndarray) -> np.ndarray:
    """Light of the panel's own channels."""
    light = display.truth(np.atleast_2d(signal), display.at)[0] - display.panel.black
    mixed = np.linalg.solve(display.panel.matrix, light)
    return np.linalg.solve(display.panel.mixing.T, mixed)


def spoilt(kind: str, seed: int, menu: str = "ten-point") -> Display:
    display = display_of(seed, menu, nasty=False)
    SPOILED[kind](display, _Maker(np.random.default_rng(seed), menu))
    return display


@pytest.mark.parametrize("menu", MENUS)
def test_a_display_is_the_same_each_time_and_unlike_the_next(menu: str):
    one, again, other = (display_of(seed, menu) for seed in (6, 6, 8))
    assert one.controls == again.controls
    assert (one.xyz(GREY, 5.0) == again.xyz(GREY, 5.0)).all()
    assert (one.xyz(GREY, 6.0) != other.xyz(GREY, 6.0)).all()


@pytest.mark.parametrize("seed", range(0, 24, 2))
def test_turning_a_gain_up_raises_its_channel_most(seed: int):
    display = display_of(seed, "two-point")
    for place, channel in enumerate(PRIMARIES):
        gain = control_of(display, "gain", channel)
        before = channels(display, GREY)
        its = display.controls[gain]
        display.set(gain, its.found + 6 * its.step, display.at)
        change = channels(display, GREY) / before - 1
        assert change[place] > 0.003
        assert change.argmax() == place
        display.set(gain, its.found, display.at)


@pytest.mark.parametrize("seed", range(0, 24, 2))
def test_a_point_moves_its_own_level_more_than_the_far_end(seed: int):
    display = display_of(seed, "ten-point")
    point = next(i for i, c in enumerate(display.controls) if c.level == 60 and c.does == "point")
    near, far = np.full(3, 0.6), np.full(3, 0.2)
    its = display.controls[point]
    before = [channels(display, each)[0] for each in (near, far)]
    display.set(point, its.found + 10 * its.step, 1.0)
    after = [channels(display, each)[0] for each in (near, far)]
    assert after[0] / before[0] > 1.005
    assert abs(after[1] / before[1] - 1) < 0.5 * (after[0] / before[0] - 1)


@pytest.mark.parametrize("menu", MENUS)
@pytest.mark.parametrize("kind", ["does nothing", "reversed", "dead zone"])
def test_a_spoilt_control_does_nothing_the_opposite_or_nothing_for_some_clicks(
    kind: str, menu: str
):
    whole, display = display_of(4, menu, nasty=False), spoilt(kind, 4, menu)
    pairs = zip(whole.tables, display.tables, strict=True)
    changed = [i for i, (one, two) in enumerate(pairs) if not np.array_equal(one, two)]
    assert len(changed) == 1
    before, after = np.diff(whole.tables[changed[0]]), np.diff(display.tables[changed[0]])
    if kind == "does nothing":
        assert not after.any()
    elif kind == "reversed":
        assert np.allclose(before, -after)
    else:
        assert 4 <= (after == 0).sum() <= 9
        assert np.allclose(after[after != 0], before[after != 0])
        found = round(display.clicks_found()[changed[0]])
        assert (after[max(found - 1, 0) : found + 1] == 0).any()


def test_at_its_ceiling_a_channel_goes_down_but_no_further_up():
    display = spoilt("ceiling", 3)
    low = int(display.panel.top.argmin())
    drive = np.full((1, 3), display.panel.top[low])
    up, down = drive * 1.05, drive * 0.95
    light = [display.panel.light(each)[0, low] for each in (down, drive, up)]
    others = display.panel.light(up)[0].sum() - light[2]
    assert light[0] < light[1]
    rise = light[2] - light[1]
    assert rise < 0.05 * (light[1] - light[0])
    assert others > 0


def test_a_curve_that_folds_back_is_not_as_steep_near_the_top():
    made = [spoilt("folds back", seed) for seed in range(8)]
    falls = 0
    for display in made:
        assert display.panel.folds is not None
        channel, start, _ = display.panel.folds
        drives = np.repeat(np.array([[start], [1.0]]), 3, 1)
        light = display.panel.light(drives)[:, channel]
        whole = replace(display.panel, folds=None).light(drives)[:, channel]
        assert light[1] < whole[1]
        falls += light[1] < light[0]
    assert 0 < falls < len(made)


def test_warming_up_settles():
    display = spoilt("warm-up", 5)
    light = [display.xyz(GREY, at)[1] for at in (0.0, 600.0, 20_000.0, 21_000.0)]
    assert abs(light[0] / light[3] - 1) > 0.005
    assert abs(light[1] / light[3] - 1) < abs(light[0] / light[3] - 1)
    assert light[2] == pytest.approx(light[3], rel=1e-6)


def test_a_light_that_follows_the_picture_dims_dark_pictures():
    whole, display = display_of(8, "two-point"), spoilt("follows the picture", 8, "two-point")
    dim = [
        display.xyz(np.full(3, level), 1.0)[1] / whole.xyz(np.full(3, level), 1.0)[1]
        for level in (0.3, 0.6, 1.0)
    ]
    assert dim[0] < dim[1] < dim[2]
    assert dim[2] == pytest.approx(1)


def test_a_power_limit_holds_white_where_it_is():
    display = spoilt("power limit", 8, "two-point")
    display.power_limit = 0.7 * float(display.panel.light(np.ones((1, 3))).mean())
    before = display.xyz(np.ones(3), 1.0)
    for channel in PRIMARIES:
        gain = control_of(display, "gain", channel)
        display.set(gain, display.controls[gain].found + 2 * display.controls[gain].step, 2.0)
    assert display.xyz(np.ones(3), 3.0)[1] == pytest.approx(before[1], rel=0.01)


def test_a_menu_that_lags_shows_a_change_later():
    display = spoilt("lags", 2, "two-point")
    gain = control_of(display, "gain", "green")
    before = display.xyz(GREY, 10.0)
    display.set(gain, display.controls[gain].highest, 10.0)
    assert (display.xyz(GREY, 10.0 + 0.9 * display.lag) == before).all()
    assert display.xyz(GREY, 10.0 + 1.1 * display.lag)[1] > before[1]


def test_a_setting_comes_back_changed_once_and_can_be_put_right():
    display = spoilt("comes back changed", 2, "two-point")
    assert display.comes_back is not None
    when, control, value = display.comes_back
    before = display.truth(GREY[None], when - 1)
    after = display.truth(GREY[None], when + 1)
    assert not np.allclose(before, after, rtol=1e-4)
    assert display.menu_values[control] == value
    display.set(control, display.controls[control].found, when + 2)
    assert np.array_equal(display.truth(GREY[None], when + 3), before)


def test_half_of_the_displays_are_spoilt_and_every_fault_is_met():
    kinds = [display_of(seed, "two-point").kinds for seed in range(120)]
    assert sum(map(bool, kinds)) == 60
    assert set().union(*kinds) == set(NASTY)


def test_time_does_not_go_back():
    display = display_of(1)
    display.xyz(GREY, 9.0)
    with pytest.raises(ValueError, match="back"):
        display.set(0, 0.0, 8.0)


@pytest.mark.parametrize("menu", MENUS)
def test_the_search_never_ends_worse_than_as_found_and_tells_what_it_set(menu: str):
    for seed in range(1 if menu == "twenty-point" else 2):
        display = display_of(seed, menu)
        goal, found = goal_of(display, seed), [c.found for c in display.controls]
        best = reachable(display, goal, restarts=0)
        signals = signals_of(goal)
        assert best.largest < goal.errors(display.xyz_at(found, signals)).max()
        there = goal.errors(display.xyz_at(best.values, signals)).max()
        assert best.largest == pytest.approx(there)
        for control, value in zip(display.controls, best.values, strict=True):
            assert control.lowest <= value <= control.highest
            clicks = (value - control.lowest) / control.step
            assert value == control.highest or clicks == pytest.approx(round(clicks))


def test_the_search_gets_back_a_display_that_was_spoilt_by_a_few_clicks():
    display = display_of(2, "ten-point")
    goal = goal_of(display, 2)
    signals, best = signals_of(goal), reachable(display, goal)
    away = np.random.default_rng(3).integers(-3, 4, len(display.controls))
    steps = zip(display.controls, best.values, away, strict=True)
    values = [min(max(v + k * c.step, c.lowest), c.highest) for c, v, k in steps]
    assert goal.errors(display.xyz_at(values, signals)).max() > 2 * best.largest
    display.controls[:] = [
        replace(c, found=v) for c, v in zip(display.controls, values, strict=True)
    ]
    assert reachable(display, goal).largest < best.largest + 0.25


def test_the_meter_scatters_as_it_says_and_is_off_as_it_is_told():
    chance = np.random.default_rng(11)
    light = np.array([95.0, 100.0, 109.0])
    seen = np.array([MeterNoise().read(light, chance) for _ in range(4000)])
    assert np.std(seen[:, 1]) / 100 == pytest.approx(0.005, rel=0.05)
    x = seen[:, 0] / seen.sum(1)
    assert np.std(x) == pytest.approx(0.0007, rel=0.05)
    off = MeterNoise(0, 0, 0, factor=1.02, off=(0.003, -0.002)).read(light, chance)
    assert off[1] == pytest.approx(102)
    assert off[0] / off.sum() == pytest.approx(95 / 304 + 0.003)


def test_slips_are_made_as_often_as_said_and_only_some_are_told():
    display = display_of(0, "two-point")
    session = Session(display, goal_of(display, 0), np.random.default_rng(1), slips=0.2)
    session.limit = np.inf
    told_off = 0
    for count in range(400):
        its = display.controls[0]
        value = its.found + (count % 5) * its.step
        told_off += session.turn(0, value) != value
    assert 55 <= len(session.slipped) <= 105
    assert set(session.slipped) == set(SLIPS)
    assert told_off == session.slipped.count("wrong number told")
