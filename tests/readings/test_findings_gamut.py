"""Gamut and colour volume: from primaries, along the boundary, from samples of the cube."""

from dataclasses import replace

import numpy as np
import pytest

from patterns.signal.primaries import PRIMARIES
from readings.findings import findings_from
from readings.findings.colour.gamut_volume import standard_volume
from tests.readings.colour_readings import SDR, WHITE, black, cube, primaries, read, walk, white
from tests.readings.made_readings import PQ, said

RGB = ("red", "green", "blue")


def gamuts(readings):
    return findings_from(readings, ["gamut"])


def gamut(readings):
    (found,) = gamuts(readings)
    return found


def value(found, name, **where):
    (one,) = [
        each
        for each in found.values
        if each.name == name and where.items() <= dict(each.where).items()
    ]
    return one


def display_of(name, peak=WHITE, signal=SDR, dark=0.0):
    """A display with the primaries of a standard, additive, and no mapping of its own."""
    matrix = PRIMARIES[name].matrix

    def show(codes):
        light = perfect_light(codes, signal)
        return peak * matrix @ light + dark * matrix.sum(1)

    return show


def perfect_light(codes, signal):
    top = 65535 if signal is SDR else 876
    bottom = 0 if signal is SDR else 64
    return ((np.asarray(codes) - bottom) / top) ** 2.4


def rgb(display, signal=SDR, start=3, **changes):
    return primaries(signal, display, RGB, start, **changes)


def of_primaries(display, signal=SDR):
    return [white(1, signal, display), black(2, signal, display), *rgb(display, signal)]


def test_a_display_with_the_primaries_of_p3_has_the_published_coverage():
    found = gamut(of_primaries(display_of("p3-d65")))
    assert value(found, "coverage-xy", space="bt709").value == pytest.approx(100, abs=1e-6)
    assert value(found, "coverage-xy", space="bt2020").value == pytest.approx(71.7290, abs=6e-5)
    assert value(found, "coverage-uv", space="bt2020").value == pytest.approx(72.8492, abs=6e-5)
    assert value(found, "area-ratio-xy", space="bt2020").value == pytest.approx(71.7433, abs=6e-5)
    assert value(found, "area-ratio-uv", space="bt709").value == pytest.approx(125.5632, abs=6e-5)
    assert found.values[0].name == "coverage-xy"
    assert found.values[0].where == {"space": "bt709", "from": "primaries"}
    assert [row.label for row in found.series[0].rows] == ["red", "green", "blue", "white"]


def test_coverage_has_an_uncertainty_of_the_meters_size_and_a_whole_one_is_never_exact():
    found = gamut(of_primaries(display_of("bt709")))
    low, high = value(found, "coverage-xy", space="bt2020").interval
    assert 1 < high - low < 8
    wide = gamut(of_primaries(display_of("bt2020")))
    assert value(wide, "coverage-xy", space="bt709").interval == (pytest.approx(99.9), 100)


@pytest.mark.parametrize(
    ("name", "own", "d50"), [("bt709", 818568, 831301), ("bt2020", 1851892, 1853910)]
)
def test_the_volume_is_that_of_602_colours_relative_to_a_white_that_is_named(name, own, d50):
    found = gamut(of_primaries(display_of(name)))
    assert value(found, "lab-volume", white="display").value == pytest.approx(own, rel=5e-4)
    assert value(found, "lab-volume", white="d50").value == pytest.approx(d50, rel=5e-4)
    share = value(found, "lab-volume-share", space=name)
    assert share.value == pytest.approx(100, abs=0.01)
    assert "white as measured" in found.method
    assert "additive" in found.method


def test_a_display_that_adds_up_is_told_as_such_and_not_warned_of():
    found = gamut(of_primaries(display_of("bt709", dark=0.5)))
    assert value(found, "additivity-luminance").value == pytest.approx(100, abs=1e-6)
    assert value(found, "additivity-chromaticity").value == pytest.approx(0, abs=1e-9)
    assert "not additive" not in said(found)


def test_a_white_pixel_shows_as_white_that_is_more_than_its_colours_make():
    readings = of_primaries(display_of("bt709"))
    readings[0] = replace(readings[0], luminance=readings[0].luminance * 1.5)
    found = gamut(readings)
    assert value(found, "additivity-luminance").value == pytest.approx(66.7, abs=0.1)
    assert "66.67 % of white" in said(found)
    assert "not additive (usual with a white pixel" in said(found)
    assert value(found, "lab-volume-share", space="bt709").value < 85


def test_without_a_white_the_volume_is_relative_to_the_sum_and_says_so():
    found = gamut(rgb(display_of("bt709")))
    assert "no white read" in found.method
    assert value(found, "lab-volume-share", space="bt709").value == pytest.approx(100, abs=0.01)
    assert [each for each in found.values if each.name.startswith("additivity")] == []


def test_a_missing_primary_leaves_no_gamut_and_is_named():
    found = gamut(rgb(display_of("bt709"))[:2])
    assert [each.value for each in found.values] == [None]
    assert "No blue was read" in said(found)


def test_primaries_at_75_percent_have_a_gamut_and_no_volume():
    found = gamut(rgb(display_of("bt709"), level="75 %"))
    assert value(found, "coverage-xy", space="bt709").value == pytest.approx(100, abs=1e-6)
    assert [each for each in found.values if "volume" in each.name] == []
    assert "read at 75 % of the signal only" in said(found)


@pytest.mark.parametrize("stated", [0.006, None])
def test_a_red_that_lies_outside_by_less_than_the_meter_errs_counts_as_it_was_read(stated):
    """The triangle of x .6836, y .3216 with P3's green and blue: by the formula of Gauss."""
    shown = of_primaries(display_of("p3-d65"))
    meter = replace(shown[2].specification, chromaticity_uncertainty=stated)
    shown = [replace(each, specification=meter) for each in shown]
    shown[2] = replace(shown[2], x=0.6836, y=0.3216)
    found = gamut(shown)
    x, y = np.array([(0.6836, 0.3216), (0.265, 0.690), (0.150, 0.060)]).T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    x, y = np.array([(0.708, 0.292), (0.170, 0.797), (0.131, 0.046)]).T
    bt2020 = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
    ratio = value(found, "area-ratio-xy", space="bt2020")
    assert ratio.value == pytest.approx(100 * area / bt2020, abs=1e-6)
    assert (ratio.uncertainty is None) == (stated is None)
    assert "no colour of light" not in said(found)


def test_the_highest_level_counts_where_there_are_several():
    low = rgb(display_of("bt2020"), start=20, level="75 %")
    found = gamut([*rgb(display_of("bt709")), *low])
    assert found.readings == (3, 4, 5)


def test_codes_tell_the_primary_and_not_its_role():
    red, green, blue = rgb(display_of("bt709"))
    swapped = [replace(red, role="green"), replace(green, role="red"), blue]
    assert gamut(swapped).values == gamut([red, green, blue]).values


def test_primaries_mixed_of_several_channels_are_warned_of():
    inner = [
        read(n, name, {"patch": {"colour": name, "primaries": "bt709", "level": "50 %"}}, PQ)
        for n, name in enumerate(RGB, 1)
    ]
    found = gamut(inner)
    assert "mixed of several channels" in said(found)
    assert value(found, "coverage-xy", space="bt709").value == pytest.approx(100, abs=1)


def test_two_readings_that_were_swapped_are_asked_about():
    red, green, blue = rgb(display_of("bt709"))
    wrong = [replace(red, x=green.x, y=green.y), replace(green, x=red.x, y=red.y), blue]
    assert "were two readings swapped?" in said(gamut(wrong))


def test_the_boundary_is_a_polygon_and_shows_colours_lost_between_the_primaries():
    def dented(codes):
        """Halfway between two primaries a third of the way to white is lost."""
        light = perfect_light(codes, SDR)
        grey = 0.3 * np.sort(light)[1]
        return WHITE * PRIMARIES["bt709"].matrix @ (light + grey)

    whole = gamut(walk(SDR, display_of("bt709"), points=4))
    assert whole.title == "Gamut along its boundary"
    assert value(whole, "coverage-xy", space="bt709", **{"from": "boundary"}).value > 99.99
    assert value(whole, "area-ratio-xy", space="bt709").value == pytest.approx(100, abs=0.01)
    lost = gamut(walk(SDR, dented, points=4))
    assert value(lost, "coverage-xy", space="bt709").value < 95


def test_the_order_in_which_the_boundary_was_read_does_not_matter():
    points = walk(SDR, display_of("p3-d65"), points=3)
    mixed = [replace(each, step=10 - each.step) for each in points]
    ahead, back = gamut(points), gamut(mixed)
    assert [each.value for each in ahead.values] == pytest.approx([v.value for v in back.values])


def test_a_boundary_broken_off_says_how_much_was_read():
    assert "5 of 9 points" in said(gamut(walk(SDR, display_of("bt709"))[:5]))
    two = gamut(walk(SDR, display_of("bt709"))[:2])
    assert two.values[0].value is None
    assert "encloses nothing" in said(two)


@pytest.mark.parametrize("levels", [3, 5])
def test_the_volume_of_a_cube_of_few_levels_is_that_of_the_display_within_its_uncertainty(levels):
    corners, sampled = gamuts(cube(SDR, display_of("p3-d65"), levels=levels))
    assert sampled.title == "Colour volume, from samples of the cube"
    volume = value(sampled, "lab-volume", white="display")
    assert volume.value == pytest.approx(standard_volume("p3-d65"), rel=0.003)
    assert volume.uncertainty > 0
    ours, theirs = value(corners, "itp-volume").value, value(sampled, "itp-volume").value
    assert ours == pytest.approx(theirs, rel=0.005)
    assert "such a mesh finds too little" in sampled.method


def test_a_cube_sees_colours_lost_that_primaries_do_not_tell():
    def squeezed(codes):
        light = perfect_light(codes, SDR)
        lit = np.count_nonzero(light)
        return WHITE * PRIMARIES["bt709"].matrix @ (light * (0.6 if lit == 2 else 1))

    corners, sampled = gamuts(cube(SDR, squeezed))
    assert value(corners, "lab-volume-share", space="bt709").value == pytest.approx(100, abs=0.01)
    assert value(sampled, "lab-volume-share", space="bt709").value < 90


def test_a_cube_with_samples_missing_has_no_volume_and_says_how_many():
    readings = cube(SDR, display_of("bt709"))
    (*_, sampled) = gamuts(readings[:-3])
    assert sampled.values[0].value is None
    assert "3 samples of the cube's surface are missing" in said(sampled)


def test_dark_samples_without_a_colour_count_as_black():
    readings = cube(SDR, display_of("bt709"))
    assert readings[0].x is None
    (*_, sampled) = gamuts(readings)
    assert sampled.values[0].value is not None
    bright = replace(readings[4], x=None, y=None)
    (*_, lost) = gamuts([*readings[:4], bright, *readings[5:]])
    assert lost.values[0].value is None
    assert "1 sample of the cube's surface has no colour" in said(lost)
