"""Levels and colours become codes exactly, or an error says why not."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from patterns.errors import PatternError
from patterns.kinds.window import Field
from patterns.picture.canvas import Canvas
from patterns.signal.exact import round_half_away, round_ratio
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import Measure
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import named_signal, signal_from_parts

LEVEL = TypeAdapter(Level)


def mixed(signal, level, *, clip=False):
    ink = Ink(named_signal(signal) if isinstance(signal, str) else signal, clip)
    return ink("level", LEVEL.validate_python(level)), ink


# Rounding: Round(x) = sign(x) * floor(|x| + 0.5), Rec. ITU-R BT.2100-3, before Table 9


@pytest.mark.parametrize(
    ("value", "whole"),
    [
        *(("0.5", 1), ("1.5", 2), ("2.5", 3), ("-0.5", -1), ("-1.5", -2), ("-2.5", -3)),
        *(("0", 0), ("0.4999999999", 0), ("-0.4999999999", 0), ("127.5", 128), ("-7", -7)),
    ],
)
def test_halves_round_away_from_zero(value, whole):
    assert round_half_away(Decimal(value)) == whole
    assert round_half_away(Fraction(value)) == whole


def test_a_value_short_of_a_half_by_less_than_the_arithmetic_counts_as_the_half():
    assert round_half_away(Fraction(1, 2) - Fraction(1, 10**45)) == 1
    assert round_half_away(Fraction(1, 2) - Fraction(1, 10**39)) == 0


@given(st.integers(-(10**12), 10**12), st.integers(1, 10**6))
def test_rounding_is_to_the_nearest_integer(over, under):
    whole = round_ratio(over, under)
    assert abs(2 * (whole * under - over)) <= under
    assert round_ratio(-over, under) == -whole


@pytest.mark.parametrize(
    ("signal", "percent", "code"),
    [
        *(("sdr8", "50", 128), ("sdr16", "50", 32768), ("sdr10", "50", 502), ("sdr12", "50", 2008)),
        *(("pq10", "-2", 46), ("pq10", "2", 82), ("hlg10", "109", 1019), ("sdr10", "75", 721)),
    ],
)
def test_percentages_are_rounded_half_up_in_codes(signal, percent, code):
    """50 % of 8-bit full range is 127.5, and so 128; of 10-bit full range 511.5, and so 512."""
    assert mixed(signal, f"{percent} %")[0] == (code,) * 3
    assert Quantiser(10, "full").code(Fraction(1, 2)) == 512


@given(st.fractions(-1, 2), st.fractions(-1, 2), st.integers(1, 300))
def test_a_run_of_codes_is_that_of_its_single_signals(first, last, count):
    quantiser = Quantiser(10, "narrow")
    step = (last - first) / max(count - 1, 1)
    assert quantiser.codes_between(first, last, count) == [
        quantiser.code(first + i * step) for i in range(count)
    ]


# Codes as levels


def test_a_code_is_taken_as_it_is():
    assert mixed("pq10", "code 4")[0] == (4, 4, 4)
    assert mixed("pq10", "code 1019")[0] == (1019, 1019, 1019)
    assert mixed("sdr8", "code 0")[0] == (0, 0, 0)


@pytest.mark.parametrize(
    ("signal", "code"), [("pq10", 3), ("pq10", 1020), ("sdr8", 256), ("sdr12", 15), ("sdr12", 4080)]
)
def test_a_code_that_video_keeps_for_itself_is_refused(signal, code):
    with pytest.raises(PatternError, match=rf"code {code} is out of reach: .* holds codes"):
        mixed(signal, f"code {code}")


def test_codes_keep_their_meaning_at_another_depth():
    """10-bit narrow 502 is 50 %, and so 2008 at 12 bits, 32768 of 16-bit full range."""
    written = named_signal("pq10")
    assert mixed(written.shown_at(12, "narrow"), "code 502")[0] == (2008,) * 3
    assert mixed(written.shown_at(16, "full"), "code 502")[0] == (32768,) * 3
    assert mixed(written.shown_at(8, "full"), "code 940")[0] == (255,) * 3
    assert mixed(written.shown_at(10, "full"), "code 721")[0] == (767,) * 3
    back = written.shown_at(12, "narrow").shown_at(10, "narrow")
    assert mixed(back, "code 502")[0] == (502,) * 3


def test_a_code_without_one_of_its_own_at_the_shown_depth_is_refused():
    shown = named_signal("pq10").shown_at(8, "full")
    with pytest.raises(PatternError, match="code 65 of 10-bit narrow range has no code of its own"):
        mixed(shown, "code 65")
    with pytest.raises(PatternError, match="has no code of its own in 10-bit full range"):
        mixed(named_signal("pq10").shown_at(10, "full"), "code 1019")


def test_carried_codes_come_back_as_they_were_written():
    for name, bits, range_ in (("pq10", 12, "narrow"), ("sdr8", 10, "full"), ("hlg10", 16, "full")):
        written = named_signal(name)
        shown = written.shown_at(bits, range_)
        for code in range(written.quantiser.black, written.quantiser.white + 1):
            (carried, *_), _ = mixed(shown, f"code {code}")
            assert written.quantiser.code(shown.quantiser.signal(carried)) == code


@pytest.mark.parametrize(
    ("signal", "code", "nearest"),
    [
        ("sdr8", 256, 255),
        ("sdr8", -1, 0),
        ("sdr8", int("9" * 40), 255),
        ("pq10", 3, 4),
        ("pq10", 1020, 1019),
        ("sdr12", 15, 16),
        ("sdr12", 4080, 4079),
    ],
)
def test_a_code_out_of_range_is_clipped_to_the_nearest_where_that_is_asked(signal, code, nearest):
    ink = Ink(named_signal(signal), clip=True)
    level = Measure(Decimal(code), "code")
    assert ink("level", level) == (nearest,) * 3
    assert ink.clipped == [f"level: code {code}"]


def test_a_code_that_is_clipped_at_another_depth_is_the_nearest_there():
    """65 of 10 bits, narrow, is E' 1/876: 0.29 of 255, and so 0; 1019 is E' 1.09: above 1023."""
    written = named_signal("pq10")
    for bits, code, nearest in ((8, 65, 0), (8, 66, 1), (8, 1020, 255), (10, 1019, 1023)):
        ink = Ink(written.shown_at(bits, "full"), clip=True)
        assert ink("level", Measure(Decimal(code), "code")) == (nearest,) * 3
        assert ink.clipped == [f"level: code {code}"]
    held = Ink(written.shown_at(8, "full"), clip=True)
    assert held("level", Measure(Decimal(940), "code")) == (255,) * 3
    assert held.clipped == []


def test_a_field_of_a_code_out_of_range_is_drawn_and_says_what_was_clipped():
    frame = Field(level="code 300", clip=True).frame(Canvas(64, 64), named_signal("sdr8"))
    assert (int(frame.rows.max()), frame.inks["level"]) == (255, (255, 255, 255))
    assert frame.facts["clipped"] == ["level: code 300"]


# Out of reach


@pytest.mark.parametrize(
    ("signal", "level", "said"),
    [
        ("sdr10", "101 cd/m2", "101 cd/m2 is out of reach: sdr10 goes from 0 to 100 cd/m2"),
        ("sdr8", f"code {'9' * 40}", f"code {'9' * 40} is out of reach: 8-bit full range holds"),
        ("pq10", "10000.1 cd/m2", "10000.1 cd/m2 is out of reach: pq10 goes from 0 to 10000"),
        ("hlg12", "-1 cd/m2", "-1 cd/m2 is out of reach: hlg12 goes from 0 to 1000 cd/m2"),
        ("sdr8", "100.3 %", "100.3 % is out of reach: sdr8 holds 0 % to 100 %"),
        ("sdr10", "110 %", "110 % is out of reach: sdr10 holds -6.849 % to 109 %"),
        ("sdr10", "-7 %", "-7 % is out of reach"),
    ],
)
def test_a_level_out_of_reach_is_refused_in_one_sentence(signal, level, said):
    with pytest.raises(PatternError) as error:
        mixed(signal, level)
    assert str(error.value).startswith(said)
    assert "\n" not in str(error.value)


def test_a_black_above_zero_is_the_floor():
    signal = signal_from_parts({"transfer": "bt1886", "white": 100, "black": 0.1})
    with pytest.raises(PatternError, match=r"goes from 0\.1 to 100 cd/m2"):
        mixed(signal, "0.05 cd/m2")
    codes, ink = mixed(signal, "0.05 cd/m2", clip=True)
    assert codes == (64, 64, 64)
    assert ink.clipped == ["level: 0.05 cd/m2"]


@pytest.mark.parametrize(
    ("signal", "level", "code"),
    [
        *(("sdr10", "500 cd/m2", 940), ("sdr8", "120 %", 255), ("sdr10", "120 %", 1019)),
        *(("pq10", "20000 cd/m2", 940), ("sdr10", "-20 %", 4), ("hlg8", "-1 %", 0)),
    ],
)
def test_clipping_takes_the_nearest_level_and_says_so(signal, level, code):
    codes, ink = mixed(signal, level, clip=True)
    assert codes == (code,) * 3
    assert ink.clipped == [f"level: {level}"]


def test_clipping_leaves_alone_what_is_in_reach():
    codes, ink = mixed("sdr10", "100 %", clip=True)
    assert codes == (940, 940, 940)
    assert ink.clipped == []


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("50", "has no unit"),
        ("50 nits", "unknown unit"),
        ("code 1.5", "whole numbers"),
        ("fifty %", "expected a number with its unit"),
        (50, "expected a number with its unit"),
        ("1e2 %", "unit"),
        ("9" * 61, "expected a number"),
    ],
)
def test_a_level_that_is_not_one_is_refused(text, said):
    level = {"r": text, "g": "0 %", "b": "0 %"}
    with pytest.raises(ValidationError, match=said):
        LEVEL.validate_python(level)


@given(st.decimals(-1000, 1000, places=20), st.sampled_from(["%", "cd/m2"]))
def test_a_level_reads_back_as_it_was_written(number, unit):
    level = LEVEL.validate_python(f"{number:f} {unit}")
    again = LEVEL.validate_python(LEVEL.dump_python(level, mode="json"))
    assert again == level
    assert "E" not in str(level)


# Colours


def test_a_mix_has_a_level_for_each_channel():
    level = {"r": "100 %", "g": "code 64", "b": "203 cd/m2"}
    codes, ink = mixed("pq10", level)
    assert codes == (940, 64, 573)
    assert ink.codes == {"level": (940, 64, 573)}


@pytest.mark.parametrize("name", ["sdr8", "sdr10", "sdr12", "pq10", "pq12", "pq16", "hlg10"])
def test_a_primary_by_its_chromaticity_leaves_the_others_exactly_black(name):
    signal = named_signal(name)
    black = signal.quantiser.black
    points = (signal.primaries.red, signal.primaries.green, signal.primaries.blue)
    for channel, (x, y) in enumerate(points):
        codes, _ = mixed(signal, {"x": float(x), "y": float(y), "luminance": "5 cd/m2"})
        assert codes[channel] > black
        assert [code for i, code in enumerate(codes) if i != channel] == [black, black]


@pytest.mark.parametrize("name", ["sdr8", "sdr10", "pq10", "pq16", "hlg10", "hlg12"])
def test_white_by_its_chromaticity_is_the_grey_of_its_luminance(name):
    """D65 is x 0.3127, y 0.3290 (Rec. ITU-R BT.709-6 item 1.4)."""
    for luminance in ("100 cd/m2", "48 cd/m2", "0.5 cd/m2"):
        colour = {"x": 0.3127, "y": 0.329, "luminance": luminance}
        assert mixed(name, colour)[0] == mixed(name, luminance)[0]


def test_chromatic_codes_agree_with_fifty_digits(reference):
    """A skin tone, x 0.3895, y 0.3520 at 30 cd/m2, through the matrix and the transfer."""
    x, y, luminance = (reference.number(each) for each in ("0.3895", "0.3520", "30"))
    xyz = reference.REAL.matrix([x * luminance / y, luminance, (1 - x - y) * luminance / y])
    level = {"x": 0.3895, "y": 0.3520, "luminance": "30 cd/m2"}
    light = list(reference.REAL.lu_solve(reference.rgb_to_xyz("bt2020"), xyz))
    exact = tuple(reference.code(reference.pq_inverse(each), 12, "narrow") for each in light)
    assert mixed("pq12", level)[0] == exact
    light = list(reference.REAL.lu_solve(reference.rgb_to_xyz("bt709"), xyz))
    sdr = reference.Bt1886()
    exact = tuple(reference.code(sdr.inverse(each), 10, "narrow") for each in light)
    assert mixed("sdr10", level)[0] == exact


def test_a_colour_outside_the_gamut_or_too_bright_is_refused():
    red_of_2020 = {"x": 0.708, "y": 0.292, "luminance": "10 cd/m2"}
    with pytest.raises(PatternError, match="outside what sdr10 can hold"):
        mixed("sdr10", red_of_2020)
    with pytest.raises(PatternError, match="outside what pq10 can hold"):
        mixed("pq10", {"x": 0.708, "y": 0.292, "luminance": "3000 cd/m2"})
    codes, ink = mixed("sdr10", red_of_2020, clip=True)
    assert codes[1:] == (64, 64)
    assert ink.clipped == ["level: x 0.708, y 0.292 at 10 cd/m2"]


@pytest.mark.parametrize("bits", [8, 10, 12, 16])
def test_a_saturated_hlg_colour_goes_as_far_as_its_signal_and_no_further(bits):
    """Red alone at 100 % HLG has 1000 * 0.2627**0.2 = 765.5 cd/m2 of red light: 201.1 cd/m2."""
    name = f"hlg{bits}"
    white = named_signal(name).quantiser.white
    colour = {"x": 0.708, "y": 0.292}
    assert mixed(name, colour | {"luminance": "201 cd/m2"})[0][0] <= white
    with pytest.raises(PatternError, match="outside what"):
        mixed(name, colour | {"luminance": "202 cd/m2"})
    assert mixed(name, colour | {"luminance": "262 cd/m2"}, clip=True)[0][0] == white


def test_what_is_no_chromaticity_is_refused():
    with pytest.raises(PatternError, match="not a chromaticity"):
        mixed("pq10", {"x": 0.7, "y": 0.4, "luminance": "1 cd/m2"})
    with pytest.raises(ValidationError):
        mixed("pq10", {"x": 0.3, "y": 0.0, "luminance": "1 cd/m2"})
    with pytest.raises(ValidationError):
        mixed("pq10", {"x": 0.3, "y": 0.3, "luminance": "50 %"})
