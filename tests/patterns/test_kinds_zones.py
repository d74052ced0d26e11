"""Moving box on diagonals and by the screen, comb and halo: geometry against brute force."""

from fractions import Fraction
from math import floor, hypot, isqrt

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

HD, UHD, EIGHT_K = Canvas(1920, 1080), Canvas(3840, 2160), Canvas(7680, 4320)
PORTRAIT = Canvas(1080, 1920)
CANVASES = [
    HD, UHD, EIGHT_K, Canvas(4096, 2160), Canvas(3440, 1440), Canvas(1366, 768), PORTRAIT
]  # fmt: skip
RATES = [Fraction(50), Fraction(60000, 1001), Fraction(60), Fraction(120)]
SDR = named_signal("sdr8")


def make(kind, **parameters):
    return KINDS[kind].model_validate(parameters)


# ---- moving box


@pytest.mark.parametrize("rate", RATES, ids=str)
def test_a_box_crosses_the_screen_in_the_seconds_that_it_is_given(rate):
    """8 s/screen on 1920 pixels: 240 px/s, so floor(240 n / rate) at refresh n."""
    canvas = Canvas(1920, 1080, rate)
    pattern = make("moving-box", speed="8 s/screen", ends="stop")
    for n in range(0, 600, 7):
        gone = 240 * n * rate.denominator // rate.numerator
        assert pattern.at(canvas, n / rate) == (min(gone, 1898), 0)
    down = make("moving-box", along="left", speed="8 s/screen", ends="stop")
    assert down.at(canvas, Fraction(1)) == (0, 135)


def test_the_same_seconds_per_screen_are_other_pixels_on_another_canvas():
    pattern = make("moving-box", along="row", place="50 %", speed="8 s/screen", ends="stop")
    assert [pattern.at(canvas, Fraction(1, 60))[0] for canvas in (HD, UHD, EIGHT_K)] == [4, 8, 16]


def test_a_screen_is_not_crossed_in_no_time():
    with pytest.raises(ValidationError, match="more than 0 s"):
        make("moving-box", speed="0 s/screen")


@pytest.mark.parametrize("canvas", CANVASES, ids=str)
@pytest.mark.parametrize("along", ["diagonal", "rising-diagonal"])
def test_a_box_on_a_diagonal_keeps_to_the_line_from_corner_to_corner(canvas, along):
    pattern = make("moving-box", along=along, side="20 px", speed="1 px/s", ends="stop")
    wide, high = canvas.width - 20, canvas.height - 20
    longest = max(wide, high)
    start, end = (0, 0), (wide, high)
    if along == "rising-diagonal":
        start, end = (0, high), (wide, 0)
    assert pattern.at(canvas, Fraction(0)) == start
    assert pattern.at(canvas, Fraction(longest)) == end
    for time in range(0, longest, 97):
        x, y = pattern.at(canvas, Fraction(time))
        down = y if along == "diagonal" else high - y
        # within half a pixel of the line, from whole numbers: the longer side sets the pace
        assert (x, down)[wide < high] == time
        assert abs(x * high - down * wide) * 2 <= longest


def test_a_box_on_a_diagonal_turns_at_the_corner():
    pattern = make("moving-box", along="diagonal", side="20 px", speed="1 px/s")
    assert pattern.at(HD, Fraction(1900)) == (1900, 1060)
    assert pattern.at(HD, Fraction(1905)) == (1895, 1057)
    assert pattern.heading(HD, Fraction(1905)) == "backward"


# ---- comb


def starts_by_brute_force(zones, spacing, phase, length, side):
    """Nearest whole pixel to each wanted left edge, halves up and away from zero, by search."""
    found = []
    k = 0
    while k <= zones:
        wanted = (k + phase) * length / zones - Fraction(side, 2)
        below = floor(wanted)
        start = below if wanted - below < Fraction(1, 2) else below + 1
        if wanted < 0 and wanted - below == Fraction(1, 2):
            start = below
        if start >= 0 and start + side <= length:
            found.append(start)
        k += spacing
    return found


@pytest.mark.parametrize("canvas", [UHD, EIGHT_K], ids=str)
@pytest.mark.parametrize("along", ["columns", "rows"])
@pytest.mark.parametrize("phase", [0, 0.25, 0.5, 1])
def test_a_comb_is_exact_to_the_pixel_for_every_count(canvas, along, phase):
    length = canvas.width if along == "columns" else canvas.height
    for zones in range(1, 201):
        pattern = make("comb", zones=zones, along=along, phase=phase, side="5 px")
        expected = starts_by_brute_force(zones, 3, Fraction(phase), length, 5)
        if not expected:
            # with a few zones, all that is left may be a box over each edge
            assert zones <= 3
            with pytest.raises(PatternError, match="No box of 5 pixels lies whole"):
                pattern.boxes(canvas)
            continue
        boxes = [(b.x, b.y) if along == "columns" else (b.y, b.x) for b in pattern.boxes(canvas)]
        breadth = canvas.height + canvas.width - length
        assert boxes == [(start, breadth // 2 - 3) for start in expected]


def test_a_comb_of_forty_on_3840_pixels_has_these_places():
    """Zones of 96 pixels: middles at 48 + 288 k, boxes of 22 pixels at 37 + 288 k."""
    pattern = make("comb")
    boxes = pattern.boxes(UHD)
    assert [box.x for box in boxes] == list(range(37, 3840, 288))
    assert len(boxes) == 14
    assert {(box.y, box.width, box.height) for box in boxes} == {(1069, 22, 22)}
    assert pattern.spots(UHD)["box 2"].x == 336
    assert pattern.frame(UHD, SDR).facts == {
        "method": "comb of boxes, Litfield's own",
        "along": "columns",
        "zones": 40,
        "spacing": 3,
        "phase": 0.5,
        "boxes": 14,
        "box_px": 22,
        "first_box": {"x": 37, "y": 1069, "width": 22, "height": 22},
        "zone_px": 96.0,
    }


def test_where_the_count_is_right_every_box_lies_at_the_same_place_of_its_zone():
    """41 zones on 3840 pixels: 93.66 pixels each; rounding moves a box by half a pixel at most."""
    zone = Fraction(3840, 41)
    right = make("comb", zones=41, side="10 px")
    for spot in right.spots(UHD).values():
        assert abs(spot.x / zone % 1 - Fraction(1, 2)) * zone <= Fraction(1, 2)
    for supposed, groups in [(40, 1), (42, 1), (39, 2), (43, 2), (38, 3), (44, 3)]:
        spots = make("comb", zones=supposed, side="10 px").spots(UHD)
        # each time that the boxes slip past a border between zones makes a group
        slipped = [spot.x / zone - spot.x * supposed / 3840 for spot in spots.values()]
        assert round(abs(float(slipped[-1] - slipped[0]))) == groups


def test_boxes_that_would_leave_the_canvas_are_dropped_whole():
    at_edges = make("comb", zones=4, spacing=1, phase=0, side="100 px")
    assert [box.x for box in at_edges.boxes(HD)] == [430, 910, 1390]
    flush = make("comb", zones=4, spacing=1, phase=0.5, side="480 px", along="columns")
    with pytest.raises(PatternError, match="Boxes of 480 pixels touch"):
        flush.boxes(HD)
    alone = make("comb", zones=1, phase=0.5, side="1080 px")
    assert [str(box) for box in alone.boxes(HD)] == ["1080x1080 at 420,0"]


def test_the_comb_shows_its_boxes_and_nothing_else():
    canvas = Canvas(192, 108)
    for along in ("columns", "rows"):
        pattern = make(
            "comb", zones=7, spacing=2, along=along, place="20 px", side="5 px",
            level="code 200", background="code 3",
        )  # fmt: skip
        expected = np.full((108, 192, 3), 3, np.uint16)
        for box in pattern.boxes(canvas):
            expected[box.y : box.bottom, box.x : box.right] = 200
        assert (pattern.frame(canvas, SDR).pixels() == expected).all()
        assert (expected == 200).sum() == 4 * 25 * 3


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"zones": 200, "side": "5 %"}, "Boxes of 54 pixels touch where they are 28.8 pixels"),
        ({"place": "0 %"}, "at a place of 0 %"),
        ({"side": "1200 px"}, "do not lie on"),
        ({"zones": 1, "phase": 0, "side": "10 px"}, "No box of 10 pixels lies whole"),
    ],
)
def test_a_comb_that_does_not_fit_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        make("comb", **parameters).frame(HD, SDR)


@pytest.mark.parametrize(
    "parameters", [{"zones": 0}, {"zones": 501}, {"spacing": 0}, {"phase": 1.5}, {"phase": -0.1}]
)
def test_a_comb_of_no_zones_or_a_phase_beyond_its_zone_is_refused(parameters):
    with pytest.raises(ValidationError):
        make("comb", **parameters)


# ---- halo


def test_points_lie_clockwise_from_above_at_their_distances():
    """At 1080 rows: a box of 108 at 906,486; 2 % are 21.6, so 22 pixels, and 15 and 15 slanted."""
    pattern = make("halo")
    spots = pattern.spots(HD)
    assert (spots["box"].x, spots["box"].y) == (960, 540)
    first = [(spots[f"point {n}"].x, spots[f"point {n}"].y) for n in range(1, 9)]
    assert first == [
        (960, 464), (1029, 471), (1036, 540), (1029, 609),
        (960, 616), (891, 609), (884, 540), (891, 471),
    ]  # fmt: skip
    assert (spots["point 9"].x, spots["point 9"].y) == (960, 432)
    assert len(spots) == 33


@pytest.mark.parametrize("canvas", CANVASES, ids=str)
def test_every_point_is_in_the_dark_and_as_far_from_the_box_as_the_facts_say(canvas):
    for parameters in ({}, {"ring": "12 %", "surround": "50 %", "distances": ["2 %", "11 %"]}):
        pattern = make("halo", **parameters)
        frame = pattern.frame(canvas, SDR)
        pixels, box = frame.pixels()[..., 0], pattern.box(canvas)
        spots, told = pattern.spots(canvas), frame.facts["points"]
        assert set(told) == set(spots) - {"box"}
        assert frame.facts["points_off_canvas"] == 0
        for name, fact in told.items():
            spot = spots[name]
            across = max(box.x - spot.x, spot.x - box.right, 0)
            down = max(box.y - spot.y, spot.y - box.bottom, 0)
            assert fact["distance_px"] == pytest.approx(hypot(across, down), abs=0.006)
            assert pixels[floor(spot.y), floor(spot.x)] == 0
        wanted = [float(d.exact * canvas.height / 100) for d in pattern.distances]
        far = [told[f"point {n}"]["distance_px"] for n in range(1, len(told) + 1)]
        for number, distance in enumerate(far):
            assert abs(distance - wanted[number // 8]) <= 0.71


def test_slanted_distances_are_rounded_from_whole_numbers():
    """Round(d / sqrt 2) for every third d to 4000: isqrt(2 d d) is floor(2 d / sqrt 2)."""
    for distance in range(1, 4001, 3):
        pattern = make("halo", side="10 px", distances=[f"{distance} px"])
        canvas = Canvas(16384, 16384)
        spot = pattern.spots(canvas)["point 4"]
        expected = max(1, (isqrt(2 * distance * distance) + 1) // 2)
        assert spot.x - 8197 == expected


def test_points_off_the_canvas_are_left_out_and_the_others_keep_their_numbers():
    corner = make("halo", at={"x": "54 px", "y": "54 px"}, directions=4)
    frame = corner.frame(HD, SDR)
    assert list(frame.facts["points"]) == [
        "point 2", "point 3", "point 6", "point 7", "point 10", "point 11", "point 14", "point 15"
    ]  # fmt: skip
    assert frame.facts["points_off_canvas"] == 8
    assert frame.facts["points"]["point 2"] == {"distance_px": 22.0, "direction": "right"}


def test_the_ring_is_dark_between_the_box_and_a_lit_surround():
    canvas = Canvas(200, 100)
    pattern = make("halo", ring="20 %", surround="code 90", distances=["5 px"])
    expected = np.full((100, 200), 90, np.uint16)
    expected[25:75, 75:125] = 0
    expected[45:55, 95:105] = 255
    assert (pattern.frame(canvas, SDR).pixels() == expected[..., None]).all()
    wide = make("halo", ring="60 %", surround="code 90", distances=["5 px"])
    assert (wide.frame(canvas, SDR).pixels()[:, 35:165] < 256).all()
    assert set(wide.frame(canvas, SDR).pixels()[0, :, 0].tolist()) == {0, 90}


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"ring": "10 %"}, "distance of 10 % lies beyond the dark ring of 10 %"),
        ({"side": "120 %"}, "does not lie on"),
        ({"at": {"x": "0 %"}}, "does not lie on"),
        ({"distances": ["0.01 %"]}, "distance of 0.01 % is less than a pixel"),
        ({"distances": ["150 %"]}, "None of the points lies on"),
    ],
)
def test_a_halo_that_cannot_be_measured_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        make("halo", **parameters).frame(HD, SDR)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"surround": "50 %"}, "a surround needs the width of the ring"),
        ({"distances": ["0 px"]}, "outside the box"),
        ({"distances": []}, "at least 1 item"),
        ({"directions": 6}, "4 or 8"),
    ],
)
def test_a_halo_that_makes_no_sense_is_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        make("halo", **parameters)


# ---- single box


@pytest.mark.parametrize(
    ("parameters", "box"),
    [
        ({}, (1899, 1059, 43)),
        ({"at": "1 %"}, (17, 1059, 43)),
        ({"along": "column", "at": "98.5 %", "place": "40 %"}, (1515, 2106, 43)),
        ({"at": "1 px", "place": "1 px", "side": "1 px"}, (1, 1, 1)),
    ],
)
def test_a_single_box_lies_about_its_place_to_the_nearest_pixel(parameters, box):
    """Round(place - side / 2), worked out by hand for 3840x2160."""
    frame = make("single-box", **parameters).frame(UHD, SDR)
    x, y, side = box
    assert frame.facts == {"box": {"x": x, "y": y, "width": side, "height": side}}
    lit = frame.pixels()[:, :, 1] == 255
    assert lit.sum() == side * side
    assert lit[y : y + side, x : x + side].all()


@pytest.mark.parametrize("parameters", [{"at": "0 %"}, {"place": "100 %"}, {"side": "101 %"}])
def test_a_single_box_that_does_not_lie_whole_on_the_canvas_is_refused(parameters):
    with pytest.raises(PatternError, match="does not lie on 3840x2160"):
        make("single-box", **parameters).frame(UHD, SDR)
