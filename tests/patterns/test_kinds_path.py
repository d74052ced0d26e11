"""Chroma lines, depth ramp, range check and code ramp, pixel by pixel."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.spots import Spot
from patterns.signal.signal import named_signal, signal_from_parts

HD = Canvas(1920, 1080)
SMALL = Canvas(194, 110)


def pattern(kind, **parameters):
    return KINDS[kind].model_validate({key.rstrip("_"): each for key, each in parameters.items()})


def framed(kind, canvas, signal="sdr8", **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return pattern(kind, **parameters).frame(canvas, chosen)


def of_range(bits, range_):
    return signal_from_parts({"transfer": "bt1886", "bits": bits, "range": range_})


def grey(frame):
    """Codes (height, width), where R = G = B everywhere."""
    pixels = frame.pixels()
    assert (pixels == pixels[:, :, :1]).all()
    return pixels[:, :, 0]


# Chroma lines

COLOURS = {
    "white-black": ([255, 255, 255], [0, 0, 0]),
    "red-black": ([255, 0, 0], [0, 0, 0]),
    "blue-black": ([0, 0, 255], [0, 0, 0]),
    "red-blue": ([255, 0, 0], [0, 0, 255]),
    "green-magenta": ([0, 255, 0], [255, 0, 255]),
}
PLACES = [
    (pair, direction, width)
    for pair in COLOURS
    for direction in ("vertical", "horizontal")
    for width in (1, 2)
]


@pytest.mark.parametrize("canvas", [HD, Canvas(1366, 768), Canvas(1080, 1920)], ids=str)
def test_every_group_of_chroma_lines_alternates_in_its_direction(canvas):
    chart = pattern("chroma-lines")
    pixels = chart.frame(canvas, named_signal("sdr8")).pixels().astype(int)
    boxes = chart.boxes(canvas)
    assert list(boxes) == PLACES
    rest = np.ones((canvas.height, canvas.width), bool)
    for (pair, direction, width), box in boxes.items():
        part = pixels[box.y : box.bottom, box.x : box.right]
        y, x = np.mgrid[0 : box.height, 0 : box.width]
        on_line = (x if direction == "vertical" else y) // width % 2 == 0
        line, ground = np.array(COLOURS[pair])
        assert (part == np.where(on_line[:, :, None], line, ground)).all()
        rest[box.y : box.bottom, box.x : box.right] = False
    assert (pixels[rest] == 0).all()


@pytest.mark.parametrize("canvas", [HD, SMALL, Canvas(1366, 768)], ids=str)
def test_groups_of_chroma_lines_start_on_even_pixels_and_hold_whole_cycles(canvas):
    for box in pattern("chroma-lines").boxes(canvas).values():
        assert box.x % 2 == box.y % 2 == 0
        assert box.width % 4 == box.height % 4 == 0


def after_sampling(pixels, *, down):
    """What 4:2:2, or with ``down`` 4:2:0, leaves of 8-bit codes: light of each channel, 0 to 1.

    Luma and colour difference by Rec. ITU-R BT.709-6 item 3 (from memory), colour averaged over
    pairs and repeated, without rounding; light by a plain power of 2.4.
    """
    red, green, blue = np.moveaxis(pixels / 255, -1, 0)
    luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    kept = []
    for difference in (blue - luma, red - luma):
        halved = np.repeat((difference[:, ::2] + difference[:, 1::2]) / 2, 2, axis=1)
        if down:
            halved = np.repeat((halved[::2] + halved[1::2]) / 2, 2, axis=0)
        kept.append(halved)
    blue, red = (luma + each for each in kept)
    green = (luma - 0.2126 * red - 0.0722 * blue) / 0.7152
    return np.clip(np.stack([red, green, blue], axis=-1), 0, 1) ** 2.4


def test_each_sampling_leaves_a_different_picture_of_chroma_lines():
    """From afar, groups that a sampling spoils have another mean light; the others keep theirs."""
    chart = pattern("chroma-lines")
    pixels = chart.frame(HD, named_signal("sdr8")).pixels().astype(float)
    whole = (pixels / 255) ** 2.4
    half, quarter = after_sampling(pixels, down=False), after_sampling(pixels, down=True)
    spoilt = {"4:2:2": set(), "4:2:0": set()}
    for (pair, direction, width), box in chart.boxes(HD).items():
        part = (slice(box.y, box.bottom), slice(box.x, box.right))
        for name, picture in (("4:2:2", half), ("4:2:0", quarter)):
            change = picture[part].mean(axis=(0, 1)) - whole[part].mean(axis=(0, 1))
            if abs(change).max() > 0.1:
                spoilt[name].add((pair, direction, width))
            else:
                assert abs(change).max() < 1e-9
    coloured = [pair for pair in COLOURS if pair != "white-black"]
    assert spoilt["4:2:2"] == {(pair, "vertical", 1) for pair in coloured}
    both = ("vertical", "horizontal")
    assert spoilt["4:2:0"] == {(pair, way, 1) for pair in coloured for way in both}


def test_chroma_lines_say_that_they_need_full_sampling_unless_they_are_grey():
    frame = framed("chroma-lines", HD, "pq10")
    assert frame.facts == {"needs": "4:4:4"}
    assert frame.inks["magenta"] == (940, 64, 940)
    assert len(frame.rows) == 5
    one = framed("chroma-lines", HD, "pq10", pair="red-blue", level="50 %")
    assert one.inks == {"black": (64, 64, 64), "red": (502, 64, 64), "blue": (64, 64, 502)}
    assert "needs" not in framed("chroma-lines", HD, pair="white-black").facts


def test_places_of_chroma_lines_have_names():
    spots = pattern("chroma-lines").spots(HD)
    assert len(spots) == 20
    # the second of five parts of 1920, and the first of four of 1080, less an even rounding
    spot = spots["red-black vertical 1"]
    assert (spot.x, spot.y) == (576, 134)


def test_groups_of_chroma_lines_hold_two_cycles_on_the_smallest_canvas():
    boxes = pattern("chroma-lines").boxes(Canvas(64, 64)).values()
    assert {(box.width, box.height) for box in boxes} == {(8, 12)}


# Depth ramp


def test_the_lower_half_of_a_depth_ramp_has_only_codes_that_8_bits_have():
    frame = framed("depth-ramp", HD, "pq10", from_="0 %", to="100 %")
    picture = grey(frame).astype(int)
    assert len(frame.rows) == 2
    assert (picture[:540] == picture[0]).all()
    assert (picture[540:] == picture[-1]).all()
    assert sorted(set(picture[0].tolist())) == list(range(64, 941))
    assert sorted(set(picture[-1].tolist())) == list(range(64, 941, 4))
    assert (picture[-1] == picture[0] // 4 * 4).all()
    assert frame.facts == {
        "bits": 10,
        "cut_to_bits": 8,
        "levels_above": 877,
        "levels_below": 220,
    }


def test_the_upper_half_of_a_depth_ramp_is_the_plain_ramp():
    for signal in ("pq10", "hlg12", "sdr16"):
        ends = {"from_": "20 %", "to": "30 %"}
        deep = framed("depth-ramp", HD, signal)
        plain = framed("ramp", HD, signal, **ends)
        assert (deep.pixels()[0] == plain.pixels()[0]).all()


def test_a_gentle_slope_shows_a_few_wide_bands():
    """20 to 22 % of 10-bit narrow range: 64 + 175.2 and 192.72, codes 239 to 257."""
    picture = grey(framed("depth-ramp", HD, "pq10", from_="20 %", to="22 %"))
    assert sorted(set(picture[0].tolist())) == list(range(239, 258))
    assert sorted(set(picture[-1].tolist())) == [236, 240, 244, 248, 252, 256]
    bands = np.diff(np.flatnonzero(np.diff(picture[-1].astype(int), prepend=0)))
    assert bands[1:].min() >= 400


@pytest.mark.parametrize(
    ("bits", "cut", "last"),
    [(10, 8, [1015, 1019, 1023]), (12, 8, [4063, 4079, 4095]), (12, 10, [4087, 4091, 4095])],
)
def test_full_range_is_cut_as_a_code_of_fewer_bits_and_carried_back(reference, bits, cut, last):
    """Round(c (2^b - 1) / (2^n - 1)): the same rule by which files carry codes of fewer bits."""
    deep = of_range(bits, "full")
    frame = framed("depth-ramp", Canvas(8192, 64), deep, from_="0 %", to="100 %", cut=cut)
    picture = grey(frame).astype(int)
    most, few = (1 << bits) - 1, (1 << cut) - 1
    carried = [reference.rounded_ratio(Fraction(c * most, few)) for c in range(few + 1)]
    assert sorted(set(picture[-1].tolist())) == carried
    assert carried[-3:] == last
    # a path that cuts as many bits makes the two halves alike
    assert (picture[0] >> (bits - cut) == picture[-1] >> (bits - cut)).all()


def test_a_depth_ramp_of_one_channel_leaves_the_others_black():
    frame = framed("depth-ramp", HD, "pq10", channel="blue")
    assert (frame.pixels()[:, :, :2] == 64).all()
    assert frame.inks["from"] == (64, 64, 239)
    # 64 + 876 x 0.3 = 326.8
    assert frame.inks["to"] == (64, 64, 327)


def test_a_depth_ramp_needs_more_bits_than_it_cuts_to():
    for signal in ("sdr8", "pq8", "hlg8"):
        with pytest.raises(PatternError, match="depth-ramp is made for 10 and 12 and 16 bits, not"):
            framed("depth-ramp", HD, signal)
    with pytest.raises(PatternError, match="A signal of 10 bits has nothing finer than 10 bits"):
        framed("depth-ramp", HD, "pq10", cut=10)
    shown = named_signal("pq10").shown_at(8, "full")
    with pytest.raises(PatternError, match="not for "):
        framed("depth-ramp", HD, shown)


def test_the_halves_of_a_depth_ramp_have_names():
    spots = pattern("depth-ramp").spots(HD)
    assert {name: (spot.x, spot.y) for name, spot in spots.items()} == {
        "full depth": (960, 270),
        "cut": (960, 810),
    }


# Range check

DARK = {
    (8, "narrow"): [1, 4, 8, 12, 16, 20, 24, 28],
    (10, "narrow"): [4, 16, 32, 48, 64, 80, 96, 112],
    (12, "narrow"): [16, 64, 128, 192, 256, 320, 384, 448],
    (16, "narrow"): [256, 1024, 2048, 3072, 4096, 5120, 6144, 7168],
    (8, "full"): [1, 4, 8, 12, 16, 20, 24, 28],
    (10, "full"): [4, 16, 32, 48, 64, 80, 96, 112],
    (12, "full"): [16, 64, 128, 193, 257, 321, 385, 450],
    (16, "full"): [257, 1028, 2056, 3084, 4112, 5140, 6168, 7196],
}
BRIGHT = {
    (8, "narrow"): [254, 251, 247, 243, 239, 235, 231, 227],
    (10, "narrow"): [1019, 1004, 988, 972, 956, 940, 924, 908],
    (12, "narrow"): [4079, 4016, 3952, 3888, 3824, 3760, 3696, 3632],
    (16, "narrow"): [65279, 64256, 63232, 62208, 61184, 60160, 59136, 58112],
    (8, "full"): [254, 251, 247, 243, 239, 235, 231, 227],
    (10, "full"): [1019, 1007, 991, 975, 959, 943, 927, 911],
    (12, "full"): [4079, 4031, 3967, 3902, 3838, 3774, 3710, 3645],
    (16, "full"): [65278, 64507, 63479, 62451, 61423, 60395, 59367, 58339],
}


@pytest.mark.parametrize(("bits", "range_"), DARK)
def test_patches_of_a_range_check_have_these_codes(bits, range_):
    """8-bit codes c as c << (b - 8) in narrow range and Round(c (2^b - 1) / 255) in full range."""
    check = pattern("range-check")
    frame = check.frame(HD, of_range(bits, range_))
    picture = grey(frame)
    spots = check.spots(HD)
    assert len(spots) == 16
    for name, codes in (("dark", DARK), ("bright", BRIGHT)):
        middles = [spots[f"{name} {number}"] for number in range(1, 9)]
        seen = [int(picture[int(spot.y), int(spot.x)]) for spot in middles]
        assert seen == codes[bits, range_]
        assert [frame.facts["codes"][f"{name} {n}"] for n in range(1, 9)] == seen
        assert [frame.inks[f"{name} {n}"] for n in range(1, 9)] == [(code,) * 3 for code in seen]
    black = {"narrow": 16 << (bits - 8), "full": 0}[range_]
    white = {"narrow": 235 << (bits - 8), "full": (1 << bits) - 1}[range_]
    assert frame.inks["black"] == (black,) * 3
    assert frame.inks["white"] == (white,) * 3
    # beside every patch lies its reference
    for name, ground in (("dark", black), ("bright", white)):
        for number in range(1, 9):
            box = check.layout(HD)[f"{name} {number}"]
            around = [
                picture[box.y + 9, box.x - 1],
                picture[box.y + 9, box.right],
                picture[box.y - 1, box.x],
                picture[box.bottom, box.x],
            ]
            assert around == [ground] * 4


def test_in_narrow_range_the_marked_patches_are_the_reference_itself():
    check = pattern("range-check")
    frame = check.frame(HD, of_range(10, "narrow"))
    assert frame.inks["dark 5"] == frame.inks["black"] == (64, 64, 64)
    assert frame.inks["bright 6"] == frame.inks["white"] == (940, 940, 940)
    layout = check.layout(HD)
    assert layout["dark mark"].x == layout["dark 5"].x
    assert layout["bright mark"].x == layout["bright 6"].x
    assert layout["dark mark"].width == layout["dark 5"].width
    assert layout["dark mark"].bottom < layout["dark 5"].y
    # 25 % of narrow range: 64 + 219
    assert frame.inks["mark"] == (283, 283, 283)


def test_black_alone_keeps_white_off_the_screen():
    check = pattern("range-check", ends="black")
    frame = check.frame(HD, of_range(10, "narrow"))
    assert grey(frame).max() == 283
    assert list(check.spots(HD)) == [f"dark {n}" for n in range(1, 9)]
    assert set(frame.facts["codes"]) == set(check.spots(HD))
    white = pattern("range-check", ends="white")
    assert list(white.spots(HD)) == [f"bright {n}" for n in range(1, 9)]
    # the ground is 90 % of the width and 80 % of half the height, in the middle
    lit = grey(white.frame(HD, of_range(8, "full"))) > 0
    assert np.flatnonzero(lit.any(axis=1)).tolist() == list(range(324, 756))
    assert np.flatnonzero(lit.any(axis=0)).tolist() == list(range(96, 1824))


@pytest.mark.parametrize("ends", ["both", "black", "white"])
def test_patches_of_a_range_check_are_apart_on_the_smallest_canvas(ends):
    canvas = Canvas(64, 64)
    boxes = pattern("range-check", ends=ends).layout(canvas)
    taken = np.zeros((64, 64), int)
    for name, box in boxes.items():
        assert box.lies_on(canvas)
        if name != "white":
            taken[box.y : box.bottom, box.x : box.right] += 1
    assert taken.max() == 1


@pytest.mark.parametrize(
    ("patch", "bits", "range_", "code", "black"),
    [
        ("dark 5", 8, "full", 16, 0),
        ("dark 1", 10, "narrow", 4, 64),
        ("bright 1", 10, "narrow", 1019, 64),
        ("bright 6", 12, "full", 3774, 0),
    ],
)
def test_a_patch_alone_stands_in_the_middle_on_black(patch, bits, range_, code, black):
    check = pattern("range-check", alone=patch)
    frame = check.frame(HD, of_range(bits, range_))
    picture = grey(frame)
    lit = picture != black
    assert np.flatnonzero(lit.any(axis=1)).tolist() == list(range(360, 720))
    assert np.flatnonzero(lit.any(axis=0)).tolist() == list(range(640, 1280))
    assert set(picture[lit].tolist()) == {code}
    assert frame.inks == {"black": (black,) * 3, patch: (code,) * 3}
    assert check.spots(HD) == {patch: Spot(Fraction(960), Fraction(540))}


def test_a_patch_alone_has_no_ends():
    with pytest.raises(ValueError, match="a range check has ends or a patch alone, not both"):
        pattern("range-check", alone="dark 1", ends="black")


def test_a_range_check_counts_in_the_codes_that_are_shown():
    shown = named_signal("sdr8").shown_at(10, "narrow")
    assert framed("range-check", HD, shown).facts["codes"]["dark 1"] == 4


# Code ramp


def runs(codes):
    """Values and lengths of runs."""
    edges = [0, *(np.flatnonzero(np.diff(codes.astype(int))) + 1).tolist(), len(codes)]
    return [(int(codes[a]), b - a) for a, b in pairwise(edges)]


def test_a_code_ramp_shows_every_code_once_and_equally_wide():
    frame = framed("code-ramp", Canvas(3840, 2160), "pq10")
    assert len(frame.rows) == 1
    # 877 codes of 4 pixels are 3508, and 166 pixels are left at either side
    steps = runs(grey(frame)[0])
    assert steps[0] == (64, 170)
    assert steps[1:-1] == [(code, 4) for code in range(65, 941)]
    assert steps[-1] == (64, 166)
    assert frame.facts == {"codes": [64, 940], "step_px": 4, "steps_in_a_row": 877, "rows": 1}


def test_a_code_ramp_goes_on_in_the_next_row_where_it_does_not_fit():
    frame = framed("code-ramp", Canvas(200, 90), "sdr8", step=3)
    picture = grey(frame)
    # 66 steps of 3 pixels leave 2 of 200; 256 codes need four rows, and 8 places stay empty
    tops = [0, 23, 45, 68, 90]
    for row in range(4):
        codes = [66 * row + place for place in range(66)]
        codes = [code if code < 256 else 0 for code in codes]
        line = [0, *np.repeat(codes, 3).tolist(), 0]
        assert (picture[tops[row] : tops[row + 1]] == line).all()
    assert frame.facts["rows"] == 4


def test_a_code_ramp_holds_all_65536_codes_of_16_bits():
    for canvas in (Canvas(3840, 2160), Canvas(1366, 768), Canvas(1080, 1920)):
        frame = framed("code-ramp", canvas, "sdr16")
        assert len(np.unique(frame.rows[:, :, 0])) == 65536


def test_a_code_ramp_runs_down_as_well_and_back():
    down = framed("code-ramp", Canvas(80, 64), "sdr8", from_="code 20", to="code 10")
    assert runs(grey(down)[0])[1:-1] == [(code, 7) for code in range(20, 9, -1)]
    both = framed("code-ramp", Canvas(80, 64), "sdr8", from_="code 10", to="code 19", back=True)
    picture = grey(both)
    assert runs(picture[0]) == [(code, 8) for code in range(10, 20)]
    assert (picture[32:] == picture[0][::-1]).all()
    assert (picture[:32] == picture[0]).all()


def test_a_code_ramp_of_one_channel_leaves_the_others_black():
    frame = framed("code-ramp", Canvas(80, 64), "pq10", from_="30 %", to="31 %", channel="yellow")
    # 64 + 262.8 and 64 + 271.56
    assert frame.inks["from"] == (327, 327, 64)
    assert frame.inks["to"] == (336, 336, 64)
    assert (frame.pixels()[:, :, 2] == 64).all()
    assert runs(frame.pixels()[0, :, 0]) == [(code, 8) for code in range(327, 337)]


def test_a_code_ramp_that_does_not_fit_is_refused():
    with pytest.raises(
        PatternError, match="65536 codes in steps of 8 pixels need 8192 rows, and a"
    ):
        framed("code-ramp", Canvas(64, 64), "sdr16", step=8)
    with pytest.raises(PatternError, match="A step of 65 pixels does not fit on a canvas of 64x64"):
        framed("code-ramp", Canvas(64, 64), "sdr8", step=65)
    with pytest.raises(ValidationError):
        framed("code-ramp", HD, step=0)
