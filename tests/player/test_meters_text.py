"""What a program printed is read as it was meant, or refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from player.meters.base import MeterError, MeterReading
from player.meters.text import parse_reading

D65 = (0.3127, 0.3290)


def values(text: str, order=None) -> tuple[float | None, float | None, float | None]:
    reading = parse_reading(text, order)[0]
    assert reading.raw == text.strip()
    return reading.luminance, reading.x, reading.y


@pytest.mark.parametrize(
    "text",
    [
        "XYZ 190.0939 200 217.8116",
        "XYZ: 190.0939, 200, 217.8116",
        "X=190.0939 Y=200 Z=217.8116",
        "X: 190.0939 Y: 200.0 Z: 217.8116",
        "Z 217.8116 X 190.0939 Y 200",
        "190.0939 200 217.8116",
        "190,0939 200,0 217,8116",
        "190,0939; 200,0; 217,8116",
        "190.0939,200.0,217.8116",
        "190.0939, 200, 217.8116\n",
        "1.900939e2\t2e2\t2.178116E+2",
        '{"X": 190.0939, "Y": 200, "Z": 217.8116}',
        '{\n  "X": 190.0939,\n  "Y": 200,\n  "Z": 217.8116\n}\n',
        "Yxy 200 0.3127 0.3290",
        "Yxy 200,0 0,3127 0,3290 ",
        "xyY 0.3127 0.3290 200",
        "x 0.3127 y 0.3290 Y 200",
        "Y: 200 cd/m2 x: 0.3127 y: 0.3290",
        "200.0 0.3127 0.3290",
        "warming up\nready\n200.0 0.3127 0.3290\n\n",
        '{"Y": 200.0, "x": 0.3127, "y": 0.3290, "time": "12:00"}',
        'ready\n{"Y": 200.0, "x": 0.3127, "y": 0.3290}',
    ],
)
def test_a_reading_is_understood(text: str):
    luminance, x, y = values(text)
    assert luminance == 200
    assert (round(x or 0, 4), round(y or 0, 4)) == D65


@pytest.mark.parametrize(
    "text", ["0,0213", "0.0213", "Y 0.0213", "Y=0,0213 cd/m2", '{"Y": 0.0213}']
)
def test_luminance_alone_is_a_reading(text: str):
    assert values(text) == (0.0213, None, None)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("XYZ 0.3 0.31 0.33", (0.31, 0.3191, 0.3298)),
        ("Yxy 0.3 0.31 0.33", (0.3, 0.31, 0.33)),
        ("xyY 0.31 0.33 0.3", (0.3, 0.31, 0.33)),
    ],
)
def test_a_label_counts_in_dim_light_too(text: str, order: tuple[float, ...]):
    assert [round(value or 0, 4) for value in values(text)] == list(order)


@pytest.mark.parametrize("text", ["0.3 0.31 0.33", "0.05 0.06 0.08", "1,0 0,31 0,33"])
def test_bare_numbers_that_can_be_either_are_refused(text: str):
    with pytest.raises(MeterError, match="can be X Y Z or Y x y: let it print a label"):
        parse_reading(text)


def test_a_clear_reading_settles_the_order_for_dim_ones():
    _, order = parse_reading("95.0 100.0 108.9")
    assert order == "XYZ"
    assert values("0.05 0.06 0.08", order)[0] == 0.06
    _, order = parse_reading("100.0 0.31 0.33")
    assert order == "Yxy"
    assert values("0.05 0.31 0.33", order) == (0.05, 0.31, 0.33)


def test_an_order_that_is_known_counts_in_dim_light():
    assert values("0.31 0.33 0.3", "xyY") == (0.3, 0.31, 0.33)


@pytest.mark.parametrize(
    ("text", "order", "said"),
    [
        ("100.0 0.3127 0.329", "XYZ", "looks like Y x y after readings in X Y Z"),
        ("95.0 100.0 108.9", "Yxy", "is no chromaticity"),
    ],
)
def test_a_change_of_order_is_noticed(text: str, order, said: str):
    with pytest.raises(MeterError, match=said):
        parse_reading(text, order)


@pytest.mark.parametrize("text", ["Yxy 0.0004 0 0", "Yxy 0.0004 -0.2 0.5", "Yxy 0.0004 0.8 0.7"])
def test_an_impossible_chromaticity_is_left_out_in_the_dark(text: str):
    assert values(text) == (0.0004, None, None)


def test_a_dark_reading_below_zero_keeps_its_sign_and_has_no_colour():
    assert values("XYZ -0.0002 -0.0001 0.0003") == (-0.0001, None, None)


@pytest.mark.parametrize("text", ["Y -0.1", "XYZ 2 -0.1 -0.1", "Yxy -0.1 0 0"])
def test_what_a_meters_own_dark_may_leave_is_a_reading(text: str):
    assert values(text) == (-0.1, None, None)


def test_a_saturated_light_may_have_a_little_less_than_no_blue():
    reading = parse_reading("XYZ 210 100 -4.5")[0]
    assert (reading.luminance, reading.tristimulus) == (100, (210, 100, -4.5))
    # its x and y are 210 and 100 of 305.5: 1.0147 together
    assert (reading.x, reading.y) == (pytest.approx(0.687398), pytest.approx(0.327332))
    assert reading.derivation is None


def test_less_than_no_blue_by_more_than_the_meter_errs_has_no_colour_and_says_so():
    reading = parse_reading("XYZ 210 100 -4.5", room=0.004)[0]
    assert (reading.luminance, reading.x, reading.tristimulus) == (100, None, (210, 100, -4.5))
    assert reading.derivation.outside == pytest.approx(0.007365, abs=1e-6)
    assert "no x and y: those of X, Y, Z lie 0.0074 beyond any light's" in str(reading.derivation)


@pytest.mark.parametrize(
    "text", ["Yxy 22.4 0.684 0.321", "22.4 0.684 0.321", "Y=22,4 x=,684 y=,321"]
)
def test_a_red_of_which_x_and_y_are_a_little_more_than_one_is_read_whole(text: str):
    assert values(text) == (22.4, 0.684, 0.321)
    with pytest.raises(MeterError, match=r"0\.684"):
        parse_reading(text, room=0.002)


@pytest.mark.parametrize("text", ["Y 1e-320", "Y -5e-324", "Yxy 9e-10 0.3 0.3", "XYZ 0 1e-300 0"])
def test_what_no_meter_tells_from_zero_is_zero(text: str):
    assert values(text) == (0.0, None, None)


def test_a_dark_reading_of_nothing_is_zero():
    assert values("0 0 0", "XYZ") == (0, None, None)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "printed nothing"),
        (" \n\t\n", "printed nothing"),
        ("no instrument", "'no instrument', which is no reading"),
        ("1 2", "which is no reading"),
        ("1 2 3 4", "which is no reading"),
        ("XYZ 1 2", "which is no reading"),
        ("Yxy 1 2 3 4", "which is no reading"),
        ("1,234.5 2 3", "which is no reading"),
        ("1.2.3 4 5", "which is no reading"),
        ("nan 1 2", "which is no reading"),
        ("XYZ 1e999 1 1", "which is no reading"),
        ("X=1 X=2 Y=3", "which is no reading"),
        ("X=1 Y=2", "lacks a part of X Y Z or Y x y"),
        ("x=0.3 y=0.3", "lacks a part"),
        ("Y=10 x=0.3", "lacks a part"),
        ("Yxy 100 0.8 0.7", "x 0.8, y 0.7, which is no chromaticity"),
        ("Yxy 100 0.3 0", "is no chromaticity"),
        ("Yxy 100 0.3 1e-300", "y 1e-300, which is no chromaticity"),
        ("XYZ 1e6 100 1", "which is no chromaticity"),
        ("Y -5", "gave -5 cd/m2, which is no light: noise and a meter's own dark take a reading"),
        ("-0.11", "gave -0.11 cd/m2, which is no light"),
        ("Y 1e308", r"gave 1e\+308 cd/m2, which is no light: it is brighter than the sun's disc"),
        ('{"Y": 1.1e9}', "brighter than the sun's disc"),
        ("XYZ 95 100 1e308", r"gave Z 1e\+308, which is no light: it is brighter than the sun's"),
        ("XYZ -5000 100 108", "gave X -5000, which is no light: beside Y 100 it is -5.1 or more"),
        ("0.001 0.0001 0.9", "which is no reading"),
        ("{", "broken JSON"),
        ("{" * 100_000, "broken JSON"),
        ("{}", "lacks a part"),
        ('{"Y": "100"}', "gave Y as '100': no number"),
        ('{"Y": true}', "gave Y as 'True': no number"),
        ('{"Y": [1]}', "no number"),
        ('{"Y": NaN}', "gave nan"),
        ('{"Y": Infinity}', "gave inf"),
        ('{"Y": 1' + "0" * 400 + "}", "far too large"),
        ("X1," * 20_000 + "!", "which is no reading"),
        ("1" * 900, "gave inf"),
        ("0" * 999 + "55", "a line of more than 1000 characters, which is no reading"),
        ("9" * 80 + " abc", r"9\.\.\.', which is no reading"),
    ],
)
def test_what_is_no_reading_is_refused_in_one_sentence(text: str, said: str):
    with pytest.raises(MeterError, match=said) as caught:
        parse_reading(text)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 300


@given(st.text(max_size=80))
def test_any_text_gives_a_reading_or_a_meter_error(text: str):
    try:
        reading, _ = parse_reading(text)
    except MeterError:
        return
    assert isinstance(reading, MeterReading)
    assert reading.luminance is not None


@given(
    st.floats(0.0, 10_000).map(lambda value: round(value, 4)),
    st.floats(0.05, 0.6).map(lambda value: round(value, 4)),
    st.floats(0.05, 0.35).map(lambda value: round(value, 4)),
    st.booleans(),
)
def test_labelled_numbers_come_back_as_printed(luminance: float, x: float, y: float, comma: bool):
    text = f"Yxy {luminance:.4f} {x:.4f} {y:.4f}"
    assert values(text.replace(".", ",") if comma else text) == (luminance, x, y)
