"""Plausibility: what speaks against readings, and what does not."""

from dataclasses import replace

import numpy as np
import pytest

from patterns.signal.signal import named_signal
from readings.colorimetry.chromaticity import xy_of
from readings.colorimetry.locus import may_be_light
from tests.readings.light_readings import reading
from tests.readings.made_readings import METER, PQ, found, only, said


def grey(number, code, luminance, x=0.3127, y=0.329, **changes):
    more = {
        "kind": "window",
        "facts": {"area_percent": 10.0},
        "inks": {"level": (code, code, code)},
        "quantity": "colour",
        "x": x,
        "y": y,
        "label": f"Grey {code}",
    }
    return reading(number, "grey", luminance, **more | changes)


def ladder(clip=None):
    """Greys of a display of BT.709 and a power of 2.2; `clip` holds blue at 90 % of the signal."""
    matrix, found = named_signal("sdr8").primaries.matrix, []
    for n, code in enumerate(range(51, 256, 17), 1):
        rgb = np.full(3, (code / 255) ** 2.2)
        if clip is not None:
            rgb[clip] = min(rgb[clip], 0.78**2.2)
        xyz = 120 * matrix @ rgb
        x, y = xy_of(xyz)
        found.append(grey(n, code, float(xyz[1]), float(x), float(y)))
    return found


def test_nothing_is_said_of_readings_that_nothing_speaks_against():
    assert found("plausibility", ladder()) == []


@pytest.mark.parametrize(("channel", "name"), [(0, "red"), (1, "green"), (2, "blue")])
def test_a_clipped_channel_of_grey_is_named_where_it_begins(channel, name):
    warning = said(only("plausibility", ladder(channel)))
    assert name in warning
    assert "it is clipped" in warning


def test_the_meters_noise_in_the_dark_is_no_clipped_channel():
    # as a spot meter of 0.0002 cd/m2 read a right display near its black
    dark = [(1, 0.0029, 0.3125, 0.3052), (2, 0.0034, 0.3028, 0.3231), (3, 0.0041, 0.2865, 0.3162)]
    assert found("plausibility", [grey(n, *each) for n, each in enumerate(dark, 1)]) == []


def test_a_clipped_primary_is_named():
    readings = []
    lights = {0: (20.0, 40.0), 1: (70.0, 140.0), 2: (9.0, 9.05)}
    for channel, (low, high) in lights.items():
        for code, light in ((191, low), (255, high)):
            inks = {"colour": tuple(code if n == channel else 0 for n in range(3))}
            readings.append(reading(len(readings) + 1, "red", light, kind="patch", inks=inks))
    assert "Blue rises by 0.6 % to its highest step" in said(only("plausibility", readings))


def test_a_display_that_rolls_off_in_all_channels_clips_none():
    flat = [grey(n, code, light) for n, (code, light) in enumerate(
        [(200, 99.0), (220, 99.5), (240, 99.8), (255, 100.0)], 1)]  # fmt: skip
    assert found("plausibility", flat) == []


def test_grey_that_goes_down_beyond_the_uncertainty_is_told():
    readings = [grey(1, 100, 20.0), grey(2, 120, 30.0), grey(3, 140, 28.0), grey(4, 160, 50.0)]
    finding = only("plausibility", readings)
    assert "Grey goes down between 47.1 % and 54.9 %" in said(finding)
    assert finding.readings == (2, 3)


def test_grey_that_goes_down_within_the_uncertainty_is_not():
    assert found("plausibility", [grey(1, 100, 20.0), grey(2, 101, 19.99)]) == []


def test_one_thing_that_changed_between_its_readings_has_drifted():
    readings = [grey(1, 255, 100.0), grey(2, 128, 20.0), grey(40, 255, 106.0, label="White again")]
    finding = only("plausibility", readings)
    assert finding.value("drift").value == pytest.approx(6.0)
    assert finding.readings == (1, 40)
    assert "after 6 min had changed by 6.0 %" in said(finding)


def test_a_picture_read_over_time_is_meant_to_change():
    moving = [
        grey(1, 255, 100.0, role="over-time"), grey(2, 255, 80.0, role="over-time"),
    ]  # fmt: skip
    assert found("plausibility", moving) == []


def test_readings_at_the_meters_floor_say_at_most_where_light_is_coded():
    low = reading(1, "near-black", 0.001, inks={"level": (2, 2, 2)})
    assert "no brighter than the meter is specified for" in said(only("plausibility", [low]))
    assert found("plausibility", [reading(1, "black", 0.001, inks={"level": (0, 0, 0)})]) == []
    narrow = reading(1, "black", 0.001, inks={"level": (64, 64, 64)}, signal=PQ)
    assert found("plausibility", [narrow]) == []


@pytest.mark.parametrize(("light", "doubted"), [(1000.0, False), (1250.0, True)])
def test_pq_brighter_than_its_code_is_told(light, doubted):
    # code 723 of 10 bits, narrow, is 1004.19 cd/m2 (ITU-R BT.2100-3, table 4, computed)
    shown = [grey(1, 723, light, signal=PQ)]
    assert ("brighter than its code" in str([said(f) for f in found("plausibility", shown)])) == (
        doubted
    )


def test_x_and_y_that_changed_places_are_told():
    # the white of BT.709 the other way about: x 0.329, y 0.3127 is far off, and D65 exchanged
    finding = only("plausibility", [grey(1, 255, 100.0, 0.329, 0.3127)])
    assert "once x and y change places" in said(finding)


def test_a_luminance_among_the_chromaticities_is_told():
    assert "no chromaticity" in said(only("plausibility", [grey(1, 255, 0.3127, 0.329, 100.0)]))
    typed = [grey(1, 255, 120.0), grey(2, 255, 121.0), grey(3, 255, 0.3127)]
    assert "place of the luminance" in said(only("plausibility", typed))


def boxes(white, black, glare=0.0):
    """A contrast sequence before a display of one white and one black: lit boxes and dark ones.

    In a dark box there is the black, and a share of white that the panel scatters.
    """
    dark, inks = black + glare * white, {"level": (255,) * 3, "background": (0, 0, 0)}
    given = [
        *(("checkerboard", f"box {n}", "lit" if n in LIT else "dark", inks) for n in range(1, 17)),
        ("corner-boxes", "centre", "corner-boxes-dark", inks),
        *(("corner-boxes", place, "corner-boxes-lit", inks) for place in CORNERS),
        ("surround", "centre", "surround-dark", inks),
        *(("surround", place, "surround-lit", inks) for place in ("above", "left")),
        *(("ebu-boxes", place, "ebu-1", inks) for place in ("centre", "top square", "left square")),
        *(("checkerboard", f"box {n}", None, inks) for n in (1, 2, 3)),
        *(("halo", f"point {n}", "halo", inks) for n in (1, 2, 3)),
        ("halo", "box", "halo-box", inks),
    ]
    bright = {*(f"box {n}" for n in LIT), *CORNERS, "above", "left", "top square", "left square",
              "box"}  # fmt: skip
    whole = [reading(1, "white", white), reading(2, "black", black, inks={"level": (0, 0, 0)})]
    return whole + [
        reading(
            number,
            role,
            white if of in bright else dark,
            kind=kind,
            of=of,
            inks=shown,
            label=f"{kind} {of}",
        )
        for number, (kind, of, role, shown) in enumerate(given, 3)
    ]


CORNERS = ("top left", "top right", "bottom left", "bottom right")
LIT = {1, 3, 6, 8, 9, 11, 14, 16}
"""Of a board of 4 by 4 that begins lit."""


def called_a_chromaticity(readings):
    return [
        warning
        for each in found("plausibility", readings)
        for warning in each.warnings
        if "in the place of" in warning
    ]


def test_a_dark_box_of_an_ordinary_lcd_is_no_chromaticity():
    # 1,200:1: a dark box of .15 to .45 cd/m2 beside lit ones of 180 to 540
    for dark in np.linspace(0.15, 0.45, 30):
        assert called_a_chromaticity(boxes(1200 * dark, dark)) == []


def test_dark_boxes_of_200_other_displays_are_none_either():
    random = np.random.default_rng(2031)
    seen = 0
    for _ in range(200):
        white = random.uniform(60, 1500)
        readings = boxes(white, white / 10 ** random.uniform(2.5, 5), random.uniform(0, 0.002))
        seen += any(0.15 < each.luminance < 0.45 for each in readings)
        assert called_a_chromaticity(readings) == []
    assert seen > 50, "few of them have a dark box that could be taken for a chromaticity"


@pytest.mark.parametrize("place", ["box 6", "top right", "left"])
def test_a_chromaticity_typed_for_a_lit_box_is_still_told(place):
    readings = [
        replace(each, luminance=0.3127) if each.of == place and each.role else each
        for each in boxes(360.0, 0.3)
    ]
    (warning,) = called_a_chromaticity(readings)
    assert place in warning


def test_a_display_that_is_dark_from_the_side_is_no_chromaticity():
    sides = [
        reading(n, "viewing-angle", light, variables={"angle": f"{angle} °", "direction": "right"})
        for n, (angle, light) in enumerate([(0, 300), (15, 290), (30, 180), (45, 0.4)], 1)
    ]
    assert called_a_chromaticity(sides) == []


def test_light_outside_the_spectral_locus_is_told():
    assert "spectral locus" in said(only("plausibility", [grey(1, 255, 50.0, 0.03, 0.2)]))
    # D65, the primaries of BT.2020 and P3 red are light; (0.03, 0.2) and (0.8, 0.1) are not
    points = [[0.3127, 0.329], [0.708, 0.292], [0.17, 0.797], [0.131, 0.046], [0.68, 0.32],
              [0.03, 0.2], [0.8, 0.1]]  # fmt: skip
    assert may_be_light(points).tolist() == [True] * 5 + [False] * 2


RED = {"kind": "patch", "inks": {"colour": (255, 0, 0)}, "quantity": "colour"}


@pytest.mark.parametrize("xy", [(0.6836, 0.3216), (0.712, 0.296)])
@pytest.mark.parametrize("stated", [0.006, None])
def test_a_red_that_lies_outside_by_less_than_the_meter_errs_is_nothing_odd(xy, stated):
    # reds of P3 and BT.2020, of which x and y make 1, with errors of up to .004 in each
    meter = replace(METER, chromaticity_uncertainty=stated)
    red = reading(1, "red", 22.4, x=xy[0], y=xy[1], specification=meter, **RED)
    assert found("plausibility", [red]) == []
    fine = replace(METER, chromaticity_uncertainty=0.001)
    assert found("plausibility", [replace(red, specification=fine)]) != []


def test_altered_pictures_are_counted_and_kept():
    altered = [grey(n, 255, 100.0, guard="altered") for n in range(1, 9)]
    warning = said(only("plausibility", altered))
    assert "and 4 others were taken while the picture was altered" in warning


def test_the_same_meter_without_a_repeatability_lets_less_be_told():
    meter = replace(METER, luminance_repeatability=None)
    readings = [grey(1, 255, 100.0), grey(3, 255, 104.0)]
    assert found("plausibility", readings)
    assert found("plausibility", [replace(r, specification=meter) for r in readings]) == []


def test_a_meter_that_says_the_same_of_every_picture_is_doubted():
    stuck = [grey(n, code, 81.3) for n, code in enumerate((100, 300, 500, 800), 1)]
    assert "4 readings of 4 different pictures are all exactly 81.3 cd/m2" in said(
        only("plausibility", stuck)
    )


def test_greys_that_a_display_clips_alike_are_not_the_meters_fault():
    clipped = [grey(n, code, 812.0) for n, code in enumerate((780, 840, 900, 940), 1)]
    assert not any("measure anew" in said(each) for each in found("plausibility", clipped))
