"""A moving box is where exact arithmetic puts it, at any time and refresh rate."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

MovingBox = KINDS["moving-box"]
HD = Canvas(1920, 1080)
NTSC = Canvas(1920, 1080, Fraction(60000, 1001))


def box(**parameters):
    return MovingBox.model_validate(parameters)


def place(pattern, time, canvas=HD):
    x, y = pattern.at(canvas, Fraction(time))
    return x if pattern.across else y


@pytest.mark.parametrize(
    ("time", "x"),
    [(0, 0), ("1/60", 2), ("1/119", 1), ("1/121", 0), ("0.5", 60), ("0.999", 119), (1, 120)],
)
def test_a_box_has_gone_the_whole_pixels_of_speed_times_time(time, x):
    """120 px/s along the top: floor(120 t)."""
    assert box().at(HD, Fraction(time)) == (x, 0)


def test_a_box_at_59_94_frames_a_second_does_not_drift():
    """At 60000/1001 Hz frame n comes at 1001 n / 60000 s; 120 px/s are 2.002 px a frame."""
    pattern = box(ends="stop")
    found = [place(pattern, Fraction(1001 * n, 60000), NTSC) for n in range(900)]
    assert found == [2002 * n // 1000 for n in range(900)]
    assert [n for n in range(1, 900) if found[n] - found[n - 1] == 3] == [500]


def test_a_speed_per_frame_is_that_of_the_canvas():
    pattern = box(speed="3 px/frame", ends="stop")
    for n in range(0, 300, 7):
        assert place(pattern, Fraction(n, 60)) == 3 * n
        assert place(pattern, Fraction(1001 * n, 60000), NTSC) == 3 * n
    assert place(pattern, Fraction(1, 24), Canvas(1920, 1080, Fraction(24))) == 3


def test_a_box_turns_at_each_end_without_waiting():
    """A box of 22 pixels has 1898 to go; after 1898 and 3796 pixels it turns."""
    pattern = box(speed="1 px/s")
    assert pattern.box_side(HD) == 22
    for time, x in [(1897, 1897), (1898, 1898), (1899, 1897), (3795, 1), (3796, 0), (3797, 1)]:
        assert place(pattern, time) == x
    ways = [pattern.heading(HD, Fraction(time)) for time in (0, 1897, 1898, 3795, 3796)]
    assert ways == ["forward", "forward", "backward", "backward", "forward"]


def test_a_box_starts_again_from_its_first_pixel():
    pattern = box(speed="1 px/s", ends="restart")
    assert [place(pattern, time) for time in (1897, 1898, 1899, 1900)] == [1897, 1898, 0, 1]
    assert pattern.heading(HD, Fraction(2500)) == "forward"


def test_a_box_stops_at_its_last_pixel():
    pattern = box(speed="1 px/s", ends="stop")
    assert [place(pattern, time) for time in (1897, 1898, 1899, 99_999)] == [1897, 1898, 1898, 1898]


@pytest.mark.parametrize("ends", ["turn", "restart", "stop"])
def test_backward_is_forward_mirrored(ends):
    forward, backward = box(ends=ends), box(ends=ends, direction="backward")
    for tenth in range(0, 700, 3):
        time = Fraction(tenth, 10)
        assert place(forward, time) + place(backward, time) == 1898
        if ends == "turn":
            assert forward.heading(HD, time) != backward.heading(HD, time)
    assert backward.at(HD, Fraction(0)) == (1898, 0)


@pytest.mark.parametrize(
    ("parameters", "at"),
    [
        ({"along": "top"}, (60, 0)),
        ({"along": "bottom"}, (60, 1058)),
        ({"along": "left"}, (0, 60)),
        ({"along": "right"}, (1898, 60)),
        ({"along": "row", "place": "50 %"}, (60, 529)),
        ({"along": "row", "place": "11 px"}, (60, 0)),
        ({"along": "column", "place": "25 %"}, (469, 60)),
        ({"along": "row", "place": "50 %", "side": "21 px"}, (60, 529)),
    ],
)
def test_a_box_keeps_to_its_edge_row_or_column(parameters, at):
    """A centre between two pixels goes to the top or left: 540 - 10.5 = 529.5 gives 529."""
    assert box(**parameters).at(HD, Fraction(1, 2)) == at


@given(
    st.fractions(0, 1000, max_denominator=240),
    st.fractions(0, 5000, max_denominator=1).map(int),
    st.sampled_from(["turn", "restart", "stop"]),
    st.sampled_from([HD, NTSC, Canvas(1080, 1920)]),
)
def test_a_walk_of_single_pixels_ends_at_the_same_place(time, speed, ends, canvas):
    pattern = box(speed=f"{speed} px/s", ends=ends)
    way = canvas.width - pattern.box_side(canvas)
    cycle = {
        "turn": [*range(way), *range(way, 0, -1)],
        "restart": range(way + 1),
        "stop": range(way + 1),
    }[ends]
    gone = int(speed * time)
    steps = min(gone, way) if ends == "stop" else gone % len(cycle)
    assert place(pattern, time, canvas) == cycle[steps]


@pytest.mark.parametrize("along", ["top", "bottom", "left", "right"])
def test_the_frame_has_the_box_where_it_is_at_that_time(along):
    canvas = Canvas(192, 108)
    pattern = box(along=along, side="10 px", level="code 700", background="code 100")
    for time in (Fraction(0), Fraction(1, 7), Fraction(3)):
        x, y = pattern.at(canvas, time)
        expected = np.full((108, 192, 3), 100, np.uint16)
        expected[y : y + 10, x : x + 10] = 700
        frame = pattern.frame(canvas, named_signal("pq10"), time)
        assert (frame.pixels() == expected).all()
        assert frame.facts == {"box": {"x": x, "y": y, "width": 10, "height": 10}}


def test_a_box_as_long_as_its_way_stands_still():
    pattern = box(along="left", side="108 px")
    canvas = Canvas(192, 108)
    assert pattern.at(canvas, Fraction(5)) == (0, 0)
    assert pattern.heading(canvas, Fraction(5)) == "forward"


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"along": "row"}, "needs its place"),
        ({"along": "top", "place": "50 %"}, "place goes with along: row or column"),
        ({"speed": "-1 px/s"}, "0 or more"),
        ({"speed": "1 m/s"}, "unknown unit"),
        ({"speed": 120}, "number with its unit"),
    ],
)
def test_a_box_that_is_not_one_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        box(**parameters)


@pytest.mark.parametrize(
    "parameters",
    [
        {"side": "0 px"},
        {"side": "1100 px"},
        {"along": "row", "place": "0 %"},
        {"along": "column", "place": "100 %"},
    ],
)
def test_a_box_that_does_not_lie_on_the_canvas_is_refused(parameters):
    with pytest.raises(PatternError, match="does not lie on"):
        box(**parameters).frame(HD, named_signal("pq10"))


@pytest.mark.parametrize(
    ("direction", "times"),
    [
        # 22 pixels have 1898 to go
        ("forward", [(0, 500), (1, 620), ("11.65", 1898), (12, 1856), (28, 64)]),
        ("backward", [(0, 500), (1, 380), ("4.1", 8), (5, 100)]),
    ],
)
def test_a_box_may_begin_anywhere_on_its_way(direction, times):
    pattern = box(start="500 px", direction=direction)
    assert [(time, place(pattern, time)) for time, _ in times] == times


def test_a_box_that_begins_where_another_is_goes_on_like_it():
    """What a change by hand relies on: nothing jumps."""
    whole = box(along="row", place="50 %", speed="96 px/s", ends="stop")
    for frames in (0, 1, 37, 600):
        at = place(whole, Fraction(frames, 60))
        rest = box(along="row", place="50 %", speed="96 px/s", ends="stop", start=f"{at} px")
        gone = [place(rest, Fraction(n, 60)) - at for n in range(120)]
        assert gone == [96 * n // 60 for n in range(120)]


@pytest.mark.parametrize(
    ("parameters", "said"),
    [({"start": "1899 px"}, "starts at 1899 px does not lie"), ({"start": "100 %"}, "starts at")],
)
def test_a_box_that_would_begin_beyond_its_way_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        box(**parameters).frame(HD, named_signal("sdr8"))


def test_a_box_on_a_diagonal_has_no_start():
    with pytest.raises(ValidationError, match="start goes with an edge"):
        box(along="diagonal", start="5 px")


@pytest.mark.parametrize("canvas", [Canvas(3840, 2160), Canvas(7680, 4320)])
@pytest.mark.parametrize("along", ["row", "column"])
def test_a_crawl_at_60_hz_is_exact_at_every_refresh(canvas, along):
    """40 s a screen: W / 2400 pixels a refresh, floored, on the canvas's own side."""
    pattern = box(along=along, place="51.5 %", speed="40 s/screen", ends="stop")
    side = canvas.width if along == "row" else canvas.height
    way = side - pattern.box_side(canvas)
    found = [place(pattern, Fraction(n, 60), canvas) for n in range(2500)]
    assert found == [min(side * n // 2400, way) for n in range(2500)]
