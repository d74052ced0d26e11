"""Greyscale: targets from codes, differences from D65, balance, gamma, and what is left out."""

from dataclasses import replace

import numpy as np
import pytest

from patterns.signal.signal import signal_from_parts
from patterns.signal.transfer.bt1886 import light_between
from readings.colorimetry.chromaticity import xy_of
from readings.colorimetry.difference import delta_e_2000, delta_e_itp
from readings.findings import findings_from
from readings.report.summary import limits, verdict_of
from readings.visit.records import Specification
from tests.readings.grey_readings import D65, STEPS, grey, greys, power
from tests.readings.made_readings import HLG, METER, PQ, said


def only(readings):
    (finding,) = findings_from(readings, ["greyscale"])
    return finding


def column(finding, name):
    return [number.value for number in finding.series[0].column(name)]


def exact(signal):
    """Light of a display that keeps to BT.1886 between 100 and 0.1 cd/m2."""
    return float(light_between(signal, 100.0, 0.1))


def test_a_display_that_keeps_to_bt1886_in_d65_has_no_error_at_all():
    found = only(greys(exact))
    for name in ("delta-e-2000-average", "delta-e-itp-largest", "eotf-error-average"):
        assert found.value(name).value == pytest.approx(0, abs=1e-6)
        low, high = found.value(name).interval
        assert low == 0
        assert high > 0.01
    assert found.warnings == ()
    assert column(found, "target-luminance") == pytest.approx(column(found, "luminance"))
    for name in ("red", "green", "blue"):
        assert column(found, name) == pytest.approx([100.0] * 11)
    assert column(found, "duv") == pytest.approx([0.003207] * 11, abs=1e-6)
    assert column(found, "cct") == pytest.approx([6504.31] * 11, abs=0.01)
    assert found.readings == tuple(range(1, 12))


def test_gamma_is_that_of_a_power_law_above_black():
    found = only(greys(power(2.28, white=120.0, black=0.3)))
    gamma = found.value("gamma-average")
    assert gamma.value == pytest.approx(2.28, abs=1e-9)
    assert 0.001 < gamma.uncertainty < 0.05
    assert column(found, "gamma")[0] is None
    assert column(found, "gamma")[-1] is None
    assert column(found, "gamma")[1:-1] == pytest.approx([2.28] * 9)
    assert "average of 9" in found.value("gamma-average").label


@pytest.mark.parametrize(
    ("bits", "range_", "codes"),
    [
        (8, "full", (0, 26, 51, 77, 102, 128, 153, 179, 204, 230, 255)),
        (8, "narrow", (16, 38, 60, 82, 104, 126, 147, 169, 191, 213, 235)),
        (10, "full", (0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023)),
    ],
)
def test_nine_steps_are_from_10_to_90_percent_whatever_their_codes_round_to(bits, range_, codes):
    """10 % of 8 bits is code 26, and so 10.196 %, and 90 % is 230, and so 90.196 %."""
    signal = {"transfer": "bt1886", "primaries": "bt709", "bits": bits, "range": range_}
    found = only(greys(power(2.28, white=120.0, black=0.3), codes, signal=signal))
    assert found.value("gamma-average").count == 9
    # one code further out is another level
    beyond = (*codes[:9], codes[9] + 1, codes[10])
    found = only(greys(power(2.28, white=120.0, black=0.3), beyond, signal=signal))
    assert found.value("gamma-average").count == 8


def test_the_gamma_of_the_target_stands_beside_it():
    # BT.1886 with a raised black is less steep than 2.4 by this arithmetic
    found = only(greys(exact))
    assert found.value("gamma-target").value == pytest.approx(
        found.value("gamma-average").value, abs=1e-9
    )
    assert found.value("gamma-target").value == pytest.approx(2.1, abs=0.1)


def test_differences_with_the_light_in_them_and_of_chromaticity_alone():
    tinted = (0.3050, 0.3200)
    codes = (64, 502, 940)
    found = only(greys(lambda signal: 0.8 * exact(signal) if 0 < signal < 1 else exact(signal),
                       codes, tinted))  # fmt: skip
    light = 0.8 * exact(0.5)
    x, y = tinted
    seen = np.array([x / y * light, light, (1 - x - y) / y * light])
    white = np.array([D65[0] / D65[1], 1, (1 - sum(D65)) / D65[1]])
    total = delta_e_2000(seen, exact(0.5) * white, 100 * white)
    alone = delta_e_2000(seen, light * white, 100 * white)
    assert column(found, "delta-e-2000")[1] == pytest.approx(float(total))
    assert column(found, "delta-e-2000-chromaticity")[1] == pytest.approx(float(alone))
    assert column(found, "delta-e-itp")[1] == pytest.approx(
        float(delta_e_itp(seen, exact(0.5) * white))
    )
    assert column(found, "delta-e-itp-chromaticity")[1] == pytest.approx(
        float(delta_e_itp(seen, light * white))
    )
    assert total > alone + 1
    assert column(found, "eotf-error")[1] == pytest.approx(-20)


def test_the_balance_is_in_percent_of_a_d65_grey_of_the_same_luminance():
    xyz = signal_from_parts(grey(1, 502, 1).signal).primaries.matrix @ np.array([1.1, 1.0, 0.9])
    found = only(greys(exact, (64, 502, 940), tuple(xy_of(xyz))))
    level = xyz[1]
    row = [column(found, name)[1] for name in ("red", "green", "blue")]
    assert row == pytest.approx([110 / level, 100 / level, 90 / level])
    assert found.value("balance-largest").where["channel"] == "blue"


def test_averages_leave_black_out():
    readings = greys(exact)
    readings[0] = grey(1, 64, exact(0.0), (0.25, 0.25))
    assert only(readings).value("delta-e-2000-chromaticity-average").value < 1e-6
    assert "average of 10" in only(readings).value("delta-e-2000-average").label


def test_pq_is_absolute_and_levels_above_the_display_do_not_count():
    signal = signal_from_parts(PQ)

    def light(value):
        return min(float(signal.transfer.decode(np.full(3, value))[0]), 600.0)

    found = only(greys(light, signal=PQ))
    assert found.values[0].name == "delta-e-itp-average"
    assert found.value("delta-e-itp-average").value < 1e-6
    assert "average of 6" in found.value("delta-e-itp-average").label  # 10 to 60 %
    assert found.value("gamma-average") is None
    assert found.value("delta-e-2000-average") is None
    assert column(found, "target-luminance")[-1] == pytest.approx(10_000)
    assert column(found, "eotf-error")[-1] == pytest.approx(-94)
    # an absolute target takes the meter's whole error
    assert found.value("eotf-error-average").interval == (0, pytest.approx(4, rel=0.2))


def test_hlg_takes_the_measured_white_as_its_peak():
    found = only(greys(lambda signal: 400.0 * signal, signal=HLG))
    assert column(found, "target-luminance")[-1] == pytest.approx(400)
    # 75 % of a display of 400 cd/m2 is 101 cd/m2, and 50 % below that
    assert 20 < column(found, "target-luminance")[5] < 60


def test_without_a_white_there_is_no_target_but_the_colour_is_judged_all_the_same():
    found = only(greys(exact, STEPS[:6], (0.30, 0.32)))
    assert "No 100 % white was read" in said(found)
    assert column(found, "target-luminance") == [None] * 6
    assert found.value("delta-e-2000-average") is None
    assert found.value("delta-e-itp-average") is None
    assert found.value("delta-e-itp-chromaticity-average").value > 3
    assert found.value("gamma-average") is None


def test_a_white_of_another_run_serves_and_is_named():
    other = [replace(reading, run=2, reading=50 + n)
             for n, reading in enumerate(greys(exact, (64, 940)))]  # fmt: skip
    found = [f for f in findings_from([*greys(exact, STEPS[1:6]), *other], ["greyscale"])
             if f.run == 1]  # fmt: skip
    assert "white in a window of 10 % of run 2" in said(found[0])
    assert found[0].value("eotf-error-average").value == pytest.approx(0, abs=1e-6)
    assert 51 in found[0].readings


def test_black_not_read_is_taken_as_none_and_said():
    found = only(greys(power(2.4), STEPS[1:]))
    assert "No 0 % black was read" in said(found)
    assert found.value("gamma-average").value == pytest.approx(2.4, abs=1e-9)


def test_white_below_black_judges_nothing():
    found = only(greys(lambda signal: 100.0 * (1.1 - signal)))
    assert "were they swapped?" in said(found)
    assert column(found, "target-luminance") == [None] * 11


def test_white_hardly_above_black_is_doubted():
    alike = "hardly brighter than black"
    assert alike in said(only(greys(power(2.4, white=1.09, black=1.0))))
    assert alike not in said(only(greys(power(2.4, white=1.2, black=1.0))))


def test_swapped_numbers_are_no_colour_and_are_named():
    readings = greys(exact)
    readings[5] = grey(6, 502, 0.3127, (0.3290, 21.6))
    found = only(readings)
    assert "x 0.329, y 21.6, which no light has" in said(found)
    assert column(found, "cct")[5] is None
    assert column(found, "cct")[4] is not None


def test_luminance_alone_has_no_colour_but_a_curve():
    found = only(greys(exact, xy=None))
    assert "No colour was read" in said(found)
    assert found.value("delta-e-itp-average") is None
    assert found.value("eotf-error-average").value == pytest.approx(0, abs=1e-6)


def test_a_meter_of_which_nothing_is_known_has_no_uncertainty_but_its_values():
    found = only(greys(exact, specification=Specification()))
    assert "not known" in said(found)
    assert {value.uncertainty for value in found.values} == {None}
    assert found.value("gamma-average").value == pytest.approx(2.1, abs=0.1)


def test_a_black_at_the_meters_floor_is_a_bound_and_is_said():
    found = only(greys(power(2.4, black=0.001)))
    assert "at or below the lowest luminance" in said(found)
    first = found.series[0].rows[0].numbers[1]
    assert (first.value, first.bound) == (pytest.approx(0.002), "upper")
    assert column(found, "cct")[0] is None


def test_greys_of_two_areas_are_two_findings_and_those_at_a_mean_a_third():
    readings = greys(exact)
    full = greys(exact, start=20, kind="field", facts={})
    mean = greys(exact, start=40, role="grey-at-mean")
    titles = [f.title for f in findings_from([*readings, *full, *mean], ["greyscale"])]
    assert titles == [
        "Greyscale, 10 % of the screen",
        "Greyscale, 100 % of the screen",
        "Greyscale at a constant mean level",
    ]


def test_the_uncertainty_of_gamma_is_free_of_the_meters_gain():
    scaled = only(greys(lambda signal: 1.03 * power(2.28)(signal)))
    assert scaled.value("gamma-average").value == pytest.approx(2.28, abs=1e-9)
    assert scaled.value("gamma-average").uncertainty < 0.03


def test_repeats_of_a_step_are_one_row():
    again = grey(30, 502, exact(0.5) * 1.01)
    found = only([*greys(exact), again])
    assert len(found.series[0].rows) == 11
    assert found.series[0].rows[5].readings == (6, 30)
    assert column(found, "luminance")[5] == pytest.approx(exact(0.5) * 1.005)


def test_full_fields_of_the_ebus_greys_have_their_white_and_black_among_them():
    found = only(greys(exact, kind="ebu-grey", facts={}, parameters={"step": 1}))
    assert found.warnings == ()
    assert "white on the full screen of the same run" in found.value("white-luminance").label
    assert found.value("black-luminance").value == pytest.approx(0.1)


def test_a_level_above_white_stands_in_the_series_and_in_no_average():
    clipped = only(greys(lambda signal: exact(min(signal, 1.0)), (*STEPS, 1019)))
    assert column(clipped, "eotf-error")[-1] < -15
    assert clipped.value("eotf-error-average").value == pytest.approx(0, abs=1e-6)
    assert "average of 10" in clipped.value("delta-e-2000-average").label


def test_the_gamma_of_a_target_without_black_is_no_news():
    assert only(greys(power(2.2), STEPS[1:])).value("gamma-target") is None


def test_the_average_of_each_channel_says_which_one_to_turn():
    blue = np.array([0.98, 0.98, 1.2])
    xyz = signal_from_parts(grey(1, 502, 1).signal).primaries.matrix @ blue
    found = only(greys(exact, xy=tuple(xy_of(xyz))))
    for name, share in zip(("red", "green", "blue"), blue, strict=True):
        assert found.value(f"balance-{name}").value == pytest.approx(100 * share / xyz[1])


@pytest.mark.parametrize("name", ["eotf-error-largest", "delta-e-2000-chromaticity-largest"])
def test_one_grey_that_is_surely_off_decides_though_another_reads_farther_off(name):
    loud = replace(
        METER, luminance_noise=0.6, chromaticity_uncertainty=0.1, chromaticity_repeatability=0.1
    )
    read = greys(power(2.4))
    # these two may be right for all that their meter tells, and read farthest off
    read[1] = replace(read[1], luminance=0.6, specification=loud)
    read[3] = replace(read[3], x=0.36, y=0.34, specification=loud)
    read[4] = replace(read[4], luminance=13.5, x=0.335, y=0.329)
    value = only(read).value(name)
    (limit,) = (each for _, each in limits() if each.applies(value, "bt1886"))
    assert value.at != read[4].label
    assert verdict_of(replace(value, parts=()), limit) == "unsure"
    assert verdict_of(value, limit) == "bad"
    assert len(value.parts) == value.count


def test_a_white_read_first_makes_the_targets_until_the_greys_have_their_own_of_the_same_picture():
    first = grey(1, 940, 104.0, role="white", label="White")
    found = only([first, *greys(exact, STEPS[:-1], start=2)])
    assert found.value("white-luminance").value == 104
    assert found.value("eotf-error-largest").value == pytest.approx(100 * (100 / 104 - 1), abs=0.2)
    found = only([first, *greys(exact, start=2)])
    assert found.value("white-luminance").value == pytest.approx(100)
    assert found.value("eotf-error-largest").value == pytest.approx(0, abs=1e-6)


def test_a_white_of_another_area_does_not_take_the_place_of_the_greys_own():
    full = grey(1, 940, 80.0, role="white", kind="field", parameters={}, facts={})
    own = grey(2, 940, 100.0, role="white")
    found = only([full, own, *greys(exact, STEPS[:-1], start=3)])
    assert found.value("white-luminance").value == pytest.approx(100)
    assert "in a window of 10 %" in found.value("white-luminance").label


def test_what_reads_farthest_off_of_many_greys_holds_the_truth_of_displays_that_are_right():
    inside = {"eotf-error-largest": 0, "balance-largest": 0}
    for seed in range(40):
        errors = np.random.default_rng((31, seed))
        readings = [
            replace(
                each,
                luminance=each.luminance * (1 + 0.002 * errors.standard_normal()),
                x=each.x + 0.0004 * errors.standard_normal(),
                y=each.y + 0.0004 * errors.standard_normal(),
                specification=replace(METER, chromaticity_uncertainty=1e-6),
            )
            for each in greys(power(2.4))
        ]
        found = only(readings)
        for name, aim in (("eotf-error-largest", 0.0), ("balance-largest", 100.0)):
            low, high = found.value(name).reach
            inside[name] += low <= aim <= high
    # chosen of ten greys, and of thirty channels, one at k = 2 held it in 32 and 16
    assert min(inside.values()) >= 36, inside
