"""Contrast by boxes: which readings belong together, and which side is which."""

import pytest

from tests.readings.light_readings import BLACK, WHITE, reading
from tests.readings.made_readings import found, only, said


def surround(number, role, luminance, of, area=10.0, centre=BLACK):
    around = WHITE if centre == BLACK else BLACK
    return reading(
        number,
        role,
        luminance,
        kind="surround",
        of=of,
        inks={"level": centre, "surround": around},
        facts={"centre_area_percent": area},
    )


def corner(number, role, luminance, of, area=4.0, **parameters):
    return reading(
        number,
        role,
        luminance,
        kind="corner-boxes",
        of=of,
        parameters=parameters,
        inks={"level": WHITE, "background": BLACK},
        facts={"box_area_percent": area},
    )


def test_each_geometry_has_the_mean_of_its_lit_places_over_that_of_its_dark_ones():
    finding = only(
        "box-contrast",
        [
            surround(1, "surround-dark", 0.05, "centre"),
            surround(2, "surround-lit", 110.0, "above"),
            surround(3, "surround-lit", 130.0, "left"),
            surround(4, "surround-dark", 0.08, "centre", area=4.0),
            corner(5, "corner-boxes-dark", 0.01, "centre"),
            corner(6, "corner-boxes-lit", 100.0, "top left"),
        ],
    )
    contrasts = {
        (v.where["geometry"], v.where["area_percent"]): v.value
        for v in finding.values
        if v.name == "box-contrast-as-read"
    }
    assert contrasts == {
        ("black-in-white", 10.0): pytest.approx(2400.0),
        ("lit-corners", 4.0): pytest.approx(10000.0),
    }
    assert len(finding.series[0].rows) == 3
    assert finding.series[0].column("contrast")[1].value is None


def test_a_white_centre_in_black_is_another_geometry():
    finding = only(
        "box-contrast",
        [
            surround(1, "reverse-lit", 100.0, "centre", centre=WHITE),
            surround(2, "reverse-dark", 0.02, "above", centre=WHITE),
            surround(3, "reverse-dark", 0.03, "left", centre=WHITE),
        ],
    )
    assert finding.value("box-contrast-as-read").value == pytest.approx(4000.0)
    assert finding.values[0].where["geometry"] == "white-in-black"


def test_ebu_boxes_set_the_centre_against_the_four_squares():
    inks = {"grey": (126, 126, 126), "black": BLACK, "white": WHITE}
    squares = ["top square", "left square", "right square", "bottom square"]
    readings = [
        reading(n, "ebu-1", light, kind="ebu-boxes", of=of, inks=inks, facts={"pattern": "EBU_1"})
        for n, (of, light) in enumerate(
            [("centre", 120.0), *zip(squares, (0.04, 0.06, 0.05, 0.05), strict=True)], 1
        )
    ]
    finding = only("box-contrast", readings)
    value = finding.values[0]
    assert (value.label, value.where) == ("Contrast, EBU_1", {"geometry": "ebu-1"})
    assert finding.value("box-contrast-as-read").value == pytest.approx(2400.0)


def test_the_codes_say_which_side_is_dark_and_not_the_role():
    finding = only(
        "box-contrast",
        [
            corner(1, "corner-boxes-lit", 0.01, "centre", edges=True),
            corner(2, "corner-boxes-lit", 100.0, "top left", edges=True),
        ],
    )
    assert finding.value("box-contrast-as-read").value == pytest.approx(10000.0)
    assert "the codes count" in said(finding)


def test_a_black_of_nothing_makes_a_lower_bound_by_the_floor():
    finding = only(
        "box-contrast",
        [
            surround(1, "surround-dark", 0.0, "centre"),
            surround(2, "surround-lit", 100.0, "above"),
        ],
    )
    least = finding.value("box-contrast")
    assert (least.bound, least.value) == ("lower", pytest.approx(100 / 0.002))


def test_a_picture_without_codes_is_told_and_has_no_contrast():
    nothing = surround(1, "surround-dark", 0.1, "centre")
    assert found("box-contrast", [nothing, reading(2, "white", 100.0)])
    lost = reading(1, "surround-dark", 0.1, kind="surround", of="centre", inks={})
    finding = only("box-contrast", [lost])
    assert finding.values[0].written() == "undefined"
    assert "do not say which codes were under the meter" in said(finding)


def test_lit_places_alone_have_no_contrast():
    finding = only("box-contrast", [surround(1, "surround-lit", 100.0, "top left")])
    assert finding.values[0].written() == "undefined"
    assert "Of no picture a dark place was read" in said(finding)
