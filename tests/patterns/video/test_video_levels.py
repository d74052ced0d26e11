"""Levels and tiers: the lowest whose limits hold. Rec. ITU-T H.265 Annex A, from memory."""

from fractions import Fraction

import pytest

from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from patterns.video import RATES, UNLIMITED, Settings
from patterns.video.encoder import at_count, escaped, kind_of, nal_units, split_headers, with_level
from patterns.video.levels import LEVELS, Buffer, fits, level_for

UHD = Canvas(3840, 2160)


def settings(canvas=UHD, rate="24", **others) -> Settings:
    return Settings(canvas, RATES[rate], named_signal("pq10"), **others)


@pytest.mark.parametrize(
    ("size", "rate", "idc"),
    [
        ((256, 144), "24", 60),  # 884,736 samples a second: more than level 1 has
        ((640, 360), "30", 63),
        ((1280, 720), "30", 93),
        ((1280, 720), "60", 120),
        ((1920, 1080), "24", 120),
        ((1920, 1080), "30", 120),
        ((1920, 1080), "50", 123),
        ((1920, 1080), "60", 123),
        ((3840, 2160), "23.976", 150),
        ((3840, 2160), "30", 150),
        ((3840, 2160), "50", 153),
        ((3840, 2160), "59.94", 153),
        ((3840, 2160), "60", 153),
        ((7680, 4320), "30", 180),
        ((7680, 4320), "60", 183),
        ((1080, 1920), "24", 120),
        ((8192, 64), "24", 150),  # few samples, but too long for level 4 (4222 pixels)
    ],
)
def test_size_and_rate_ask_for_the_known_level(size, rate, idc):
    level = level_for(settings(Canvas(*size), rate))
    assert (level.idc, level.tier) == (idc, "Main")


def test_the_bit_rates_of_table_a_9_are_these():
    kbits = {(each.number, each.tier): each.kbits for each in LEVELS if each.idc >= 120}
    assert kbits == {
        ("4", "Main"): 12000, ("4", "High"): 30000, ("4.1", "Main"): 20000,
        ("4.1", "High"): 50000, ("5", "Main"): 25000, ("5", "High"): 100000,
        ("5.1", "Main"): 40000, ("5.1", "High"): 160000, ("5.2", "Main"): 60000,
        ("5.2", "High"): 240000, ("6", "Main"): 60000, ("6", "High"): 240000,
        ("6.1", "Main"): 120000, ("6.1", "High"): 480000, ("6.2", "Main"): 240000,
        ("6.2", "High"): 800000,
    }  # fmt: skip


def test_a_higher_bit_rate_asks_for_the_high_tier_and_then_for_the_next_level():
    # 4.0 and 4.1 megabytes a second are 32 and 32.8 Mb/s; 3840x2160 at 60 is 5.1, 40 Mb/s in Main
    second = [66_000] * 60
    assert str(level_for(settings(rate="60"), second * 3)) == "5.1 Main"
    second = [100_000] * 60  # 48 Mb/s
    assert str(level_for(settings(rate="60"), second * 3)) == "5.1 Main"  # for 3 s, by the buffer
    assert str(level_for(settings(rate="60"), second * 9)) == "5.1 High"
    second = [350_000] * 60  # 168 Mb/s
    assert str(level_for(settings(rate="60"), second * 60)) == "5.2 High"


def test_a_picture_that_is_hardly_compressed_holds_no_level():
    # 3840x2160 in Main 10, 24 a second: level 6.2 in the High tier allows 1.875 bytes a sample of
    # its 4,278,190,080 / 300 for the first picture, over 4: 6.7 million bytes
    assert level_for(settings(), [6_600_000]) != UNLIMITED
    assert level_for(settings(), [6_800_000]) == UNLIMITED
    assert UNLIMITED.idc == 255
    assert not fits(LEVELS[-1], settings(), [6_800_000])


def test_the_buffer_holds_one_second_and_fills_at_the_bit_rate():
    level = level_for(settings())  # 25 Mb/s
    buffer = Buffer(level, settings())
    assert buffer.takes(3_125_000)
    assert buffer.takes(130_208)  # a 24th of a second later
    assert not buffer.takes(130_209)


def test_half_a_buffer_is_half_as_large():
    assert Buffer(level_for(settings()), settings(), Fraction(1, 2)).takes(1_562_500)
    assert not Buffer(level_for(settings()), settings(), Fraction(1, 2)).takes(1_562_501)


def test_a_level_is_written_into_a_parameter_set_and_nothing_else():
    # nal_unit_type 33, then sps_video_parameter_set_id and so on, then profile_tier_level
    plain = bytes.fromhex("420101 02200000009000000000 00ff a0".replace(" ", ""))
    before = escaped(plain)
    assert b"\0\0\3" in before
    after = with_level(before, 153, high=True)
    assert after.replace(b"\0\0\3", b"\0\0").hex() == "42010122200000009000000000" + "0099a0"
    assert with_level(after, 255, high=False) == before


@pytest.mark.parametrize(
    ("plain", "kept"),
    [
        (b"\0\0\0", b"\0\0\3\0"),
        (b"\0\0\1\0\0\2", b"\0\0\3\1\0\0\3\2"),
        (b"\0\0\4\0\0\0\0\0\1", b"\0\0\4\0\0\3\0\0\3\0\1"),
    ],
)
def test_three_zeros_never_stand_in_a_nal_unit(plain, kept):
    assert escaped(plain) == kept


def test_a_stream_is_taken_apart_at_start_codes_of_either_length():
    stream = b"\0\0\0\1\x40\1a\0\0\1\x42\1b\0\0\0\1\x44\1c\0\0\1\x26\1d"
    assert nal_units(stream) == [b"\x40\1a", b"\x42\1b", b"\x44\1c", b"\x26\1d"]
    headers, rest = split_headers(stream)
    assert [kind_of(each) for each in headers] == [32, 33, 34]
    assert rest == b"\0\0\0\1\x26\1d"


def test_a_repeat_gets_the_count_of_its_place_modulo_256():
    # TRAIL_R; first slice, PPS 0, P: 1 1 010; count 1; own reference set of one picture
    unit = bytes.fromhex("00000001" + "0201" + "d009" + "71016e")
    assert at_count(unit, 1) == unit
    assert at_count(unit, 2).hex() == "00000001" + "0201" + "d011" + "71016e"
    assert at_count(unit, 255).hex() == "00000001" + "0201" + "d7f9" + "71016e"
    assert at_count(unit, 256).hex() == "00000001" + "0201" + "d001" + "71016e"
    assert at_count(at_count(unit, 200), 1) == unit


@pytest.mark.parametrize("stream", ["26 01 af 20", "02 01 50 09 71", "02 01 d0 0a 71"])
def test_what_is_no_such_picture_is_never_changed(stream):
    with pytest.raises(ValueError, match="P picture"):
        at_count(b"\0\0\0\1" + bytes.fromhex(stream), 1)
