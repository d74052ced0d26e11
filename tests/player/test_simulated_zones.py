"""The zones of the simulated backlight: where they lie, how they follow, what they light."""

from math import exp, floor

import numpy as np
import pytest

from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.simulated import DisplayParameters, SimulatedDisplay, SimulatedError, parse_display
from player.simulated.backlight import Backlight
from player.simulated.grid import grid_for
from player.simulated.zoned import MOST_ZONES
from tests.patterns.whole_pictures import frame_of

PQ = named_signal("pq10")
WIDTH, HEIGHT = 640, 360
ZONED = """
name: plain
peak: 1000
responses: {pq: {white: 1000}}
light:
  kind: zoned
  contrast: 2000
  columns: 10
  rows: 6
  halos: [{radius: 5, share: 0.7}, {radius: 30, share: 0.3}]
time: {settle: 0}
"""
BLACK, WHITE = 64, 769  # 10-bit narrow PQ: 0 and 1000 cd/m2


def described(*lines: str, text: str = ZONED) -> DisplayParameters:
    """The plain display with more said of its light; a line replaces the one of its name."""
    for line in lines:
        name = line.partition(":")[0]
        kept = [each for each in text.splitlines() if each.strip().partition(":")[0] != name]
        text = "\n".join(kept).replace("kind: zoned", f"kind: zoned\n  {line}")
    return parse_display(text, "here.yaml")


def grey(code: int) -> Frame:
    rows = np.full((1, WIDTH, 3), code, np.uint16)
    return Frame(rows, np.zeros(HEIGHT, np.uint16), PQ)


def box(left: int, top: int, side: int, code: int = WHITE) -> Frame:
    pixels = np.full((HEIGHT, WIDTH, 3), BLACK, np.uint16)
    pixels[top : top + side, left : left + side] = code
    return frame_of(pixels, PQ)


def brightest_zone(display: SimulatedDisplay) -> tuple[int, int]:
    drive = display.zone_light()
    row, column = np.unravel_index(drive.argmax(), drive.shape)
    return int(row), int(column)


def test_a_small_box_lights_the_zone_that_it_lies_in():
    display = SimulatedDisplay(described())
    display.show(box(3 * 64 + 20, 2 * 60 + 20, 10))
    drive = display.zone_light()
    assert drive.shape == (6, 10)
    assert brightest_zone(display) == (2, 3)
    assert np.count_nonzero(drive) == 1


def test_a_box_across_an_edge_lights_the_zones_on_both_sides():
    display = SimulatedDisplay(described())
    display.show(box(3 * 64 - 5, 2 * 60 + 20, 10))
    lit = np.argwhere(display.zone_light() > 0).tolist()
    assert lit == [[2, 2], [2, 3]]


def test_before_anything_is_shown_all_zones_are_dark():
    assert SimulatedDisplay(described()).zone_light().tolist() == np.zeros((6, 10)).tolist()


def test_with_the_dimming_off_all_zones_are_fully_on():
    display = SimulatedDisplay(described("dimming: false"))
    display.show(box(100, 100, 10))
    assert display.zone_light().tolist() == np.ones((6, 10)).tolist()


def test_a_display_without_zones_says_so():
    emissive = ZONED.partition("light:")[0] + "light: {kind: emissive}"
    with pytest.raises(SimulatedError, match=r"The display 'plain' has no zones\."):
        SimulatedDisplay(parse_display(emissive, "here.yaml")).zone_light()


def test_what_is_done_to_the_answer_does_not_change_the_display():
    display = SimulatedDisplay(described())
    display.show(grey(WHITE))
    display.zone_light()[:] = 7
    assert display.zone_light().max() == 1


@pytest.mark.parametrize(
    ("ends", "widths"),
    [
        ("{}", [1.0] * 10),
        ("{left: 0.5}", [0.5] + [1.0] * 9),
        ("{left: 0.25, right: 0.75}", [0.25] + [1.0] * 8 + [0.75]),
        ("{right: 1.5}", [1.0] * 9 + [1.5]),
    ],
)
def test_the_light_hops_where_the_zones_meet(ends: str, widths: list[float]):
    display = SimulatedDisplay(described(f"ends: {ends}"))
    edges = np.cumsum(widths)[:-1] / sum(widths) * WIDTH
    for number, edge in enumerate(edges):
        nearest = floor(edge + 0.5)
        display.show(box(nearest - 4, 100, 4))
        assert brightest_zone(display)[1] == number
        display.show(box(nearest, 100, 4))
        assert brightest_zone(display)[1] == number + 1


def test_a_higher_top_row_reaches_further_down():
    display = SimulatedDisplay(described("ends: {top: 2, bottom: 0.5}"))
    # 2 + 4 + 0.5 pitches are 360 pixels: the top row ends at 110.8, the last begins at 332.3
    for top, row in ((105, 0), (112, 1), (326, 4), (334, 5)):
        display.show(box(100, top, 4))
        assert brightest_zone(display)[0] == row


@pytest.mark.parametrize("ends", ["{}", "{left: 0.3, top: 1.7}"])
def test_a_uniform_white_is_uniform_whatever_the_zones(ends: str):
    display = SimulatedDisplay(described(f"ends: {ends}"))
    display.show(grey(WHITE))
    seen = [display.light_at(x, y, 4)[1] for x in (0.02, 0.3, 0.97) for y in (0.03, 0.5, 0.98)]
    assert seen == pytest.approx([1000] * 9, rel=1e-9)


def test_the_light_of_single_zones_adds_up_to_the_light_of_all():
    backlight = Backlight(
        described("ends: {left: 0.4}", "columns: 5", "rows: 3").light,
        grid_for(WIDTH, HEIGHT, 5, 3, (0.4, 1.0)),
    )
    alone = np.eye(15).reshape(15, 3, 5)
    total = sum(backlight.behind(drive) for drive in alone)
    assert np.abs(total - 1).max() < 1e-12


def test_a_zone_throws_as_much_light_as_its_area():
    # far from the ends, where no halo is cut off
    light = described("columns: 21", "rows: 21", "halos: [{radius: 6, share: 1}]").light
    backlight = Backlight(light, grid_for(WIDTH, HEIGHT, 21, 21))
    drive = np.zeros((21, 21))
    drive[10, 10] = 1
    assert backlight.grid.mean(backlight.behind(drive)) == pytest.approx(1 / 441, rel=0.01)
    assert backlight.mean(drive) == pytest.approx(1 / 441, rel=1e-12)


def test_content_below_the_threshold_leaves_the_zone_dark():
    # PQ code 502 is 92 cd/m2: 0.09 of white
    for threshold, dark in ((0.05, False), (0.10, True)):
        display = SimulatedDisplay(described(f"threshold: {threshold}", "lowest: 0.01"))
        display.show(grey(502))
        assert bool((display.zone_light() == 0.01).all()) is dark


def test_zones_without_a_lag_follow_at_once():
    display = SimulatedDisplay(described())
    display.show(grey(WHITE))
    assert display.zone_light().min() == 1


def test_a_zone_has_risen_by_63_percent_after_its_time_constant():
    display = SimulatedDisplay(described("rise: 0.2", "fall: 0.5"))
    display.show(grey(WHITE))
    assert display.zone_light().max() == 0
    display.wait(0.2)
    assert display.zone_light() == pytest.approx(np.full((6, 10), 0.6321), abs=1e-4)
    display.wait(60)
    assert display.zone_light() == pytest.approx(np.ones((6, 10)))


def test_a_zone_has_37_percent_left_after_the_time_constant_of_its_fall():
    display = SimulatedDisplay(described("rise: 0.2", "fall: 0.5"))
    display.show(grey(WHITE))
    display.wait(60)
    display.show(grey(BLACK))
    display.wait(0.5)
    assert display.zone_light() == pytest.approx(np.full((6, 10), 0.3679), abs=1e-4)


def test_pictures_with_the_same_light_do_not_disturb_the_lag():
    once, often = (SimulatedDisplay(described("rise: 0.2", "fall: 0.5")) for _ in range(2))
    once.show(box(100, 100, 10))
    once.wait(0.3)
    for _ in range(30):
        often.show(box(100, 100, 10))
        often.wait(0.01)
    assert often.zone_light() == pytest.approx(once.zone_light(), rel=1e-9)


def test_behind_a_moving_box_the_zone_it_left_goes_out_and_the_next_comes_up():
    display = SimulatedDisplay(described("rise: 0.1", "fall: 0.1"))
    display.show(box(3 * 64 - 12, 100, 8))
    display.wait(10)
    display.show(box(3 * 64 + 4, 100, 8))
    drives = []
    for _ in range(3):
        drives.append(display.zone_light()[1, 2:4])
        display.wait(0.0693)  # half of the way
    settled = drives[0][0]
    assert drives[0] / settled == pytest.approx([1, 0])
    assert drives[1] / settled == pytest.approx([0.5, 0.5], abs=0.003)
    assert drives[2] / settled == pytest.approx([0.25, 0.75], abs=0.003)


def test_the_light_on_the_screen_follows_the_zones():
    display = SimulatedDisplay(described("rise: 0.2"))
    display.show(grey(WHITE))
    seen = []
    for _ in range(3):
        seen.append(float(display.light_at(0.5, 0.5, 5)[1]))
        display.wait(0.2)
    assert seen == pytest.approx([0, 1000 * (1 - exp(-1)), 1000 * (1 - exp(-2))], rel=1e-9)


def test_a_picture_of_the_screen_holds_the_light_of_every_spot():
    display = SimulatedDisplay(described(text=ZONED + "reflected: 0.5"))
    with pytest.raises(SimulatedError, match="Nothing has been shown"):
        display.light_map()
    display.show(box(200, 150, 40))
    grid, xyz = display.light_map()
    assert xyz.shape == (*grid.shape, 3)
    assert grid.mean(xyz) == pytest.approx(display.mean_light(), rel=1e-9)
    column = int(np.searchsorted(grid.xs, 219)) - 1
    row = int(np.searchsorted(grid.ys, 169)) - 1
    x, y = grid.centres[0][column] * HEIGHT / WIDTH, grid.centres[1][row]
    assert xyz[row, column] == pytest.approx(display.light_at(x, y, 0.001), rel=1e-9)


@pytest.mark.parametrize("lines", [("rise: 0.1", "fall: 0.3"), ("rise: 0",)])
def test_looking_at_the_light_on_the_way_changes_nothing(lines: tuple[str, ...]):
    parameters = described(*lines, text=ZONED.replace("settle: 0", "settle: 0.25"))
    watched, unwatched = (SimulatedDisplay(parameters) for _ in range(2))
    for place in range(100, 200, 4):
        for display in (watched, unwatched):
            display.show(box(place, 150, 20))
            display.wait(0.04)
        watched.light_at(0.3, 0.4, 5)
    seen = [display.light_at(0.25, 0.45, 20) for display in (watched, unwatched)]
    assert seen[0] == pytest.approx(seen[1], rel=1e-6)
    assert seen[0][1] > 1


def test_switching_the_dimming_off_lets_the_zones_come_up_with_their_lag():
    display = SimulatedDisplay(described("rise: 0.2"))
    display.show(grey(BLACK))
    display.wait(10)
    display.dimming = False
    display.wait(0.2)
    assert display.zone_light() == pytest.approx(np.full((6, 10), 0.6321), abs=1e-4)


def test_a_backlight_of_5000_zones_works():
    assert MOST_ZONES == 5_000
    display = SimulatedDisplay(described("columns: 100", "rows: 50"))
    display.show(box(321, 181, 2))
    assert brightest_zone(display) == (25, 50)
    assert display.zone_light().shape == (50, 100)
    assert display.light_at(0.5, 0.5, 1)[1] > 0


@pytest.mark.parametrize(
    ("columns", "rows", "said"),
    [
        (73, 69, r"at most 5000 zones, not 73 x 69 = 5037\.$"),
        (5001, 1, r"light\.zoned\.columns: should be less than or equal to 256\.$"),
        (3, 1667, r"light\.zoned\.rows: should be less than or equal to 256\.$"),
    ],
)
def test_more_zones_than_5000_are_refused_in_one_sentence(columns: int, rows: int, said: str):
    with pytest.raises(SimulatedError, match=said) as caught:
        described(f"columns: {columns}", f"rows: {rows}")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("columns", "rows"), [(1, 1), (12, 1), (1, 9)])
def test_a_row_or_a_column_or_a_single_zone_works(columns: int, rows: int):
    display = SimulatedDisplay(described(f"columns: {columns}", f"rows: {rows}", "ends: {left: 2}"))
    display.show(box(2, 2, 8))
    assert brightest_zone(display) == (0, 0)
    display.show(grey(WHITE))
    assert display.light_at(0.5, 0.5, 5)[1] == pytest.approx(1000, rel=1e-9)


def test_a_picture_without_a_pixel_for_a_narrow_end_is_refused():
    narrow = SimulatedDisplay(described("columns: 256", "ends: {left: 0.1}"))
    with pytest.raises(SimulatedError, match="640x360 pixels is too small for a display of 256"):
        narrow.show(grey(WHITE))


@pytest.mark.parametrize(
    "line", ["ends: {left: 0.05}", "ends: {middle: 1}", "rise: -1", "fall: 61"]
)
def test_odd_ends_and_times_are_refused(line: str):
    with pytest.raises(SimulatedError, match=r"light\.zoned\."):
        described(line)
