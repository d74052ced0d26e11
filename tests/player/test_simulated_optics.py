"""The light of the simulated display obeys the physics that it claims."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.simulated import DisplayParameters, SimulatedDisplay, SimulatedError, load_display
from tests.player.true_light import (
    settled_luminance,
    true_checkerboard,
    true_contrast,
    true_peaks,
)

CANVAS = Canvas(640, 360)
PQ = named_signal("pq10")
SDR = named_signal("sdr8")
LIGHT = {
    "kind": "zoned",
    "contrast": 2000,
    "columns": 16,
    "rows": 9,
    "halos": [{"radius": 5, "share": 0.7}, {"radius": 30, "share": 0.3}],
}
PLAIN = {
    "name": "plain",
    "peak": 1000,
    "responses": {"pq": {"white": 1000}, "bt1886": {"white": 500}},
    "light": LIGHT,
}
EMISSIVE = PLAIN | {
    "light": {"kind": "emissive"},
    "power": [{"lit": 10, "white": 1000}, {"lit": 100, "white": 200}],
}


def display(base: dict[str, object] = PLAIN, **changes: object) -> DisplayParameters:
    return DisplayParameters.model_validate(base | changes)


def zoned(**changes: object) -> DisplayParameters:
    return display(light=LIGHT | changes)


def frame(kind: str, signal=PQ, canvas: Canvas = CANVAS, **values: object) -> Frame:
    return KINDS[kind].model_validate(values).frame(canvas, signal)


def test_without_dimming_the_sequential_contrast_is_the_panels():
    white, black = true_contrast(zoned(dimming=False), CANVAS, PQ)
    assert white == pytest.approx(1000, rel=1e-9)
    assert white / black == pytest.approx(2000, rel=1e-9)


def test_without_dimming_a_checkerboard_has_the_panels_contrast_too():
    lit, dark = true_checkerboard(zoned(dimming=False), CANVAS, PQ)
    assert lit / dark == pytest.approx(2000, rel=1e-6)


def test_with_dimming_black_gets_darker_by_the_lowest_drive():
    _, black = true_contrast(zoned(lowest=0.01), CANVAS, PQ)
    assert black == pytest.approx(1000 / 2000 * 0.01, rel=1e-9)


def test_with_spread_light_the_checkerboard_has_less_contrast_than_full_screens():
    dimmed = zoned(lowest=0.002)
    white, black = true_contrast(dimmed, CANVAS, PQ)
    lit, dark = true_checkerboard(dimmed, CANVAS, PQ)
    assert 2000 < lit / dark < white / black / 10


def test_wider_halos_take_contrast_from_the_checkerboard():
    dark = [
        true_checkerboard(zoned(halos=[{"radius": radius, "share": 1}]), CANVAS, PQ)[1]
        for radius in (4, 10, 30)
    ]
    assert 10 * dark[0] < dark[1] < dark[2] / 1.5


def test_light_of_a_dark_screen_falls_off_away_from_a_window():
    box = frame("window", area="4 %", at={"x": "25 %", "y": "50 %"})
    places = [settled_luminance(zoned(), box, (x, 0.5)) for x in (0.25, 0.4, 0.6, 0.8)]
    assert all(after < before for before, after in pairwise(places))
    assert places[-1] > 0


def test_without_dimming_light_adds_up():
    # red above blue is the sum of red alone and blue alone, less one panel that leaks
    width, height = CANVAS.width, CANVAS.height
    order = np.repeat(np.array([0, 1], np.uint16), height // 2)

    def halves(above: tuple[int, int, int], below: tuple[int, int, int]) -> Frame:
        rows = np.array([above, below], np.uint16)[:, np.newaxis].repeat(width, axis=1)
        return Frame(rows, order, PQ)

    black, red, blue = (64, 64, 64), (600, 64, 64), (64, 64, 700)
    parts = {
        "both": halves(red, blue),
        "red": halves(red, black),
        "blue": halves(black, blue),
        "none": halves(black, black),
    }
    light = {}
    for name, picture in parts.items():
        screen = SimulatedDisplay(zoned(dimming=False))
        screen.show(picture)
        screen.wait(1e6)
        light[name] = screen.light_at(0.5, 0.5, 30)
    assert light["both"] + light["none"] == pytest.approx(light["red"] + light["blue"], rel=1e-9)
    assert light["both"][1] > 2 * light["none"][1]


def test_white_gives_the_displays_own_white_point():
    gamut = {"red": [0.68, 0.32], "green": [0.27, 0.67], "blue": [0.15, 0.06]}
    screen = SimulatedDisplay(display(gamut=gamut | {"white": [0.300, 0.310]}))
    screen.show(frame("field"))
    screen.wait(1e6)
    xyz = screen.light_at(0.5, 0.5, 5)
    assert (xyz[:2] / xyz.sum()).round(9).tolist() == [0.3, 0.31]


def test_a_primary_within_the_gamut_is_shown_where_it_was_asked():
    # BT.709 blue lies inside BT.2020 primaries: converted, it keeps its chromaticity
    gamut = {"red": [0.708, 0.292], "green": [0.17, 0.797], "blue": [0.131, 0.046]}
    screen = SimulatedDisplay(display(EMISSIVE, gamut=gamut, power=[]))
    rows = np.array([[[0, 0, 255]]], np.uint16).repeat(64, axis=1)
    screen.show(Frame(rows, np.zeros(64, np.uint16), SDR))
    screen.wait(1e6)
    xyz = screen.light_at(0.5, 0.5, 5)
    assert (xyz[:2] / xyz.sum()) == pytest.approx([0.15, 0.06], abs=1e-9)


def test_an_emissive_pixel_that_is_off_gives_only_its_leakage():
    light = {"kind": "emissive", "leakage": 0.0004}
    _, black = true_contrast(display(EMISSIVE, light=light), CANVAS, PQ)
    assert black == pytest.approx(0.0004, rel=1e-9)


def test_the_power_limit_follows_the_lit_area():
    peaks = true_peaks(display(EMISSIVE), CANVAS, PQ, ["2 %", "10 %", "55 %", "100 %"])
    assert peaks["2 %"] == pytest.approx(1000, rel=1e-9)
    assert peaks["10 %"] == pytest.approx(1000, rel=0.01)
    assert peaks["55 %"] == pytest.approx(600, rel=0.01)
    assert peaks["100 %"] == pytest.approx(200, rel=1e-9)


def test_light_on_in_all_never_exceeds_what_the_limit_allows():
    parameters = display(EMISSIVE)
    for area in (1, 5, 20, 60, 100):
        screen = SimulatedDisplay(parameters)
        screen.show(frame("window", area=f"{area} %"))
        screen.wait(1e6)
        share = screen.mean_light()[1] / 1000
        assert share <= max(0.1, area / 100 * parameters.power_limit(area / 100) / 1000) * 1.01


def test_more_signal_is_never_less_light():
    for parameters in (zoned(), display(EMISSIVE)):
        levels = [
            settled_luminance(parameters, frame("window", level=f"{level} %"))
            for level in range(0, 101, 5)
        ]
        assert all(after >= before for before, after in pairwise(levels))
        assert levels[-1] > 800


def test_in_its_reach_a_zoned_display_gives_what_pq_asks():
    seen = settled_luminance(zoned(), frame("window", level="100 cd/m2", clip=True))
    asked = PQ.luminance(np.array(frame("window", level="100 cd/m2").inks["level"]))
    assert seen == pytest.approx(float(asked) * (1 - 1 / 2000), rel=0.01)


def test_the_spot_averages_what_lies_under_it():
    # half of the spot on a lit half of the screen
    box = frame("window", size={"width": "50 %", "height": "100 %"}, at={"x": "25 %", "y": "50 %"})
    seen = settled_luminance(zoned(dimming=False), box, (0.5, 0.5), diameter=10)
    assert seen == pytest.approx(500, rel=0.01)


def test_a_spot_smaller_than_a_cell_sees_that_cell():
    assert settled_luminance(zoned(), frame("field"), (0.0, 1.0), diameter=0.001) == (
        pytest.approx(1000, rel=1e-9)
    )


@pytest.mark.parametrize("canvas", [Canvas(64, 64), Canvas(702, 394), Canvas(3840, 2160)])
def test_the_cells_of_any_canvas_hold_exact_area_means(canvas: Canvas):
    box = frame("window", canvas=canvas, area="7 %", level="100 %")
    screen = SimulatedDisplay(zoned(dimming=False))
    screen.show(box)
    screen.wait(1e6)
    area = Fraction(int(box.census[1][1]), canvas.pixels)
    expected = 1000 * (1 / 2000 + (1 - 1 / 2000) * float(area))
    assert screen.mean_light()[1] == pytest.approx(expected, rel=1e-9)


def test_light_settles_exponentially():
    screen = SimulatedDisplay(display(EMISSIVE, time={"settle": 2}))
    screen.show(frame("field", level="0 %"))
    screen.wait(100)
    screen.show(frame("window"))
    seen = []
    for _ in range(3):
        seen.append(screen.light_at(0.5, 0.5, 5)[1])
        screen.wait(2)
    screen.wait(100)
    seen.append(screen.light_at(0.5, 0.5, 5)[1])
    assert seen == pytest.approx([0, 632.12, 864.66, 1000], rel=0.01)


def test_a_change_midway_goes_on_from_the_light_there_was():
    screen = SimulatedDisplay(display(EMISSIVE, time={"settle": 2}))
    screen.show(frame("window"))
    screen.wait(2)
    before = screen.light_at(0.5, 0.5, 5)[1]
    screen.show(frame("field", level="0 %"))
    assert screen.light_at(0.5, 0.5, 5)[1] == pytest.approx(before)
    screen.wait(2)
    assert screen.light_at(0.5, 0.5, 5)[1] == pytest.approx(before / np.e)


def test_a_cold_display_warms_up():
    parameters = display(time={"settle": 0, "cold": 0.9, "warm_up": 600})
    screen = SimulatedDisplay(parameters, seconds_on=0)
    screen.show(frame("field"))
    cold = screen.light_at(0.5, 0.5, 5)[1]
    screen.wait(600)
    assert cold == pytest.approx(900)
    assert screen.light_at(0.5, 0.5, 5)[1] == pytest.approx(1000 - 100 / np.e)


def test_the_room_adds_its_light_to_black():
    light = {"kind": "emissive"}
    _, black = true_contrast(display(EMISSIVE, light=light, reflected=0.02), CANVAS, PQ)
    assert black == pytest.approx(0.02)


def test_dimming_is_switched_on_the_picture_that_is_up():
    screen = SimulatedDisplay(zoned())
    screen.show(frame("field", level="0 %"))
    screen.wait(100)
    assert screen.light_at(0.5, 0.5, 5)[1] == 0
    screen.dimming = False
    screen.wait(100)
    assert screen.light_at(0.5, 0.5, 5)[1] == pytest.approx(0.5)


def test_a_display_without_zones_has_no_dimming_to_switch():
    screen = SimulatedDisplay(display(EMISSIVE))
    assert not screen.dimming
    with pytest.raises(SimulatedError, match="no zones to dim"):
        screen.dimming = True


def test_a_picture_with_fewer_pixels_than_zones_is_refused():
    wide = zoned(columns=100)
    with pytest.raises(SimulatedError, match="too small for a display of 100 x 9 zones"):
        SimulatedDisplay(wide).show(frame("field", canvas=Canvas(64, 64)))


@pytest.mark.parametrize(("x", "y"), [(-0.1, 0.5), (0.5, 1.1), (float("nan"), 0.5)])
def test_a_spot_off_the_screen_is_refused(x: float, y: float):
    with pytest.raises(SimulatedError, match="does not lie on the screen"):
        SimulatedDisplay(zoned()).light_at(x, y, 5)


@pytest.mark.parametrize("seconds", [-1.0, float("inf"), float("nan")])
def test_time_never_goes_back_nor_to_the_end(seconds: float):
    with pytest.raises(SimulatedError, match="Time goes on"):
        SimulatedDisplay(zoned()).wait(seconds)


def test_the_lobby_wall_peaks_at_1100_and_has_4500_to_1():
    wall = load_display("lobby-wall")
    peaks = true_peaks(wall, CANVAS, PQ, ["1 %", "5 %", "10 %", "15 %", "50 %", "100 %"])
    assert max(peaks.values()) == pytest.approx(1100, rel=0.005)
    assert max(peaks, key=lambda area: peaks[area]) in ("10 %", "15 %")
    assert peaks["100 %"] == pytest.approx(640, rel=0.01)
    screen = SimulatedDisplay(wall)
    screen.dimming = False
    white, black = true_contrast(screen._parameters, CANVAS, PQ)
    assert white / black == pytest.approx(4500, rel=0.01)
