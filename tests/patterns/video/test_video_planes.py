"""Frames become Y'CbCr exactly, row by row, and what 4:2:0 cannot carry is refused."""

from fractions import Fraction

import numpy as np
import pytest

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.primaries import PRIMARIES
from patterns.signal.signal import Signal, named_signal
from patterns.signal.transfer import Bt1886, Hlg, Pq
from patterns.video import RATES, Settings, carried, frames_in, matrix_of, parse_rate, planes_of
from tests.patterns.whole_pictures import frame_of

CANVAS = Canvas(128, 64)
PQ10 = named_signal("pq10")


def settings(signal=PQ10, canvas=CANVAS, **others) -> Settings:
    return Settings(canvas, Fraction(24), signal, **others)


def picture(signal=PQ10) -> np.ndarray:
    """A grey picture of the canvas's size."""
    return np.full((64, 128, 3), signal.quantiser.code(Fraction(1, 2)), np.uint16)


@pytest.mark.parametrize("chroma", ["4:2:0", "4:4:4"])
@pytest.mark.parametrize("bits", [8, 10, 12])
@pytest.mark.parametrize("range_", ["narrow", "full"])
@pytest.mark.parametrize("primaries", ["bt709", "bt2020"])
def test_every_colour_is_the_exact_one(reading, chroma, bits, range_, primaries):
    signal = Signal(Bt1886(), PRIMARIES[primaries], bits, range_)
    random = np.random.default_rng(bits)
    q = signal.quantiser
    blocks = random.integers(q.black, q.white + 1, (32, 64, 3)).astype(np.uint16)
    blocks[:8] = blocks[0]  # rows that are alike
    blocks[:, 8:32] = blocks[:, 8:9]  # and runs
    frame = frame_of(blocks.repeat(2, axis=0).repeat(2, axis=1), signal)
    planes = planes_of(frame, settings(signal, chroma=chroma))
    assert planes.luma.dtype == (np.uint8 if bits == 8 else np.uint16)
    assert reading.same(planes.arrays(), reading.expected(frame, primaries, chroma))


def test_each_set_of_primaries_and_transfer_has_its_matrix():
    found = {
        (transfer.name, name): matrix_of(Signal(transfer, primaries, 10, "narrow")).name
        for transfer in (Bt1886(), Pq(), Hlg())
        for name, primaries in PRIMARIES.items()
    }
    assert found == {
        ("bt1886", "bt709"): "bt709",
        ("bt1886", "p3-d65"): "bt709",
        ("bt1886", "bt2020"): "bt2020",
        ("pq", "bt709"): "bt709",
        ("pq", "p3-d65"): "bt2020",
        ("pq", "bt2020"): "bt2020",
        ("hlg", "bt709"): "bt709",
        ("hlg", "p3-d65"): "bt2020",
        ("hlg", "bt2020"): "bt2020",
    }


@pytest.mark.parametrize(("x", "y"), [(0, 0), (31, 17), (127, 63), (64, 63)])
def test_a_single_coloured_pixel_is_refused_at_420_and_its_block_named(x: int, y: int):
    pixels = picture()
    pixels[y, x] = (940, 64, 64)
    with pytest.raises(PatternError) as caught:
        planes_of(frame_of(pixels, PQ10), settings())
    place = f"x {x - x % 2}, y {y - y % 2}"
    assert f"two by two pixels share one chroma, and those at {place} have" in str(caught.value)
    assert "940 64 64" in str(caught.value)
    assert "502 502 502" in str(caught.value)


def test_a_coloured_edge_on_an_odd_row_is_refused_and_on_an_even_row_is_not():
    pixels = picture()
    pixels[:32] = (940, 64, 64)
    planes_of(frame_of(pixels, PQ10), settings())
    pixels[32] = (940, 64, 64)
    with pytest.raises(PatternError, match="x 0, y 32 "):
        planes_of(frame_of(pixels, PQ10), settings())


def test_one_pixel_chroma_lines_are_carried_by_444_alone():
    frame = KINDS["chroma-lines"]().frame(CANVAS, PQ10)
    with pytest.raises(PatternError, match="4:4:4 carries it"):
        planes_of(frame, settings())
    planes = planes_of(frame, settings(chroma="4:4:4"))
    assert [each.shape for each in planes.arrays()] == [(64, 128)] * 3


def test_a_grey_may_have_its_edges_on_odd_pixels(reading):
    pixels = picture()
    pixels[31:33, 5:8] = 940
    frame = frame_of(pixels, PQ10)
    planes = planes_of(frame, settings())
    assert reading.same(planes.arrays(), reading.expected(frame, "bt2020"))


def test_super_white_red_has_no_code_and_is_refused():
    pixels = picture()
    pixels[:] = (1019, 4, 4)
    with pytest.raises(PatternError, match=r"R'G'B' 1019 4 4 is Y'CbCr .* outside the codes 4 to"):
        planes_of(frame_of(pixels, PQ10), settings())


def test_a_conversion_error_is_told_in_codes_and_in_light():
    # 100 % red of BT.709 at 10 bits is Y'CbCr 250, 409, 960 (EBU Tech 3325 v2.0, second-hand)
    red = carried((940, 64, 64), named_signal("sdr10"))
    assert red.ycbcr == (250, 409, 960)
    # by hand: Y' = 186/876, C'B = -103/896, C'R = 448/896 = 1/2
    assert red.code_errors[0] == pytest.approx(876 * (186 / 876 + 0.7874 - 1), abs=1e-9)
    assert red.code_errors[2] == pytest.approx(186 - 876 * 1.8556 * 103 / 896, abs=1e-9)
    assert max(map(abs, red.code_errors)) == pytest.approx(0.8606, abs=1e-4)
    assert abs(red.luminance_error) < 0.2


@pytest.mark.parametrize("name", ["sdr8", "sdr10", "pq10", "hlg10", "pq12"])
def test_greys_come_back_without_any_error(name: str):
    signal = named_signal(name)
    for code in range(signal.quantiser.black, signal.quantiser.white + 1, 37):
        found = carried((code, code, code), signal)
        assert found.code_errors == (0, 0, 0)
        assert found.luminance_error in (None, pytest.approx(0, abs=1e-9))


def test_black_has_no_luminance_error_in_percent():
    assert carried((64, 64, 64), PQ10).luminance_error is None


def test_rates_are_the_exact_ones_of_their_names():
    assert {name: (rate.numerator, rate.denominator) for name, rate in RATES.items()} == {
        "23.976": (24000, 1001),
        "24": (24, 1),
        "25": (25, 1),
        "29.97": (30000, 1001),
        "30": (30, 1),
        "50": (50, 1),
        "59.94": (60000, 1001),
        "60": (60, 1),
    }
    assert all(parse_rate(name) == rate for name, rate in RATES.items())


@pytest.mark.parametrize("text", ["48", "120", "23", "fast", "", "24/0"])
def test_other_rates_are_refused_in_one_sentence(text: str):
    with pytest.raises(PatternError, match=r"A clip has 23\.976, .* frames a second, not"):
        parse_rate(text)


def test_a_hold_is_the_nearest_number_of_frames_and_one_at_least():
    assert frames_in(Fraction(10), RATES["23.976"]) == 240
    assert frames_in(Fraction(1, 1000), RATES["24"]) == 1


def test_sixteen_bits_are_refused():
    with pytest.raises(PatternError, match="HEVC carries 8, 10 or 12 bits, not 16"):
        settings(named_signal("pq16"))


def test_a_patch_by_area_has_even_edges_and_one_by_size_is_as_asked():
    pattern = KINDS["patch"].model_validate({"colour": "red", "at": {"x": "31 px", "y": "23 px"}})
    box = pattern.box(CANVAS)
    assert (box.x % 2, box.y % 2, box.right % 2, box.bottom % 2) == (0, 0, 0, 0)
    # 10 % of 128 x 64 are 819 pixels: 800 are nearer than 840; about 31, 23 from 11, 13 on
    assert str(box) == "40x20 at 10,12"
    planes_of(pattern.frame(CANVAS, PQ10), settings())
    size = {"width": "9 px", "height": "9 px"}
    asked = KINDS["patch"].model_validate({"colour": "red", "size": size})
    assert (asked.box(CANVAS).width, asked.box(CANVAS).height) == (9, 9)
    with pytest.raises(PatternError, match="4:4:4 carries it"):
        planes_of(asked.frame(CANVAS, PQ10), settings())
