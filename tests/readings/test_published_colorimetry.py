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
