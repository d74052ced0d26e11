"""What is called a fault is no chance: right displays are left alone, and faults are found."""

import numpy as np
import pytest

from patterns.signal.primaries import PRIMARIES
from patterns.signal.signal import signal_from_parts
from tests.readings.grey_readings import grey, signal_of_code
from tests.readings.made_readings import METER, PQ, found, made, said

CURVE = signal_from_parts(PQ).transfer
CODES = (64, 152, 239, 327, 414, 502, 546, 572, 594, 616, 638, 660, 682, 704, 726, 747, 765, 809,
         852, 896, 940)  # fmt: skip
"""As in the shipped tone curve: 0 to 100 % of PQ, finest from 58 to 78 %."""


def asked(code):
    """cd/m2 that PQ asks for."""
    return float(CURVE.decode(np.full(3, signal_of_code(code, PQ)))[0])


class Meter:
    """A meter as `METER` promises it: a gain of its own, and scatter."""

    def __init__(self, seed):
        self.random = np.random.default_rng(seed)
        self.gain = 1 + METER.luminance_relative_uncertainty / 2 * self.random.standard_normal()

    def light(self, truth):
        scatter = 1 + METER.luminance_repeatability / 2 * self.random.standard_normal()
        dark = METER.luminance_noise / 2 * self.random.standard_normal()
        return max(round(truth * self.gain * scatter + dark, 4), 0.0)


def ladder(light, seed, **changes):
    """The tone curve of a display, as one meter reads it."""
    meter = Meter(seed)
    return [
        grey(n, code, meter.light(light(asked(code))), signal=PQ, **changes)
        for n, code in enumerate(CODES, 1)
    ]


def clipping(peak):
    return lambda light: min(light, peak)


def sinking(peak, share):
    """It clips, and from 3,000 cd/m2 on it is darker by a share."""
    return lambda light: min(light, peak) * (1 - share * (light > 3000))


def goes_down(readings):
    return any("Grey goes down" in said(each) for each in found("plausibility", readings))


def falls_wrongly(visits):
    return sum(goes_down(ladder(clipping(500 + 3 * seed), seed)) for seed in visits)


def falls_missed(visits, share):
    return sum(not goes_down(ladder(sinking(500 + 3 * seed, share), seed)) for seed in visits)


def test_greys_of_a_display_that_clips_do_not_go_down_by_chance():
    assert falls_wrongly(range(40)) == 0


def test_greys_that_go_down_by_2_percent_are_found():
    assert falls_missed(range(40), 0.02) <= 2


def test_a_fall_is_told_with_the_means_of_what_was_read():
    readings = [
        *(made_grey(n, 800, light) for n, light in ((1, 910.0), (2, 920.0), (3, 930.0))),
        *(made_grey(n, 900, light) for n, light in ((4, 850.0), (5, 860.0), (6, 870.0))),
    ]
    (finding,) = found("plausibility", readings)
    assert "860 after 920 cd/m2" in said(finding)


def made_grey(number, code, light):
    return grey(number, code, light, signal=PQ)


def test_a_slow_fall_over_several_steps_is_told_once_from_its_top_to_its_end():
    lights = {740: 900.0, 760: 897.0, 800: 894.0, 850: 891.0, 900: 888.0, 940: 885.0}
    readings = [grey(n, code, light, signal=PQ) for n, (code, light) in enumerate(lights.items())]
    (finding,) = found("plausibility", readings)
    assert len(finding.warnings) == 1
    assert "885 after 900 cd/m2" in said(finding)


def test_without_a_meter_a_fall_of_its_last_digits_is_none():
    plain = {"instrument": None, "instrument_name": None, "specification": None}
    near = [
        grey(n, code, light, signal=PQ, raw=f"{light}", **plain)
        for n, (code, light) in enumerate([(100, 0.02), (110, 0.018), (120, 0.03)], 1)
    ]
    assert not goes_down(near)
    far = [
        grey(n, code, light, signal=PQ, raw=f"{light}", **plain)
        for n, (code, light) in enumerate([(500, 90.0), (600, 80.0), (700, 300.0)], 1)
    ]
    assert goes_down(far)


def gamut(seed, white=1.0, tint=0.0):
    """Primaries, white and black of P3, white brighter or dimmer than they make, or turned."""
    meter = Meter(seed)
    matrix = PRIMARIES["p3-d65"].matrix
    shift = METER.chromaticity_uncertainty / 2 * meter.random.standard_normal(2)

    def patch(number, role, rgb, factor=1.0, turn=0.0):
        xyz = 300 * factor * matrix @ np.array(rgb, float) + 0.02 * matrix.sum(1)
        own = METER.chromaticity_repeatability / 2 * meter.random.standard_normal(2)
        x, y = xyz[:2] / xyz.sum() + shift + own + (turn, 0.0)
        codes = tuple(940 if each else 64 for each in rgb)
        return made(
            number,
            role=role,
            kind="patch",
            quantity="colour",
            inks={"colour": codes, "background": (64,) * 3},
            facts={"area_percent": 10.0},
            luminance=meter.light(float(xyz[1])),
            x=float(x),
            y=float(y),
        )

    return [
        patch(1, "white", (1, 1, 1), white, tint),
        made(2, role="black", inks={"level": (64,) * 3}, luminance=meter.light(0.02)),
        patch(3, "red", (1, 0, 0)),
        patch(4, "green", (0, 1, 0)),
        patch(5, "blue", (0, 0, 1)),
    ]


def not_additive(readings):
    return any("is not additive" in said(each) for each in found("gamut", readings))


def test_a_display_that_adds_up_is_not_called_otherwise_by_chance():
    assert sum(not_additive(gamut(seed)) for seed in range(30)) == 0


@pytest.mark.parametrize(("white", "tint"), [(1.03, 0.0), (0.97, 0.0), (1.0, 0.03)])
def test_a_white_that_its_colours_do_not_make_is_found(white, tint):
    assert sum(not not_additive(gamut(seed, white, tint)) for seed in range(20)) <= 1


@pytest.mark.campaign
def test_of_200_visits_to_displays_that_are_right_at_most_1_percent_raise_each_alarm():
    assert falls_wrongly(range(200)) <= 2
    assert sum(not_additive(gamut(seed)) for seed in range(200)) <= 2


@pytest.mark.campaign
@pytest.mark.parametrize(("white", "tint"), [(1.03, 0.0), (0.97, 0.0), (1.0, 0.03)])
def test_of_200_visits_to_displays_with_a_fault_at_least_95_percent_find_it(white, tint):
    assert falls_missed(range(200), 0.02) <= 10
    assert sum(not not_additive(gamut(seed, white, tint)) for seed in range(200)) <= 10
