"""Border, pixel checks, lines, grid and circles, pixel by pixel against plain geometry."""

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

HD = Canvas(1920, 1080)
SMALL = Canvas(194, 110)
TALL = Canvas(108, 192)
RED = {"r": "100 %", "g": "0 %", "b": "0 %"}


def framed(kind, canvas, signal="sdr8", **parameters):
    named = {key.rstrip("_"): value for key, value in parameters.items()}
    return KINDS[kind].model_validate(named).frame(canvas, named_signal(signal))


def grey(frame):
    """Codes (height, width), where R = G = B everywhere."""
    pixels = frame.pixels()
    assert (pixels == pixels[:, :, :1]).all()
    return pixels[:, :, 0]


# Border


def test_a_border_lies_on_the_outermost_pixels_and_its_corners_differ():
    picture = grey(framed("border", HD, marks=False))
    expected = np.zeros((1080, 1920), int)
    expected[[0, 1079], :] = 255
    expected[:, [0, 1919]] = 255
    expected[[0, 0, 1079, 1079], [0, 1919, 0, 1919]] = 128
    assert (picture == expected).all()


def test_marks_lie_two_and_a_half_and_five_percent_in():
    """2.5 % of 3840 and of 2160 are 96 and 54, 5 % are 192 and 108; arms are 8 % of 2160."""
    frame = framed("border", Canvas(3840, 2160), "pq10")
    picture = grey(frame)
    lit = picture == 940
    assert np.flatnonzero(lit[1080]).tolist() == [0, 96, 192, 3647, 3743, 3839]
    assert np.flatnonzero(lit[:, 1920]).tolist() == [0, 54, 108, 2051, 2105, 2159]
    # the angle at the top left: 173 pixels each way from its corner pixel
    assert np.flatnonzero(lit[54, 1:1000]).tolist() == [*range(95, 95 + 173)]
    assert np.flatnonzero(lit[1:900, 96]).tolist() == [*range(53, 53 + 173)]
    assert frame.facts["marks_px"] == {"2.5 %": [96, 54], "5 %": [192, 108]}
    assert "our own" in frame.facts["marks"]
    assert "needs" not in frame.facts


@pytest.mark.parametrize("canvas", [SMALL, TALL, Canvas(64, 64), Canvas(1366, 768)], ids=str)
def test_a_border_looks_the_same_from_all_four_corners(canvas):
    picture = grey(framed("border", canvas))
    assert (picture == picture[::-1]).all()
    assert (picture == picture[:, ::-1]).all()


@pytest.mark.parametrize("width", [1, 2, 3, 7])
def test_a_border_is_as_wide_as_asked(width):
    picture = grey(framed("border", SMALL, width=width, marks=False))
    y, x = np.mgrid[0:110, 0:194]
    depth = np.minimum(np.minimum(x, 193 - x), np.minimum(y, 109 - y))
    corners = np.isin(x, [0, 193]) & np.isin(y, [0, 109])
    assert (picture == np.where(corners, 128, np.where(depth < width, 255, 0))).all()


def test_a_border_that_covers_its_marks_or_the_canvas_is_refused():
    # 2.5 % of 110 is 2.75 and lies 3 pixels in
    framed("border", SMALL, width=2)
    with pytest.raises(PatternError, match=r"A border of 3 pixels covers the marks at 2\.5 %"):
        framed("border", SMALL, width=3)
    with pytest.raises(PatternError, match="A border of 55 pixels fills a canvas of 194x110"):
        framed("border", SMALL, width=55, marks=False)
    with pytest.raises(ValidationError):
        framed("border", SMALL, width=0)


# Pixel checks and lines


@pytest.mark.parametrize("start", ["lit", "dark"])
@pytest.mark.parametrize("side", [1, 2, 3, 110])
def test_pixel_checks_alternate_in_both_axes(side, start):
    frame = framed("pixel-checks", SMALL, "pq10", side=side, start=start)
    y, x = np.mgrid[0:110, 0:194]
    lit = (x // side + y // side) % 2 == (0 if start == "lit" else 1)
    assert (grey(frame) == np.where(lit, 940, 64)).all()
    assert len(frame.rows) <= 2


def test_single_pixel_checks_are_half_lit_and_have_two_distinct_rows():
    frame = framed("pixel-checks", HD)
    assert frame.lit_area == 50
    assert frame.rows[:, :4, 0].tolist() == [[255, 0, 255, 0], [0, 255, 0, 255]]
    assert frame.order[:4].tolist() == [0, 1, 0, 1]


@pytest.mark.parametrize("direction", ["vertical", "horizontal"])
@pytest.mark.parametrize(("pitch", "width", "first"), [(2, 1, 0), (2, 1, 1), (7, 3, 5), (50, 1, 9)])
def test_lines_repeat_at_their_pitch(direction, pitch, width, first):
    parameters = {"direction": direction, "pitch": pitch, "width": width, "first": first}
    picture = grey(framed("lines", SMALL, **parameters))
    y, x = np.mgrid[0:110, 0:194]
    along = x if direction == "vertical" else y
    lit = np.zeros_like(along, bool)
    for start in range(first - 10 * pitch, 194, pitch):
        lit |= (start <= along) & (along < start + width)
    assert (picture == np.where(lit, 255, 0)).all()


def test_lines_of_one_pixel_have_as_few_rows_as_can_be():
    assert len(framed("lines", HD).rows) == 1
    horizontal = framed("lines", HD, direction="horizontal")
    assert horizontal.order[:5].tolist() == [1, 0, 1, 0, 1]
    assert horizontal.rows[:, 0, 0].tolist() == [0, 255]


def test_checks_and_lines_that_do_not_fit_are_refused():
    with pytest.raises(PatternError, match="A check of 111 pixels does not fit on a canvas of 194"):
        framed("pixel-checks", SMALL, side=111)
    with pytest.raises(PatternError, match="A pitch at 111 pixels does not lie within the 110"):
        framed("lines", SMALL, direction="horizontal", pitch=111)
    with pytest.raises(PatternError, match="A first line at 195 pixels does not lie within"):
        framed("lines", SMALL, first=194)
    with pytest.raises(ValidationError, match="leave nothing between"):
        framed("lines", SMALL, pitch=4, width=4)


@pytest.mark.parametrize("kind", ["border", "pixel-checks", "lines", "grid", "circles"])
def test_fine_detail_says_that_it_needs_full_sampling_only_where_it_is_coloured(kind):
    assert "needs" not in framed(kind, HD).facts
    assert framed(kind, HD, level=RED).facts["needs"] == "4:4:4"


# Grid


@pytest.mark.parametrize("canvas", [SMALL, TALL, HD], ids=str)
@pytest.mark.parametrize(("pitch", "width"), [(20, 2), (21, 2), (20, 1), (33, 3), (10, 4)])
def test_a_grid_has_square_cells_about_the_middle(canvas, pitch, width):
    frame = framed("grid", canvas, pitch=f"{pitch} px", width=f"{width} px")
    picture = grey(frame)
    lit = np.zeros(picture.shape, bool)
    for start in range(canvas.width // 2 - width // 2 - 200 * pitch, canvas.width, pitch):
        lit[:, max(start, 0) : max(start + width, 0)] = True
    for start in range(canvas.height // 2 - width // 2 - 200 * pitch, canvas.height, pitch):
        lit[max(start, 0) : max(start + width, 0)] = True
    assert (picture == np.where(lit, 255, 0)).all()
    assert frame.facts == {"pitch_px": pitch, "width_px": width}
    assert len(frame.rows) == 2
    if width % 2 == 0:
        assert (picture == picture[::-1, ::-1]).all()


def test_a_grid_at_five_percent_of_2160_has_lines_every_108_pixels():
    picture = grey(framed("grid", Canvas(3840, 2160), "pq10"))
    rows = np.flatnonzero(picture[:, 0] == 940)
    columns = np.flatnonzero(picture[1] == 940)
    assert rows[:6].tolist() == [0, 107, 108, 215, 216, 323]
    assert columns[:4].tolist() == [83, 84, 191, 192]
    assert {1079, 1080} <= set(rows.tolist())
    assert {1919, 1920} <= set(columns.tolist())


def test_a_grid_without_cells_is_refused():
    with pytest.raises(PatternError, match="Lines of 4 pixels at a pitch of 4 make no grid"):
        framed("grid", SMALL, pitch="4 px", width="4 px")
    with pytest.raises(PatternError, match="Lines of 0 pixels"):
        framed("grid", SMALL, width="0 px")
    with pytest.raises(PatternError, match="A pitch of 111 pixels does not fit"):
        framed("grid", SMALL, pitch="111 px")


# Circles


def ring(canvas, x, y, diameter, width):
    """Pixels by the distance of their middles from a circle's, all times two, in whole numbers."""
    rows, columns = np.mgrid[0 : canvas.height, 0 : canvas.width]
    distance = (2 * columns + 1 - x) ** 2 + (2 * rows + 1 - y) ** 2
    return (distance < diameter**2) & (distance >= max(diameter - 2 * width, 0) ** 2)


@pytest.mark.parametrize("canvas", [SMALL, TALL, HD], ids=str)
@pytest.mark.parametrize(
    ("middle", "corners", "width"), [(100, 24, 2), (64, 31, 1), (80, 20, 5), (20, 40, 10)]
)
def test_circles_are_the_pixels_within_a_distance_of_their_middles(canvas, middle, corners, width):
    parameters = {"middle": f"{middle} px", "corners": f"{corners} px", "width": f"{width} px"}
    frame = framed("circles", canvas, **parameters)
    lit = ring(canvas, canvas.width, canvas.height, middle, width)
    for x in (corners, 2 * canvas.width - corners):
        for y in (corners, 2 * canvas.height - corners):
            lit |= ring(canvas, x, y, corners, width)
    assert (grey(frame) == np.where(lit, 255, 0)).all()
    assert frame.facts == {"middle_px": middle, "corner_px": corners}


@pytest.mark.parametrize("diameter", [2, 3, 50, 51, 97, 100, 110])
def test_a_circle_is_as_high_as_it_is_wide_and_has_an_even_diameter(diameter):
    """The middle lies between two pixels: 3 pixels become 4, 51 become 52, and 97 become 98."""
    frame = framed("circles", SMALL, middle=f"{diameter} px", corners="0 px", width="1 px")
    rows, columns = np.nonzero(grey(frame))
    even = {2: 2, 3: 4, 50: 50, 51: 52, 97: 98, 100: 100, 110: 110}[diameter]
    assert np.ptp(rows) + 1 == np.ptp(columns) + 1 == even
    assert rows.min() + rows.max() == 109
    assert columns.min() + columns.max() == 193
    assert frame.facts == {"middle_px": even}
    small = grey(frame)[
        (110 - even) // 2 : (110 + even) // 2, (194 - even) // 2 : (194 + even) // 2
    ]
    assert (small == small.T).all()


def test_the_smallest_circles_look_like_this():
    # of 8 pixels: (7, 1), (7, 3) and (5, 5) half pixels from the middle lie within 6 and 8
    frame = framed("circles", Canvas(64, 64), middle="8 px", corners="7 px", width="1 px")
    picture = grey(frame)
    drawn = ["".join(".#"[code // 255] for code in row) for row in picture[28:36, 28:36]]
    assert drawn == [
        "..####..",
        ".#....#.",
        "#......#",
        "#......#",
        "#......#",
        "#......#",
        ".#....#.",
        "..####..",
    ]
    corner = ["".join(".#"[code // 255] for code in row) for row in picture[:7, :7]]
    assert corner == [
        "..###..",
        ".#...#.",
        "#.....#",
        "#.....#",
        "#.....#",
        ".#...#.",
        "..###..",
    ]
    three = grey(framed("circles", Canvas(64, 64), corners="3 px", width="1 px"))[:3, :3]
    assert three.tolist() == [[255, 255, 255], [255, 0, 255], [255, 255, 255]]


@pytest.mark.parametrize("canvas", [HD, Canvas(3440, 1440), Canvas(1080, 1920)], ids=str)
def test_a_ring_of_one_pixel_has_no_gap(canvas):
    """Every row and column between its ends is crossed, and two ways round lead past any point."""
    picture = grey(framed("circles", canvas, corners="0 px", width="1 px")) == 255
    for crossed in (picture.any(axis=0), picture.any(axis=1)):
        inside = np.flatnonzero(crossed)
        assert len(inside) == inside[-1] - inside[0] + 1
    cv2 = pytest.importorskip("cv2")
    # the outside and the inside do not meet, even where a corner counts as a way through
    count, _ = cv2.connectedComponents((~picture).astype(np.uint8), connectivity=4)
    assert count == 3


def test_corner_circles_touch_their_edges():
    picture = grey(framed("circles", HD)) == 255
    # 25 % of 1080 are 270: in the top row 269^2 + dx^2 < 270^2 leaves dx to 23 half pixels
    assert np.flatnonzero(picture[0, :300]).tolist() == list(range(123, 147))
    assert all(edge.any() for edge in (picture[0], picture[-1], picture[:, 0], picture[:, -1]))
    assert (picture == picture[::-1]).all()
    assert (picture == picture[:, ::-1]).all()


@pytest.mark.parametrize(("grid", "width"), [("10 px", 1), ("21 px", 2), ("36 px", 3)])
def test_a_grid_behind_circles_is_the_grid_with_circles_on_it(grid, width):
    size = {"width": f"{width} px"}
    both = grey(framed("circles", SMALL, grid=grid, **size)) == 255
    lines = grey(framed("grid", SMALL, pitch=grid, **size)) == 255
    rings = grey(framed("circles", SMALL, **size)) == 255
    assert (both == (lines | rings)).all()


def test_circles_that_do_not_lie_on_the_canvas_are_refused():
    with pytest.raises(PatternError, match="A middle circle of 112 pixels does not lie on"):
        framed("circles", SMALL, middle="112 px")
    with pytest.raises(PatternError, match="A corner circle of 111 pixels does not lie on"):
        framed("circles", SMALL, corners="111 px")
    with pytest.raises(PatternError, match="A circle of 20 pixels has no ring of 11 pixels"):
        framed("circles", SMALL, middle="20 px", corners="0 px", width="11 px")
    with pytest.raises(PatternError, match="has no ring of 0 pixels"):
        framed("circles", SMALL, width="0 px")
