"""A meter trace gives the count of zones, or says that it can't tell.

The light model of these panels is the simulated display's, not that of the inference: round halos,
a processor that drives zones by their brightest pixel and their mean, a lift, a threshold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest

from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.simulated import DisplayParameters, SimulatedDisplay
from readings.zones.trace import Trace, trace_likelihood

PQ = named_signal("pq10")
WIDTH, HEIGHT = 1920, 1080
PLACES = 300
"""Positions of the box along the axis: at a second each, five minutes."""
SPOT = 4.0
"""Diameter that the meter sees, percent of the height."""


@dataclass(frozen=True)
class Setting:
    """A panel, and how it was traced."""

    panel: DisplayParameters
    side: int
    """Of the box, px."""
    x: float
    """Of the meter, share of the width."""
    row: int
    """Upper edge of the box, px."""
    phase: float
    """Of the first step, 0 to 1 step."""
    below: float = SPOT / 100
    """The meter's middle below the box's way, picture heights; else just clear of it."""


def panel(columns: int, **light: object) -> DisplayParameters:
    zoned: dict[str, object] = {
        "kind": "zoned",
        "contrast": 1000,
        "columns": columns,
        "rows": 12,
        "halos": [{"radius": 240 / columns, "share": 0.6}, {"radius": 600 / columns, "share": 0.4}],
    }
    return DisplayParameters.model_validate(
        {
            "name": "a panel",
            "peak": 1000,
            "responses": {"pq": {"white": 1000}},
            "light": zoned | light,
            "time": {"settle": 0},
        }
    )


def random_setting(chance: np.random.Generator, columns: int) -> Setting:
    """Any halos, drive, place of the meter, phase, and a box of a quarter to a whole zone."""
    parts = int(chance.integers(1, 4))
    pitch = 100 * WIDTH / HEIGHT / columns
    radii = np.maximum(chance.uniform(0.5, 4, parts) * pitch, 2)
    shares = chance.dirichlet(np.full(parts, 2.0)).clip(0.001)
    halos = [
        {"radius": float(radius), "share": float(share)}
        for radius, share in zip(radii, shares / shares.sum(), strict=True)
    ]
    made = panel(
        columns,
        contrast=float(chance.uniform(800, 3000)),
        rows=int(chance.integers(4, 30)),
        halos=halos,
        brightest=float(chance.uniform(0.2, 1)),
        lift=float(chance.uniform(0.35, 1)),
        lowest=float(chance.choice([0, 0, 0.005, 0.02])),
        threshold=float(chance.choice([0, 0, 0.02])),
    )
    side = round(WIDTH / columns * chance.uniform(0.25, 1))
    row = int(chance.uniform(0, 0.2) * HEIGHT)
    return Setting(made, side, chance.uniform(0.3, 0.7), row, chance.random())


def boxed(left: int, top: int, side: int) -> Frame:
    black = np.full((WIDTH, 3), 64, np.uint16)
    lit = black.copy()
    lit[left : left + side] = 769  # 1000 cd/m2
    order = np.zeros(HEIGHT, np.uint16)
    order[top : top + side] = 1
    return Frame(np.stack([black, lit]), order, PQ)


def traced(
    setting: Setting, chance: np.random.Generator, places: int = PLACES, noise: float = 0.01
) -> Trace:
    """Readings with noise, a share of the reading and 0.0002 cd/m2 in the dark."""
    display = SimulatedDisplay(setting.panel)
    steps = (np.arange(places) + setting.phase) * (WIDTH - setting.side) / places
    left = np.unique(steps.astype(int)).tolist()
    y = (setting.row + setting.side) / HEIGHT + setting.below
    light = []
    for place in left:
        display.show(boxed(place, setting.row, setting.side))
        display.wait(1)
        light.append(display.light_at(setting.x, y, SPOT)[1])
    errors = chance.standard_normal((2, len(left)))
    seen = np.array(light) * (1 + noise * errors[0]) + 0.0002 * errors[1]
    middles = tuple(place + setting.side / 2 for place in left)
    return Trace(middles, tuple(np.maximum(seen, 0).tolist()), setting.side)


def plain(columns: int, **light: object) -> Setting:
    side = round(WIDTH / max(columns, 4) / 3)
    return Setting(panel(columns, **light), side, 0.47, 100, 0.3)


def is_open(likelihood: np.ndarray) -> bool:
    return float(likelihood.max()) < 0.02


@pytest.mark.parametrize("columns", [4, 41])
def test_the_count_of_a_plain_panel_is_found(columns: int):
    likelihood = trace_likelihood(traced(plain(columns), np.random.default_rng(columns)), WIDTH)
    assert likelihood.argmax() == columns
    assert likelihood[columns] > 0.95
    assert likelihood.sum() == pytest.approx(1)
    assert likelihood.shape == (501,)
    assert likelihood[0] == 0


def test_a_narrow_zone_at_an_end_does_not_mislead():
    setting = plain(24, ends={"left": 0.45, "right": 0.8})
    likelihood = trace_likelihood(traced(setting, np.random.default_rng(1)), WIDTH)
    assert likelihood.argmax() == 24


def test_positions_in_any_order_give_the_same():
    trace = traced(plain(12), np.random.default_rng(2), places=120)
    back = Trace(trace.positions[::-1], trace.luminances[::-1], trace.side)
    first, second = (trace_likelihood(each, WIDTH) for each in (trace, back))
    assert first == pytest.approx(second)


def test_too_few_positions_leave_the_count_open():
    trace = traced(plain(12), np.random.default_rng(3), places=30)
    assert is_open(trace_likelihood(trace, WIDTH))


@pytest.mark.parametrize(("columns", "places"), [(60, 90), (60, 150), (96, 200), (180, 300)])
def test_steps_too_wide_for_the_zones_leave_the_count_open(columns: int, places: int):
    # the trace then repeats as that of a coarser backlight would
    trace = traced(plain(columns), np.random.default_rng(4), places=places)
    assert is_open(trace_likelihood(trace, WIDTH))


def test_the_finest_zones_that_its_positions_can_tell_are_not_told(monkeypatch):
    trace = traced(plain(24), np.random.default_rng(24))
    monkeypatch.setattr("readings.zones.trace.FINEST", 24)
    assert is_open(trace_likelihood.__wrapped__(trace, WIDTH))


@pytest.mark.parametrize("setting", [plain(12, dimming=False), plain(1)])
def test_a_trace_without_steps_leaves_the_count_open(setting: Setting):
    assert is_open(trace_likelihood(traced(setting, np.random.default_rng(5)), WIDTH))


def test_a_meter_too_far_away_to_see_the_box_leaves_the_count_open():
    setting = replace(plain(30, halos=[{"radius": 2, "share": 1}]), below=0.5)
    trace = traced(setting, np.random.default_rng(6))
    assert is_open(trace_likelihood(trace, WIDTH))


def test_a_meter_that_always_reads_the_same_leaves_the_count_open():
    places = tuple(float(place) for place in range(10, 1910, 10))
    assert is_open(trace_likelihood(Trace(places, (0.002,) * len(places), 20.0), WIDTH))


def test_a_smooth_rise_is_taken_for_no_zones():
    # stray light of a box that comes nearer, without any zones
    places = np.arange(10, 1910, 6.0)
    errors = np.random.default_rng(7).standard_normal(len(places))
    light = 0.02 * np.exp(-(((places - 900) / 500) ** 2)) * (1 + 0.01 * errors) + 0.002
    trace = Trace(tuple(places.tolist()), tuple(light.tolist()), 20.0)
    assert is_open(trace_likelihood(trace, WIDTH))


def test_the_answer_cannot_be_changed_by_who_gets_it():
    likelihood = trace_likelihood(Trace((1.0,), (0.5,), 4.0), WIDTH)
    with pytest.raises(ValueError, match="read-only"):
        likelihood[3] = 1


@pytest.mark.parametrize(
    ("positions", "luminances", "side", "said"),
    [
        ((1.0, 2.0), (0.1,), 4.0, "not 1 for 2"),
        ((1.0,), (float("nan"),), 4.0, "not finite"),
        ((1.0,), (-0.1,), 4.0, "0 cd/m2 or more"),
        ((1.0,), (0.1,), 0.0, "above 0 pixels"),
    ],
)
def test_odd_traces_are_refused(
    positions: tuple[float, ...], luminances: tuple[float, ...], side: float, said: str
):
    with pytest.raises(ValueError, match=said):
        Trace(positions, luminances, side)


def right_of(settings: int, first: int) -> tuple[int, int]:
    """How many counts were right, and how many wrong although nothing else seemed possible."""
    right = misled = 0
    for number in range(settings):
        chance = np.random.default_rng([first, number])
        columns = int(chance.integers(4, 61))
        setting = random_setting(chance, columns)
        likelihood = trace_likelihood(traced(setting, chance), WIDTH)
        best = int(likelihood.argmax())
        right += best == columns
        misled += best != columns and likelihood[best] > 0.95
    return right, misled


@pytest.mark.campaign
def test_with_one_percent_noise_the_count_is_right_on_95_of_100_panels():
    right, misled = right_of(240, first=2026)
    assert right >= 0.95 * 240, f"right on {right} of 240"
    assert misled <= 0.02 * 240, f"misled on {misled} of 240"
