"""SDR colour bars and PLUGE: codes of their standards, and patches where they belong."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.kinds.bars_rp219 import PATCHES
from patterns.picture.canvas import Canvas
from patterns.signal.primaries import BT709
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Signal, named_signal, signal_from_parts
from patterns.signal.transfer import Bt1886
from patterns.signal.ycbcr import BT709 as MATRIX

HD = Canvas(1920, 1080)
CANVASES = [(1920, 1080), (3840, 2160), (4096, 2160), (3440, 1440), (1366, 768), (1080, 1920)]
NAMES = ["white", "yellow", "cyan", "green", "magenta", "red", "blue", "black"]


def framed(kind, signal, canvas=HD, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    return KINDS[kind].model_validate(parameters).frame(canvas, chosen)


def sdr(bits, range_="narrow"):
    return Signal(Bt1886(), BT709, bits, range_)


def codes_at_spots(kind, frame, canvas=HD, **parameters):
    """What the picture has at every measuring place."""
    pixels = frame.pixels()
    spots = KINDS[kind].model_validate(parameters).spots(canvas)
    return {name: tuple(pixels[int(at.y), int(at.x)].tolist()) for name, at in spots.items()}


def runs(row):
    """Lengths and colours along a row of pixels."""
    edges = [0, *(np.flatnonzero((row[1:] != row[:-1]).any(axis=1)) + 1).tolist(), len(row)]
    return [(b - a, tuple(row[a].tolist())) for a, b in pairwise(edges)]


# Bars


@pytest.mark.parametrize(
    ("levels", "white", "most", "least", "black"),
    [
        # Rec. ITU-R BT.471 nomenclature (second-hand); 10-bit codes by BT.2100-3 Table 9, computed
        ("100/0/100/0", 940, 940, 64, 64),
        ("100/0/75/0", 940, 721, 64, 64),
        ("100/0/100/25", 940, 940, 283, 64),
        ("75/7.5/75/7.5", 721, 721, 130, 130),
    ],
)
def test_the_bars_that_bt471_names_have_these_codes(levels, white, most, least, black):
    frame = framed("bars", "sdr10", levels=levels)
    found = {name: frame.inks[name] for name in NAMES}
    assert found == {
        "white": (white, white, white),
        "yellow": (most, most, least),
        "cyan": (least, most, most),
        "green": (least, most, least),
        "magenta": (most, least, most),
        "red": (most, least, least),
        "blue": (least, least, most),
        "black": (black, black, black),
    }
    assert frame.facts["named_in_bt471"]
    assert runs(frame.pixels()[0]) == [(240, found[name]) for name in NAMES]
    assert len(frame.rows) == 1


@pytest.mark.parametrize(("bits", "most"), [(8, 180), (10, 721), (12, 2884), (16, 46144)])
def test_seventy_five_percent_has_its_code_at_every_depth(bits, most):
    """Narrow range; these are the Y' of a grey of 75 % too (BT.709-6, BT.2100-3, computed)."""
    low = 16 << (bits - 8)
    assert framed("bars", sdr(bits)).inks["cyan"] == (low, most, most)


def test_bars_of_other_levels_are_drawn_but_not_called_those_of_bt471():
    frame = framed("bars", "sdr10", levels="75/0/75/0")
    assert frame.inks["white"] == (721, 721, 721)
    assert not frame.facts["named_in_bt471"]
    assert not framed("bars", "pq10").facts["named_in_bt471"]


@pytest.mark.parametrize("levels", ["100/0/75", "100/0/75/x", "100 / 0 / 75 / 0", "-1/0/75/0", ""])
def test_levels_of_bars_are_four_numbers(levels):
    with pytest.raises(ValidationError, match="expected white/black/most of a colour"):
        KINDS["bars"].model_validate({"levels": levels})


@pytest.mark.parametrize("levels", ["0/0/75/0", "101/0/75/0", "100/0/25/75", "100/0/75/75"])
def test_levels_of_bars_have_an_order(levels):
    with pytest.raises(ValidationError, match="white has to be above black"):
        KINDS["bars"].model_validate({"levels": levels})


@pytest.mark.parametrize("size", [*CANVASES, (64, 64)])
def test_bars_meet_at_rounded_edges(reference, size):
    frame = framed("bars", "sdr10", Canvas(*size))
    edges = [reference.rounded_ratio(Fraction(i * size[0], 8)) for i in range(9)]
    assert [length for length, _ in runs(frame.rows[0])] == np.diff(edges).tolist()


# RP 219


def test_the_first_band_has_the_published_widths(vectors):
    frame = framed("bars-rp219", "sdr10")
    rows = vectors("rp219_widths")
    layout = KINDS["bars-rp219"]().layout(HD)
    assert {row["part"]: int(row["width"]) for row in rows} == {
        row["part"]: layout[row["part"]].width for row in rows
    }
    assert [length for length, _ in runs(frame.pixels()[0])] == [int(row["width"]) for row in rows]


def test_every_band_has_the_published_codes():
    """Layout second-hand; 10-bit codes of BT.2100-3 Table 9: 40 % 414, 15 % 195, -2, +2, +4 %."""
    pixels = framed("bars-rp219", "sdr10").pixels()
    bars = [(721, 721, 64), (64, 721, 721), (64, 721, 64), (721, 64, 721), (721, 64, 64)]
    assert [codes for _, codes in runs(pixels[0])] == [
        (414,) * 3, (721,) * 3, *bars, (64, 64, 721), (414,) * 3,
    ]  # fmt: skip
    assert runs(pixels[630]) == [(240, (64, 940, 940)), (1440, (721,) * 3), (240, (64, 64, 940))]
    assert runs(pixels[720])[0] == (240, (940, 940, 64))
    assert runs(pixels[720])[-1] == (240, (940, 64, 64))
    greys = [(240, 195), (308, 64), (412, 940), (172, 64), (68, 46), (69, 64), (69, 82), (68, 64),
             (69, 99), (205, 64), (240, 195)]  # fmt: skip
    assert runs(pixels[1079]) == [(length, (code,) * 3) for length, code in greys]
    assert [start for start, *_ in framed("bars-rp219", "sdr10").runs()] == [0, 630, 720, 810]


@pytest.mark.parametrize("bits", [8, 10, 12, 16])
def test_greys_of_every_band_have_the_published_codes_at_every_depth(vectors, bits):
    inks = framed("bars-rp219", sdr(bits)).inks
    named = {"40": "grey left", "15": "15 % right", "-2": "-2 %", "2": "+2 %", "4": "+4 %"}
    for row in vectors("greys"):
        assert inks[named[row["percent"]]] == (int(row[f"bits_{bits}"]),) * 3, row


def test_the_ramp_has_one_code_a_pixel_and_stands_in_the_middle():
    """876 px at 1920 and 10 bits, ARIB STD-B28, second-hand; that its first is 64 is our own."""
    row = framed("bars-rp219", "sdr10").pixels()[765]
    assert (row == row[:, :1])[240:1680].all()
    assert row[240:1680, 0].tolist() == [64] * 282 + list(range(64, 940)) + [940] * 282


def test_the_ramp_moves_to_the_middle_of_what_its_neighbours_leave():
    row = framed("bars-rp219", "sdr10", first="none").pixels()[765, :, 0]
    assert row[240:1475].tolist() == [64] * 179 + list(range(64, 940)) + [940] * 180
    both = framed("bars-rp219", "sdr10", first="none", last="none").pixels()[765, :, 0]
    assert both[240:1680].tolist() == [64] * 282 + list(range(64, 940)) + [940] * 282


def test_patches_of_the_i_and_q_axes_have_their_published_ycbcr(vectors):
    for row in vectors("rp219_patches"):
        percents = (row["red"], row["green"], row["blue"])
        assert PATCHES[row["patch"]] == percents
        rgb = tuple(Fraction(each) / 100 for each in percents)
        codes = MATRIX.codes(rgb, Quantiser(int(row["bits"]), "narrow"))
        assert codes == (int(row["y"]), int(row["cb"]), int(row["cr"])), row


def test_lifted_patches_come_from_twenty_percent_on_axes_at_33_degrees():
    """U = 0.2 sin 33 and so on; B - Y = 2.03 U, R - Y = 1.14 V, luma of BT.601 (computed)."""
    sine, cosine = np.sin(np.radians(33)), np.cos(np.radians(33))
    axes = {"-I": (0.2 * sine, -0.2 * cosine), "+Q": (0.2 * cosine, 0.2 * sine)}
    for name, (u, v) in axes.items():
        red, blue = 1.14 * v, 2.03 * u
        green = -(0.299 * red + 0.114 * blue) / 0.587
        lift = -min(red, green, blue)
        lifted = [100 * (each + lift) for each in (red, green, blue)]
        assert lifted == pytest.approx([float(each) for each in PATCHES[name]], abs=1e-3), name


def test_patches_can_be_chosen_and_their_trust_stands_in_the_facts():
    frame = framed("bars-rp219", "sdr10", second="-I", first="+Q")
    # R'G'B' in percent 0, 24.567, 41.234 and 25.356, 0, 46.988
    assert frame.inks["second patch"] == (64, 279, 425)
    assert frame.inks["first patch"] == (286, 64, 476)
    assert frame.facts["second_patch"].startswith("-I: computed")
    assert frame.facts["first_patch"].startswith("+Q: computed")
    plus = framed("bars-rp219", "sdr10", second="+I")
    assert plus.inks["second patch"] == (425, 210, 64)
    assert "second-hand" in plus.facts["second_patch"]
    assert framed("bars-rp219", "sdr10", second="100 %").inks["second patch"] == (940,) * 3


def test_below_black_is_black_in_full_range_and_said_so():
    frame = framed("bars-rp219", "sdr8")
    assert frame.inks["-2 %"] == (0, 0, 0)
    assert frame.inks["+2 %"] == (5, 5, 5)
    assert frame.facts["clipped"] == ["-2 %: -2 %"]
    assert "clipped" not in framed("bars-rp219", "sdr10").facts


def test_edges_that_belong_together_meet_and_mirror_each_other():
    for size in CANVASES:
        canvas = Canvas(*size)
        for parameters in ({}, {"first": "none", "last": "none"}):
            layout = KINDS["bars-rp219"].model_validate(parameters).layout(canvas)
            edges = [layout[name].x for name in ("white", *NAMES[1:7], "grey right")]
            assert edges == [size[0] - edge for edge in reversed(edges)]
            assert layout["second patch"].right == layout["white"].right
            assert layout["+2 %"].x == layout["magenta"].right
            assert layout["+4 %"].right == layout["red"].right
            assert sum(box.width * box.height for box in layout.values()) == canvas.pixels


def test_only_sixteen_by_nine_is_called_the_layout_of_the_practice():
    assert "second-hand" in framed("bars-rp219", "sdr10").facts["layout"]
    assert (
        "not in the practice" in framed("bars-rp219", "sdr10", Canvas(3440, 1440)).facts["layout"]
    )


def test_rp219_is_for_sdr():
    with pytest.raises(PatternError, match="bars-rp219 is made for bt1886, not for pq10"):
        framed("bars-rp219", "pq10")


# PLUGE


@pytest.mark.parametrize(("signal", "row"), [("sdr", "higher SDR"), ("pq", "higher HDR"),
                                             ("hlg", "higher HDR")])  # fmt: skip
@pytest.mark.parametrize("bits", [10, 12])
def test_pluge_has_the_levels_of_bt814(vectors, signal, row, bits):
    known = {each["level"]: int(each[f"bits_{bits}"]) for each in vectors("bt814_levels")}
    frame = framed("pluge", f"{signal}{bits}")
    greys = {name: codes[0] for name, codes in frame.inks.items()}
    assert greys == {
        "black": known["black"],
        "higher level": known[row],
        "lighter left": known["lighter"],
        "lighter right": known["lighter"],
        "darker left": known["darker"],
        "darker right": known["darker"],
    }
    assert "Table 3" in frame.facts["levels"]
    assert frame.facts["geometry"] == "of our own, not of BT.814"


def test_levels_of_pluge_have_the_computed_luminances(vectors, agrees):
    for row in vectors("bt814_levels"):
        quantiser = Quantiser(10, "narrow")
        assert agrees(float(quantiser.signal(int(row["bits_10"]))), row["signal"])
        for name in ("pq", "hlg", "sdr"):
            if row[name]:
                found = named_signal(f"{name}10").luminance(np.array([int(row["bits_10"])] * 3))
                assert agrees(float(found), row[name]), (row, name)


def test_other_depths_and_full_range_carry_the_levels_over():
    """E' = 16/876 is 20 and 5120 in narrow range, and 5 of 255 in full range (computed)."""
    narrow8 = framed("pluge", sdr(8)).inks
    assert [narrow8[name][0] for name in ("darker left", "black", "lighter left")] == [12, 16, 20]
    narrow16 = framed("pluge", sdr(16)).inks
    assert [narrow16[n][0] for n in ("darker left", "black", "lighter left")] == [3072, 4096, 5120]
    full = framed("pluge", "sdr8")
    assert [full.inks[name][0] for name in ("darker left", "black", "lighter left")] == [0, 0, 5]
    assert full.facts["clipped"] == ["darker: nothing is below black in full range"]
    assert "carried over" in full.facts["levels"]


def test_patches_of_pluge_lie_where_they_say():
    """Sixteenths of 1920 x 1080 are 120 and 67.5 pixels; edges rounded."""
    pixels = framed("pluge", "sdr10").pixels()[:, :, 0]
    expected = np.full((1080, 1920), 64)
    for x, code in ((120, 48), (360, 80), (1440, 80), (1680, 48)):
        expected[270:810, x : x + 120] = code
    expected[405:675, 840:1080] = 940
    assert (pixels == expected).all()


@pytest.mark.parametrize("size", [*CANVASES, (64, 64)])
@pytest.mark.parametrize(
    ("kind", "parameters"),
    [("bars", {}), ("bars-rp219", {}), ("bars-rp219", {"second": "+I", "first": "+Q"}),
     ("pluge", {})],
)  # fmt: skip
def test_measuring_places_lie_in_their_patches(kind, parameters, size):
    canvas = Canvas(*size)
    frame = framed(kind, "sdr10", canvas, **parameters)
    found = codes_at_spots(kind, frame, canvas, **parameters)
    found.pop("ramp", None)
    assert found == {name: codes for name, codes in frame.inks.items() if name in found}
    assert len(found) >= 5


def test_the_display_has_no_part_in_the_codes():
    lifted = signal_from_parts({"transfer": "bt1886", "white": 120, "black": 0.05})
    for kind in ("bars", "bars-rp219", "pluge"):
        assert framed(kind, lifted).sha256 == framed(kind, "sdr10").sha256
