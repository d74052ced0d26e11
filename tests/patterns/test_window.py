"""Windows have the nearest area that their shape allows, and lie where they are put."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas, nearest_rectangle
from patterns.signal.signal import named_signal

Window = KINDS["window"]
PQ10 = named_signal("pq10")
SMALL = [(192, 108), (64, 64), (86, 64), (64, 114), (344, 144), (66, 1000)]
LARGE = [(1920, 1080), (3840, 2160), (4096, 2160), (3440, 1440), (1366, 768), (1080, 1920)]


def every_rectangle(canvas, shape):
    """All whole-pixel rectangles of a shape, found without any cleverness.

    Those for which one scale s has width = Round(s W) and height = Round(s H): the half-open
    intervals (w - 1/2)/W to (w + 1/2)/W and (h - 1/2)/H to (h + 1/2)/H meet.
    """
    w = np.arange(1, canvas.width + 1, dtype=np.int64)
    h = np.arange(1, canvas.height + 1, dtype=np.int64)[:, None]
    if shape == "square":
        fits = w == h
    else:
        fits = ((2 * w - 1) * canvas.height < (2 * h + 1) * canvas.width) & (
            (2 * h - 1) * canvas.width < (2 * w + 1) * canvas.height
        )
    heights, widths = np.nonzero(fits)
    return {(int(x) + 1, int(y) + 1) for x, y in zip(widths, heights, strict=True)}


def misses(canvas, shape, thousandths):
    """Areas for which a nearer rectangle exists, or whose rectangle has another shape."""
    rectangles = every_rectangle(canvas, shape)
    areas = sorted({w * h for w, h in rectangles})
    wrong = []
    for share in thousandths:
        w, h = nearest_rectangle(canvas, Fraction(share, 1000), shape)
        # the target times 1000 is whole; on equal misses the smaller area
        best = min(areas, key=lambda area: (abs(1000 * area - share * canvas.pixels), area))
        if (w, h) not in rectangles or w * h != best:
            wrong.append((share, w, h, best))
    return wrong


@pytest.mark.parametrize("shape", ["picture", "square"])
@pytest.mark.parametrize("size", SMALL)
def test_no_rectangle_of_even_sides_is_nearer_where_they_are_asked(size, shape):
    """Even sides are whole sides of a canvas half as wide and high."""
    width, height = size
    canvas = Canvas(2 * width, 2 * height)
    halves = every_rectangle(Canvas(width, height), shape)
    areas = sorted({4 * w * h for w, h in halves})
    for share in range(1, 1001, 7):
        w, h = nearest_rectangle(canvas, Fraction(share, 1000), shape, step=2)
        assert (w % 2, h % 2) == (0, 0)
        assert (w // 2, h // 2) in halves
        assert w * h == min(
            areas, key=lambda area: (abs(1000 * area - share * canvas.pixels), area)
        )


@pytest.mark.parametrize("shape", ["picture", "square"])
@pytest.mark.parametrize("size", SMALL)
def test_no_rectangle_of_the_shape_is_nearer_to_the_area(size, shape):
    """Areas of 0.1 to 100 % in steps of 0.1 %, against all rectangles of the canvas."""
    assert not misses(Canvas(*size), shape, range(1, 1001))


@pytest.mark.parametrize("size", LARGE)
def test_no_rectangle_is_nearer_on_whole_screens(size):
    assert not misses(Canvas(*size), "picture", (1, 10, 20, 40, 50, 100, 180, 250, 500, 810, 1000))


@pytest.mark.campaign
@pytest.mark.parametrize("size", LARGE)
def test_no_rectangle_is_nearer_at_any_tenth_of_a_percent(size):
    for shape in ("picture", "square"):
        assert not misses(Canvas(*size), shape, range(1, 1001))


@pytest.mark.parametrize(
    ("size", "area", "width", "height"),
    [
        ((1920, 1080), "10 %", 607, 342),
        ((1920, 1080), "25 %", 960, 540),
        ((1920, 1080), "81 %", 1728, 972),
        ((1920, 1080), "4 %", 384, 216),
        ((1920, 1080), "100 %", 1920, 1080),
        ((3840, 2160), "10 %", 1214, 683),
        ((3840, 2160), "1 %", 384, 216),
        ((4096, 2160), "25 %", 2048, 1080),
        ((1080, 1920), "10 %", 342, 607),
    ],
)
def test_common_windows_have_these_sides(size, area, width, height):
    box = Window.model_validate({"area": area}).box(Canvas(*size))
    assert (box.width, box.height) == (width, height)
    assert (box.x, box.y) == ((size[0] - width) // 2, (size[1] - height) // 2)


def test_a_window_without_a_size_has_ten_percent():
    canvas = Canvas(3840, 2160)
    assert Window().box(canvas) == Window.model_validate({"area": "10 %"}).box(canvas)


@given(st.integers(1, 1000), st.sampled_from(LARGE + SMALL))
def test_a_window_is_centred_to_the_pixel(thousandth, size):
    canvas = Canvas(*size)
    box = Window.model_validate({"area": f"{thousandth / 10} %"}).box(canvas)
    left, right = box.x, canvas.width - box.right
    top, bottom = box.y, canvas.height - box.bottom
    assert right - left in (0, 1)
    assert bottom - top in (0, 1)


def test_the_frame_has_the_window_where_its_box_is_and_nothing_else():
    canvas = Canvas(192, 108)
    pattern = Window.model_validate(
        {"size": {"width": "31 px", "height": "25 %"}, "at": {"x": "40 px", "y": "75 %"}}
        | {"level": "code 700", "background": "code 100"}
    )
    frame = pattern.frame(canvas, PQ10)
    # 31 wide about 40: from floor(24.5); 27 high about 81: from floor(67.5)
    expected = np.full((108, 192, 3), 100, np.uint16)
    expected[67:94, 24:55] = 700
    assert (frame.pixels() == expected).all()
    assert frame.facts == {
        "box": {"x": 24, "y": 67, "width": 31, "height": 27},
        "area_percent": 100 * 31 * 27 / (192 * 108),
    }
    assert frame.inks == {"level": (700, 700, 700), "background": (100, 100, 100)}


def test_a_square_window_is_square():
    box = Window.model_validate({"area": "10 %", "shape": "square"}).box(Canvas(1920, 1080))
    # 455 * 455 = 207025 misses 207360 by 335, 456 * 456 by 576
    assert (box.width, box.height) == (455, 455)


def test_a_square_larger_than_the_canvas_ends_at_its_short_side():
    box = Window.model_validate({"area": "100 %", "shape": "square"}).box(Canvas(1920, 1080))
    assert (box.width, box.height) == (1080, 1080)


@pytest.mark.parametrize(
    "parameters",
    [
        {"at": {"x": "0 %", "y": "50 %"}},
        {"at": {"x": "50 %", "y": "100 %"}},
        {"size": {"width": "194 px", "height": "10 px"}},
        {"size": {"width": "0 px", "height": "10 px"}},
        {"size": {"width": "0.1 %", "height": "10 %"}},
    ],
)
def test_a_window_that_does_not_lie_on_the_canvas_is_refused(parameters):
    with pytest.raises(PatternError, match="does not lie on a canvas of 192x108"):
        Window.model_validate(parameters).frame(Canvas(192, 108), PQ10)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"area": "0 %"}, "more than 0 %"),
        ({"area": "100.1 %"}, "at most 100 %"),
        ({"area": "10 px"}, "unknown unit"),
        ({"area": "10 %", "size": {"width": "1 px", "height": "1 px"}}, "not both"),
        ({"size": {"width": "1.5 px", "height": "1 px"}}, "pixels are whole"),
        ({"size": {"width": "-1 px", "height": "1 px"}}, "0 or more"),
        ({"size": {"width": "1 px"}}, "height"),
        ({"shape": "round"}, "picture"),
        ({"colour": "red"}, "Extra inputs"),
    ],
)
def test_a_window_that_is_not_one_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        Window.model_validate(parameters)


def test_places_are_counted_from_the_top_left_row_by_row():
    """Middles at 10, 30, 50, 70 and 90 %: 192, 576, ... across and 108, 324, ... down."""
    canvas = Canvas(1920, 1080)
    spots = [
        Window.model_validate({"area": "1 %", "place": place}).spots(canvas)["window"]
        for place in range(1, 26)
    ]
    xs, ys = (192, 576, 960, 1344, 1728), (108, 324, 540, 756, 972)
    assert [(spot.x, spot.y) for spot in spots] == [(x, y) for y in ys for x in xs]


@pytest.mark.parametrize("size", SMALL + LARGE)
@pytest.mark.parametrize("area", ["1 %", "4 %", "10 %", "50 %", "100 %"])
def test_a_window_in_a_place_lies_on_the_canvas_as_near_as_it_can(size, area):
    canvas = Canvas(*size)
    for place in range(1, 26):
        pattern = Window.model_validate({"area": area, "place": place})
        box = pattern.box(canvas)
        assert (box.width, box.height) == nearest_rectangle(
            canvas, Fraction(int(area.split()[0]), 100), "picture"
        )
        row, column = divmod(place - 1, 5)
        for start, length, side, index in (
            (box.x, box.width, canvas.width, column),
            (box.y, box.height, canvas.height, row),
        ):
            assert 0 <= start <= side - length
            middle = Fraction(side * (1 + 2 * index), 10)
            # no start on the canvas brings the middle nearer
            misses = [abs(each + Fraction(length, 2) - middle) for each in range(side - length + 1)]
            assert misses[start] == min(misses)


def test_a_window_too_large_for_the_edge_is_moved_inwards():
    """10 % of 1920x1080 is 607 x 342: about 192, 108 it would begin at -112, -63."""
    canvas = Canvas(1920, 1080)
    boxes = [str(Window.model_validate({"place": place}).box(canvas)) for place in (1, 7, 13, 25)]
    assert boxes == [
        *("607x342 at 0,0", "607x342 at 272,153"),
        *("607x342 at 656,369", "607x342 at 1313,738"),
    ]


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"place": 0}, "greater than or equal to 1"),
        ({"place": 26}, "less than or equal to 25"),
        ({"place": 3, "at": {"x": "50 %"}}, "not both"),
    ],
)
def test_a_place_that_is_none_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        Window.model_validate(parameters)
