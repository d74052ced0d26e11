"""Light that is watched: figures stand still while it does, and move when it moves."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from player.run.aiming import SeenLight
from player.run.watching import Light, Steady, Steadying, live_of
from readings.evidence.repeatability import Repeatability
from readings.visit.records import Specification

WHITE = Light(100.0, 0.3127, 0.3290)
METER = Repeatability(relative=0.002, chromaticity=0.0004, floor=0.0)


def noisy(light: Light, chance: Random, scatter: Repeatability = METER) -> Light:
    assert light.x is not None
    assert light.y is not None
    return Light(
        light.luminance * (1 + chance.gauss(0, scatter.relative)),
        light.x + chance.gauss(0, scatter.chromaticity),
        light.y + chance.gauss(0, scatter.chromaticity),
    )


def brighter(share: float) -> Light:
    return Light(100.0 * (1 + share), WHITE.x, WHITE.y)


class Meter:
    """Reads every second, and looks at what is told."""

    def __init__(self, scatter: Repeatability, seed: int = 1, real: Repeatability = METER) -> None:
        self.steadying = Steadying(scatter)
        self._chance, self._real = Random(seed), real  # noqa: S311 - noise, no secret
        self._now = 0.0

    def read(self, light: Light, times: int = 1) -> list[Steady]:
        """What stood on the screen after each reading."""
        told = []
        for _ in range(times):
            self.steadying.add(noisy(light, self._chance, self._real), self._now, self._now + 1.0)
            self._now += 1.0
            assert self.steadying.steady is not None
            told.append(self.steadying.steady)
        return told

    @property
    def told(self) -> Steady:
        assert self.steadying.steady is not None
        return self.steadying.steady


def changes(told: list[Steady]) -> int:
    return sum(one is not other for one, other in pairwise(told))


def anew(told: list[Steady]) -> int:
    """How often a mean got shorter: it began anew."""
    return sum(other.count < one.count for one, other in pairwise(told))


def test_what_is_told_is_the_mean_of_1_2_4_8_and_16_readings_and_then_of_the_last_16() -> None:
    steadying = Steadying(METER)
    counts = []
    for second in range(30):
        luminance = 100 + 0.1 * (second % 2)
        steadying.add(Light(luminance, 0.3127, 0.329), second, second + 1)
        assert steadying.steady is not None
        counts.append(steadying.steady.count)
    assert counts == [1, 2, 2, 4, 4, 4, 4, *[8] * 8, *[16] * 15]
    assert steadying.steady.light.luminance == pytest.approx(100.05)
    assert steadying.steady.mean_of == "mean of 16 readings, 16 s"


def test_one_reading_is_said_to_be_one() -> None:
    steadying = Steadying(METER)
    steadying.add(WHITE, 0.0, 2.5)
    assert steadying.steady is not None
    assert steadying.steady.mean_of == "one reading, 2.5 s"


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_meters_noise_makes_nothing_flicker(seed: int) -> None:
    meter = Meter(METER, seed)
    told = meter.read(WHITE, 300)
    assert anew(told) <= 6
    assert changes(told) <= 300 / 4 + 20
    last = told[-200:]
    apart = [abs(one.light.luminance - 100) for one in last if one.count == 16]
    assert max(apart) < 0.2, "a reading alone lies up to 0.6 off"


@pytest.mark.parametrize("real", [0.0007, 0.005, 0.01])
def test_what_a_meter_scatters_is_learnt_where_nobody_promises_it(real: float) -> None:
    meter = Meter(Repeatability(), 4, Repeatability(real, real / 10, 0.0))
    meter.read(WHITE, 60)
    assert anew(meter.read(WHITE, 300)) <= 9


def test_a_large_change_is_told_at_once_as_one_reading() -> None:
    meter = Meter(METER)
    before = meter.read(WHITE, 20)[-1]
    after = meter.read(brighter(0.05))[-1]
    assert (before.count, after.count) == (16, 1)
    assert after.light.luminance == pytest.approx(105, abs=0.6)
    assert after.anew


def test_a_change_of_a_channel_alone_is_a_change() -> None:
    meter = Meter(METER)
    meter.read(WHITE, 20)
    assert meter.read(Light(100.0, 0.3167, 0.3290))[-1].count == 1


@pytest.mark.parametrize("seed", range(5))
def test_a_change_of_twice_the_repeatability_is_told_within_a_few_readings(seed: int) -> None:
    meter = Meter(METER, seed)
    meter.read(WHITE, 20)
    told = meter.read(brighter(0.008), 6)  # four standard deviations
    assert told[-1].count < 16
    assert meter.told.light.luminance == pytest.approx(100.8, abs=2 * 0.2)


def test_a_small_change_is_in_the_mean_after_16_readings_even_where_no_reading_shows_it() -> None:
    meter = Meter(METER)
    meter.read(WHITE, 20)
    meter.read(brighter(0.002), 20)
    assert meter.told.light.luminance == pytest.approx(100.2, abs=0.15)


def test_one_reading_that_is_far_off_passes() -> None:
    meter = Meter(METER)
    meter.read(WHITE, 20)
    meter.read(brighter(0.03))
    meter.read(WHITE, 6)
    assert meter.told.light.luminance == pytest.approx(100, abs=0.3)


def test_the_beginning_is_the_mean_up_to_the_first_change() -> None:
    meter = Meter(METER)
    meter.read(WHITE, 9)
    meter.read(brighter(0.1), 30)
    first = meter.steadying.first
    assert first is not None
    assert (first.count, first.anew) == (8, False)
    assert first.light.luminance == pytest.approx(100, abs=0.3)
    assert meter.told.anew


def test_after_a_blackout_a_mean_begins_anew_and_the_beginning_stays() -> None:
    meter = Meter(METER)
    meter.read(WHITE, 8)
    meter.steadying.begin_anew()
    assert meter.read(WHITE)[-1].count == 1
    assert meter.steadying.first is not None
    assert meter.steadying.first.count == 8


def test_in_the_dark_a_luminance_alone_is_steady_too() -> None:
    steadying = Steadying(Repeatability())
    for second, luminance in enumerate((0.0512, 0.0498, 0.0505, 0.0501)):
        steadying.add(Light(luminance, None, None), second, second + 1)
    assert steadying.steady is not None
    assert (steadying.steady.count, steadying.steady.light.x) == (4, None)
    assert steadying.steady.light.luminance == pytest.approx(0.0504)


def test_the_scatter_is_half_of_what_is_promised_with_k_2_and_the_usual_where_nothing_is() -> None:
    promised = Specification(luminance_repeatability=0.004, luminance_noise=0.001)
    assert Repeatability.promised(promised) == Repeatability(0.002, 0.002, 0.0005)


def seen(luminance: float, x: float | None, y: float | None) -> SeenLight:
    return SeenLight(luminance, x, y, corrected=False, told=None, balance=None, balance_spread=None)


def steady(light: Light, *, anew: bool) -> Steady:
    return Steady(light, 4, 6.0, Light(0.2, 0.0004, 0.0004), anew)


def test_the_difference_to_the_beginning_is_told_in_words() -> None:
    first = steady(WHITE, anew=False)
    begun = live_of(first, seen(100, 0.3127, 0.329), first, seen(100, 0.3127, 0.329))
    assert begun.change == "What changes from here on is told"
    assert (begun.luminance, begun.colour) == ("100 cd/m2", "x 0.3127, y 0.3290")
    assert begun.mean_of == "mean of 4 readings, 6 s"
    now = steady(Light(97.7, 0.3147, 0.329), anew=True)
    later = live_of(now, seen(97.7, 0.3147, 0.329), first, seen(100, 0.3127, 0.329))
    assert later.change == "Since the beginning: 2.3 % darker; colour moved by 0.0014 in u'v'"


def test_what_is_less_than_the_scatter_of_both_means_is_no_difference() -> None:
    first, now = steady(WHITE, anew=False), steady(WHITE, anew=True)
    live = live_of(now, seen(100.25, 0.3129, 0.329), first, seen(100, 0.3127, 0.329))
    assert live.change == "Since the beginning: as bright; the same colour"
