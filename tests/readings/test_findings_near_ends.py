"""Near black and near white: told apart by eye and by meter, and against the target."""

import pytest

from patterns.signal.transfer.bt1886 import light_between
from readings.report.summary import summary
from tests.readings.grey_readings import SDR, counted, grey, greys, power
from tests.readings.made_readings import only, said
from tests.readings.report_samples import contents

FULL = SDR | {"bits": 8, "range": "full"}
DARK = (0, 1, 2, 3, 4, 5, 6, 8, 10, 16, 24)
BRIGHT = (231, 235, 239, 243, 246, 249, 252, 254, 255)
PATCHES = [(n, n, n) for n in range(1, 21)]
DIMMER = [(255 - n,) * 3 for n in range(1, 21)]


def bounds(finding, *names):
    found = [finding.value(name) for name in names]
    return [None if each is None else (each.where["codes"][0], each.bound) for each in found]


def dark(light, **changes):
    given = {"role": "near-black", "kind": "field", "facts": {}, "signal": FULL}
    white = grey(90, 255, light(1.0), signal=FULL, role="white")
    return [*greys(light, DARK, **(given | changes)), white]


def bright(light):
    return greys(light, BRIGHT, signal=FULL, role="near-white")


def by_eye(count, role="near-black-patches", patches=None):
    return counted(60, role, count, patches or PATCHES, signal=FULL)


def test_the_lowest_patch_told_from_black_is_a_bound_and_so_is_the_one_before_it():
    found = only("near-black", [by_eye(5)])
    told = bounds(found, "near-black-told-apart", "near-black-not-told-apart")
    assert told == [(5, "upper"), (4, "lower")]
    assert found.values[0].written() == "at most 1.97 %"  # 5 / 255, and not less
    assert found.values[1].written() == "at least 1.56 %"


def test_all_told_from_black_and_none():
    assert bounds(only("near-black", [by_eye(1)]), "near-black-told-apart",
                  "near-black-not-told-apart") == [(1, "upper"), None]  # fmt: skip
    assert bounds(only("near-black", [by_eye(0)]), "near-black-told-apart",
                  "near-black-not-told-apart") == [None, (20, "lower")]  # fmt: skip


@pytest.mark.parametrize("count", [21, -1, 2.5])
def test_a_count_of_more_patches_than_there_are_does_not_count(count):
    found = only("near-black", [by_eye(count)])
    assert found.values == ()
    assert "is no count of its 20 patches" in said(found)


def test_who_could_not_tell_is_not_guessed_for():
    found = only("near-black", [by_eye(None)])
    assert found.values == ()
    assert "could not be told" in said(found)


def test_near_white_counts_down_from_white():
    found = only("near-white", [by_eye(3, "near-white-patches", DIMMER)])
    told = bounds(found, "near-white-told-apart", "near-white-not-told-apart")
    assert told == [(252, "lower"), (253, "upper")]


def test_a_display_that_keeps_to_bt1886_is_on_target_near_black():
    found = only("near-black", dark(lambda signal: float(light_between(signal, 100.0, 0.05))))
    assert found.value("near-black-error-size").value == pytest.approx(0, abs=1e-6)
    assert found.value("near-black-error").uncertainty > 0
    assert len(found.series[0].rows) == 11


def test_crushed_blacks_are_seen_by_meter_and_are_too_dark():
    def crushed(signal):
        return float(light_between(max(signal - 4 / 255, 0.0), 100.0, 0.05))

    found = only("near-black", dark(crushed))
    assert bounds(found, "near-black-by-meter") == [(5, "upper")]
    assert found.value("near-black-error").value < -20
    assert found.value("near-black-error").value + found.value("near-black-error").uncertainty < 0


def test_a_black_within_the_noise_of_all_greys_tells_none_apart():
    found = only("near-black", dark(lambda signal: 0.05 if signal < 0.5 else 100.0))
    assert found.value("near-black-by-meter") is None
    assert "none of these greys stands clear of black" in said(found)


def test_without_a_white_near_black_has_no_target_and_says_so():
    readings = dark(lambda signal: float(light_between(signal, 100.0, 0.05)))[:-1]
    found = only("near-black", readings)
    assert "No 100 % white was read" in said(found)
    assert found.value("near-black-error") is None
    assert bounds(found, "near-black-by-meter") == [(1, "upper")]


def test_clipped_whites_are_seen_by_meter_and_are_too_bright():
    found = only("near-white", bright(lambda signal: power(2.4)(min(signal * 1.03, 1.0))))
    assert bounds(found, "near-white-by-meter") == [(246, "lower")]
    assert found.value("near-white-error").value > 2
    assert "black" not in said(found)


def test_whites_that_go_up_to_the_end_are_clear_up_to_the_last_code_that_the_meter_can_tell():
    found = only("near-white", bright(power(2.4)))
    assert bounds(found, "near-white-by-meter")[0][0] >= 249
    assert found.value("near-white-error-size").value == pytest.approx(0, abs=1e-9)


def clipped_at(code, knee=1.0):
    """A power of 2.4 whose codes from `code` on are all white; `knee` bends it before."""

    def light(signal):
        share = min(signal * 255 / code, 1.0)
        return 200.0 * (1 - (1 - share**2.4) ** knee)

    return light


@pytest.mark.parametrize(("code", "told"), [(232, [(235, "upper"), (231, "lower")]),
                                            (240, [(243, "upper"), (235, "lower")]),
                                            (246, [(249, "upper"), (243, "lower")])])  # fmt: skip
def test_whites_that_are_clipped_are_named_by_their_codes_and_on_the_front_page(code, told):
    found = only("near-white", bright(clipped_at(code)))
    assert bounds(found, "clipped-from", "clipped-above") == told
    (bad,) = summary(contents([found])).of("bad")
    assert bad.sentence == "Whites are clipped: bright steps are shown as white"
    assert bad.figures[0].what == f"Clipped: shown as white from code {told[0][0]}"


@pytest.mark.parametrize("light", [clipped_at(255), clipped_at(255, 1.3), power(1.8), power(2.8),
                                   power(2.4, 100.0, 0.5)])  # fmt: skip
def test_whites_of_a_display_that_shows_them_are_not_clipped(light):
    found = only("near-white", bright(light))
    assert bounds(found, "clipped-from", "clipped-above") == [None, None]
    assert found.judgement is None


def test_without_a_meter_no_white_is_called_clipped():
    plain = {"instrument": None, "instrument_name": None, "specification": None}
    readings = greys(clipped_at(240), BRIGHT, signal=FULL, role="near-white", **plain)
    assert only("near-white", readings).judgement is None
    assert only("near-white", bright(clipped_at(240))).judgement is not None
