"""Uniformity and panel: measuring points, EBU Tech 3325's patterns, stripes and dots."""

from fractions import Fraction

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import named_signal, signal_from_parts
from patterns.signal.ycbcr import BT709

HD = Canvas(1920, 1080)
SMALL = Canvas(194, 110)
CANVASES = [HD, Canvas(3840, 2160), Canvas(7680, 4320), Canvas(4096, 2160), Canvas(3440, 1440)]
CANVASES += [Canvas(1366, 768), Canvas(1080, 1920)]
TEN = Quantiser(10, "narrow")


def made(kind, **parameters):
    return KINDS[kind].model_validate(parameters)


def framed(kind, canvas, signal, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return made(kind, **parameters).frame(canvas, chosen)


def spelt(transfer, bits, range_, **parts):
    return signal_from_parts({"transfer": transfer, "bits": bits, "range": range_, **parts})


def points_of(count, canvas):
    return list(made("uniformity", points=count).spots(canvas).items())


# Measuring points


def test_nine_points_lie_a_tenth_from_the_edges_and_midway():
    """IDMS, clause 8.1, from an extract of an edition before v1.3: H/10 and V/10 from the edges."""
    xs, ys = (192, 960, 1728), (108, 540, 972)
    expected = [
        (f"point {3 * j + i + 1}", x, y) for j, y in enumerate(ys) for i, x in enumerate(xs)
    ]
    assert [(name, spot.x, spot.y) for name, spot in points_of(9, HD)] == expected


def test_five_points_are_the_corners_of_the_nine_and_the_centre():
    """IDMS, clause 8.1, as above."""
    expected = [(192, 108), (1728, 108), (960, 540), (192, 972), (1728, 972)]
    assert [(spot.x, spot.y) for _, spot in points_of(5, HD)] == expected


def test_thirteen_points_are_those_of_the_ebu():
    """EBU Tech 3325 v2.0, Tables 5 to 7, second-hand: from the centre, of width and height."""
    offsets = [(0.0, 0.0)]
    offsets += [(0.0, sign * 0.4) for sign in (-1, 1)] + [(sign * 0.4, 0.0) for sign in (-1, 1)]
    offsets += [(a * each, b * each) for each in (0.2, 0.4) for a in (-1, 1) for b in (-1, 1)]
    for canvas in CANVASES:
        found = {
            (float(spot.x / canvas.width) - 0.5, float(spot.y / canvas.height) - 0.5)
            for _, spot in points_of(13, canvas)
        }
        assert len(found) == len(offsets) == 13
        for x, y in offsets:
            assert any(abs(x - a) + abs(y - b) < 1e-12 for a, b in found)


def test_twenty_five_points_are_the_middles_of_a_grid_of_equal_boxes():
    for canvas in CANVASES:
        w, h = Fraction(canvas.width, 5), Fraction(canvas.height, 5)
        middles = [(w * i + w / 2, h * j + h / 2) for j in range(5) for i in range(5)]
        assert [(spot.x, spot.y) for _, spot in points_of(25, canvas)] == middles


@pytest.mark.parametrize("count", [5, 9, 13, 25])
def test_points_are_counted_from_left_to_right_then_down(count):
    points = points_of(count, HD)
    assert [name for name, _ in points] == [f"point {n}" for n in range(1, count + 1)]
    places = [(spot.y, spot.x) for _, spot in points]
    assert places == sorted(places)
    # the same from all sides: the points turned by half a turn are the points
    assert places == [(1080 - y, 1920 - x) for y, x in reversed(places)]


def test_the_field_has_one_level_and_no_marks():
    frame = framed("uniformity", HD, "sdr10", level="5 %", points=13)
    # 64 + 43.8
    assert frame.inks == {"level": (108, 108, 108)}
    assert (frame.pixels() == 108).all()
    assert frame.facts == {"points": "EBU Tech 3325 v2.0, thirteen points, second-hand"}
    assert framed("uniformity", HD, "sdr10").facts == {"points": "IDMS 8.1, nine points"}


@pytest.mark.parametrize("points", [1, 4, 10, "9"])
def test_other_numbers_of_points_are_refused(points):
    with pytest.raises(ValidationError, match="5, 9, 13 or 25"):
        made("uniformity", points=points)


# EBU Tech 3325


@pytest.mark.parametrize(("centre", "white"), [("white", 940), ("highest", 1019)])
def test_ebu_boxes_are_squares_of_two_fifteenths_of_the_height(centre, white):
    """EBU Tech 3325 v2.0, EBU_1 and EBU_2, second-hand: H / 7.5 is 144 pixels at 1080 lines."""
    frame = framed("ebu-boxes", HD, "sdr10", centre=centre)
    expected = np.full((1080, 1920), 502)
    for x, y, code in (
        *((960, 108, 64), (192, 540, 64), (1728, 540, 64), (960, 972, 64)),
        (960, 540, white),
    ):
        expected[y - 72 : y + 72, x - 72 : x + 72] = code
    assert (frame.pixels() == expected[:, :, None]).all()
    assert frame.facts["pattern"] == ("EBU_1" if centre == "white" else "EBU_2")
    assert "second-hand" in frame.facts["document"]


@pytest.mark.parametrize(
    ("size", "side"),
    [
        *(((3840, 2160), 288), ((7680, 4320), 576), ((4096, 2160), 288), ((3440, 1440), 192)),
        # 102.4 pixels; and on an upright canvas the shorter side stands for the height
        *(((1366, 768), 102), ((1080, 1920), 144)),
    ],
)
def test_ebu_squares_grow_with_the_canvas(size, side):
    canvas = Canvas(*size)
    for name in ("ebu-boxes", "ebu-square"):
        assert {(box.width, box.height) for box in made(name).squares(canvas).values()} == {
            (side, side)
        }


@pytest.mark.parametrize("canvas", CANVASES, ids=str)
def test_an_ebu_square_lies_at_its_point(canvas):
    for number, (_, point) in enumerate(points_of(13, canvas), 1):
        frame = framed("ebu-square", canvas, "pq10", point=number)
        (spot,) = made("ebu-square", point=number).spots(canvas).values()
        assert max(abs(spot.x - point.x), abs(spot.y - point.y)) <= Fraction(1, 2)
        assert frame.rows[frame.order[int(spot.y)], int(spot.x)].tolist() == [940] * 3
        side = {1080: 144, 2160: 288, 4320: 576, 1440: 192, 768: 102, 1920: 144}[canvas.height]
        assert frame.lit_area == 100 * side * side / canvas.pixels


def test_ebu_greys_are_twenty_codes():
    """EBU Tech 3325 v2.0, EBU_4, second-hand."""
    codes = [framed("ebu-grey", SMALL, "sdr10", step=step).inks["grey"] for step in range(1, 21)]
    expected = [64, 86, 138, 190, 242, 294, 346, 398, 450, 502, 554, 606, 658, 710, 762, 814, 866]
    expected += [918, 940, 1019]
    assert codes == [(code,) * 3 for code in expected]


def test_ebu_greys_at_other_depths_have_the_nearest_code():
    """A quarter of the code at 8 bits narrow; 255 (code - 64) / 876 at 8 bits full."""
    for step, code, narrow, full in ((1, 64, 16, 0), (2, 86, 22, 6), (10, 502, 126, 128)):
        for range_, expected in (("narrow", narrow), ("full", full)):
            frame = framed("ebu-grey", SMALL, spelt("bt1886", 8, range_), step=step)
            assert frame.inks["grey"] == (expected,) * 3
            assert frame.facts["code_10_bit"] == code
    deep = framed("ebu-grey", SMALL, spelt("pq", 12, "narrow"), step=20)
    assert deep.inks["grey"] == (4076, 4076, 4076)


def test_full_range_holds_the_highest_ebu_code_only_where_clipping_is_asked_for():
    said = "code 1019 of 10 bits, narrow range"
    for kind, parameters, name in (
        ("ebu-grey", {"step": 20}, "grey"),
        ("ebu-boxes", {"centre": "highest"}, "white"),
    ):
        with pytest.raises(PatternError, match=f"{said} is out of reach of sdr8"):
            framed(kind, SMALL, "sdr8", **parameters)
        frame = framed(kind, SMALL, "sdr8", clip=True, **parameters)
        assert frame.inks[name] == (255, 255, 255)
        assert frame.facts["clipped"] == [f"{name}: {said}"]


def test_ebu_colours_turn_back_to_the_codes_of_the_document(vectors):
    """EBU Tech 3325 v2.0, EBU_5, second-hand, through the weights of BT.709-6 item 3.2."""
    for row in vectors("ebu_3325_colours"):
        name, *codes = row.values()
        colour = int(name) if name.isdigit() else name
        frame = framed("ebu-colour", SMALL, "sdr10", colour=colour)
        assert frame.facts["ycbcr_10_bit"] == [int(each) for each in codes]
        rgb = np.array(frame.inks["colour"])
        assert BT709.of_codes(rgb, TEN).tolist() == [int(each) for each in codes], name
        # without rounding in between it is the same to the last bit
        exact = BT709.shares(tuple(map(int, codes)), TEN)
        if isinstance(colour, int):
            assert BT709.codes(exact, TEN) == tuple(map(int, codes))


def test_ebu_colours_have_these_codes():
    """Worked out by hand for the first: R' = Y' + 1.5748 C'R, B' = Y' + 1.8556 C'B (computed)."""
    # Y' = 317/876, C'B = -42/896, C'R = 66/896: R' 0.47787, G' 0.33617, B' 0.27489 of 876, plus 64
    assert framed("ebu-colour", SMALL, "sdr10").inks["colour"] == (483, 358, 305)
    # Y' = 257/876, C'B = 105/896, C'R = -21/896: R' 0.25647, G' 0.28240, B' 0.51083 of 255
    assert framed("ebu-colour", SMALL, "sdr8", colour=13).inks["colour"] == (65, 72, 130)


@pytest.mark.parametrize(
    ("colour", "rgb"),
    [("red", (940, 64, 64)), ("green", (64, 940, 64)), ("blue", (64, 64, 940))],
)
def test_the_ebu_primaries_are_those_of_full_bars(vectors, colour, rgb):
    """Their Y'C'BC'R equal BT.709's 100 % bars (computed), so R'G'B' are 100 % and 0 %."""
    (row,) = [each for each in vectors("ebu_3325_colours") if each["colour"] == colour]
    assert framed("ebu-colour", SMALL, "sdr10", colour=colour).inks["colour"] == rgb
    shares = tuple(Fraction(code == 940) for code in rgb)
    codes = tuple(int(row[each]) for each in ("y", "cb", "cr"))
    assert BT709.codes(shares, TEN) == codes


@pytest.mark.parametrize("signal", ["pq10", "hlg10"])
def test_ebu_colours_are_bt709_only(signal):
    with pytest.raises(PatternError, match="ebu-colour is made for bt1886, bt709"):
        framed("ebu-colour", SMALL, signal)
    with pytest.raises(PatternError, match="ebu-colour is made for bt1886, bt709"):
        framed("ebu-colour", SMALL, spelt("bt1886", 10, "narrow", primaries="p3-d65"))


@pytest.mark.parametrize(
    ("kind", "parameters"),
    [
        *(("ebu-square", {"point": each}) for each in (0, 14)),
        *(("ebu-grey", {"step": each}) for each in (0, 21)),
        *(("ebu-colour", {"colour": each}) for each in (0, 16, "cyan", "3")),
        ("ebu-boxes", {"centre": "super"}),
    ],
)
def test_what_the_document_does_not_have_is_refused(kind, parameters):
    with pytest.raises(ValidationError):
        made(kind, **parameters)


# Codes to R'G'B'


@pytest.mark.parametrize("range_", ["narrow", "full"])
@pytest.mark.parametrize("bits", [8, 10, 12, 16])
def test_ycbcr_codes_turned_to_rgb_and_back_are_the_same_codes(bits, range_):
    """Exactly, wherever C' does not reach the end at +0.5, which full range does not hold."""
    quantiser = Quantiser(bits, range_)
    low, high = quantiser.black, quantiser.white
    for codes in ((low, low, low), (high, low + 7, high - 3), ((low + high) // 2, high - 9, low)):
        shares = BT709.shares(codes, quantiser)
        assert BT709.codes(shares, quantiser) == codes


# Stripes and dots


@pytest.mark.parametrize("start", ["lit", "dark"])
@pytest.mark.parametrize(
    ("form", "across", "down"),
    [
        *(("columns", 1, 1), ("columns", 3, 1), ("rows", 1, 1), ("rows", 1, 4)),
        *(("dots", 1, 1), ("dots", 2, 1), ("dots", 1, 2), ("dots", 5, 3)),
    ],
)
def test_stripes_and_dots_come_in_turn_from_the_top_left(form, across, down, start):
    frame = framed("stripes", SMALL, "sdr10", form=form, across=across, down=down, start=start)
    x, y = np.arange(194) // across, np.arange(110)[:, None] // down
    turn = {"columns": x + 0 * y, "rows": y + 0 * x, "dots": x + y}[form]
    lit = turn % 2 == (0 if start == "lit" else 1)
    assert (frame.pixels() == np.where(lit, 502, 64)[:, :, None]).all()
    assert len(frame.rows) == (1 if form == "columns" else 2)


def test_dots_of_two_colours_light_every_other_sub_pixel():
    colours = {
        "level": {"r": "50 %", "g": "0 %", "b": "50 %"},
        "background": {"r": "0 %", "g": "50 %", "b": "0 %"},
    }
    pixels = framed("stripes", SMALL, "sdr8", form="dots", **colours).pixels()
    # sub-pixels of a row in their order: lit, dark, lit, dark ...
    assert (pixels[0].reshape(-1)[::2] == 128).all()
    assert (pixels[0].reshape(-1)[1::2] == 0).all()
    assert (pixels[1] == pixels[0, ::-1]).all()


def test_stripes_of_any_width_light_half_of_an_even_canvas():
    for canvas in CANVASES:
        for form in ("columns", "rows", "dots"):
            assert framed("stripes", canvas, "sdr8", form=form).lit_area == 50


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"across": 98}, "Columns of 98 pixels across do not come in turn on a canvas of 194x110"),
        ({"form": "rows", "down": 56}, "Rows of 56 pixels down"),
        ({"form": "dots", "down": 56}, "Dots of 56 pixels down"),
    ],
)
def test_stripes_that_do_not_come_in_turn_are_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        framed("stripes", SMALL, "sdr10", **parameters)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"down": 2}, "down goes with rows or dots, not with columns"),
        ({"form": "rows", "across": 2}, "across goes with columns or dots, not with rows"),
        ({"across": 0}, "greater than or equal to 1"),
        ({"form": "lines"}, "columns"),
    ],
)
def test_stripes_that_are_none_are_refused(parameters, said):
    with pytest.raises(ValidationError, match=said):
        made("stripes", **parameters)
