"""Scrolling bars, texture, pan, flash, pulse and counter: exact at any time and refresh rate."""

from fractions import Fraction

import numpy as np
import pytest
from pydantic import ValidationError

from patterns.errors import PatternError
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

HD = Canvas(1920, 1080)
SMALL = Canvas(192, 108)
SDR = named_signal("sdr8")
RATES = [Fraction(50), Fraction(60000, 1001), Fraction(60), Fraction(120)]
MINE = ("moving-box", "moving-stars", "scroll", "texture", "pan", "flash", "pulse", "frame-counter")


def make(kind, **parameters):
    return KINDS[kind].model_validate(parameters)


def at_refresh(pattern, canvas, number, signal=SDR):
    return pattern.frame(canvas, signal, Fraction(number) / canvas.refresh)


@pytest.mark.parametrize("name", MINE)
def test_these_kinds_change_with_time(name):
    pattern = KINDS[name]()
    assert pattern.moves
    pictures = {at_refresh(pattern, HD, n).sha256 for n in (0, 30, 31, 150)}
    assert len(pictures) > 1


@pytest.mark.parametrize("name", [name for name in MINE if name != "moving-box"])
@pytest.mark.parametrize("rate", RATES, ids=str)
def test_a_picture_stands_from_one_refresh_to_the_next(name, rate):
    """Just before refresh n + 1 comes, refresh n is still on screen.

    A crawling box is told for any instant instead, which its own tests look at.
    """
    canvas = Canvas(960, 540, rate)
    pattern = KINDS[name]()
    for n in (0, 1, 59, 1000):
        late = Fraction(n + 1) / rate - Fraction(1, 10**9)
        assert pattern.frame(canvas, SDR, late).sha256 == at_refresh(pattern, canvas, n).sha256


# ---- scroll


@pytest.mark.parametrize("rate", RATES, ids=str)
@pytest.mark.parametrize("direction", ["left", "right", "up", "down"])
def test_bars_scroll_in_whole_pixels_a_frame(rate, direction):
    canvas = Canvas(200, 100, rate)
    pattern = make("scroll", direction=direction, speed="1 px/frame", bar="7 px", every="97 px")
    along = 1 if direction in ("left", "right") else 0
    length = (100, 200)[along]
    for n in (0, 1, 50, 96, 97, 1234):
        gone = n if direction in ("right", "down") else -n
        line = [255 if (place - gone) % 97 < 7 else 0 for place in range(length)]
        shape = (1, 200, 1) if along else (100, 1, 1)
        expected = np.broadcast_to(np.reshape(line, shape), (100, 200, 3))
        frame = at_refresh(pattern, canvas, n)
        assert (frame.pixels() == expected).all()
        assert len(frame.rows) == (1 if along else 2)


def test_bars_that_pass_too_often_are_refused_unless_asked_for():
    """960 px/s over 345 pixels take 359 ms, over 346 pixels 360.4 ms."""
    assert make("scroll", speed="16 px/frame", bar="9 px", every="346 px").frame(HD, SDR)
    quick = {"speed": "16 px/frame", "bar": "9 px", "every": "345 px"}
    with pytest.raises(PatternError, match=r"at 16 px/frame flashes every 359\.4 ms"):
        make("scroll", **quick).frame(HD, SDR)
    assert make("scroll", **quick, fast=True).frame(HD, SDR)
    assert make("scroll", speed="0 px/s", bar="1 px", every="2 px").frame(HD, SDR)


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"bar": "50 %"}, "A bar of 50 % every 50 % has 960 of 960 pixels"),
        ({"bar": "0 px"}, "A bar of 0 px"),
        ({"speed": "7 px/s"}, r"0\.116667 pixels a frame at 60 Hz"),
        ({"speed": "0.5 px/frame"}, "whole ones, such as 1 px/frame"),
    ],
)
def test_bars_that_are_none_are_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        make("scroll", **parameters).frame(HD, SDR)


# ---- texture


@pytest.mark.parametrize("rate", RATES, ids=str)
@pytest.mark.parametrize(
    ("direction", "axis", "sign"), [("left", 1, -1), ("right", 1, 1), ("up", 0, -1), ("down", 0, 1)]
)
def test_text_scrolls_as_a_whole_page(rate, direction, axis, sign):
    """Strokes of 2 pixels: 17 letters of 12 are 204 pixels, 6 lines of 20 are 120."""
    canvas = Canvas(200, 108, rate)
    pattern = make("texture", direction=direction, speed="1 px/frame", size="14 px")
    period = 204 if axis else 120
    assert pattern.period(canvas) == period
    # the page, from what is seen of it at the start and after going by half
    still = at_refresh(pattern, canvas, 0).pixels()
    for n in (1, 5, 60, period, period + 3):
        moved = at_refresh(pattern, canvas, n).pixels()
        shift = sign * (n % period)
        size = still.shape[axis]
        over = abs(shift)
        if over < size:
            kept, from_still = (over, 0) if sign > 0 else (0, over)
            a = np.take(moved, range(kept, kept + size - over), axis=axis)
            b = np.take(still, range(from_still, from_still + size - over), axis=axis)
            assert (a == b).all()
    assert (at_refresh(pattern, canvas, 7 * period).pixels() == still).all()


@pytest.mark.parametrize("canvas", [HD, Canvas(3840, 2160), Canvas(1080, 1920)], ids=str)
def test_text_is_of_whole_strokes_a_fifth_of_the_picture_and_few_rows(canvas):
    frame = make("texture").frame(canvas, SDR)
    stroke = frame.facts["stroke_px"]
    assert stroke == max(1, round(canvas.height * 0.025 / 7))
    assert 10 < frame.lit_area < 25
    assert len(frame.rows) <= 61
    for start, length, _ in frame.runs():
        assert length % stroke == 0 or start + length == canvas.height
    assert frame.sha256 != make("texture", seed=2).frame(canvas, SDR).sha256


def test_letters_larger_than_the_picture_are_refused():
    with pytest.raises(PatternError, match="Letters of 120 % do not fit"):
        make("texture", size="120 %").frame(HD, SDR)


# ---- pan


@pytest.mark.parametrize(
    ("rate", "refresh", "cadence"),
    [
        ("24 Hz", Fraction(60), (3, 2)),
        ("24 Hz", Fraction(24), (1,)),
        ("24 Hz", Fraction(120), (5,)),
        ("23.976 Hz", Fraction(60000, 1001), (3, 2)),
        ("25 Hz", Fraction(50), (2,)),
        ("25 Hz", Fraction(60), (3, 2, 3, 2, 2)),
        ("30 Hz", Fraction(60), (2,)),
        ("24 Hz", Fraction(50), (3, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2)),
    ],
)
def test_a_pan_has_the_cadence_of_its_rate(rate, refresh, cadence):
    canvas = Canvas(1920, 1080, refresh)
    pattern = make("pan", rate=rate, step="10 px", direction="right")
    # counted from what is on screen over four cycles, not from the formula
    places = [pattern.at(canvas, n / refresh)[0] for n in range(4 * sum(cadence))]
    changes = [n for n in range(1, len(places)) if places[n] != places[n - 1]]
    assert {places[n] - places[n - 1] for n in changes} == {10}
    lengths = np.diff([0, *changes, len(places)]).tolist()
    assert lengths == list(cadence) * 4
    frame = pattern.frame(canvas, SDR)
    assert frame.facts["refreshes_per_content_frame"] == list(cadence)


def test_24_at_59_94_hz_slips_once_in_a_long_while():
    """1001 content frames take 2500 refreshes: too long a cadence to be told."""
    canvas = Canvas(1920, 1080, Fraction(60000, 1001))
    pattern = make("pan", rate="24 Hz", step="10 px", direction="right")
    assert "refreshes_per_content_frame" not in pattern.frame(canvas, SDR).facts
    for n in range(0, 6000, 37):
        assert pattern.content(canvas, n / canvas.refresh) == n * 24 * 1001 // 60000


def test_a_pan_moves_its_picture_as_a_whole():
    still = make("pan").frame(SMALL, SDR).pixels()
    for direction, sign in (("left", -1), ("right", 1)):
        pattern = make("pan", step="1 px", direction=direction)
        for n in (1, 2, 3, 5, 60, 1003):
            shift = sign * (n * 24 // 60)
            moved = at_refresh(pattern, SMALL, n).pixels()
            assert (moved == np.roll(still, shift, axis=1)).all()


def test_a_pan_has_lines_blocks_and_posts_at_twelve_places():
    frame = make("pan").frame(HD, SDR)
    lit = frame.pixels()[..., 0] == 153
    lines = np.diff(np.flatnonzero(np.diff(np.concatenate([[0], lit[200], [0]]))))[::2]
    assert lines.tolist() == [1, 2, 4, 8] * 3
    assert lit[500].sum() == 12 * 80
    assert [int(lit[row].sum()) for row in (700, 800, 900, 1000)] == [159, 318, 477, 636]
    assert len(frame.rows) == 7


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"rate": "100 Hz", "step": "1 px"}, "rate of 100 Hz cannot be shown at 60 Hz"),
        ({"step": "0.01 %"}, "step of 0.01 % is less than a pixel"),
        ({"step": "2 %"}, "step of 2 % at 24 Hz flashes every 175"),
    ],
)
def test_a_pan_that_cannot_be_shown_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        make("pan", **parameters).frame(HD, SDR)
    with pytest.raises(ValidationError, match="more than 0"):
        make("pan", rate="0 Hz")


# ---- flash and pulse


@pytest.mark.parametrize(
    ("rate", "on", "whole"),
    [
        (Fraction(50), 5, 50),
        (Fraction(60000, 1001), 6, 60),
        (Fraction(60), 6, 60),
        (Fraction(120), 12, 120),
        (Fraction(24), 2, 24),
    ],
)
def test_a_flash_is_lit_for_whole_refreshes(rate, on, whole):
    """100 ms once a second: 5.994 refreshes are 6, and 59.94 are 60."""
    canvas = Canvas(192, 108, rate)
    pattern = make("flash")
    found = [at_refresh(pattern, canvas, n).lit_area > 0 for n in range(2 * whole)]
    assert found == ([True] * on + [False] * (whole - on)) * 2
    facts = at_refresh(pattern, canvas, 0).facts
    assert facts == {
        "box": {"x": 77, "y": 43, "width": 38, "height": 22},
        "lit": True,
        "lit_s": pytest.approx(float(on / rate)),
        "cycle_s": pytest.approx(float(whole / rate)),
    }


@pytest.mark.parametrize(
    ("rate", "whole"),
    [(24, 9), (25, 9), (50, 18), (60, 22), (Fraction(60000, 1001), 22), (120, 44)],
)
def test_the_fastest_flash_lasts_360_ms_or_longer(rate, whole):
    """Rec. ITU-R BT.1702-3 (11/2023): 18 frames at 50 Hz, 9 at 24 Hz; second-hand and computed."""
    canvas = Canvas(192, 108, Fraction(rate))
    assert make("flash", period="360 ms", on="1 ms").cycle(canvas) == (1, whole)


def test_faster_flashes_have_to_be_asked_for():
    quick = {"period": "340 ms", "on": "20 ms"}
    with pytest.raises(PatternError, match="A period of 340 ms flashes every 350 ms"):
        make("flash", **quick).frame(HD, SDR)
    assert make("flash", **quick, fast=True).cycle(HD) == (1, 21)
    with pytest.raises(PatternError, match="A pulse of 100 ms and a rest of 200 ms"):
        make("pulse", on="100 ms", rest="200 ms").frame(HD, SDR)
    assert make("pulse", on="100 ms", rest="200 ms", fast=True).frame(HD, SDR)


def test_a_patch_lies_where_it_is_put_and_is_dark_between():
    pattern = make(
        "flash", size={"width": "10 px", "height": "100 %"}, at={"x": "5 px"},
        level="code 200", background="code 9",
    )  # fmt: skip
    expected = np.full((108, 192, 3), 9, np.uint16)
    assert (at_refresh(pattern, SMALL, 6).pixels() == expected).all()
    expected[:, :10] = 200
    assert (at_refresh(pattern, SMALL, 0).pixels() == expected).all()
    spot = pattern.spots(SMALL)["patch"]
    assert (spot.x, spot.y) == (5, 54)
    assert at_refresh(pattern, SMALL, 6).inks == {"background": (9,) * 3, "level": (200,) * 3}


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"on": "1 s"}, "lit for 1 s of 1 s is never dark"),
        ({"size": {"width": "120 %", "height": "1 px"}}, "does not lie on"),
        ({"at": {"x": "0 %"}}, "does not lie on"),
    ],
)
def test_a_flash_that_is_none_is_refused(parameters, said):
    with pytest.raises(PatternError, match=said):
        make("flash", **parameters).frame(HD, SDR)


@pytest.mark.parametrize("rate", RATES, ids=str)
def test_a_pulse_fills_the_canvas_and_rests(rate):
    """1.5 s and 2.5 s in the nearest whole refreshes: 89.91 and 149.85 at 59.94 Hz."""
    canvas = Canvas(192, 108, rate)
    pattern = make("pulse", on="1500 ms", rest="2500 ms", level="code 180", background="code 20")
    on, whole = {50: (75, 200), 60: (90, 240), 120: (180, 480)}.get(rate, (90, 240))
    assert pattern.cycle(canvas) == (on, whole)
    levels = {
        n: set(at_refresh(pattern, canvas, n).pixels().ravel().tolist())
        for n in (0, on - 1, on, whole - 1, whole)
    }
    assert list(levels.values()) == [{180}, {180}, {20}, {20}, {180}]


# ---- frame counter

SEGMENTS = {
    "0": "abcdef", "1": "adg", "2": "abdeg", "3": "abcdg", "4": "bcfg",
    "5": "acdfg", "6": "acdefg", "7": "abdg", "8": "abcdefg", "9": "abcdfg",
}  # fmt: skip
"""Where the usual seven segments lie, a on top, then clockwise, g in the middle: 1 and 7 stand on a
stroke through their middle."""
PROBES = {"a": (2, 0), "b": (4, 2), "c": (4, 6), "d": (2, 8), "e": (0, 6), "f": (0, 2), "g": (2, 4)}


def read_off(frame, digits, bits):
    """The number in digits and the number in blocks, read from the picture's middle outwards."""
    image = frame.pixels()[..., 0]
    stroke = max(1, int(min(image.shape) * 0.15 / 9 + 0.5))
    lit, off = frame.inks["level"][0], frame.inks["off"][0]
    left = (image.shape[1] - stroke * (7 * digits - 2)) // 2
    top = (image.shape[0] - stroke * 13) // 2
    half = stroke // 2
    figures = {"".join(sorted(strokes)): digit for digit, strokes in SEGMENTS.items()}
    text = ""
    for place in range(digits):
        x0 = left + 7 * stroke * place
        on = [
            name
            for name, (x, y) in PROBES.items()
            if image[top + stroke * y + half, x0 + stroke * x + half] == lit
        ]
        text += figures["".join(sorted(on))]
    left = (image.shape[1] - stroke * (3 * bits - 1)) // 2
    row = image[top + 12 * stroke]
    blocks = [int(row[left + 3 * stroke * place + half]) for place in range(bits)]
    assert set(blocks) <= {lit, off}
    return int(text), int("".join("1" if block == lit else "0" for block in blocks), 2)


@pytest.mark.parametrize("rate", RATES, ids=str)
@pytest.mark.parametrize("canvas", [HD, Canvas(1366, 768), Canvas(1080, 1920)], ids=str)
def test_digits_and_blocks_say_the_number_of_the_frame(rate, canvas):
    canvas = Canvas(canvas.width, canvas.height, rate)
    pattern = make("frame-counter")
    for n in (0, 1, 59, 1234, 5678, 9876, 9999, 10_000, 10_001):
        frame = at_refresh(pattern, canvas, n)
        assert read_off(frame, 4, 14) == (n % 10_000, n % 10_000)
        assert frame.facts["frame"] == n % 10_000


def test_a_counter_starts_and_wraps_where_it_is_told():
    pattern = make("frame-counter", start=58, modulo=60)
    found = [read_off(at_refresh(pattern, HD, n), 2, 6)[0] for n in range(4)]
    assert found == [58, 59, 0, 1]


def test_a_counter_changes_less_than_a_tenth_of_the_picture_and_dimly():
    """Below 20 cd/m2 (BT.1702-3) and 10 % of the maximum (WCAG 2.2) at default levels."""
    for signal in map(named_signal, ("sdr8", "pq10", "hlg10")):
        before, after = (at_refresh(make("frame-counter"), HD, n, signal) for n in (7999, 8000))
        changed = (before.pixels() != after.pixels()).any(axis=2).mean()
        assert changed < 0.1
        lit = signal.luminance(np.array([before.inks["level"]]))[0]
        # BT.1702-3 takes SDR white for 200 cd/m2
        scale = 2 if signal.transfer.name == "bt1886" else 1
        assert lit * scale < 20
        assert lit < 0.1 * float(signal.transfer.peak)


def test_a_counter_too_large_for_the_picture_is_refused():
    with pytest.raises(PatternError, match="4 digits of 60 % and 14 blocks do not fit"):
        make("frame-counter", size="60 %").frame(HD, SDR)
