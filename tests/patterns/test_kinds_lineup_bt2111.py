"""BT.2111 colour bars: geometry, codes and ramp of edition -3; and from first principles.

The Recommendation's own text was not seen; see the trust marks in tests/data/bt2111_*.csv.
"""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.primaries import BT709, BT2020
from patterns.signal.signal import Signal, named_signal
from patterns.signal.transfer import Hlg, Pq

Bars = KINDS["bars-bt2111"]
HD, UHD, UHD8K = Canvas(1920, 1080), Canvas(3840, 2160), Canvas(7680, 4320)
COLOURS = {
    "white": (1, 1, 1), "yellow": (1, 1, 0), "cyan": (0, 1, 1), "green": (0, 1, 0),
    "magenta": (1, 0, 1), "red": (1, 0, 0), "blue": (0, 0, 1),
}  # fmt: skip
PQ_FULL_10, PQ_FULL_12 = (Signal(Pq(), BT2020, bits, "full") for bits in (10, 12))
VARIANTS = {
    "hlg_narrow_10": (named_signal("hlg10"), 1),
    "hlg_narrow_12": (named_signal("hlg12"), 4),
    "pq_narrow_10": (named_signal("pq10"), 1),
    "pq_narrow_12": (named_signal("pq12"), 4),
    "pq_full_10": (PQ_FULL_10, 1),
    "pq_full_12": (PQ_FULL_12, 1),
}


def published(vectors, variant):
    """Codes by area; 12-bit narrow is 10-bit with two zero bits (BT.2111, second-hand)."""
    column = variant.replace("narrow_12", "narrow_10")
    scale = VARIANTS[variant][1]
    return {
        row["area"]: tuple(scale * int(code) for code in row[column].split())
        for row in vectors("bt2111_levels")
    }


def areas(known):
    """Codes of every patch, from the published areas."""
    grey = {area: codes * 3 for area, codes in known.items() if len(codes) == 1}
    (black,), (peak,), (white,) = (known[area] for area in ("0 %", "100 %", "main white"))
    patches = {f"black {n}": grey["0 %"] for n in range(1, 7)}
    patches |= {f"grey {n}": grey["40 %"] for n in range(1, 5)}
    patches |= {f"white {place}": grey["main white"] for place in ("left", "right", "below")}
    patches |= {name: grey[name] for name in ("-2 %", "+2 %", "+4 %")}
    patches |= {f"step {n}": grey[f"step {n}"] for n in range(1, 14)}
    for name, channels in COLOURS.items():
        patches[name] = tuple(white if on else black for on in channels)
        patches[f"100 % {name}"] = tuple(peak if on else black for on in channels)
    patches |= {area: codes for area, codes in known.items() if len(codes) == 3}
    return patches


@pytest.mark.parametrize("variant", VARIANTS)
def test_every_patch_has_the_published_code(vectors, variant):
    frame = Bars().frame(HD, VARIANTS[variant][0])
    known = areas(published(vectors, variant))
    # cyan and magenta of BT.709 are computed, below
    computed = {"BT.709 cyan", "BT.709 magenta"}
    assert {name: codes for name, codes in frame.inks.items() if name not in computed} == known
    pixels = frame.pixels()
    for name, box in Bars().layout(HD).items():
        if name != "ramp":
            patch = pixels[box.y : box.bottom, box.x : box.right]
            assert (patch == np.array(frame.inks[name])).all(), name


@pytest.mark.parametrize(
    ("variant", "code"),
    [("hlg_narrow_10", 721), ("hlg_narrow_12", 2884), ("pq_narrow_10", 573),
     ("pq_narrow_12", 2292), ("pq_full_10", 594), ("pq_full_12", 2378)],
)  # fmt: skip
def test_the_main_white_is_that_of_edition_3(variant, code):
    """58 % exactly would be 572, 593 and 2375: edition -2 (second-hand)."""
    frame = Bars().frame(HD, VARIANTS[variant][0])
    assert frame.inks["white"] == (code,) * 3
    assert frame.facts["standard"] == "Rec. ITU-R BT.2111-3 (05/2025)"
    assert frame.facts["variant"].lower().startswith(" ".join(variant.split("_")[:2]))


def test_twelve_bits_go_to_4076_and_not_to_the_end_of_video_data():
    assert Bars().frame(HD, named_signal("pq12")).inks["step 13"] == (4076,) * 3


# Geometry


@pytest.mark.parametrize("canvas", [HD, UHD, UHD8K], ids=str)
def test_widths_are_the_published_ones(vectors, canvas):
    w = {row["letter"]: int(row[f"w{canvas.width}"]) for row in vectors("bt2111_geometry")}
    assert (w["a"], w["b"]) == (canvas.width, canvas.height)
    bars = [w["d"]] * 3 + [w["e"]] + [w["d"]] * 3
    third = w["c"] // 3
    known = [
        [w["c"], *bars, w["c"]],
        [w["c"], *bars, w["c"]],
        [w["c"], w["d"], *[w["d"] // 2] * 4, *[w["e"] // 2] * 2, *[w["d"] // 2] * 6, w["c"]],
        [w["c"], w["a"] - w["c"]],
        [third, third, third, *(w[letter] for letter in "fghghgijk"), third, third, third],
    ]
    bands = {}
    for box in Bars().layout(canvas).values():
        bands.setdefault((box.y, box.bottom), []).append(box.width)
    assert list(bands.values()) == known
    twelfth = canvas.height // 12
    tops = [0, twelfth, 7 * twelfth, 8 * twelfth, 9 * twelfth, canvas.height]
    assert list(bands) == list(pairwise(tops))
    assert all(sum(widths) == canvas.width for widths in known)


def test_left_edges_at_1920_are_the_published_ones():
    layout = Bars().layout(HD)
    edges = [layout[name].x for name in (*COLOURS, "grey 4")]
    assert edges == [240, 446, 652, 858, 1062, 1268, 1474, 1680]
    assert sorted({box.y for box in layout.values()}) == [0, 90, 630, 720, 810]


@pytest.mark.parametrize("variant", VARIANTS)
def test_larger_pictures_are_the_picture_at_1920_with_its_pixels_repeated(variant):
    signal = VARIANTS[variant][0]
    small = Bars().frame(HD, signal).pixels()
    large = Bars().frame(UHD, signal).pixels()
    assert (large == np.repeat(np.repeat(small, 2, axis=0), 2, axis=1)).all()
    huge = Bars().frame(UHD8K, signal)
    assert (huge.rows == np.repeat(Bars().frame(HD, signal).rows, 4, axis=1)).all()


@pytest.mark.parametrize("size", [(4096, 2160), (3440, 1440), (1366, 768), (1080, 1920), (64, 64)])
def test_other_canvases_are_scaled_to_the_nearest_pixel_and_say_so(reference, size):
    canvas = Canvas(*size)
    at_1920, scaled = Bars().layout(HD), Bars().layout(canvas)
    for name, box in at_1920.items():
        found = scaled[name]
        edges = [reference.rounded_ratio(Fraction(x * size[0], 1920)) for x in (box.x, box.right)]
        assert [found.x, found.right] == edges, name
        ends = [reference.rounded_ratio(Fraction(y * size[1], 1080)) for y in (box.y, box.bottom)]
        assert [found.y, found.bottom] == ends, name
    facts = Bars().frame(canvas, named_signal("hlg10")).facts
    assert facts["geometry"] == f"scaled to {canvas} from 1920x1080, not in the Recommendation"
    assert "not in the Recommendation" in facts["ramp"]


def test_a_published_size_says_where_its_geometry_is_from():
    assert "Table 1" in Bars().frame(UHD, named_signal("pq10")).facts["geometry"]
    assert Bars().frame(HD, named_signal("pq10")).facts["ramp"] == "Tables 5 and 6, second-hand"
    assert "derived" in Bars().frame(UHD, named_signal("pq10")).facts["ramp"]
    assert "derived" in Bars().frame(HD, named_signal("pq12")).facts["ramp"]


# Ramp


def test_the_ramp_is_the_published_one(vectors):
    for row in vectors("bt2111_ramp"):
        canvas = {1920: HD, 3840: UHD}[int(row["width"])]
        signal = PQ_FULL_10 if row["range"] == "full" else named_signal("hlg10")
        pixels = Bars().frame(canvas, signal).pixels()[canvas.height * 17 // 24]
        assert (pixels == pixels[:, :1]).all()
        line = pixels[canvas.width // 8 :, 0].tolist()
        each = int(row["ramp"]) // int(row["codes"])
        codes = range(int(row["first_code"]), int(row["last_code"]) + 1)
        assert line == (
            [int(row["start_code"])] * int(row["lead_in"])
            + [code for code in codes for _ in range(each)]
            + [int(row["end_code"])] * int(row["lead_out"])
        ), row


@pytest.mark.parametrize(("canvas", "edge"), [(HD, 858), (UHD, 1716), (UHD8K, 3432)], ids=str)
def test_black_of_the_ramp_is_reached_at_the_left_edge_of_green(canvas, edge):
    row = Bars().frame(canvas, named_signal("pq10")).pixels()[canvas.height * 17 // 24, :, 0]
    assert (row[edge - 1], row[edge]) == (63, 64)
    assert Bars().layout(canvas)["green"].x == edge


def test_ramps_of_twelve_bits_have_the_levels_of_ten():
    """Derived: narrow by two zero bits, full range by its level, Round(4095 c / 1023)."""
    line = slice(240, 1920)
    ten = Bars().frame(HD, named_signal("pq10")).pixels()[765, line, 0].astype(int)
    twelve = Bars().frame(HD, named_signal("pq12")).pixels()[765, line, 0]
    assert (twelve == 4 * ten).all()
    full = Bars().frame(HD, PQ_FULL_12).pixels()[765, line, 0]
    assert (full[617], full[618], full[1639], full[1640]) == (0, 4, 4091, 4095)
    assert (np.diff(full[617:1641].astype(int)) >= 4).all()


# From first principles


FOUR_DECIMALS = (
    ("0.6274", "0.3293", "0.0433"),
    ("0.0691", "0.9195", "0.0114"),
    ("0.0164", "0.0880", "0.8956"),
)
"""Linear BT.709 to BT.2020 as Rec. ITU-R BT.2087 prints it (second-hand)."""


def in_bt2020(reference, matrix, name):
    """Linear BT.2020 of a BT.709 colour at 50 digits."""
    return [
        sum((reference.number(cell) * on for cell, on in zip(row, COLOURS[name], strict=True)),
            reference.real(0))
        for row in matrix
    ]  # fmt: skip


def full_precision(reference):
    """The matrix from the primaries alone, at 50 digits."""
    to_xyz, to_2020 = reference.rgb_to_xyz("bt709"), reference.rgb_to_xyz("bt2020")
    product = to_2020**-1 * to_xyz
    return [[product[row, column] for column in range(3)] for row in range(3)]


def hlg_scene(reference):
    """Scene light of 75 % HLG: 0.264962560421 (BT.2100-3 Table 5, computed)."""
    scene = reference.Hlg().scene(reference.real("0.75"))
    assert reference.REAL.nstr(scene, 12) == "0.264962560421"
    return scene


def hlg_code(reference, light):
    signal = (
        reference.sqrt(3 * light)
        if 12 * light <= 1
        else reference.A * reference.log(12 * light - reference.B) + reference.C
    )
    return reference.code(signal, 10, "narrow")


BT709_BARS = [name for name in COLOURS if name != "white"]


def test_all_18_hlg_codes_follow_from_bt709_through_the_printed_matrix(reference):
    inks = Bars().frame(HD, named_signal("hlg10")).inks
    scene = hlg_scene(reference)
    derived = {
        f"BT.709 {name}": tuple(
            hlg_code(reference, scene * each) for each in in_bt2020(reference, FOUR_DECIMALS, name)
        )
        for name in BT709_BARS
    }
    assert derived == {name: inks[name] for name in derived}
    assert len(derived) == 6


def test_the_exact_matrix_gives_one_hlg_code_otherwise(reference):
    """Green's G would be 707; the Recommendation has 706, as the printed matrix gives."""
    inks = Bars().frame(HD, named_signal("hlg10")).inks
    scene = hlg_scene(reference)
    matrix = full_precision(reference)
    other = [
        (name, channel, code, inks[f"BT.709 {name}"][channel])
        for name in BT709_BARS
        for channel, each in enumerate(in_bt2020(reference, matrix, name))
        if (code := hlg_code(reference, scene * each)) != inks[f"BT.709 {name}"][channel]
    ]
    assert other == [("green", 1, 707, 706)]


def pq_codes(reference, matrix, name, signal):
    """Of a BT.709 bar whose white is the 203.15 cd/m2 of 75 % HLG at 1000 cd/m2."""
    white = reference.Hlg().eotf(reference.real("0.75"))
    assert reference.REAL.nstr(white, 8) == "203.15215"
    return tuple(
        reference.code(reference.pq_inverse(white * each), signal.bits, signal.range)
        for each in in_bt2020(reference, matrix, name)
    )


PQ_SIGNALS = [named_signal("pq10"), PQ_FULL_10, PQ_FULL_12]


def test_all_54_pq_codes_follow_from_bt709_at_203_candela(reference):
    matrix = full_precision(reference)
    derived, drawn = {}, {}
    for signal in PQ_SIGNALS:
        inks = Bars().frame(HD, signal).inks
        for name in BT709_BARS:
            key = (signal.bits, signal.range, name)
            derived[key] = pq_codes(reference, matrix, name, signal)
            drawn[key] = inks[f"BT.709 {name}"]
    assert derived == drawn
    assert 3 * len(derived) == 54


def test_the_printed_matrix_gives_five_pq_codes_otherwise(reference):
    other = 0
    for signal in PQ_SIGNALS:
        inks = Bars().frame(HD, signal).inks
        for name in BT709_BARS:
            derived = pq_codes(reference, FOUR_DECIMALS, name, signal)
            pairs = list(zip(derived, inks[f"BT.709 {name}"], strict=True))
            assert all(abs(a - b) <= 1 for a, b in pairs)
            other += sum(a != b for a, b in pairs)
    assert other == 5


def test_white_of_the_main_bars_is_203_candela_in_both(reference):
    """203.152 cd/m2 is 573, 594 and 2378 in PQ, as drawn."""
    one = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]
    for signal in PQ_SIGNALS:
        white = pq_codes(reference, one, "white", signal)
        assert white == Bars().frame(HD, signal).inks["white"]


# What it is made for


@pytest.mark.parametrize(
    "signal",
    [
        named_signal("sdr10"),
        named_signal("pq8"),
        named_signal("pq16"),
        named_signal("hlg16"),
        Signal(Hlg(), BT2020, 10, "full"),
        Signal(Pq(), BT709, 10, "narrow"),
    ],
    ids=lambda each: each.name,
)
def test_what_the_recommendation_does_not_define_is_refused(signal):
    assert not Bars.made_for(signal)
    with pytest.raises(PatternError) as refused:
        Bars().frame(HD, signal)
    assert str(refused.value) == (
        f"bars-bt2111 is made for hlg/narrow and pq, 10 and 12 bits, bt2020, not for {signal.name}."
    )


def test_bars_follow_the_signal_that_is_shown():
    shown = named_signal("pq10").shown_at(12, "full")
    frame = Bars().frame(HD, shown)
    assert frame.inks["white"] == (2378, 2378, 2378)
    assert frame.facts["variant"] == "PQ full range, 12 bits"


def test_measuring_places_lie_in_their_patches():
    frame = Bars().frame(HD, named_signal("hlg10"))
    pixels = frame.pixels()
    for name, at in Bars().spots(HD).items():
        if name != "ramp":
            assert tuple(pixels[int(at.y), int(at.x)].tolist()) == frame.inks[name], name
