"""Targets and errors of single readings: the findings' own numbers, in words."""

from dataclasses import replace

import pytest

from patterns.aim import Aim
from patterns.signal.transfer.bt1886 import light_between
from player.run.target import is_end, limit_of, target_of, told_of
from readings.colorimetry.chromaticity import xyz_of
from readings.colorimetry.difference import delta_e_2000, delta_e_itp
from readings.evidence.correction.applied import AsRead
from readings.evidence.correction.matrix import Light
from readings.findings import FINDINGS, findings_from
from readings.visit.records import Specification
from tests.readings.grey_readings import D65, SDR, grey, greys, power
from tests.readings.made_readings import HLG, METER, PQ

WHITE = grey(1, 940, 412.0, role="white")
BLACK = grey(2, 64, 0.1)
MID = 502


def asked(code=MID, luminance=None, **changes):
    return grey(9, code, luminance, **changes)


def exact(code, white=412.0, black=0.1):
    return float(light_between((code - 64) / 876, white, black))


def test_a_grey_has_the_target_of_the_greyscale_finding():
    listed = greys(power(2.28, white=412.0, black=0.1), start=1)
    (finding,) = findings_from(listed, ["greyscale"])
    found = [each.value for each in finding.series[0].column("target-luminance")]
    ends = [each for each in listed if is_end(each)]
    assert len(ends) == 2
    live = [target_of(each, ends) for each in listed[1:-1]]
    assert [each.luminance for each in live] == pytest.approx(found[1:-1])
    assert {each.xy for each in live} == {D65}


def test_what_was_read_is_told_by_its_error_its_limit_and_its_colour():
    light = 1.017 * exact(MID)
    told = told_of(asked(luminance=light, xy=(0.3090, 0.3255)), [WHITE, BLACK])
    target = f"{exact(MID):.4g}"
    apart = float(
        delta_e_2000(xyz_of(light, (0.3090, 0.3255)), xyz_of(light, D65), xyz_of(412.0, D65))
    )
    limits = {each.each: each.limit for each in FINDINGS["greyscale"].limits}
    assert told.light == "1.7 % too bright"
    assert told.light_held == f"within {limits['light']:g} %"
    assert told.colour == f"delta E 2000 {apart:.1f}"
    assert told.colour_held == f"within {limits['tint']:g}, within the meter's error"
    assert told.hue == "a little too blue"
    assert told.sentence == (
        f"Target {target} cd/m2: 1.7 % too bright, within 12 %. Delta E 2000 {apart:.1f}: "
        "within 3, within the meter's error; a little too blue."
    )
    assert not told.outside


@pytest.mark.parametrize(
    ("by", "said", "held"),
    [
        (1.0, "there", "within 12 %, within the meter's error"),
        (1.003, "0.3 % too bright", "within 12 %, within the meter's error"),
        (0.95, "5.0 % too dark", "within 12 %"),
        (0.8, "20 % too dark", "outside 12 %"),
        (1.2, "20 % too bright", "outside 12 %"),
        (4.0, "4 times too bright", "outside 12 %"),
    ],
)
def test_light_is_told_in_words_and_numbers(by, said, held):
    told = told_of(asked(luminance=by * exact(MID), xy=None), [WHITE, BLACK])
    assert (told.light, told.light_held) == (said, held)
    assert told.outside == ("outside" in held)
    assert told.colour == ""


def test_a_meter_that_does_not_say_how_it_repeats_has_its_whole_error_in_both():
    vague = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.001)
    ends = [replace(each, specification=vague) for each in (WHITE, BLACK)]
    light = 1.05 * exact(MID)  # 4 % of the grey and 4 % of white are 5.7 %
    told = told_of(asked(luminance=light, specification=vague, xy=None), ends)
    assert told.light_held == "within 12 %, within the meter's error"
    unknown = told_of(asked(luminance=light, specification=None, xy=None), ends)
    assert unknown.light_held == "within 12 %"


@pytest.mark.parametrize(
    ("rgb", "hue"),
    [
        ((1.1, 1.0, 1.0), "red"),
        ((1.1, 1.1, 1.0), "yellow"),
        ((1.0, 1.1, 1.0), "green"),
        ((1.0, 1.1, 1.1), "cyan"),
        ((1.0, 1.0, 1.1), "blue"),
        ((1.1, 1.0, 1.1), "magenta"),
    ],
)
def test_a_tint_is_named_by_the_channels_that_there_is_too_much_of(rgb, hue):
    # the matrix of Rec. ITU-R BT.709-6 in D65, to four digits as it is printed
    matrix = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    xyz = [sum(m * c for m, c in zip(row, rgb, strict=True)) for row in matrix]
    xy = (xyz[0] / sum(xyz), xyz[1] / sum(xyz))
    told = told_of(asked(luminance=exact(MID), xy=xy), [WHITE, BLACK])
    assert told.hue.removeprefix("a little ") == f"too {hue}"


def colour(number, codes, luminance, xy, **changes):
    more = {"role": "red", "kind": "patch", "inks": {"colour": codes}}
    return grey(number, 64, luminance, xy, **more | changes)


RED = colour(9, (940, 64, 64), 87.0, (0.64, 0.33))


def test_a_colour_is_judged_in_light_and_colour_by_the_limit_of_colours():
    target = target_of(RED, [WHITE, BLACK])
    assert target.luminance == pytest.approx(0.2126 * 411.9 + 0.1, abs=0.05)
    assert target.xy == pytest.approx((0.64, 0.33), abs=1e-3)
    told = told_of(replace(RED, x=0.60, y=0.33), [WHITE, BLACK])
    apart = float(
        delta_e_2000(
            xyz_of(87.0, (0.60, 0.33)),
            xyz_of(target.luminance, target.xy),
            xyz_of(412.0, D65),
        )
    )
    limit = next(each for each in FINDINGS["colour"].limits if each.each == "colour")
    assert told.colour == f"delta E 2000 {apart:.1f}"
    assert told.colour_held == f"{'within' if apart <= limit.limit else 'outside'} {limit.limit:g}"
    assert told.hue == "too magenta and too pale"
    assert told.light_held == ""  # no limit is for the light of a colour alone


@pytest.mark.parametrize(
    ("codes", "xy", "hue"),
    [
        ((940, 64, 64), (0.60, 0.36), "yellow"),
        ((940, 64, 64), (0.58, 0.29), "magenta"),
        ((64, 940, 64), (0.36, 0.56), "yellow"),
        ((64, 940, 64), (0.27, 0.52), "cyan"),
        ((64, 64, 940), (0.16, 0.05), "magenta"),
        ((64, 64, 940), (0.145, 0.075), "cyan"),
    ],
)
def test_a_colour_that_turned_is_named_by_the_one_it_turned_to(codes, xy, hue):
    light = target_of(colour(9, codes, None, None), [WHITE, BLACK]).luminance
    told = told_of(colour(9, codes, light, xy), [WHITE, BLACK])
    assert told.hue.removeprefix("a little ").startswith(f"too {hue}")


def test_no_white_is_no_target_and_another_run_of_the_same_settings_gives_one():
    assert target_of(asked(), []) is None
    assert target_of(asked(), [BLACK]) is None
    other = replace(WHITE, run=2)
    target = target_of(asked(), [other, BLACK])
    assert target.luminance == pytest.approx(exact(MID))
    assert target.basis == "from white 412 of run 2"
    assert target_of(asked(), [WHITE, BLACK]).basis == "from white 412"


@pytest.mark.parametrize(
    "other",
    [
        {"condition": "local dimming off"},
        {"signal": SDR | {"range": "full"}, "inks": {"level": (1023,) * 3}},
        {"signal": SDR | {"primaries": "p3-d65"}},
        {"signal": HLG},
    ],
    ids=["condition", "range", "primaries", "transfer"],
)
def test_a_white_under_other_settings_gives_no_target(other):
    assert target_of(asked(), [replace(WHITE, run=2, **other), BLACK]) is None


def test_the_depth_of_the_signal_is_no_other_setting():
    eight = replace(
        WHITE, run=2, signal=SDR | {"bits": 8}, inks={"level": (235,) * 3, "background": (16,) * 3}
    )
    assert target_of(asked(), [eight, BLACK]).luminance == pytest.approx(exact(MID))


def test_white_of_the_same_area_comes_before_any_other():
    full = grey(3, 940, 300.0, kind="field", parameters={}, facts={}, role="white")
    assert target_of(asked(), [full, WHITE, BLACK]).luminance == pytest.approx(exact(MID))
    assert target_of(asked(), [full, BLACK]).luminance == pytest.approx(exact(MID, 300.0))


def test_a_white_or_black_at_a_place_of_its_own_is_no_end():
    corner = {"kind": "window", "parameters": {"area": "4 %", "level": "100 %", "place": 1}}
    assert is_end(WHITE)
    assert not is_end(replace(WHITE, **corner))
    assert not is_end(replace(WHITE, luminance=None))
    assert not is_end(asked(luminance=50.0))


def test_the_aim_counts_curve_black_white_and_white_point():
    aim = Aim("power 2.2", 0.05, 400.0, (0.3127, 0.332))
    grey_target = target_of(asked(aim=aim), [WHITE, BLACK])
    assert grey_target.luminance == pytest.approx(0.05 + 411.95 * 0.5**2.2)
    assert grey_target.xy == (0.3127, 0.332)
    white = target_of(asked(940, aim=aim), [])
    assert (white.luminance, white.xy) == (400, (0.3127, 0.332))
    told = told_of(replace(WHITE, reading=9, aim=aim, x=0.3127, y=0.332), [])
    assert told.light == "3.0 % too bright"
    limit = next(each for each in FINDINGS["greyscale"].limits if each.each == "white")
    assert told.light_held.startswith(f"within {limit.limit:g} %")
    assert told.hue == "there"
    assert target_of(asked(64, aim=aim), []).luminance == 0.05


def test_white_without_a_stated_luminance_has_a_colour_to_aim_at_and_black_nothing():
    told = told_of(WHITE, [])
    assert told.light == ""
    assert told.colour == "delta E 2000 0.0"
    assert target_of(asked(64), [WHITE]) is None


def test_pq_is_absolute_and_beyond_white_nothing_is_held_against_the_display():
    pq = {"signal": PQ, "condition": "hdr"}
    # SMPTE ST 2084: 100 cd/m2 is 0.5081 of the signal, code 509 of 10 bits in narrow range
    dim = target_of(asked(509, **pq), [])
    assert dim.luminance == pytest.approx(100, rel=0.01)
    white = replace(WHITE, luminance=800.0, **pq)
    told = told_of(asked(852, 790.0, **pq), [white])
    assert told.target.luminance > 3000
    assert told.light_held == "more than white has"
    assert not told.outside
    told = told_of(asked(509, 96.0, xy=(0.3200, 0.3290), **pq), [white])
    assert told.light_held == "within 12 %, within the meter's error"
    apart = float(delta_e_itp(xyz_of(96.0, (0.32, 0.329)), xyz_of(96.0, D65)))
    assert told.colour == f"delta E ITP {apart:.1f}"


def test_hlg_takes_the_measured_white_as_nominal_peak():
    hlg = {"signal": HLG, "condition": "hdr"}
    white = replace(WHITE, luminance=1000.0, **hlg)
    # Rec. ITU-R BT.2100-3, table 5: E' 0.75 is 0.2650 of the scene, and 203 cd/m2 at 1000 and 1.2
    assert target_of(asked(721, **hlg), [white]).luminance == pytest.approx(203, rel=0.01)


def test_where_no_finding_holds_a_limit_only_the_error_is_told():
    told = told_of(asked(luminance=0.7 * exact(MID), role="uniformity"), [WHITE, BLACK])
    assert (told.light, told.light_held, told.outside) == ("30 % too dark", "", False)
    assert limit_of("uniformity", "light", "bt1886") is None


def test_a_colour_below_the_meters_floor_is_not_told():
    told = told_of(asked(80, METER.luminance_floor, xy=(0.2, 0.2)), [WHITE, BLACK])
    assert told.colour == ""


def test_codes_that_are_not_known_or_swapped_ends_are_no_target():
    assert target_of(asked(inks={}), [WHITE, BLACK]) is None
    swapped = [replace(WHITE, luminance=0.1), replace(BLACK, luminance=412.0)]
    assert target_of(asked(), swapped) is None
    assert target_of(asked(quantity="count"), [WHITE, BLACK]) is None


def test_a_corrected_reading_says_so_since_its_own_number_is_another():
    as_read = AsRead(1, "reference", Light(80.0, 0.31, 0.33), METER)
    told = told_of(asked(luminance=exact(MID), as_read=as_read), [WHITE, BLACK])
    assert told.sentence.startswith(f"Corrected, that is {exact(MID):.4g} cd/m2. Target ")


def test_of_a_step_that_asks_for_a_luminance_the_colour_is_not_told():
    told = told_of(asked(luminance=exact(MID), xy=(0.3, 0.3), quantity="luminance"), [WHITE, BLACK])
    assert told.light == "there"
    assert told.colour == ""


def test_a_grey_of_a_chart_is_judged_as_the_colour_finding_does_in_light_and_colour():
    patch = asked(luminance=1.3 * exact(MID), role="chart-24")
    told = told_of(patch, [WHITE, BLACK])
    apart = delta_e_2000(xyz_of(1.3 * exact(MID), D65), xyz_of(exact(MID), D65), xyz_of(412.0, D65))
    limit = next(each for each in FINDINGS["colour"].limits if each.each == "colour")
    assert told.colour == f"delta E 2000 {float(apart):.1f}"
    assert told.colour_held == f"outside {limit.limit:g}"
    assert told.hue == ""  # too bright, which was told
    tinted = told_of(replace(patch, x=0.3050, y=0.3200), [WHITE, BLACK])
    assert tinted.hue == "too blue"
