"""Contrast: the quotients, when they are bounds or undefined, and what is warned about."""

from dataclasses import replace
from datetime import timedelta

import pytest

from readings.findings import findings_from
from readings.visit.records import Specification
from tests.readings.light_readings import worked
from tests.readings.made_readings import START, made, said

GOOD = Specification(
    luminance_relative_uncertainty=0.04, luminance_floor=0.001, luminance_resolution=0.0001
)
BOARD = {"columns": 4, "rows": 4, "start": "lit"}


def reading(luminance, role, number=1, **changes):
    """One reading of a full screen, by the spot meter, unless something else is said."""
    code = 940 if role in {"white", "lit"} else 64
    given = {
        "condition": "local dimming off",
        "label": f"Full {role}",
        "role": role,
        "inks": {"level": (code, code, code)},
        "signal": {"transfer": "bt1886"},
        "specification": GOOD,
        "raw": str(luminance),
        "luminance": luminance,
        "taken_at": START + timedelta(minutes=number),
    }
    return made(number, **given | changes)


def box(luminance, number, *, lit, start="lit", **changes):
    """One box of a checkerboard."""
    return reading(
        luminance,
        "lit" if lit else "dark",
        number + (100 if start == "dark" else 0),
        **{
            "kind": "checkerboard",
            "parameters": BOARD | {"start": start},
            "of": f"box {number}",
            "label": f"Checkerboard, box {number}",
            "inks": {"level": (940, 940, 940), "background": (64, 64, 64)},
        }
        | changes,
    )


def board(lit, dark, **changes):
    """A whole 4 x 4 checkerboard, boxes numbered row by row, the top left one lit."""
    lit, dark = iter(lit), iter(dark)
    places = [(n, (sum(divmod(n - 1, 4)) % 2) == 0) for n in range(1, 17)]
    return [box(next(lit if on else dark), n, lit=on, **changes) for n, on in places]


def contrast(*readings):
    return findings_from(readings, ["contrast"])


def only(readings):
    (finding,) = contrast(*readings)
    return finding


@pytest.mark.parametrize(
    ("white", "black", "quotient", "source"),
    [
        (120.0, 0.05, 2400.0, "common practice, no source"),
        (120.0, 0.004, 30000.0, "common practice, no source"),
    ],
)
def test_sequential_contrast_is_full_white_over_full_black(white, black, quotient, source):
    finding = only([reading(white, "white", 1), reading(black, "black", 2)])
    assert finding.values[0].name == "sequential-contrast"
    assert finding.values[0].unit == ":1"
    assert finding.values[0].value == pytest.approx(quotient, rel=1e-12), source
    assert finding.values[0].bound is None
    assert finding.readings == (1, 2)
    assert (finding.run, finding.condition) == (1, "local dimming off")


def test_sequential_contrast_of_the_standards_worked_value():
    white, black, quotient, tolerance = worked("15.5")
    finding = only([reading(white, "white", 1), reading(black, "black", 2)])
    assert finding.values[0].value == pytest.approx(quotient, abs=tolerance)


def test_dimming_off_and_on_are_two_findings_of_the_same_names_and_places():
    on = {"run": 2, "condition": "local dimming on"}
    found = contrast(
        reading(400.0, "white", 1),
        reading(0.1, "black", 2),
        reading(400.0, "white", 3, **on),
        reading(0.002, "black", 4, **on),
    )
    assert [finding.condition for finding in found] == ["local dimming off", "local dimming on"]
    names = [[(v.name, v.unit, v.where) for v in finding.values] for finding in found]
    assert names[0] == names[1]
    assert [f.values[0].value for f in found] == pytest.approx([4000.0, 200000.0])


def test_the_uncertainty_of_a_contrast_is_the_one_worked_out_by_hand():
    # 2 x 1140 x sqrt(2 x 0.02^2 + (0.00288675 / 0.09)^2 + (0.00288675 / 102.6)^2)
    meter = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.01)
    finding = only(
        [
            reading(102.6, "white", 1, specification=meter),
            reading(0.09, "black", 2, specification=meter),
        ]
    )
    assert finding.values[0].uncertainty == pytest.approx(97.503, rel=1e-4)
    assert finding.values[0].written() == "1140:1 ± 98"
    assert finding.value("full-white-luminance").written() == "102.6 ± 4.1 cd/m2"


def test_repeats_are_averaged_and_make_the_gain_cancel():
    # whites 100, 102 and blacks 0.09, 0.11: 1010 +- 203 by repeatability (type A) alone
    values = [(100.0, "white"), (0.09, "black"), (102.0, "white"), (0.11, "black")]
    linear = {"specification": replace(GOOD, luminance_linearity=0.0001)}
    finding = only([reading(v, role, n, **linear) for n, (v, role) in enumerate(values, 1)])
    assert finding.values[0].value == pytest.approx(1010.0)
    assert finding.values[0].uncertainty == pytest.approx(203.0, rel=0.001)
    assert "cancels" in finding.method
    assert "its linearity is included as specified" in finding.method
    assert "k = 2 covers less than about 95 %" in said(finding)


def test_a_black_of_zero_is_below_what_the_meter_shows_and_the_contrast_a_bound():
    finding = only([reading(120.0, "white", 1), reading(0.0, "black", 2)])
    least = finding.values[0]
    assert (least.value, least.bound) == (pytest.approx(120000.0), "lower")
    assert least.uncertainty == pytest.approx(4800.0)
    assert not least.assumed
    assert "The full black reads 0, which is below what the meter shows" in said(finding)
    assert "with 0.001 cd/m2 in place of the reading (the least that" in said(finding)
    assert "To know more, read it again" in said(finding)
    assert finding.value("full-black-luminance").written() == "at most 0.001 cd/m2"


@pytest.mark.parametrize("black", [0.0, -0.0003])
def test_a_black_of_zero_or_less_without_a_known_floor_has_the_floor_that_is_assumed(black):
    meter = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.0001)
    finding = only(
        [
            reading(120.0, "white", 1, specification=meter),
            reading(black, "black", 2, specification=meter),
        ]
    )
    (least,) = [value for value in finding.values if value.unit == ":1"]
    assert (least.value, least.bound, least.assumed) == (pytest.approx(2400.0), "lower", True)
    assert "with 0.05 cd/m2 in place of the reading (assumed, as how dark" in said(finding)
    assert finding.value("full-black-luminance").written() == "at most 0.05 cd/m2"


def test_a_zero_hides_as_much_as_its_last_digit():
    typed = {"instrument": None, "instrument_name": None, "specification": None}
    white = reading(604.0, "white", 1, raw="604", **typed)
    for raw, most in (("0", 1.0), ("0.0", 0.1), ("0.00", 0.05), ("0.0000", 0.05)):
        finding = only([white, reading(0.0, "black", 2, raw=raw, **typed)])
        assert finding.values[0].value == pytest.approx(604 / most)
        assert finding.value("full-black-luminance").value == most
    coarse = replace(GOOD, luminance_resolution=0.01)
    finding = only([reading(120.0, "white", 1), reading(0.0, "black", 2, specification=coarse)])
    assert finding.values[0].value == pytest.approx(12000.0)


def test_where_white_reads_zero_too_there_is_no_contrast():
    finding = only([reading(0.0, "white", 1), reading(0.0, "black", 2)])
    assert finding.values[0].written() == "undefined"
    assert "is the display showing the pattern?" in said(finding)


def test_a_black_just_below_the_floor_may_be_as_bright_as_its_noise_lets_it():
    noisy = replace(GOOD, luminance_repeatability=0.004, luminance_noise=0.0004)
    dark = reading(0.0009, "black", 2, specification=noisy)
    finding = only([reading(120.0, "white", 1, specification=noisy), dark])
    value = finding.value("full-black-luminance")
    assert (value.value, value.bound) == (pytest.approx(0.0013, rel=1e-3), "upper")
    assert finding.values[0].value == pytest.approx(120 / 0.0013, rel=1e-3)


@pytest.mark.parametrize("black", [0.001, 0.0004])
def test_a_black_at_or_below_the_meters_floor_makes_a_lower_bound_at_the_floor(black):
    finding = only([reading(120.0, "white", 1), reading(black, "black", 2)])
    assert finding.values[0].value == pytest.approx(120000.0)
    assert finding.values[0].bound == "lower"
    # 2 x 0.02 x 120000: what is uncertain of the bound is the white
    assert finding.values[0].uncertainty == pytest.approx(4800.0, rel=1e-4)
    assert "lower bound" in said(finding)
    dark = finding.value("full-black-luminance")
    assert (dark.value, dark.bound) == (pytest.approx(0.001), "upper")


def test_a_black_within_its_own_uncertainty_makes_a_lower_bound():
    # s / sqrt(2) = 0.02, so the black of 0.03 is +- 0.04: at least 120 / 0.07
    meter = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.0001)
    values = [(120.0, "white"), (0.01, "black"), (0.05, "black")]
    finding = only(
        [reading(v, role, n, specification=meter) for n, (v, role) in enumerate(values, 1)]
    )
    assert finding.values[0].bound == "lower"
    assert finding.values[0].value == pytest.approx(120 / 0.07, rel=0.001)
    assert "does not stand clear of its uncertainty" in said(finding)


def test_a_large_uncertainty_of_black_says_how_lopsided_the_contrast_is():
    # 0.01 with a step of 0.01: +- 0.00579
    meter = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.01)
    finding = only(
        [
            reading(100.0, "white", 1, specification=meter),
            reading(0.01, "black", 2, specification=meter),
        ]
    )
    assert finding.values[0].value == pytest.approx(10000.0)
    assert "from 6330:1 to 23700:1" in said(finding)


@pytest.mark.parametrize(("role", "missing"), [("white", "full black"), ("black", "full white")])
def test_one_reading_alone_leaves_the_contrast_undefined(role, missing):
    finding = only([reading(1.0, role)])
    assert finding.values[0].value is None
    assert f"No {missing} was read" in said(finding)


def test_no_readings_give_no_finding():
    assert contrast() == []


def test_the_black_of_a_window_series_asks_for_no_contrast():
    windows = [reading(0.05, "black", 1), reading(500.0, "window", 2, kind="window")]
    assert contrast(*windows) == []


def test_a_white_window_is_no_full_white():
    window = reading(500.0, "white", 1, kind="window", facts={"area_percent": 9.9966})
    assert contrast(window) == []


def test_runs_under_two_conditions_give_a_finding_each():
    off = [reading(400.0, "white", 1), reading(0.4, "black", 2)]
    on = [
        reading(600.0, "white", 3, run=2, condition="local dimming on"),
        reading(0.02, "black", 4, run=2, condition="local dimming on"),
    ]
    found = contrast(*on, *off)
    assert [(f.run, f.condition) for f in found] == [
        (1, "local dimming off"),
        (2, "local dimming on"),
    ]
    assert [f.values[0].value for f in found] == [pytest.approx(1000.0), pytest.approx(30000.0)]


def test_a_missing_specification_is_an_unknown_uncertainty_and_a_warning():
    bare = {"specification": Specification()}
    finding = only([reading(120.0, "white", 1, **bare), reading(0.05, "black", 2, **bare)])
    assert finding.values[0].uncertainty is None
    assert finding.values[0].written() == "2400:1"
    assert "uncertainty is not known" in said(finding)


def test_no_meter_named_is_an_unknown_uncertainty_and_a_warning():
    nobody = {"specification": None, "instrument": None, "instrument_name": None}
    finding = only([reading(120.0, "white", 1, **nobody), reading(0.05, "black", 2, **nobody)])
    assert finding.values[0].uncertainty is None
    assert "No meter is named" in said(finding)


def test_a_reading_without_a_meter_among_others_is_told_in_words():
    nobody = {"specification": None, "instrument": None, "instrument_name": None}
    repeats = [reading(120.0, "white", n) for n in (1, 2)]
    finding = only([*repeats, reading(130.0, "white", 3, **nobody), reading(0.05, "black", 4)])
    assert "several meters; spot meter counts, a meter without a name does not." in said(finding)


def test_an_unstated_resolution_is_taken_from_the_last_digit_as_typed():
    # "0,05" moves by 0.01: 2 x 2400 x sqrt(2 x 0.02^2 + (0.00288675 / 0.05)^2 + ...)
    meter = {"specification": Specification(luminance_relative_uncertainty=0.04)}
    finding = only(
        [
            reading(120.0, "white", 1, raw="120,00", **meter),
            reading(0.05, "black", 2, raw=" 0,05 ", **meter),
        ]
    )
    assert finding.values[0].uncertainty == pytest.approx(308.6, rel=0.001)
    assert "last digit recorded" in said(finding)


def test_a_drift_of_full_white_is_told():
    values = [(100.0, "white"), (0.1, "black"), (94.0, "white")]
    finding = only([reading(v, role, n) for n, (v, role) in enumerate(values, 1)])
    assert "Full white fell by 6.0 % from the first to the last reading, 2 min apart" in said(
        finding
    )


def test_a_steady_white_is_not_called_drifting():
    values = [(100.0, "white"), (0.1, "black"), (101.0, "white")]
    finding = only([reading(v, role, n) for n, (v, role) in enumerate(values, 1)])
    assert "Full white" not in said(finding)


def test_swapped_white_and_black_are_noticed():
    finding = only([reading(0.05, "white", 1), reading(120.0, "black", 2)])
    assert "swapped" in said(finding)
    assert "showing the pattern" not in said(finding)


@pytest.mark.parametrize(
    ("white", "black"),
    [
        (120.0, 120.0),
        (109.0, 100.0),
        (100.0, 109.0),
        (0.0004, 0.0004),  # both below the meter's floor
        (0.0, 0.0),
    ],
)
def test_a_white_that_is_no_brighter_than_black_is_doubted(white, black):
    finding = only([reading(white, "white", 1), reading(black, "black", 2)])
    assert (
        "The full white is hardly brighter than the full black, or not at all: is the display "
        "showing the pattern?"
    ) in finding.warnings
    assert "swapped" not in said(finding)


@pytest.mark.parametrize(("white", "black"), [(111.0, 100.0), (120.0, 0.05), (120.0, 0.0)])
def test_a_white_that_is_brighter_than_black_is_not(white, black):
    finding = only([reading(white, "white", 1), reading(black, "black", 2)])
    assert "showing the pattern" not in said(finding)


def test_a_checkerboard_of_one_light_is_doubted_too():
    found = contrast(*board([5.0] * 8, [5.0] * 8))
    assert "The mean lit box is hardly brighter than the mean dark box" in said(found[-1])


def test_an_altered_picture_is_named_with_its_reason_and_unknown_ones_are_counted():
    finding = only(
        [
            reading(120.0, "white", 1, guard="altered", guard_why="a gamma ramp"),
            reading(0.05, "black", 2, guard="unknown"),
        ]
    )
    assert "Reading 1 (Full white) was taken while the picture was altered" in said(finding)
    assert "a gamma ramp" in said(finding)
    assert "For 1 of 2 readings it is not known" in said(finding)


def test_a_luminance_above_the_suns_does_not_count():
    finding = only([reading(120.0, "white", 1), reading(5e300, "black", 2)])
    assert finding.values[0].value is None
    assert "brighter than the sun" in said(finding)


def test_of_two_meters_the_one_that_read_most_counts():
    second = {"instrument": 2, "instrument_name": "reference"}
    finding = only(
        [
            reading(120.0, "white", 1),
            reading(120.0, "white", 2),
            reading(150.0, "white", 3, **second),
            reading(0.05, "black", 4),
        ]
    )
    assert finding.values[0].value == pytest.approx(2400.0)
    assert finding.readings == (1, 2, 4)
    assert "reference does not" in said(finding)


def test_a_checkerboard_is_the_sum_of_lit_over_the_sum_of_dark_boxes():
    whites, blacks, quotient, tolerance = worked("15.6")
    lit = [whites / 8 + d for d in (-3, 3, -2, 2, -1, 1, -4, 4)]
    dark = [blacks / 8 + d for d in (-0.02, 0.02, -0.01, 0.01, 0.03, -0.03, 0.005, -0.005)]
    finding = only(board(lit, dark))
    assert finding.title == "Checkerboard contrast 4 × 4"
    assert finding.values[0].name == "checkerboard-contrast"
    as_read = finding.value("checkerboard-contrast-as-read")
    assert as_read.value == pytest.approx(quotient, abs=tolerance)
    assert finding.values[0].where == {"columns": 4, "rows": 4, "places_read": 16}
    assert finding.warnings == ()


def test_the_centre_of_an_even_board_is_its_four_middle_boxes():
    # boxes 6 and 11 are lit, 7 and 10 dark: (100 + 110) / (0.5 + 0.7) = 175
    readings = board([90.0] * 8, [1.0] * 8)
    chosen = {6: 100.0, 11: 110.0, 7: 0.5, 10: 0.7}
    readings = [
        box(chosen.get(r.reading, r.luminance), r.reading, lit=r.role == "lit") for r in readings
    ]
    finding = only(readings)
    assert finding.value("checkerboard-contrast-centre-as-read").value == pytest.approx(175.0)


def test_the_centre_of_an_odd_board_is_the_quotient_and_not_the_number_printed_beside_it():
    white, black, quotient, tolerance = worked("5.26")
    three = {"columns": 3, "rows": 3}
    finding = only(
        [
            box(white, 5, lit=True, parameters=three | {"start": "lit"}),
            box(black, 5, lit=False, start="dark", parameters=three | {"start": "dark"}),
        ]
    )
    centre = finding.value("checkerboard-contrast-centre-as-read")
    assert centre.value == pytest.approx(quotient, abs=tolerance)


def test_the_centre_of_an_odd_board_needs_both_patterns():
    three = {"columns": 3, "rows": 3}
    positive = box(100.0, 5, lit=True, parameters=three | {"start": "lit"})
    corner = box(0.8, 2, lit=False, parameters=three | {"start": "lit"})
    alone = only([positive, corner])
    assert alone.value("checkerboard-contrast-centre") is None
    assert "positive and the negative pattern" in said(alone)

    negative = box(0.5, 5, lit=False, start="dark", parameters=three | {"start": "dark"})
    both = only([positive, corner, negative])
    assert both.value("checkerboard-contrast-centre-as-read").value == pytest.approx(200.0)


def test_missing_boxes_are_named_and_means_stand_for_sums():
    # 7 lit boxes of 100 and 8 dark ones of 0.5: 200, where the sums would give 175
    finding = only([r for r in board([100.0] * 8, [0.5] * 8) if r.of != "box 16"])
    assert finding.value("checkerboard-contrast-as-read").value == pytest.approx(200.0)
    assert "15 of 16 boxes were read with the top left box lit (not box 16)" in said(finding)


def test_repeats_of_one_box_count_once():
    # box 1 read three times must not weigh three times: mean lit = (7 x 100 + 200) / 8
    readings = board([200.0, *[100.0] * 7], [0.5] * 8)
    again = [box(200.0, 1, lit=True, reading=n) for n in (50, 51)]
    finding = only([*readings, *again])
    assert finding.value("lit-luminance").value == pytest.approx(112.5)


def test_a_box_whose_role_contradicts_the_pattern_stops_the_centre():
    readings = board([100.0] * 8, [0.5] * 8)
    readings[5] = box(0.5, 6, lit=False)
    finding = only(readings)
    assert finding.value("checkerboard-contrast-centre") is None
    assert "Box 6 of this pattern is not what its role says" in said(finding)


def test_boxes_without_numbers_still_give_the_contrast():
    unnamed = {"of": None}
    finding = only(
        [
            box(100.0, 1, lit=True, label="a lit one", **unnamed),
            box(0.5, 2, lit=False, label="a dark one", **unnamed),
        ]
    )
    assert finding.value("checkerboard-contrast-as-read").value == pytest.approx(200.0)
    assert "Which boxes were read is not told" in said(finding)


@pytest.mark.parametrize(
    "named", [{"of": "Box 6"}, {"of": None, "variables": {"box": "6"}}, {"of": "the lit box 6"}]
)
def test_a_box_is_told_by_what_was_read_or_by_its_variable(named):
    rest = [r for r in board([100.0] * 8, [0.5] * 8) if r.of != "box 6"]
    finding = only([*rest, box(100.0, 6, lit=True, label="one", **named)])
    assert finding.warnings == ()


def test_a_checkerboard_with_only_lit_boxes_is_undefined():
    finding = only([box(100.0, 1, lit=True)])
    assert finding.values[0].value is None
    assert "No dark box was read" in said(finding)


@pytest.mark.parametrize(("dark", "least"), [([0.0] * 8, 2000.0), ([0.0, *[0.2] * 7], 552.0)])
def test_dark_boxes_of_zero_make_a_lower_bound(dark, least):
    meter = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.01)
    finding = only(board([100.0] * 8, dark, specification=meter))
    value = finding.values[0]
    # one of them may be 0.05 cd/m2, the others are 0.2: 100 over 1.45 / 8
    assert (value.bound, value.assumed) == ("lower", True)
    assert value.value == pytest.approx(least, rel=1e-3)
    assert "below what the meter shows" in said(finding)


def test_boards_of_two_sizes_give_a_finding_each():
    other = {"parameters": {"columns": 2, "rows": 1, "start": "lit"}}
    small = [box(80.0, 1, lit=True, reading=60, **other), box(0.4, 2, lit=False, **other)]
    found = contrast(*board([100.0] * 8, [0.5] * 8), *small)
    assert [f.title for f in found] == [
        "Checkerboard contrast 4 × 4",
        "Checkerboard contrast 2 × 1",
    ]
    assert found[1].value("checkerboard-contrast-centre-as-read").value == pytest.approx(200.0)


def test_a_simulated_display_has_no_way_on_which_a_picture_could_be_altered():
    given = {"guard": "unknown"}
    lit, dark = reading(120.0, "white", 1, **given), reading(0.05, "black", 2, **given)
    assert "not known whether the picture" in said(only([lit, dark]))
    lit, dark = (replace(each, output="simulated") for each in (lit, dark))
    assert "not known whether the picture" not in said(only([lit, dark]))
