"""Crushed blacks: a reading at the meter's floor where light is asked for is evidence, no gap."""

import numpy as np
import pytest

from patterns.signal.signal import signal_from_parts
from patterns.signal.transfer.bt1886 import light_between
from readings.findings import findings_from
from readings.report.summary import summary
from tests.readings.grey_readings import SDR, grey, greys, signal_of_code
from tests.readings.made_readings import METER, PQ, checked, found, only, said
from tests.readings.report_samples import contents

CURVE = signal_from_parts(PQ).transfer
DARK = (64, 77, 83, 90, 104, 119, 137, 167, 195, 229, 281)
"""0, then 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2 and 5 cd/m2 of PQ, 10 bits."""
FULL = SDR | {"bits": 8, "range": "full"}
SPREAD = METER.luminance_repeatability / 2, METER.luminance_noise / 2


def asked(signal):
    """cd/m2 that PQ asks for."""
    return float(CURVE.decode(np.full(3, signal))[0])


def crushing(from_light, black=0.0):
    """A display that shows nothing of what is asked for below that, and all of what is above."""
    return lambda signal: black + (asked(signal) if asked(signal) >= from_light else 0.0)


def read(light, seed=0, codes=DARK, signal=PQ, **changes):
    """As a meter of `METER` reads it: scatter, noise in the dark, and no colour at its floor."""
    errors = np.random.default_rng(seed)

    def one(n, code):
        truth = light(signal_of_code(code, signal))
        seen = truth * (1 + SPREAD[0] * errors.standard_normal())
        seen = round(max(seen + SPREAD[1] * errors.standard_normal(), 0.0), 4)
        xy = (0.3127, 0.3290) if seen > METER.luminance_floor else None
        return grey(n, code, seen, xy, signal=signal, **changes)

    return [one(n, code) for n, code in enumerate(codes, 1)]


def codes(finding):
    named = [finding.value(name) for name in ("crushed-up-to", "crushed-below")]
    return [None if each is None else each.where["codes"][0] for each in named]


def near_black(light, seed=0, **changes):
    return read(light, seed, role="near-black", kind="field", facts={}, **changes)


@pytest.mark.parametrize(("name", "make"), [("near-black", near_black), ("greyscale", read),
                                            ("tone", read)])  # fmt: skip
def test_the_codes_that_are_shown_as_black_are_named_and_the_next_one(name, make):
    found = only(name, make(crushing(0.15)))
    assert codes(found) == [119, 137]
    first = found.values[0]
    assert first.label == "Crushed: shown as black up to code 119"
    assert first.bound == "lower"
    assert first.value == pytest.approx(asked(signal_of_code(119, PQ)), rel=0.01)
    checked(make(crushing(0.15)), [name])


def test_the_front_page_says_crushed_and_from_which_code_on():
    readings = near_black(crushing(0.15))
    told = summary(contents(findings_from(readings, ["near-black"]))).of("bad")
    (said,) = told
    assert said.sentence == "Blacks are crushed: dark steps are shown as black"
    assert [(figure.text, figure.what) for figure in said.figures] == [
        ("at least 0.101 cd/m²", "Crushed: shown as black up to code 119")
    ]


def test_a_grey_at_the_floor_counts_in_the_averages_by_what_it_is_at_most():
    # codes 90 to 119 ask for 0.02 to 0.1 cd/m2 and have at most 0.002: 90 to 98 % too dark
    found = only("near-black", near_black(crushing(0.15)))
    error = found.value("near-black-error-size")
    counted = [number for number in found.series[0].column("luminance") if number.bound != "upper"]
    assert error.count == len(counted) + 5  # 0.005 cd/m2 too is more than twice the floor
    truth = 100 * 5 / error.count
    low, high = error.interval
    assert low <= truth <= high
    assert (high - low) / 2 < 15
    grey_scale = only("greyscale", read(crushing(0.15)))
    largest = grey_scale.value("eotf-error-largest")
    assert largest.value + largest.uncertainty < -95
    assert grey_scale.value("delta-e-itp-average").value > 10
    row = grey_scale.series[0].rows[5]
    assert row.where["codes"][0] == 119
    off = grey_scale.series[0].column("eotf-error")[5]
    assert (off.bound, off.value) == ("upper", pytest.approx(-98, abs=0.1))


def test_the_front_page_calls_the_light_of_such_greys_bad():
    told = summary(contents(findings_from(read(crushing(0.15)), ["greyscale"])))
    bad = {each.sentence for each in told.of("bad")}
    assert "Some grey is far brighter or darker than the curve wants it" in bad
    assert "Greys are on average not as bright as the curve wants them" in bad


def test_blacks_are_crushed_too_where_black_itself_is_raised():
    found = only("near-black", near_black(crushing(0.15, black=0.04)))
    assert codes(found) == [119, 137]


def test_in_sdr_the_target_between_black_and_white_tells_it():
    def light(signal):
        lit = float(light_between(signal, 100.0, 0.0))
        return lit if signal > 12 / 255 else 0.0

    steps = (0, *range(1, 11), 12, 16, 20, 24, 255)
    found = only("near-black", near_black(light, codes=steps, signal=FULL))
    assert codes(found) == [12, 16]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("make", [near_black, read])
def test_readings_at_the_floor_of_crushed_blacks_are_not_called_implausible_too(make, seed):
    readings = make(crushing(0.15), seed)
    assert [each.luminance <= METER.luminance_floor for each in readings][:7] == 6 * [True] + [
        False
    ]
    assert found("plausibility", readings) == []


def test_crushed_codes_at_the_floor_that_all_read_alike_are_no_stuck_meter():
    # crushed up to a grey of 27 %: each of these codes reads 0.001 cd/m2
    steps = (64, 104, 167, 229, 300, 390, 502)
    lights = [0.001 if code < 310 else asked(signal_of_code(code, PQ)) for code in steps]
    pairs = enumerate(zip(steps, lights, strict=True), 1)
    alike = [grey(n, code, light, None, signal=PQ) for n, (code, light) in pairs]
    assert codes(only("greyscale", alike)) == [300, 390]
    assert found("plausibility", alike) == []


def test_a_reading_at_the_floor_above_the_crushed_codes_is_hardly_plausible():
    readings = near_black(crushing(0.15))
    covered = grey(50, 229, 0.001, None, signal=PQ, role="window")
    doubted = only("plausibility", [*readings, covered])
    assert "Reading 50 (Code 229) is no brighter than the meter is specified for" in said(doubted)
    assert doubted.readings == (50,)


def test_what_the_meter_could_not_have_seen_is_no_crush():
    # 0.004 cd/m2 with a floor of 0.002, and darker codes below it
    found = only("near-black", near_black(crushing(0.0)))
    assert codes(found) == [None, None]
    assert found.judgement is None
    dim = only("near-black", near_black(lambda signal: 0.3 * asked(signal)))
    assert codes(dim) == [None, None]


def test_a_screen_that_is_off_has_no_crushed_blacks():
    steps = (64, 104, 119, 502, 677, 940)
    assert codes(only("greyscale", read(lambda _: 0.0, codes=steps))) == [None, None]


def test_without_a_meter_nothing_is_called_crushed():
    plain = {"instrument": None, "instrument_name": None, "specification": None}
    found = only("near-black", greys(crushing(0.15), DARK, signal=PQ, role="near-black", **plain))
    assert codes(found) == [None, None]


def bt1886(black):
    return lambda signal: float(light_between(signal, 100.0, black))


RIGHT = {
    "exact": asked,
    "a black of 0.05": lambda signal: max(asked(signal), 0.05),
    "light added to black": lambda signal: asked(signal) + 0.02,
    "ten percent dim": lambda signal: 0.9 * asked(signal),
}


SDR_STEPS = (0, *range(1, 11), 12, 16, 20, 24, 255)


def alarms(visits):
    """Of visits before displays that are right, in how many something is called crushed."""
    found = 0
    for seed in visits:
        pq = [near_black(light, seed) for light in RIGHT.values()]
        sdr = [near_black(bt1886(black), seed, codes=SDR_STEPS, signal=FULL)
               for black in (0.0, 0.003, 0.05)]  # fmt: skip
        found += sum(codes(only("near-black", each)) != [None, None] for each in pq + sdr)
    return found


def missed(visits):
    """Of visits before displays that crush, in how many another code than theirs is named."""
    found = 0
    for light in (0.02, 0.05, 0.1, 0.5):
        wanted = max(code for code in DARK if asked(signal_of_code(code, PQ)) < 1.05 * light)
        crushed = [near_black(crushing(1.05 * light), seed) for seed in visits]
        found += sum(codes(only("near-black", each))[0] != wanted for each in crushed)
    return found


def test_no_display_that_is_right_is_called_crushed_in_twelve_visits():
    assert alarms(range(12)) == 0


def test_each_crush_is_found_up_to_its_code_in_twelve_visits():
    assert missed(range(12)) <= 1


@pytest.mark.campaign
def test_of_1400_visits_to_displays_that_are_right_at_most_1_percent_find_crushed_blacks():
    assert alarms(range(200)) <= 14


@pytest.mark.campaign
def test_of_800_visits_to_displays_that_crush_at_least_95_percent_find_the_code():
    assert missed(range(200)) <= 40
