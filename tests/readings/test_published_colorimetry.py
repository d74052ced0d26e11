"""Colorimetry of readings gives the published numbers, and those of colour-science."""

import csv
from pathlib import Path

import numpy as np
import pytest

from patterns.signal.transfer.bt1886 import light_between
from readings.colorimetry.chromaticity import D65, uv_of, xy_of, xyz_of
from readings.colorimetry.difference import (
    delta_e_2000,
    delta_e_itp,
    ictcp_of,
    lab_of,
    lightness_chroma_hue,
)
from readings.colorimetry.temperature import temperature, temperature_drawn

DATA = Path(__file__).parents[1] / "data"
WHITE = xyz_of(100.0, D65)
BT2020 = np.array(
    [
        [0.6369580483, 0.1446169036, 0.1688809752],
        [0.2627002120, 0.6779980715, 0.0593017165],
        [0.0, 0.0280726930, 1.0609850577],
    ]
)
"""RGB to XYZ, computed at 10 decimals from Rec. ITU-R BT.2020-2, table 3."""


def rows(name):
    lines = (DATA / f"{name}.csv").read_text("utf-8").splitlines()
    assert any(line.startswith("# document: ") for line in lines)
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def numbers(row, *names):
    return np.array([float(row[name]) for name in names])


@pytest.fixture
def random():
    return np.random.default_rng(2031)


@pytest.mark.parametrize("row", rows("bt1886_luminance"), ids=str)
def test_a_target_of_bt1886_is_that_of_the_table(row):
    white, black, percent, light = numbers(row, "white", "black", "percent", "cd_m2")
    assert light_between(percent / 100, white, black) == pytest.approx(light, abs=5.1e-7)


def test_bt1886_agrees_with_colour_science_on_1000_random_displays(random):
    from colour.models import eotf_BT1886

    white = random.uniform(50, 1000, 1000)
    black = random.uniform(0, 1, 1000) ** 3
    signal = random.uniform(0, 1.09, 1000)
    expected = [eotf_BT1886(*each) for each in zip(signal, black, white, strict=True)]
    assert light_between(signal, white, black) == pytest.approx(np.array(expected), rel=1e-12)


def test_a_black_that_is_no_black_has_no_target():
    assert np.isnan(light_between(0.5, [100.0, 100.0, np.nan], [100.0, -0.1, 0.0])).all()


@pytest.mark.parametrize("row", rows("uv_cct_duv"), ids=lambda row: row["name"])
def test_chromaticity_and_temperature_of_illuminants_are_those_of_the_table(row):
    xy = numbers(row, "x", "y")
    assert uv_of(xy) == pytest.approx(numbers(row, "u", "v"), abs=5.1e-9)
    kelvin, duv = temperature(xy)
    assert kelvin == pytest.approx(float(row["ohno_cct"]), abs=0.01)
    assert duv == pytest.approx(float(row["ohno_duv"]), abs=1e-6)
    if row["exact_cct"]:
        assert kelvin == pytest.approx(float(row["exact_cct"]), abs=0.5)
        assert duv == pytest.approx(float(row["exact_duv"]), abs=2e-6)


def test_the_duv_of_d65_is_no_zero():
    assert temperature(D65)[1] == pytest.approx(0.0032, abs=5e-5)


def test_a_colour_far_from_every_black_body_has_no_temperature():
    far = [(0.0, 0.25), (0.15, 0.06), (0.3, 0.6), (0.74, 0.26), (np.nan, 0.3)]
    assert np.isnan(temperature(far)).all()


def test_drawn_temperatures_go_as_ohnos_method_does(random):
    points = np.array([[0.3127, 0.3290], [0.28, 0.29], [0.44, 0.40]])
    drawn = points + random.uniform(-0.003, 0.003, (40, 3, 2))
    apart = temperature(drawn) - temperature_drawn(points, drawn)[1]
    moved = np.abs(temperature(drawn) - temperature(points)).max(0)
    assert (np.abs(apart).max(0) < 0.04 * moved).all()


def test_uv_agrees_with_colour_science_on_1000_random_colours(random):
    from colour.models import xy_to_Luv_uv

    xy = random.uniform(0.05, 0.6, (1000, 2))
    assert uv_of(xy) == pytest.approx(xy_to_Luv_uv(xy), rel=1e-12)


def test_light_and_chromaticity_make_xyz_and_come_back(random):
    xy, light = random.uniform(0.05, 0.5, (1000, 2)), random.uniform(0.001, 10_000, 1000)
    xyz = xyz_of(light, xy)
    assert xyz[:, 1] == pytest.approx(light)
    assert xy_of(xyz) == pytest.approx(xy, rel=1e-12)
    assert np.isnan(xy_of([0.0, 0.0, 0.0])).all()


@pytest.mark.parametrize("row", rows("ciede2000_pairs"), ids=lambda row: row["pair"])
def test_sharmas_pairs(row):
    from colour.models import Lab_to_XYZ

    labs = [numbers(row, *(f"{axis}{n}" for axis in "lab")) for n in (1, 2)]
    first, second = (100 * Lab_to_XYZ(lab, np.array(D65)) for lab in labs)
    found = float(delta_e_2000(first, second, WHITE))
    expected = {row["delta_e"]}
    if row["pair"] in {"10", "14"}:  # hues 180 degrees apart: rounding decides which way round
        expected |= {"7.2195"} if row["pair"] == "10" else {"4.7461"}
    assert f"{found:.4f}" in expected


@pytest.mark.parametrize("row", rows("ictcp_points"), ids=str)
def test_ictcp_is_that_of_the_table(row):
    xyz = BT2020 @ numbers(row, "r", "g", "b")
    assert ictcp_of(xyz) == pytest.approx(numbers(row, "i", "ct", "cp"), abs=2e-8)


@pytest.mark.parametrize("row", rows("delta_e_itp"), ids=str)
def test_delta_e_itp_is_that_of_the_table(row):
    first, second = (BT2020 @ numbers(row, *(f"{each}{n}" for each in "rgb")) for n in (1, 2))
    assert delta_e_itp(first, second) == pytest.approx(float(row["delta_e"]), rel=2e-6)


def test_delta_e_itp_of_the_worked_pair():
    """Colour-science's worked value for Rec. ITU-R BT.2124, second-hand."""
    from colour.models import ICtCp_to_RGB

    pair = [
        (0.4885468072, -0.04739350675, 0.07475401302),
        (0.4899203231, -0.04567508203, 0.07361341775),
    ]
    first, second = (BT2020 @ ICtCp_to_RGB(np.array(each)) for each in pair)
    assert delta_e_itp(first, second) == pytest.approx(1.42657228246, rel=1e-5)


def test_delta_e_itp_agrees_with_colour_science_on_1000_random_pairs(random):
    from colour.difference import delta_E_ITP
    from colour.models import RGB_to_ICtCp

    rgb = random.uniform(0, 1, (2, 1000, 3)) ** 3 * 4000
    expected = delta_E_ITP(RGB_to_ICtCp(rgb[0]), RGB_to_ICtCp(rgb[1]))
    assert delta_e_itp(*(rgb @ BT2020.T)) == pytest.approx(expected, rel=1e-5)


def by_hand(x, y, luminance):
    """I, T, P of BT.2124 of one colour, by the formulas of BT.2100 alone, with nothing cut."""
    xyz = np.array([x / y, 1, (1 - x - y) / y]) * luminance
    red, green, blue = np.linalg.inv(BT2020) @ xyz
    lms = (
        (1688 * red + 2146 * green + 262 * blue) / 4096,
        (683 * red + 2951 * green + 462 * blue) / 4096,
        (99 * red + 309 * green + 3688 * blue) / 4096,
    )
    coded = []
    for light in lms:
        root = (abs(light) / 10_000) ** (2610 / 16384)
        pq = ((3424 + 2413 * 32 * root) / (4096 + 2392 * 32 * root)) ** (2523 / 32)
        coded.append(pq if light >= 0 else -pq)
    one, two, three = coded
    return np.array(
        [
            (one + two) / 2,
            (6610 * one - 13613 * two + 7003 * three) / 8192,
            (17933 * one - 17390 * two - 543 * three) / 4096,
        ]
    )


def xyz_by_hand(x, y, luminance):
    return np.array([x / y, 1, (1 - x - y) / y]) * luminance


@pytest.mark.parametrize(
    ("luminance", "uncut", "cut"), [(26.27, 4.3068, 1.0409), (100, 4.8891, 1.2340)]
)
def test_delta_e_itp_of_a_red_outside_bt2020_is_not_cut(luminance, uncut, cut):
    from colour.difference import delta_E_ITP
    from colour.models import RGB_to_ICtCp

    seen, aim = (xyz_by_hand(*xy, luminance) for xy in ((0.7100, 0.2895), (0.708, 0.292)))
    assert delta_e_itp(seen, aim) == pytest.approx(uncut, abs=1e-4)
    rgb = np.linalg.inv(BT2020) @ np.array([seen, aim]).T
    assert rgb[1, 0] < 0
    # colour-science takes what is below 0 through the matrix as it is; L, M and S are above 0 here
    outside = delta_E_ITP(*RGB_to_ICtCp(rgb.T))
    assert delta_e_itp(seen, aim) == pytest.approx(outside, rel=1e-6)
    within = delta_E_ITP(*RGB_to_ICtCp(np.maximum(rgb.T, 0)))
    assert within == pytest.approx(cut, abs=1e-4)


def test_ictcp_outside_bt2020_is_that_of_the_formulas_and_of_colour_science(random):
    from colour.models import RGB_to_ICtCp

    x = random.uniform(0.02, 0.74, 2000)
    y = random.uniform(0.02, 0.85, 2000)
    light = 10 ** random.uniform(-2, 3, 2000)
    fine = x + y < 1
    points = list(zip(x[fine], y[fine], light[fine], strict=True))
    xyz = np.array([xyz_by_hand(*each) for each in points])
    expected = np.array([by_hand(*each) for each in points]) * [1, 2, 1]
    assert ictcp_of(xyz) == pytest.approx(expected, abs=1e-7)
    rgb = xyz @ np.linalg.inv(BT2020).T
    lms = rgb @ np.array([[1688, 683, 99], [2146, 2951, 309], [262, 462, 3688]]) / 4096
    above = (lms > 0).all(-1)
    assert (rgb[above] < 0).any(-1).sum() > 500
    assert ictcp_of(xyz[above]) == pytest.approx(RGB_to_ICtCp(rgb[above]), abs=1e-7)
    assert (~above).any()  # there colour-science's power of less than 0 leaves every scale


def test_less_than_no_light_is_as_far_below_as_light_is_above(random):
    xyz = random.uniform(1, 1000, (100, 3))
    assert ictcp_of(-xyz) == pytest.approx(-ictcp_of(xyz), abs=1e-9)


def test_lightness_chroma_and_hue_make_up_the_difference_of_1976(random):
    xyz, target = random.uniform(0.5, 100, (2, 1000, 3))
    parts = lightness_chroma_hue(xyz, target, WHITE)
    apart = lab_of(xyz, WHITE) - lab_of(target, WHITE)
    assert (parts**2).sum(-1) == pytest.approx((apart**2).sum(-1), rel=1e-9)


def test_a_hue_turned_towards_yellow_from_red_is_a_positive_difference():
    from colour.models import Lab_to_XYZ

    red, orange = (100 * Lab_to_XYZ(np.array(lab), np.array(D65)) for lab in
                   ((50, 60, 0), (50, 60, 10)))  # fmt: skip
    assert lightness_chroma_hue(orange, red, WHITE)[2] > 9
    assert lightness_chroma_hue(red, orange, WHITE)[2] < -9
