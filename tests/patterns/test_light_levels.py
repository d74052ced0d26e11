"""MaxCLL and MaxFALL of frames that are worked out by hand.

CTA-861.3-A annex (second-hand; its pseudo-code from memory): the largest and the mean of
max(R, G, B) in linear light. A code stands for its own luminance, so the numbers are those of the
codes: 10-bit narrow PQ 723 is 1004.1919 and 573 is 203.702958 cd/m2 (Rec. ITU-R BT.2100-3
Tables 4 and 9, computed).
"""

import numpy as np
import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from tests.patterns.whole_pictures import frame_of

HD = Canvas(1920, 1080)


def framed(kind, signal="pq10", canvas=HD, **parameters):
    return KINDS[kind].model_validate(parameters).frame(canvas, named_signal(signal))


def test_a_grey_field_has_the_same_peak_and_average():
    frame = framed("field", level="203 cd/m2")
    assert frame.max_cll == pytest.approx(203.702958, abs=5e-7)
    assert frame.max_fall == frame.max_cll
    fine = framed("field", "pq16", level="203 cd/m2")
    assert fine.max_cll == pytest.approx(203, rel=2e-4)


def test_a_window_of_exactly_a_tenth_has_a_tenth_of_its_peak_as_average():
    """648 x 320 pixels are exactly 10 % of 1920 x 1080."""
    size = {"width": "648 px", "height": "320 px"}
    frame = framed("window", level="1000 cd/m2", size=size)
    assert frame.facts["area_percent"] == 10
    assert frame.max_cll == pytest.approx(1004.1919, abs=5e-5)
    assert frame.max_fall == pytest.approx(100.41919, abs=5e-6)


def test_a_window_by_area_has_its_true_share_of_the_peak_as_average():
    """10 % of 1920 x 1080 by area is 607 x 342 pixels: 207594 of 2073600."""
    frame = framed("window", level="1000 cd/m2", area="10 %")
    assert frame.max_fall == pytest.approx(1004.1919 * 207594 / 2073600, abs=5e-5)


@pytest.mark.parametrize("channel", ["r", "g", "b"])
def test_a_pure_channel_counts_in_full_and_not_by_its_luminance(channel):
    """A red of 1000 cd/m2 in the red channel has MaxCLL 1000 although its luminance is 263."""
    level = {"r": "0 %", "g": "0 %", "b": "0 %"} | {channel: "1000 cd/m2"}
    frame = framed("field", level=level)
    assert frame.max_cll == pytest.approx(1004.1919, abs=5e-5)
    assert frame.max_fall == frame.max_cll
    weight = {"r": 0.262700212, "g": 0.6779980715, "b": 0.0593017165}[channel]
    luminance = frame.signal.luminance(frame.pixels()[:1, :1])
    assert luminance == pytest.approx(1004.1919 * weight, rel=1e-7)


def test_the_average_takes_the_largest_channel_of_every_pixel():
    """Half red at 1000, a quarter green at 100 (code 509), the rest black; codes 723 and 509."""
    pixels = np.full((64, 64, 3), 64, np.uint16)
    pixels[:32, :, 0] = 723
    pixels[32:48, :, 1] = 509
    pixels[32:48, :, 0] = 195
    frame = frame_of(pixels, named_signal("pq10"))
    green = float(frame.signal.light(np.array([[509, 509, 509]]))[0, 0])
    assert green == pytest.approx(100, rel=0.01)
    assert frame.max_cll == pytest.approx(1004.1919, abs=5e-5)
    assert frame.max_fall == pytest.approx(1004.1919 / 2 + green / 4, abs=5e-5)


def test_black_has_no_light_and_a_checkerboard_half():
    assert framed("field", level="0 %").max_cll == 0
    board = framed("checkerboard", level="100 %")
    assert board.max_cll == 10_000
    assert board.max_fall == 5_000
    sdr = framed("checkerboard", "sdr8")
    assert sdr.max_cll == pytest.approx(100, rel=1e-14)
    assert sdr.max_fall == pytest.approx(50, rel=1e-14)
