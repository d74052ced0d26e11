"""The menu of a simulated display does what its controls say, and nothing while nobody turns."""

from itertools import pairwise

import numpy as np
import pytest

from patterns.control import Control
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.simulated import (
    DisplayParameters,
    SimulatedDisplay,
    SimulatedError,
    load_display,
    parse_display,
    shipped_menus,
)
from player.simulated.parameters import Gamut
from readings.colorimetry.difference import delta_e_2000
from sequences.controls import load_controls

CANVAS = Canvas(128, 72)
SDR, PQ = named_signal("sdr8"), named_signal("pq10")
LUMINANCES = np.array([0.2126390058715104, 0.7151686787677559, 0.0721923153607337])
"""Of the primaries of BT.709 with D65 as white, together 1: Rec. ITU-R BT.709-6, item 1.4."""


def control(does: str, click: float, **said: object) -> dict[str, object]:
    menu = {"lowest": -50, "highest": 50, "step": 1, "found": 0}
    return {"name": does, "does": does, "click": click} | menu | said


def display(*controls: dict[str, object], **changes: object) -> SimulatedDisplay:
    plain = {
        "name": "plain",
        "peak": 1000,
        "responses": {"bt1886": {"white": 400, "exponent": 2}, "pq": {"white": 1000}},
        "light": {"kind": "emissive"},
        "time": {"settle": 0},
        "controls": list(controls),
    }
    return SimulatedDisplay(DisplayParameters.model_validate(plain | changes))


def field(*percent: float, signal=SDR) -> Frame:
    channels = dict(zip("rgb", (f"{each} %" for each in percent), strict=False))
    level = channels if len(percent) == 3 else f"{percent[0]} %"
    return KINDS["field"].model_validate({"level": level}).frame(CANVAS, signal)


def light(screen: SimulatedDisplay, *percent: float, signal=SDR) -> list[float]:
    """Light of red, green, blue, cd/m2 of white with that channel."""
    screen.show(field(*percent, signal=signal))
    xyz = screen.light_at(0.5, 0.5, 5)
    return [float(each) for each in np.linalg.solve(Gamut().to_xyz, xyz)]


def test_a_gain_multiplies_the_signal_of_its_channel():
    screen = display(control("gain", 0.01, channel="red"))
    screen.turn("gain", -20)
    assert light(screen, 20) == pytest.approx([400 * (0.2 * 0.8) ** 2, 16, 16])
    assert light(screen, 100) == pytest.approx([400 * 0.8**2, 400, 400])


def test_an_offset_lifts_the_signal_and_fades_towards_white():
    screen = display(control("offset", 0.001, channel="blue"))
    screen.turn("offset", 50)
    assert light(screen, 0) == pytest.approx([0, 0, 400 * 0.05**2], abs=1e-9)
    assert light(screen, 20) == pytest.approx([16, 16, 400 * (0.2 + 0.05 * 0.8) ** 2])
    assert light(screen, 100) == pytest.approx([400, 400, 400])


def test_a_point_is_a_hat_between_its_neighbours():
    points = [
        control("point", 0.002, channel="green", level=level, name=f"{level} %")
        for level in (20, 60, 80)
    ]
    screen = display(*points)
    screen.turn("60 %", 10)
    adds = {0: 0, 20: 0, 40: 0.01, 60: 0.02, 80: 0, 100: 0}
    for level, add in adds.items():
        expected = 400 * (level / 100 + add) ** 2
        assert light(screen, level)[1] == pytest.approx(expected, abs=1e-9)


def test_the_outermost_points_fade_to_black_and_to_white():
    points = [
        control("point", 0.002, channel="red", level=level, name=f"{level} %") for level in (40, 80)
    ]
    screen = display(*points)
    screen.turn("40 %", 10)
    screen.turn("80 %", 20)
    adds = {0: 0, 20: 0.01, 40: 0.02, 60: 0.03, 80: 0.04, 100: 0}
    for level, add in adds.items():
        expected = 400 * (level / 100 + add) ** 2
        assert light(screen, level)[0] == pytest.approx(expected, abs=1e-9)


def test_a_point_at_100_percent_moves_white():
    screen = display(control("point", 0.002, channel="red", level=100, name="100 %"))
    screen.turn("100 %", -50)
    assert light(screen, 100)[0] == pytest.approx(400 * 0.9**2)
    assert light(screen, 20)[0] == pytest.approx(400 * (0.2 - 0.1 * 0.2) ** 2)


def test_a_channel_at_its_ceiling_gives_no_more():
    screen = display(control("gain", 0.01, channel="red"))
    screen.turn("gain", 10)
    assert light(screen, 100) == pytest.approx([400, 400, 400])
    assert light(screen, 80)[0] == pytest.approx(400 * 0.88**2)


def test_the_backlight_scales_all_light_up_to_what_the_display_can_give():
    screen = display(control("backlight", 0.02, lowest=-40, highest=100))
    screen.turn("backlight", -20)
    assert light(screen, 100) == pytest.approx([240] * 3)
    assert light(screen, 20) == pytest.approx([0.6 * 16] * 3)
    screen.turn("backlight", 100)
    assert light(screen, 100) == pytest.approx([1000] * 3)


def test_the_backlight_scales_the_light_and_the_black_of_a_zoned_display():
    zones = {
        "kind": "zoned",
        "contrast": 1000,
        "columns": 4,
        "rows": 2,
        "dimming": False,
        "halos": [{"radius": 20, "share": 1.0}],
    }
    screen = display(control("backlight", 0.02, lowest=-40), light=zones)
    screen.turn("backlight", -25)
    assert light(screen, 100) == pytest.approx([200] * 3)
    assert light(screen, 0) == pytest.approx([0.2] * 3)


def test_a_preset_changes_the_exponent():
    screen = display(control("preset", 0.1, lowest=-5, highest=5))
    screen.turn("preset", 4)
    assert light(screen, 20) == pytest.approx([400 * 0.2**2.4] * 3)
    assert light(screen, 100) == pytest.approx([400] * 3)


def test_with_pq_a_preset_bends_the_signal_by_the_same_power():
    screen = display(control("preset", 0.12, lowest=-5, highest=5))
    screen.turn("preset", 2)
    # 50 % is code 502, and 0.5 ** (2.64 / 2.4) = 0.4665 lies between codes 472 and 473
    bent = light(screen, 50, signal=PQ)[0]
    below, above = (light(display(), (code - 64) / 8.76, signal=PQ)[0] for code in (472, 473))
    assert below < bent < above


PURE = {
    "red": (100, 0, 0),
    "yellow": (100, 100, 0),
    "green": (0, 100, 0),
    "cyan": (0, 100, 100),
    "blue": (0, 0, 100),
    "magenta": (100, 0, 100),
}


@pytest.mark.parametrize("colour", PURE)
def test_brightness_scales_its_colour_and_no_other(colour: str):
    screen = display(control("brightness", 0.01, channel=colour))
    screen.turn("brightness", -30)
    for other, levels in PURE.items():
        share = 0.7 if other == colour else 1.0
        expected = [400 * share * level / 100 for level in levels]
        assert light(screen, *levels) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("colour", PURE)
def test_less_saturation_goes_towards_the_grey_of_the_same_luminance(colour: str):
    screen = display(control("saturation", 0.01, channel=colour))
    screen.turn("saturation", -40)
    unit = np.array(PURE[colour]) / 100
    grey = float(LUMINANCES @ unit)
    expected = 400 * (grey + 0.6 * (unit - grey))
    assert light(screen, *PURE[colour]) == pytest.approx(list(expected), abs=1e-6)


@pytest.mark.parametrize(
    ("colour", "clicks", "expected"),
    [
        ("red", 25, (1, 0.25, 0)),
        ("red", -25, (1, 0, 0.25)),
        ("yellow", 25, (0.75, 1, 0)),
        ("yellow", -25, (1, 0.75, 0)),
        ("cyan", 25, (0, 0.75, 1)),
        ("magenta", 25, (1, 0, 0.75)),
        ("magenta", -25, (0.75, 0, 1)),
    ],
)
def test_hue_goes_towards_the_next_colour(
    colour: str, clicks: int, expected: tuple[float, float, float]
):
    screen = display(control("hue", 0.01, channel=colour))
    screen.turn("hue", clicks)
    got = light(screen, *PURE[colour])
    assert got == pytest.approx([400 * each for each in expected], abs=1e-6)


def test_six_colour_controls_leave_greys_and_go_over_smoothly():
    controls = [
        control(does, 0.01, channel=colour, name=f"{colour} {does}")
        for colour in PURE
        for does in ("hue", "saturation", "brightness")
    ]
    screen = display(*controls)
    for at, each in enumerate(controls):
        screen.turn(str(each["name"]), (-1) ** at * (5 + at))
    for level in (0, 20, 100):
        assert light(screen, level) == pytest.approx([400 * (level / 100) ** 2] * 3, abs=1e-6)
    # round the wheel by one code after the other, no light jumps
    path = [(255, code, 0) for code in range(256)] + [(code, 255, 0) for code in range(254, -1, -1)]
    lights = [light(screen, *(100 * code / 255 for code in codes)) for codes in path[::15]]
    steps = [np.abs(np.subtract(one, other)).max() for one, other in pairwise(lights)]
    assert max(steps) < 400 * 0.15


def test_a_mixed_colour_is_its_grey_its_primary_and_its_secondary():
    screen = display(
        control("brightness", 0.01, channel="red", name="red"),
        control("brightness", 0.01, channel="yellow", name="yellow"),
    )
    screen.turn("red", -50)
    screen.turn("yellow", 50)
    # linear 0.64, 0.36, 0.04: grey 0.04, yellow 0.32, red 0.28; 400 cd/m2
    got = light(screen, 80, 60, 20)
    assert got == pytest.approx([400 * (0.04 + 0.48 + 0.14), 400 * (0.04 + 0.48), 16], abs=1e-6)


def test_controls_of_one_kind_add_up_in_the_signal():
    screen = display(
        control("gain", 0.01, channel="red", name="Red gain"),
        control("offset", 0.001, channel="red", name="Red offset"),
        control("point", 0.001, channel="red", level=20, name="Red 20 %"),
    )
    for name in ("Red gain", "Red offset", "Red 20 %"):
        screen.turn(name, -10)
    assert light(screen, 20)[0] == pytest.approx(400 * (0.18 - 0.008 - 0.01) ** 2)


def test_a_reversed_control_and_one_that_does_nothing():
    screen = display(
        control("gain", -0.01, channel="red", name="Red gain"),
        control("gain", 0, channel="green", name="Green gain"),
    )
    screen.turn("Red gain", 10)
    screen.turn("Green gain", 10)
    assert light(screen, 20) == pytest.approx([400 * 0.18**2, 16, 16])


def test_nothing_changes_while_nobody_turns():
    wall = load_display("lobby-wall")
    without = SimulatedDisplay(wall.model_copy(update={"controls": []}))
    found = SimulatedDisplay(wall)
    turned_back = SimulatedDisplay(wall)
    for each in turned_back.controls:
        turned_back.turn(each.name, each.value(3))
        turned_back.turn(each.name, each.found)
    canvas = Canvas(640, 360)
    for signal in (SDR, PQ):
        for pattern in (
            KINDS["ramp"].model_validate({}),
            KINDS["window"].model_validate(
                {"level": {"r": "70 %", "g": "40 %", "b": "20 %"}, "area": "10 %"}
            ),
        ):
            seen = []
            for screen in (without, found, turned_back):
                screen.show(pattern.frame(canvas, signal))
                screen.wait(1)
                seen.append(screen.light_map()[1].tobytes())
            assert seen[0] == seen[1] == seen[2]


def test_turning_shows_the_picture_anew_and_its_light_settles():
    screen = display(control("gain", 0.01, channel="green"), time={"settle": 1.0})
    screen.show(field(100))
    screen.wait(60)
    before = screen.light_at(0.5, 0.5, 5)[1]
    screen.turn("gain", -50)
    assert screen.light_at(0.5, 0.5, 5)[1] == pytest.approx(before)
    screen.wait(np.log(2))
    half = screen.light_at(0.5, 0.5, 5)[1]
    screen.wait(60)
    after = screen.light_at(0.5, 0.5, 5)[1]
    assert half == pytest.approx((before + after) / 2)
    assert after == pytest.approx(400 * (1 - LUMINANCES[1] * 0.75), rel=1e-4)


def test_turning_keeps_the_dimming_and_dimming_keeps_what_was_turned():
    screen = SimulatedDisplay(load_display("lobby-wall"))
    screen.turn("Backlight", 30)
    screen.dimming = False
    screen.turn("Red gain", 40)
    assert not screen.dimming
    assert (screen.menu["Backlight"], screen.menu["Red gain"]) == (30, 40)


def test_a_display_tells_its_controls_and_where_they_stand():
    screen = display(control("gain", 0.01, channel="red", name="Red gain"))
    assert screen.controls == (Control("Red gain", "gain", "red", None, -50, 50, 1, 0),)
    assert screen.menu == {"Red gain": 0}
    screen.turn("Red gain", 7)
    assert screen.menu == {"Red gain": 7}
    assert screen.controls[0].found == 0


def test_both_ends_can_be_reached_where_steps_do_not_go_into_the_range():
    screen = display(control("gain", 0.01, channel="red", lowest=-7, highest=8, step=5))
    for value in (-7, -5, 0, 5, 8):
        screen.turn("gain", value)
        assert screen.menu == {"gain": value}


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("Red gian", 3, "There is no control 'Red gian' in this menu; there are Red gain."),
        ("Red gain", 51, "Red gain goes from -50 to 50, not to 51."),
        ("Red gain", float("nan"), "Red gain goes from -50 to 50, not to nan."),
        ("Red gain", 0.5, "Red gain goes by steps of 1 from 0, and never reads 0.5."),
    ],
)
def test_what_cannot_be_turned_is_said_and_changes_nothing(name: str, value: float, said: str):
    screen = display(control("gain", 0.01, channel="red", name="Red gain"))
    with pytest.raises(SimulatedError) as caught:
        screen.turn(name, value)
    assert str(caught.value) == said
    assert screen.menu == {"Red gain": 0}


def test_a_display_without_a_menu_says_so():
    with pytest.raises(SimulatedError, match=r"there are none at all\.$"):
        display().turn("Red gain", 3)


HEAD = """name: plain
peak: 500
responses: {bt1886: {white: 400}}
light: {kind: emissive}
controls:
"""
RED = "  - {name: Red gain, does: gain, channel: red, lowest: 0, highest: 9, step: 1, found: 5, "


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("  - {name: Red gain}", "line 6:5, controls.0.does: is missing"),
        (RED + "clik: 0.1}", "line 6:90, controls.0.clik: is not known here"),
        (RED + "click: '0.1'}", "line 6:97, controls.0.click: should be a valid number"),
        (RED.replace("found: 5", "found: 10") + "click: 0.1}", "line 6:5, controls.0: Red gain: "),
        (RED.replace("channel: red, ", "") + "click: 0.1}", "line 6:5, controls.0: Red gain: "),
        (
            RED.replace("gain,", "tint,", 2) + "click: 0.1}",
            "line 6:28, controls.0.does: should be 'gain'",
        ),
        (
            RED + "click: 0.5}",
            "Red gain: at 0 its clicks come to -2.5, and a gain goes from -1 to 1",
        ),
        (RED + "click: 0.1}\n" + RED + "click: 0.1}", "two controls are called Red gain"),
        (
            RED + "click: 0.1}\n" + RED.replace("Red gain", "Red drive") + "click: 0.1}",
            "line 6:3, controls: Red gain and Red drive are one control",
        ),
        (
            "  - {name: Tone, does: preset, lowest: 0, highest: 9, step: 1, found: 9, click: 0.3}",
            "the tone preset takes the exponent of bt1886 out of 0.5 to 5",
        ),
    ],
)
def test_what_is_wrong_with_a_menu_is_said_with_its_place(text: str, said: str):
    with pytest.raises(SimulatedError) as caught:
        parse_display(HEAD + text, "here.yaml")
    assert said in str(caught.value)


def wall_errors(screen: SimulatedDisplay) -> list[float]:
    """Delta E 2000 of the greys of 10 to 100 % against a power of 2.4 and D65."""
    white = np.array([0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290])
    seen = {}
    for level in range(10, 101, 10):
        screen.show(field(level))
        screen.wait(30)
        seen[level] = screen.light_at(0.5, 0.5, 5)
    top = seen[100][1]
    return [
        float(delta_e_2000(xyz, top * white * (level / 100) ** 2.4, top * white))
        for level, xyz in seen.items()
    ]


def test_the_lobby_wall_is_off_as_found_and_its_menu_brings_it_to_the_mark():
    screen = SimulatedDisplay(load_display("lobby-wall"))
    screen.dimming = False
    found = wall_errors(screen)
    assert max(found) == pytest.approx(2.2, abs=0.1)
    assert sum(error > 1 for error in found) == 9
    for name, value in {
        "Tone preset": 5,
        "Red gain": 54,
        "Red offset": 45,
        "Green offset": 46,
        "Blue offset": 49,
    }.items():
        screen.turn(name, value)
    assert max(wall_errors(screen)) < 0.35


def test_the_lobby_wall_has_every_menu():
    screen = SimulatedDisplay(load_display("lobby-wall"))
    counts: dict[str, int] = {}
    for each in screen.controls:
        counts[each.menu] = counts.get(each.menu, 0) + 1
    assert counts == {
        "backlight": 1,
        "preset": 1,
        "two-point": 6,
        "multi-point": 30,
        "six-colour": 18,
    }


def test_the_file_of_the_lobby_walls_controls_lists_its_menu_as_found():
    listed = load_controls(shipped_menus()["lobby-wall"])
    screen = SimulatedDisplay(load_display("lobby-wall"))
    assert listed.display == screen.name
    assert listed.controls == screen.controls
