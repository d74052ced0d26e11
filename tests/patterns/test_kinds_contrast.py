"""Black and contrast: near white, surrounds and corner boxes, pixel by pixel and by area."""

from bisect import bisect_left
from functools import cache

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal, signal_from_parts

HD = Canvas(1920, 1080)
TINY = Canvas(192, 108)
SMALL = [(192, 108), (64, 64), (86, 64), (64, 114), (344, 144), (66, 1000)]
LARGE = [
    *((1920, 1080), (3840, 2160), (7680, 4320), (4096, 2160)),
    *((3440, 1440), (1366, 768), (1080, 1920)),
]


def made(kind, **parameters):
    return KINDS[kind].model_validate(parameters)


def framed(kind, canvas, signal, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return made(kind, **parameters).frame(canvas, chosen)


def code_at(frame, spot):
    """The grey code under a spot."""
    (grey,) = set(frame.rows[frame.order[int(spot.y)], int(spot.x)].tolist())
    return grey


def patches_of(frame):
    return [codes[0] for name, codes in frame.inks.items() if name.startswith("patch")]


def greys(frame):
    """Codes (height, width), R = G = B."""
    pixels = frame.pixels()
    assert (pixels == pixels[:, :, :1]).all()
    return pixels[:, :, 0]


# Near white


def test_near_white_steps_count_codes_down_from_white():
    """White is code 940 at 10 bits narrow and 255 at 8 bits full (BT.2100-3 Table 9)."""
    frame = framed("near-white", HD, "pq10")
    assert frame.inks["background"] == (940, 940, 940)
    assert patches_of(frame) == list(range(939, 919, -1))
    full = framed("near-white", HD, "sdr8", first=2, step=3, count=4)
    assert full.inks["background"] == (255, 255, 255)
    assert patches_of(full) == [253, 250, 247, 244]


def test_near_white_patches_lie_where_near_black_ones_do():
    white, black = made("near-white", columns=4, count=7), made("near-black", columns=4, count=7)
    for size in LARGE:
        assert white.spots(Canvas(*size)) == black.spots(Canvas(*size))
    lit, dark = (greys(each.frame(HD, named_signal("sdr10"))) for each in (white, black))
    assert ((lit == 940) == (dark == 64)).all()
    assert ((940 - lit.astype(int)) == (dark.astype(int) - 64)).all()


def test_near_white_steps_may_go_above_white_as_far_as_video_does():
    frame = framed("near-white", HD, "pq10", first=-79, step=20, count=4)
    assert patches_of(frame) == [1019, 999, 979, 959]
    twelve = framed("near-white", HD, "pq12", first=-319, step=319, count=2)
    assert patches_of(twelve) == [4079, 3760]
    with pytest.raises(PatternError, match="code 1020 is out of reach"):
        framed("near-white", HD, "pq10", first=-80)
    with pytest.raises(PatternError, match="code 256 is out of reach"):
        framed("near-white", HD, "sdr8", first=-1)


def test_near_black_steps_reach_the_lowest_code_of_every_depth():
    """Video data begins at code 16 of 12 bits and 256 of 16 bits narrow (BT.2100-3 Table 9)."""
    assert patches_of(framed("near-black", HD, "sdr12", first=-240, step=240, count=2)) == [16, 256]
    deep = signal_from_parts({"transfer": "pq", "bits": 16, "range": "narrow"})
    assert patches_of(framed("near-black", HD, deep, first=-3840, step=3840, count=2)) == [
        256,
        4096,
    ]


def test_near_white_codes_keep_their_meaning_at_another_depth():
    written = named_signal("pq10")
    frame = framed("near-white", HD, written.shown_at(12, "narrow"), count=3)
    assert frame.inks["background"] == (3760, 3760, 3760)
    assert patches_of(frame) == [3756, 3752, 3748]


# Surround


@cache
def rectangles(canvas, shape):
    """Areas of all rectangles of a shape, and their sides: found without any cleverness."""
    w = np.arange(1, canvas.width + 1, dtype=np.int64)
    sides = set()
    for h in range(1, canvas.height + 1):
        fits = w == h
        if shape == "picture":
            fits = ((2 * w - 1) * canvas.height < (2 * h + 1) * canvas.width) & (
                (2 * h - 1) * canvas.width < (2 * w + 1) * canvas.height
            )
        sides |= {(int(each), h) for each in w[fits]}
    return sorted({x * y for x, y in sides}), sides


def nearest(canvas, thousandths, shape):
    """The area nearest to a share of the canvas, of two as near the smaller."""
    areas, _ = rectangles(canvas, shape)
    wanted = thousandths * canvas.pixels
    at = bisect_left(areas, wanted, key=lambda area: 1000 * area)
    near = areas[max(at - 1, 0) : at + 1]
    return min(near, key=lambda area: (abs(1000 * area - wanted), area))


def surrounds_missed(canvas, shape, thousandths):
    """Areas whose centre is not the nearest of its shape, or which are refused without need."""
    wrong = []
    _, sides = rectangles(canvas, shape)
    for share in thousandths:
        pattern = made("surround", area=f"{share / 10} %", shape=shape)
        try:
            centre, outer = pattern.boxes(canvas)
        except PatternError:
            # an odd or an even pixel is left over at most, so none on one of the sides
            best = nearest(canvas, share, shape)
            left = [(w, h) for w, h in sides if w * h == best]
            if not any(canvas.width - w < 2 or canvas.height - h < 2 for w, h in left):
                wrong.append((share, "refused"))
            continue
        assert (outer.width, outer.height) == (canvas.width, canvas.height)
        size = centre.width, centre.height
        if size not in sides or size[0] * size[1] != nearest(canvas, share, shape):
            wrong.append((share, size))
        right, bottom = canvas.width - centre.right, canvas.height - centre.bottom
        if right - centre.x not in (0, 1) or bottom - centre.y not in (0, 1):
            wrong.append((share, centre))
    return wrong


@pytest.mark.parametrize("shape", ["picture", "square"])
@pytest.mark.parametrize("size", SMALL)
def test_no_centre_of_the_shape_is_nearer_to_its_area(size, shape):
    """Areas of 1 to 100 % in steps of 0.1 %, against all rectangles of the canvas."""
    assert not surrounds_missed(Canvas(*size), shape, range(10, 1001))


@pytest.mark.campaign
@pytest.mark.parametrize("shape", ["picture", "square"])
@pytest.mark.parametrize("size", LARGE)
def test_no_centre_is_nearer_at_any_tenth_of_a_percent_on_whole_screens(size, shape):
    assert not surrounds_missed(Canvas(*size), shape, range(10, 1001))


@pytest.mark.parametrize("size", SMALL)
def test_centre_and_surround_together_have_the_nearest_area(size):
    canvas = Canvas(*size)
    for share in range(50, 1001, 5):
        _, outer = made("surround", area="1 %", outer=f"{share / 10} %").boxes(canvas)
        assert outer.width * outer.height == nearest(canvas, share, "picture")


def test_the_areas_reported_are_those_of_the_picture():
    levels = {"level": "code 100", "surround": "code 700", "background": "code 300"}
    for share in range(10, 400, 7):
        parameters = {"area": f"{share / 10} %", "outer": f"{share / 10 + 40} %"}
        frame = framed("surround", TINY, "sdr10", **parameters, **levels)
        colours, counts = frame.census
        pixels = dict(zip(colours[:, 0].tolist(), counts.tolist(), strict=True))
        assert frame.facts["centre_area_percent"] == 100 * pixels[100] / (192 * 108)
        assert frame.facts["surround_area_percent"] == 100 * pixels[700] / (192 * 108)


def test_a_surround_is_black_in_white_unless_told_otherwise():
    """10 % of 1920x1080 is 607 x 342, of which 656 and 369 pixels are free at the left and top."""
    frame = framed("surround", HD, "sdr10")
    expected = np.full((1080, 1920), 940)
    expected[369 : 369 + 342, 656 : 656 + 607] = 64
    assert (greys(frame) == expected).all()
    assert frame.facts["centre"] == {"x": 656, "y": 369, "width": 607, "height": 342}
    assert frame.inks == {"level": (64, 64, 64), "surround": (940, 940, 940)}


def test_the_reverse_of_a_surround_is_the_same_picture_inverted():
    ways = {"level": "100 %", "surround": "0 %"}
    dark, lit = (
        greys(framed("surround", HD, "sdr10")),
        greys(framed("surround", HD, "sdr10", **ways)),
    )
    assert (dark.astype(int) + lit == 940 + 64).all()


def test_beyond_the_surround_lies_the_background():
    parameters = {"size": {"width": "20 px", "height": "10 px"}, "outer": "25 %"}
    levels = {"level": "code 900", "surround": "code 200", "background": "code 500"}
    frame = framed("surround", TINY, "sdr10", **parameters, **levels)
    expected = np.full((108, 192), 500)
    expected[27:81, 48:144] = 200
    expected[49:59, 86:106] = 900
    assert (greys(frame) == expected).all()


@pytest.mark.parametrize("size", LARGE)
@pytest.mark.parametrize("outer", ["60 %", "100 %"])
def test_spots_of_a_surround_lie_in_it_and_in_the_centre(size, outer):
    canvas = Canvas(*size)
    pattern = made("surround", level="code 900", surround="code 200", outer=outer, area="7.7 %")
    frame = pattern.frame(canvas, named_signal("sdr10"))
    spots = pattern.spots(canvas)
    found = {name: code_at(frame, spot) for name, spot in spots.items()}
    around = dict.fromkeys(("above", "left", "right", "below"), 200)
    assert found == {"centre": 900} | around
    assert spots["above"].y < spots["centre"].y < spots["below"].y
    assert spots["left"].x < spots["centre"].x < spots["right"].x


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"area": "100 %"}, "A centre of 192x108 at 0,0 leaves no surround within 192x108 at 0,0"),
        ({"area": "30 %", "outer": "20 %"}, "leaves no surround within"),
        ({"size": {"width": "193 px", "height": "10 px"}}, "does not lie on a canvas of 192x108"),
        ({"size": {"width": "0 px", "height": "10 px"}}, "does not lie on a canvas of 192x108"),
    ],
)
def test_a_centre_without_a_surround_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        framed("surround", TINY, "sdr10", **parameters)


def test_a_centre_has_an_area_or_a_size():
    with pytest.raises(ValidationError, match="an area or a size, not both"):
        made("surround", area="5 %", size={"width": "9 px", "height": "9 px"})


# Corner boxes


def test_corner_boxes_fill_the_corners_and_nothing_else():
    """4 % of 1920x1080 is 384 x 216: a fifth of each side."""
    frame = framed("corner-boxes", HD, "sdr10")
    expected = np.full((1080, 1920), 64)
    for top in (0, 864):
        for left in (0, 1536):
            expected[top : top + 216, left : left + 384] = 940
    assert (greys(frame) == expected).all()
    assert frame.facts == {
        "box": {"x": 0, "y": 0, "width": 384, "height": 216},
        "box_area_percent": 4.0,
        "area_percent": 16.0,
    }
    assert frame.lit_area == 16


def test_boxes_along_the_edges_lie_midway_between_the_corners():
    """1 % of 200x100 as a square is 14 x 14 (196 pixels against 225 of 15 x 15)."""
    parameters = {"area": "1 %", "shape": "square", "edges": True, "inset": "6 px"}
    frame = framed("corner-boxes", Canvas(200, 100), "sdr10", **parameters)
    expected = np.full((100, 200), 64)
    for top in (6, 43, 80):
        for left in (6, 93, 180):
            if (top, left) != (43, 93):
                expected[top : top + 14, left : left + 14] = 940
    assert (greys(frame) == expected).all()
    assert frame.facts["area_percent"] == 100 * 8 * 196 / 20_000


@pytest.mark.parametrize("size", SMALL)
@pytest.mark.parametrize("edges", [False, True])
def test_a_corner_box_has_the_nearest_area_or_is_refused(size, edges):
    canvas = Canvas(*size)
    refused = []
    for share in range(1, 300, 3):
        pattern = made("corner-boxes", area=f"{share / 10} %", edges=edges)
        try:
            boxes = pattern.boxes(canvas)
        except PatternError:
            refused.append(share)
            continue
        assert len({(box.width, box.height) for box in boxes.values()}) == 1
        box = boxes["top left"]
        assert box.width * box.height == nearest(canvas, share, "picture")
        frame = pattern.frame(canvas, named_signal("sdr10"))
        # no two boxes share a pixel, and what is reported is what is lit
        assert frame.lit_area == frame.facts["area_percent"]
        assert frame.census[1].max() < canvas.pixels
    # a quarter of the sides is 25 %, a third 11.1 %; nothing well below is refused
    assert min(refused) > (100 if edges else 235)


@pytest.mark.parametrize("size", LARGE)
def test_spots_of_corner_boxes_lie_in_them_and_the_centre_is_dark(size):
    canvas = Canvas(*size)
    pattern = made("corner-boxes", edges=True, inset="2 %")
    frame = pattern.frame(canvas, named_signal("sdr10"))
    spots = pattern.spots(canvas)
    found = {name: code_at(frame, spot) for name, spot in spots.items()}
    assert found.pop("centre") == 64
    assert len(found) == 8
    assert set(found.values()) == {940}
    assert spots["left edge"].y == spots["right edge"].y
    assert spots["top left"].x < spots["top edge"].x < spots["top right"].x


@pytest.mark.parametrize(
    ("parameters", "box"),
    [
        ({"area": "25 %"}, "96x54 pixels, 0"),
        ({"area": "24 %", "inset": "2 px"}, "94x53 pixels, 2"),
        ({"area": "12 %", "edges": True}, "67x37 pixels, 0"),
        ({"area": "1 %", "inset": "50 px"}, "19x11 pixels, 50"),
    ],
)
def test_boxes_that_leave_nothing_dark_between_them_are_refused(parameters, box):
    with pytest.raises(PatternError, match=f"Boxes of {box} from the edges, leave nothing dark"):
        framed("corner-boxes", TINY, "sdr10", **parameters)


def test_boxes_that_touch_on_one_side_only_are_refused():
    """On 64x1000, 1.6 % is a square of 32, half of the width; 1.5 % one of 31."""
    tall = Canvas(64, 1000)
    assert framed("corner-boxes", tall, "sdr8", area="1.5 %", shape="square").lit_area > 6
    with pytest.raises(PatternError, match="32x32 pixels, 0 from the edges"):
        framed("corner-boxes", tall, "sdr8", area="1.6 %", shape="square")
