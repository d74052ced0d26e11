"""Fields, checkerboards, ladders, ramps and near-black steps, pixel by pixel."""

from fractions import Fraction

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal, signal_from_parts

HD = Canvas(1920, 1080)
SMALL = Canvas(194, 110)


def framed(kind, canvas, signal, **parameters):
    chosen = named_signal(signal) if isinstance(signal, str) else signal
    named = {key.rstrip("_"): value for key, value in parameters.items()}
    return KINDS[kind].model_validate(named).frame(canvas, chosen)


def grey_across(frame):
    """Codes of the one row, R = G = B."""
    assert len(frame.rows) == 1
    assert (frame.rows[0] == frame.rows[0][:, :1]).all()
    return frame.rows[0, :, 0].tolist()


# Field


def test_a_field_is_one_level():
    frame = framed("field", HD, "pq10", level={"r": "100 %", "g": "50 %", "b": "0 %"})
    assert frame.rows.shape == (1, 1920, 3)
    assert (frame.pixels() == np.array([940, 502, 64])).all()
    assert frame.inks == {"level": (940, 502, 64)}
    assert frame.facts == {}


def test_clipped_levels_stand_in_the_facts():
    frame = framed("field", SMALL, "sdr10", level="500 cd/m2", clip=True)
    assert frame.facts == {"clipped": ["level: 500 cd/m2"]}
    assert frame.inks == {"level": (940, 940, 940)}


# Checkerboard


@pytest.mark.parametrize("start", ["lit", "dark"])
@pytest.mark.parametrize(("columns", "rows"), [(4, 4), (3, 3), (7, 5), (1, 1), (194, 110)])
def test_boxes_of_a_checkerboard_meet_at_rounded_edges(reference, columns, rows, start):
    """Edges at Round(i W / columns), Round(j H / rows): box of a pixel by counting its edges."""
    frame = framed("checkerboard", SMALL, "pq10", columns=columns, rows=rows, start=start)
    xs = [reference.rounded_ratio(Fraction(i * 194, columns)) for i in range(1, columns)]
    ys = [reference.rounded_ratio(Fraction(j * 110, rows)) for j in range(1, rows)]
    column = np.array([sum(edge <= x for edge in xs) for x in range(194)])
    row = np.array([sum(edge <= y for edge in ys) for y in range(110)])
    even = (column[None, :] + row[:, None]) % 2 == 0
    lit = even if start == "lit" else ~even
    assert (frame.pixels() == np.where(lit, 940, 64)[:, :, None]).all()


def test_a_checkerboard_of_four_by_four_has_eight_boxes_of_each_level():
    frame = framed("checkerboard", HD, "sdr10")
    assert frame.lit_area == 50
    assert frame.mean_level == 50
    assert frame.pixels()[0, :, 0].tolist() == [940] * 480 + [64] * 480 + [940] * 480 + [64] * 480
    assert frame.pixels()[::270, 0, 0].tolist() == [940, 64, 940, 64]


def test_both_ways_round_are_each_other_inverted():
    lit = framed("checkerboard", HD, "pq10").pixels()
    dark = framed("checkerboard", HD, "pq10", start="dark").pixels()
    assert (lit.astype(int) + dark == 940 + 64).all()


def test_more_boxes_than_pixels_are_refused():
    with pytest.raises(PatternError, match="195 x 4 boxes do not fit on a canvas of 194x110"):
        framed("checkerboard", SMALL, "pq10", columns=195)


# Ladder


@pytest.mark.parametrize(
    ("signal", "codes"),
    [
        ("pq10", [64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940]),
        ("sdr8", [0, 26, 51, 77, 102, 128, 153, 179, 204, 230, 255]),
        ("hlg12", [256, 606, 957, 1307, 1658, 2008, 2358, 2709, 3059, 3410, 3760]),
    ],
)
def test_a_ladder_of_eleven_steps_has_these_codes(signal, codes):
    """0 to 100 % in tenths (Rec. ITU-R BT.2100-3 Table 9); 25.5 goes to 26 and 76.5 to 77."""
    frame = framed("ladder", Canvas(1100, 64), signal)
    assert grey_across(frame) == [code for code in codes for _ in range(100)]
    assert frame.inks["step 1"] == (codes[0],) * 3
    assert frame.inks["step 11"] == (codes[10],) * 3
    assert len(frame.inks) == 11


def test_a_ladder_can_go_down_and_stand_upright():
    frame = framed("ladder", Canvas(64, 100), "pq10", from_="100 %", to="0 %", steps=3, axis="y")
    # edges at Round(100 / 3) = 33 and Round(200 / 3) = 67
    assert frame.pixels()[:, 0, 0].tolist() == [940] * 33 + [502] * 34 + [64] * 33


def test_a_ladder_between_codes_starts_and_ends_on_them():
    frame = framed("ladder", Canvas(128, 64), "pq10", from_="code 64", to="code 72", steps=5)
    assert [codes[0] for codes in frame.inks.values()] == [64, 66, 68, 70, 72]


def test_steps_of_a_ladder_between_luminances_are_even_in_signal(reference):
    frame = framed("ladder", Canvas(128, 64), "pq12", from_="1 cd/m2", to="1000 cd/m2", steps=7)
    first, last = (reference.pq_inverse(reference.number(each)) for each in (1, 1000))
    steps = [first + (last - first) * i / 6 for i in range(7)]
    exact = [reference.code(each, 12, "narrow") for each in steps]
    assert [codes[0] for codes in frame.inks.values()] == exact


def test_a_clipped_ladder_or_ramp_stays_in_its_depth():
    for kind in ("ladder", "ramp"):
        frame = framed(kind, Canvas(128, 64), "sdr8", from_="-20 %", to="120 %", clip=True)
        codes = grey_across(frame)
        assert (codes[0], codes[-1]) == (0, 255)
        assert frame.facts["clipped"] == ["level start: -20 %", "level end: 120 %"]
        with pytest.raises(PatternError, match="-20 % is out of reach"):
            framed(kind, Canvas(128, 64), "sdr8", from_="-20 %", to="120 %")


def test_more_steps_than_pixels_are_refused():
    with pytest.raises(PatternError, match="65 steps do not fit on 64 pixels"):
        framed("ladder", Canvas(128, 64), "pq10", steps=65, axis="y")
    with pytest.raises(ValidationError):
        framed("ladder", HD, "pq10", steps=1)


# Ramp


@pytest.mark.parametrize("signal", ["sdr8", "pq10", "hlg12", "sdr16"])
@pytest.mark.parametrize("width", [64, 1366, 1920, 3840])
def test_every_pixel_of_a_ramp_is_rounded_on_its_own(reference, signal, width):
    frame = framed("ramp", Canvas(width, 64), signal)
    bits, range_ = frame.signal.bits, frame.signal.range
    exact = [
        reference.code_of_percent(Fraction(100 * x, width - 1), bits, range_) for x in range(width)
    ]
    codes = grey_across(frame)
    assert codes == exact
    assert codes[0] == frame.signal.quantiser.black
    assert codes[-1] == frame.signal.quantiser.white
    assert codes == sorted(codes)


def test_a_ramp_between_luminances_is_rounded_on_its_own(reference):
    frame = framed("ramp", Canvas(1920, 64), "hlg10", from_="0.5 cd/m2", to="700 cd/m2")
    display = reference.Hlg()
    first, last = (display.inverse(reference.number(each)) for each in ("0.5", "700"))
    exact = [reference.code(first + (last - first) * x / 1919, 10, "narrow") for x in range(1920)]
    assert grey_across(frame) == exact


def test_a_ramp_down_mirrors_a_ramp_up_where_no_half_is_rounded():
    up = framed("ramp", HD, "pq10", from_="0 %", to="100 %", axis="y").pixels()[:, 0, 0]
    down = framed("ramp", HD, "pq10", from_="100 %", to="0 %", axis="y").pixels()[:, 0, 0]
    assert up.tolist() == down[::-1].tolist()
    assert (up[0], up[-1]) == (64, 940)


@pytest.mark.parametrize(
    ("channel", "runs"),
    [
        *(("white", "rgb"), ("red", "r"), ("green", "g"), ("blue", "b")),
        *(("cyan", "gb"), ("magenta", "rb"), ("yellow", "rg")),
    ],
)
def test_a_ramp_of_a_channel_leaves_the_others_at_black(channel, runs):
    frame = framed("ramp", SMALL, "pq10", channel=channel)
    for index, name in enumerate("rgb"):
        codes = frame.rows[0, :, index]
        assert (codes[0], codes[-1]) == ((64, 940) if name in runs else (64, 64))
    assert frame.inks["to"] == tuple(940 if name in runs else 64 for name in "rgb")


# Near black


def test_near_black_steps_count_codes_from_black():
    frame = framed("near-black", HD, "pq10")
    assert frame.inks["background"] == (64, 64, 64)
    patches = [codes[0] for name, codes in frame.inks.items() if name.startswith("patch")]
    assert patches == list(range(65, 85))
    full = framed("near-black", HD, "sdr8", first=2, step=3, count=4)
    assert [codes[0] for codes in full.inks.values()] == [0, 2, 5, 8, 11]


def test_near_black_patches_lie_in_the_middle_of_their_places():
    """Five by four places of 384 x 270 pixels; 60 % of each is 230 x 162, from 77 and 54 in."""
    pixels = framed("near-black", HD, "pq10").pixels()[:, :, 0]
    expected = np.full((1080, 1920), 64)
    for number in range(20):
        row, column = divmod(number, 5)
        y, x = 270 * row + 54, 384 * column + 77
        expected[y : y + 162, x : x + 230] = 65 + number
    assert (pixels == expected).all()


def test_near_black_steps_may_go_below_black_as_far_as_video_does():
    frame = framed("near-black", HD, "pq10", first=-60, step=20, count=4)
    assert [codes[0] for codes in frame.inks.values()] == [64, 4, 24, 44, 64]
    with pytest.raises(PatternError, match="code 3 is out of reach"):
        framed("near-black", HD, "pq10", first=-61)
    with pytest.raises(PatternError, match="code -1 is out of reach"):
        framed("near-black", HD, "sdr8", first=-1)


def test_near_black_codes_keep_their_meaning_at_another_depth():
    written = named_signal("pq10")
    frame = framed("near-black", HD, written.shown_at(12, "narrow"), count=3)
    assert [codes[0] for codes in frame.inks.values()] == [256, 260, 264, 268]
    with pytest.raises(PatternError, match="code 65 of 10-bit narrow range has no code of its own"):
        framed("near-black", HD, written.shown_at(8, "full"), count=3)


def test_patches_too_small_to_see_are_refused():
    with pytest.raises(PatternError, match="400 patches do not fit"):
        framed("near-black", Canvas(64, 64), "pq10", count=400, columns=20)


def test_a_signal_with_a_lifted_black_keeps_its_codes():
    """Codes of percent levels do not depend on the display's black (BT.1886 Annex 1)."""
    lifted = signal_from_parts({"transfer": "bt1886", "white": 120, "black": 0.05})
    assert grey_across(framed("ladder", HD, lifted)) == grey_across(framed("ladder", HD, "sdr10"))
