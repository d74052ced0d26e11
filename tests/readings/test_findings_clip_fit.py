"""Where a display clips: hard or after a bend, by meter and by eye, on displays of all kinds."""

from itertools import pairwise

import numpy as np
import pytest

from patterns.signal.signal import signal_from_parts
from readings.findings import findings_from
from tests.readings.grey_readings import SDR, counted, signal_of_code
from tests.readings.made_readings import HLG, PQ, checked, only, said
from tests.readings.test_findings_by_chance import CODES, Meter, asked, grey, ladder

SEEN = 0.01
"""Step of luminance that an eye sees."""


def hard(clip, level=1.0):
    return lambda light: level * min(light, clip)


def bent(knee, clip, slope):
    """Straight in logarithms from the knee to the clip, and hard there."""
    return lambda light: light if light < knee else knee * (min(light, clip) / knee) ** slope


def exponential(knee, peak):
    rest = peak - knee
    return lambda light: light if light < knee else peak - rest * np.exp(-(light - knee) / rest)


def reaches(light, share=0.01):
    """cd/m2 asked for from which on no more than that share of the peak is missing."""
    levels = np.geomspace(50, 10_000, 20_000)
    lit = np.array([light(level) for level in levels])
    return float(levels[np.argmax(lit >= (1 - share) * lit[-1])])


def displays(count):
    """Displays that clip, each with the truth."""
    random = np.random.default_rng(5)
    for _ in range(count):
        clip, level = random.uniform(400, 2500), random.uniform(0.85, 1.05)
        yield "hard", hard(clip, level), clip
        knee = random.uniform(250, 800)
        light = bent(knee, knee * random.uniform(1.3, 2.5), random.uniform(0.3, 0.8))
        yield "bent", light, reaches(light)
        knee = random.uniform(200, 600)
        light = exponential(knee, knee * random.uniform(1.5, 2.5))
        yield "exponential", light, reaches(light)


def by_meter(light, seed):
    """What the tone finding says of a display: from, to, and of a hard clip."""
    finding = only("tone", ladder(light, seed))
    return [finding.value(name) for name in ("clips-above", "clips-below", "clip-level")]


def shares(count):
    """By kind of display: of so many, how many were found, lie inside, and inside a hard fit."""
    tally = {}
    for seed, (kind, light, truth) in enumerate(displays(count)):
        low, high, level = by_meter(light, seed)
        found = low is not None
        inside = found and low.value <= truth <= high.value
        close = level is not None and abs(level.value - truth) <= level.uncertainty
        tally[kind] = tally.get(kind, 0) + np.array([found, inside, close], int)
    return tally


def test_a_hard_clip_is_found_wherever_it_lies_and_its_level_told():
    tally = shares(20)
    assert tally["hard"].min() >= 19
    for kind in ("hard", "bent", "exponential"):
        found, inside, _ = tally[kind]
        assert found >= 19
        assert inside >= 0.9 * found


@pytest.mark.parametrize("clip", [649, 701, 768, 820])
def test_a_clip_between_two_greys_lies_between_what_is_stated(clip):
    for seed in range(15):
        low, high, level = by_meter(hard(clip), seed)
        assert low.value <= clip <= high.value < 1.3 * clip
        assert level.value == pytest.approx(clip, rel=0.015)


def rises(light, seed):
    return by_meter(light, seed)[0] is not None


RISING = {
    "exact": lambda light: light,
    "bent at the end": lambda light: light if light < 800 else 800 * (light / 800) ** 0.5,
    "bent softly": lambda light: light / (1 + light / 5000),
}


def clips_wrongly(visits):
    return sum(rises(light, seed) for seed in visits for light in RISING.values())


def test_a_display_that_rises_to_the_end_does_not_clip():
    assert clips_wrongly(range(15)) == 0


def test_in_hlg_a_clip_is_told_in_percent_with_its_uncertainty():
    curve = signal_from_parts(HLG | {"peak": 600}).transfer
    meter = Meter(1)
    readings = []
    for n, code in enumerate([*range(64, 941, 44), 940], 1):
        signal = min(signal_of_code(code), 0.805)
        light = float(curve.decode(np.full(3, signal))[0])
        readings.append(grey(n, code, meter.light(light), signal=HLG))
    (finding,) = checked(readings, ["tone"])
    low, high = (finding.value(f"clips-{side}") for side in ("above", "below"))
    assert (low.unit, high.unit) == ("%", "%")
    assert 74 < low.value <= 80.5 <= high.value < 86


def count_of(light, levels):
    """The last patch of a ladder that an eye sees stand out from its square."""
    lit = [light(level) for level in levels]
    steps = [upper / lower - 1 >= SEEN for lower, upper in pairwise(lit)]
    return steps.index(False) if False in steps else len(steps)


def by_eye(light, number=200, **changes):
    codes = range(600, 840, 16)
    square = asked(codes[0] - 16)
    seen = count_of(light, [square, *(asked(code) for code in codes)])
    patches = [(code,) * 3 for code in codes]
    given = {"signal": PQ, "kind": "highlights", "condition": "after"}
    return counted(number, "highlights", seen, patches, **(given | changes))


def both(light, seed, eye=None):
    readings = [*ladder(light, seed), by_eye(eye or light, run=2)]
    (finding,) = findings_from(readings, ["clipping"])
    return finding


def test_eye_and_meter_that_agree_say_so_and_bound_it_closer_together():
    for seed, clip in enumerate((449, 560, 701, 768, 901)):
        found = both(hard(clip), seed)
        low, high = (found.value(f"agreed-clip-{side}") for side in ("above", "below"))
        assert "which agree" in low.label
        assert low.value <= clip <= high.value
        meter = [found.value(f"clips-{side}").value for side in ("above", "below")]
        assert meter[0] <= low.value < high.value <= meter[1]
        assert "do not agree" not in said(found)


@pytest.mark.parametrize(
    ("by_eye_at", "why"),
    [
        (1400, "above where the meter sees no more rise"),
        (380, "where the meter sees the display still rise"),
    ],
)
def test_eye_and_meter_that_do_not_agree_say_so(by_eye_at, why):
    found = both(hard(700), 3, hard(by_eye_at))
    assert "Eye and meter do not agree" in said(found)
    assert why in said(found)
    assert found.value("agreed-clip-above") is None


def test_a_meter_that_scatters_more_than_promised_gives_a_wider_interval_and_not_a_wrong_one():
    inside = 0
    for seed in range(20):
        wobble = np.random.default_rng(seed)
        meter = Meter(seed)
        readings = []
        for n, code in enumerate(CODES, 1):
            light = min(asked(code), 700) * (1 + 0.008 * wobble.standard_normal())
            readings.append(grey(n, code, meter.light(light), signal=PQ))
        finding = only("tone", readings)
        low, high = finding.value("clips-above"), finding.value("clips-below")
        inside += low is None or low.value <= 700 <= high.value
    assert inside >= 17


def test_too_few_greys_have_no_clip():
    readings = [grey(n, code, 100.0, signal=PQ) for n, code in enumerate((600, 700, 800), 1)]
    assert only("tone", readings).value("clips-below") is None


def test_in_sdr_the_meters_clip_beside_a_ladder_is_in_percent():
    meter = Meter(2)
    greys = [
        grey(n, code, meter.light(100 * min(signal_of_code(code) * 1.1, 1.0) ** 2.4), signal=SDR)
        for n, code in enumerate([*range(64, 941, 40), 940], 1)
    ]
    look = counted(90, "highlights", 5, [(code,) * 3 for code in range(780, 941, 20)], signal=SDR,
                   kind="highlights")  # fmt: skip
    (finding,) = findings_from([*greys, look], ["clipping"])
    low, high = (finding.value(f"clips-{side}").value for side in ("above", "below"))
    assert low <= 100 / 1.1 <= high


@pytest.mark.campaign
def test_of_600_displays_95_percent_clip_where_it_is_stated():
    for kind, (found, inside, close) in shares(200).items():
        assert found >= 190, kind
        assert inside >= 0.95 * found, kind
        assert kind != "hard" or close >= 190


@pytest.mark.campaign
def test_of_600_visits_to_displays_that_rise_at_most_1_percent_find_a_clip():
    assert clips_wrongly(range(200)) <= 6
