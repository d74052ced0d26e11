"""MaxCLL and MaxFALL of clips, on frames worked out by hand (CTA-861.3-A annex, from memory)."""

import numpy as np
import pytest

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.light import UNIT, Light
from patterns.signal.primaries import BT2020
from patterns.signal.signal import named_signal
from patterns.video import RATES, Picture, Settings, clip, light_over
from patterns.video.planes import light_levels, whole
from tests.patterns.whole_pictures import frame_of

PQ10, PQ12, PQ16 = (named_signal(each) for each in ("pq10", "pq12", "pq16"))
CANVAS = Canvas(200, 80)


def frame(signal, *patches: tuple[tuple[int, int, int, int], tuple[int, int, int]]) -> Frame:
    """Black, with patches ((left, top, width, height), codes)."""
    pixels = np.full((80, 200, 3), signal.quantiser.black, np.uint16)
    for (left, top, width, height), codes in patches:
        pixels[top : top + height, left : left + width] = codes
    return frame_of(pixels, signal)


def stated(light: Light) -> tuple[int, int]:
    return whole(light.max_cll), whole(light.max_fall)


FULL = (0, 0, 200, 80)
TENTH = (60, 20, 40, 40)
"""40 x 40 of 200 x 80 pixels: 10 %."""


@pytest.mark.parametrize(
    ("signal", "patches", "numbers"),
    [
        # 203 cd/m2 is code 38055 in full range at 16 bits; a full screen of it has CLL = FALL
        (PQ16, [(FULL, (38055,) * 3)], (203, 203)),
        # 2291 at 12 bits is 203.14 cd/m2, 573 at 10 bits 203.70
        (PQ12, [(FULL, (2291,) * 3)], (203, 203)),
        (PQ10, [(FULL, (573,) * 3)], (204, 204)),
        # 1000 cd/m2 (16 bits: 49271) on a tenth of the screen
        (PQ16, [(TENTH, (49271,) * 3)], (1000, 100)),
        # red alone counts whole: not 262.7, its luminance
        (PQ16, [(FULL, (49271, 0, 0))], (1000, 1000)),
        # two patches: the larger is the level, and both count for the mean
        (PQ16, [(TENTH, (49271, 0, 0)), ((0, 0, 40, 40), (0, 0, 33297))], (1000, 110)),
        # next to nothing, but not nothing: 0 would read as unknown
        (PQ10, [((0, 0, 1, 1), (65, 65, 65))], (1, 1)),
    ],
)
def test_hand_worked_frames_have_their_levels(signal, patches, numbers):
    light = light_over([frame(signal, *patches)], signal)
    assert stated(light) == numbers


def test_a_clip_has_the_largest_of_its_frames(tmp_path):
    # 723 is 1004.19 cd/m2; 509 is 100.23 cd/m2 narrow at 10 bits (PQ, computed)
    dim = frame(PQ10, (FULL, (520, 520, 520)))  # 113.17 cd/m2
    small = frame(PQ10, (TENTH, (723, 64, 64)))  # 1004.19, mean 100.42
    light = light_over([dim, small], PQ10)
    assert stated(light) == (1004, 113)
    assert light.max_mastering == 1005 * UNIT
    settings = Settings(CANVAS, RATES["24"], PQ10)
    made = clip([Picture(dim, 2), Picture(small, 2)], tmp_path / "clip.mp4", settings)
    assert made.light == light


def test_a_moving_pattern_counts_in_all_of_its_frames(tmp_path):
    # lit for the first 100 ms of a second, and not seen after that
    settings = Settings(CANVAS, RATES["50"], PQ10)
    made = clip([Picture(KINDS["flash"](), 20)], tmp_path / "clip.mp4", settings)
    # 20 % of width and height: 40 x 16 of 200 x 80 pixels at 10000 cd/m2
    assert stated(made.light) == (10000, 400)


def test_levels_are_those_of_single_frames():
    for kind in ("window", "bars-bt2111", "ramp", "checkerboard"):
        one = KINDS[kind]().frame(Canvas(1920, 1080), PQ10)
        assert light_levels(one) == pytest.approx((one.max_cll, one.max_fall), rel=1e-12)


def test_light_of_another_set_can_be_stated_or_none_at_all(tmp_path):
    other = Light(BT2020, 4000 * UNIT, 300 * UNIT, 4000 * UNIT, 50)
    for given, found in ((other, other), ("nothing", None)):
        settings = Settings(CANVAS, RATES["24"], PQ10, light=given)
        made = clip([Picture(KINDS["window"](), 1)], tmp_path / "clip.mp4", settings)
        assert made.light == found
        assert (b"mdcv" in (tmp_path / "clip.mp4").read_bytes()) == (found is not None)


def test_a_clip_without_light_states_none(tmp_path):
    made = clip([Picture(frame(PQ10), 1)], tmp_path / "c.mp4", Settings(CANVAS, RATES["24"], PQ10))
    assert made.light is None


@pytest.mark.parametrize("name", ["sdr10", "hlg10"])
def test_only_pq_has_light_to_state(name, tmp_path):
    signal = named_signal(name)
    assert light_over([frame(signal, (FULL, (500, 500, 500)))], signal) is None
    made = clip([Picture(KINDS["window"](), 1)], tmp_path / "c.mp4",
                Settings(CANVAS, RATES["24"], signal, light=Light(BT2020, 1, 1, UNIT)))  # fmt: skip
    assert made.light is None
