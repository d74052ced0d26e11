"""The comparison of the back buffer with the frame can fail, and says where."""

from __future__ import annotations

import numpy as np
import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.windows.pattern.readback import compare, packed_rows
from player.windows.thumbnail import BRIGHTEST, thumbnail

CANVAS = Canvas(320, 200)


def frame(bits: int) -> Frame:
    pattern = KINDS["window"].model_validate(
        {"area": "9 %", "level": {"r": "10 %", "g": "20 %", "b": "90 %"}}
    )
    return pattern.frame(CANVAS, named_signal(f"sdr{bits}"))


@pytest.mark.parametrize("bits", [8, 10])
def test_a_right_buffer_is_verified_whatever_its_spare_bits_hold(bits: int) -> None:
    shown = frame(bits)
    got = packed_rows(shown, bits)[shown.order] | np.uint32(3 << 30)
    assert compare(got, shown, bits).state == "verified"
    assert compare(got, shown, bits).why == "all 64000 pixels of the back buffer are right"


@pytest.mark.parametrize("bits", [8, 10])
@pytest.mark.parametrize(("x", "y"), [(0, 0), (319, 199), (160, 127), (7, 128)])
@pytest.mark.parametrize("channel", [0, 1, 2])
def test_one_code_wrong_by_one_anywhere_is_altered(bits: int, x: int, y: int, channel: int) -> None:
    shown = frame(bits)
    got = packed_rows(shown, bits)[shown.order]
    got[y, x] ^= np.uint32(1 << (channel * bits))
    guard = compare(got, shown, bits)
    assert guard.state == "altered"
    assert f"1 of 64000 pixels are wrong; the first is at x {x}, y {y}: code" in guard.why


def test_the_codes_are_packed_red_first() -> None:
    shown = frame(10)
    codes = shown.pixels()[100, 160]
    assert codes.tolist() == [152, 239, 852]
    assert packed_rows(shown, 10)[shown.order][100, 160] == 152 + (239 << 10) + (852 << 20)


def test_what_the_strip_covers_is_not_compared_and_not_verified() -> None:
    shown = frame(8)
    got = packed_rows(shown, 8)[shown.order]
    got[190:] ^= np.uint32(0xFF)
    assert compare(got, shown, 8).why.startswith("3200 of 64000 pixels are wrong")
    guard = compare(got, shown, 8, covered=10)
    assert guard.state == "altered"
    assert guard.why.startswith("the operator strip covers the bottom 10 of 200 rows")
    got[3, 3] ^= np.uint32(1)
    assert compare(got, shown, 8, covered=10).why.startswith("1 of 64000 pixels are wrong")


def test_a_buffer_of_another_size_is_altered() -> None:
    got = np.zeros((100, 100), np.uint32)
    assert compare(got, frame(8), 8).why == "the back buffer has 100x100 pixels, the frame 320x200"


def test_a_thumbnail_is_a_dim_average_of_the_frame() -> None:
    signal = named_signal("pq10")
    white = KINDS["field"].model_validate({"level": "100 %"}).frame(CANVAS, signal)
    assert thumbnail(white, 100, 100).shape == (62, 100, 3)
    assert set(thumbnail(white, 100, 100).ravel().tolist()) == {BRIGHTEST}
    ramp = KINDS["ramp"].model_validate({}).frame(CANVAS, signal)
    middle = thumbnail(ramp, 100, 100)[31, :, 0].astype(int)
    assert (np.diff(middle) >= 0).all()
    assert abs(int(middle[50]) - BRIGHTEST // 2) <= 1
