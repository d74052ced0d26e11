"""Flashing is found by both published limits, at any place, in any second.

Rec. ITU-R BT.1702-3 (11/2023), second-hand; WCAG 2.2 success criterion 2.3.1, as published.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from patterns.flashing import Flashing, flashing_of, flashing_of_frames
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from tests.patterns.whole_pictures import frame_of

CANVAS = Canvas(1920, 1080)
SDR, PQ = named_signal("sdr8"), named_signal("pq10")


def frame(kind, signal, **parameters):
    return KINDS[kind].model_validate(parameters).frame(CANVAS, signal)


def alternating(first, second, half_frames, refresh=Fraction(60), seconds=3):
    """Two frames in turn, each for so many refreshes."""
    count = int(seconds * refresh)
    for n in range(count):
        yield Fraction(n) / refresh, (first, second)[n // half_frames % 2]


def over_bt1702(found):
    """Whether it is over BT.1702-3: too often, and on more than 25 % of the screen."""
    return found.over and found.area > 25


BLACK, WHITE = frame("field", SDR, level="0 %"), frame("field", SDR, level="100 %")


@pytest.mark.parametrize(
    ("half_frames", "flashes"),
    [(5, 6), (6, 5), (7, 5), (8, 4), (9, 4), (10, 3), (11, 3), (15, 2), (30, 1)],
)
def test_full_field_black_and_white_is_counted_in_its_worst_second(half_frames, flashes):
    """A full cycle of 20 frames at 60 Hz is just three a second; 19 are too many by 1 frame."""
    found = flashing_of_frames(alternating(BLACK, WHITE, half_frames))
    assert found.flashes == flashes
    assert found.over == (flashes > 3)
    assert over_bt1702(found) == (flashes > 3)


@pytest.mark.parametrize(
    ("refresh", "cycle", "over"),
    [
        (Fraction(60), 20, False),
        (Fraction(60_000, 1001), 20, False),
        (Fraction(50), 18, False),
        (Fraction(50), 16, True),
        (Fraction(24), 8, False),
        (Fraction(24), 6, True),
    ],
)
def test_a_cycle_of_a_third_of_a_second_is_the_limit_at_every_refresh(refresh, cycle, over):
    shown = alternating(BLACK, WHITE, cycle // 2, refresh)
    assert flashing_of_frames(shown).over is over


@pytest.mark.parametrize(
    ("low", "high", "counts"),
    [
        ("0 cd/m2", "19 cd/m2", False),
        ("0 cd/m2", "21 cd/m2", True),
        ("159 cd/m2", "180 cd/m2", True),
        ("400 cd/m2", "440 cd/m2", False),  # Michelson 1/21
        ("400 cd/m2", "460 cd/m2", True),  # Michelson 1/14.3
    ],
)
def test_bt1702_counts_20_cd_m2_in_the_dark_and_a_seventeenth_above(low, high, counts):
    """On an HDR display these steps are far below the tenth of the peak that WCAG names."""
    pair = [frame("field", PQ, level=level) for level in (low, high)]
    assert flashing_of_frames(alternating(*pair, 5)).over is counts


def test_wcag_counts_a_tenth_of_the_maximum_below_four_fifths():
    """SDR at 200 cd/m2 white: 10 % of it is 20 cd/m2, so both limits meet in the dark."""
    shown = alternating(
        frame("field", SDR, level="60 cd/m2"), frame("field", SDR, level="71 cd/m2"), 5
    )
    assert flashing_of_frames(shown).over
    bright = alternating(
        frame("field", SDR, level="90 cd/m2"), frame("field", SDR, level="99 cd/m2"), 5
    )
    assert not flashing_of_frames(bright).over, "180 to 198 cd/m2 is below 1/17 and above 0.8"


def test_saturated_red_counts_however_dark_the_change_is():
    red = frame("field", SDR, level={"r": "30 %", "g": "0 %", "b": "0 %"})
    blue = frame("field", SDR, level={"r": "0 %", "g": "0 %", "b": "30 %"})
    assert flashing_of_frames(alternating(BLACK, red, 5)).red == 6
    assert flashing_of_frames(alternating(BLACK, blue, 5)).red == 0


def test_the_area_is_what_flashes_too_often():
    for area, over in ((10, False), (24, False), (26, True), (60, True)):
        window = frame("window", SDR, area=f"{area} %")
        found = flashing_of_frames(alternating(BLACK, window, 5))
        assert found.area == window.facts["area_percent"], "to the pixel"
        assert found.over, "more than three a second counts whatever the area"
        assert over_bt1702(found) is over


def test_a_patch_of_18_pixels_is_seen_wherever_it_flashes_on_a_large_screen():
    """Litfield's limit has no area; places that are looked at 20 pixels apart would miss it."""
    screen = Canvas(3840, 2160)
    size = {"width": "18 px", "height": "18 px"}
    for x, y in ((9, 9), (20, 20), (1921, 1083), (3831, 2151)):
        at = {"x": f"{x} px", "y": f"{y} px"}
        parameters = {"on": "50 ms", "period": "100 ms", "fast": True, "size": size, "at": at}
        found = flashing_of(KINDS["flash"].model_validate(parameters), screen, SDR)
        assert (found.flashes, found.over, over_bt1702(found)) == (10, True, False)
        assert found.area == 100 * 18 * 18 / (3840 * 2160)


def test_a_single_pixel_that_flashes_is_seen_among_others_that_do_not():
    pixels = np.full((64, 64, 3), 20, np.uint16)
    pixels[::2, ::3] = 200
    lit = pixels.copy()
    lit[17, 40] = 255
    frames = [frame_of(each, SDR) for each in (pixels, lit)]
    found = flashing_of_frames(alternating(*frames, 4))
    assert (found.flashes, found.area) == (8, 100 / 64**2)


def test_places_that_flash_in_turn_are_not_added_up():
    """Each quarter for a second, and a rest: a quarter of the screen at a time, not all of it."""
    quarters = [(0, 0), (0, 32), (32, 0), (32, 32)]
    shown = []
    for second, (y, x) in enumerate(quarters):
        for n in range(20):
            pixels = np.zeros((64, 64, 3), np.uint16)
            if n % 2:
                pixels[y : y + 32, x : x + 32] = 255
            shown.append((2 * second + Fraction(n, 20), frame_of(pixels, SDR)))
    found = flashing_of_frames(shown)
    assert (found.flashes, found.area, found.since) == (10, 25.0, Fraction(1, 20))


@pytest.mark.parametrize(("changes", "flashes"), [(1, 0), (2, 1), (6, 3), (7, 4)])
def test_a_change_without_its_partner_in_the_second_is_half_a_flash(changes, flashes):
    shown = [(Fraction(n, 10), (BLACK, WHITE)[n % 2]) for n in range(changes + 1)]
    found = flashing_of_frames(shown)
    assert (found.flashes, found.over) == (flashes, changes > 6)
    assert found.since == (Fraction(1, 10) if changes > 6 else None)


def test_a_second_of_standing_still_ends_what_went_before():
    """Up to 15, a rest, up to 30: no change of 20 within any second. Without the rest there is."""
    levels = ["0 cd/m2", "15 cd/m2", "30 cd/m2"]
    dark, dim, lit = (frame("field", PQ, level=level) for level in levels)
    for rest, changes in ((Fraction(1), 6), (Fraction(9, 10), 7)):
        shown = [(Fraction(0), dark), (Fraction(1, 10), dim)]
        shown += [(Fraction(1, 10) + rest + Fraction(n, 10), (lit, dark)[n % 2]) for n in range(7)]
        assert flashing_of_frames(shown).over is (changes > 6)


def test_a_pale_saturated_red_counts_however_near_white_it_is_in_colour():
    """R 0.8, G and B 0.1 of the light: 0.15 from white in u'v', below the 0.2 of WCAG's red."""
    codes = np.array([108, 44, 44], np.uint16)  # 0.8 : 0.1 : 0.1 by a law of 2.4, at 20 % of white
    pale = Frame(codes.reshape(1, 1, 3).repeat(64, 1), np.zeros(64, np.uint16), SDR)
    light = SDR.light(codes)
    assert light[0] / light.sum() >= 0.8
    black = frame_of(np.zeros((64, 64, 3), np.uint16), SDR)
    found = flashing_of_frames(alternating(black, pale, 5))
    assert (found.flashes, found.red) == (0, 6)


@pytest.mark.parametrize(
    ("percent", "said"),
    [
        (100.0, "all of the screen"),
        (99.9999, "99.999 % of the screen"),
        (25.0, "25 % of the screen"),
        (12.34, "12 % of the screen"),
        (1.234, "1.23 % of the screen"),
        (0.0039, "less than 0.01 % of the screen"),
    ],
)
def test_the_area_is_told_in_plain_numbers(percent, said):
    found = Flashing(flashes=10, area=percent, since=Fraction(0))
    assert str(found) == f"up to 10 flashes a second; more than three on {said}"


def test_a_full_screen_is_all_of_it():
    found = flashing_of_frames(alternating(BLACK, WHITE, 3))
    assert str(found) == "up to 10 flashes a second; more than three on all of the screen"
    assert str(flashing_of_frames(alternating(BLACK, WHITE, 30))) == "up to 1 flash a second"


def test_a_slow_fade_there_and_back_is_one_flash_however_many_frames_it_takes():
    levels = [f"{n} %" for n in (*range(0, 100, 5), *range(100, 0, -5), 0)]
    shown = [(Fraction(i, 60), frame("field", SDR, level=x)) for i, x in enumerate(levels)]
    assert flashing_of_frames(shown).flashes == 1


def test_small_steps_that_add_up_are_seen():
    """Each step is below the limit, the way from black to white is not."""
    levels = ["0 %", "20 %", "40 %", "60 %", "80 %", "100 %", "80 %", "60 %", "40 %", "20 %"]
    frames = [frame("field", SDR, level=level) for level in levels]
    shown = [(Fraction(n, 60), frames[n % 10]) for n in range(180)]
    assert flashing_of_frames(shown).flashes == 6


def test_no_frame_and_one_frame_do_not_flash():
    assert not flashing_of_frames([]).over
    assert str(flashing_of_frames([(Fraction(0), WHITE)])) == "does not flash"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["sdr8", "pq10", "hlg10"])
def test_no_kind_flashes_as_it_is_pictured(kind, name):
    signal = named_signal(name)
    model = KINDS[kind]
    if not model.made_for(signal):
        return
    for example in model.examples:
        pattern = model.model_validate(example)
        found = flashing_of(pattern, CANVAS, signal)
        assert not found.over, f"{example}: {found}"
