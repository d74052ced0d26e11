"""Delay: frame arithmetic, scan-out, and where the uncertainty is from."""

import math

import pytest

from patterns.picture.sheet import Box
from tests.readings.light_readings import reading
from tests.readings.made_readings import only, said


def timed(number, milliseconds, y="50 %", **changes):
    raw = "?" if milliseconds is None else f"{milliseconds:g}"
    more = {
        "kind": "flash",
        "quantity": "milliseconds",
        "number": milliseconds,
        "raw": raw,
        "parameters": {"at": {"x": "50 %", "y": y}},
        "refresh_hz": 60.0,
    }
    return reading(number, "delay", None, **more | changes)


def test_63_ms_less_a_frame_of_60_hz_is_about_47_ms():
    # common practice, no source; exactly 63 - 1000 / 60 = 46.33
    finding = only("delay", [timed(1, 63.0)])
    assert finding.value("delay").value == 63.0
    less = finding.value("delay-less-frame")
    assert less.value == pytest.approx(63 - 1000 / 60)
    assert less.value == pytest.approx(47, abs=1)
    assert finding.value("delay-frames").value == pytest.approx(3.78)
    assert "16.7 ms at 60 Hz" in finding.method


def test_the_middle_comes_first_and_top_to_bottom_is_the_scan_out():
    readings = [timed(1, 20.0, "10 %"), timed(2, 28.0), timed(3, 35.0, "90 %")]
    finding = only("delay", readings)
    assert [v.label for v in finding.values[:3]] == [
        "Delay, middle",
        "Delay, top",
        "Delay, bottom",
    ]
    scan = finding.value("scan-out")
    assert scan.value == pytest.approx(15.0)
    assert scan.where["of_a_frame_percent"] == pytest.approx(90.0)
    assert scan.where["whole_ms"] == pytest.approx(18.75)


def test_the_box_that_was_shown_tells_the_height_where_the_step_was_changed_by_hand():
    """A box of 100 rows from 58 on has its middle 10 % down a canvas of 1080."""
    moved = {"canvas": (1920, 1080), "facts": {"box": Box(0, 58, 100, 100).describe()}}
    assert only("delay", [timed(1, 20.0, **moved)]).values[0].label == "Delay, top"
    moved["facts"] = {"box": {"x": 0, "y": 58, "width": 100}}
    assert only("delay", [timed(1, 20.0, **moved)]).values[0].label == "Delay, middle"


def test_repeats_carry_the_uncertainty_with_the_last_digit():
    finding = only("delay", [timed(1, 62.0), timed(2, 64.0)])
    # 2 sqrt((sqrt 2 / sqrt 2)^2 + 1 / 12)
    assert finding.value("delay").uncertainty == pytest.approx(2 * math.sqrt(1 + 1 / 12))
    assert finding.value("delay").value == 63.0


def test_a_camera_of_240_hz_leaves_a_picture_over_root_six():
    finding = only("delay", [timed(1, 63.0, label="Flash, camera 240 Hz")])
    expected = 2 * math.hypot(1000 / 240 / math.sqrt(6), 1 / math.sqrt(12))
    assert finding.value("delay").uncertainty == pytest.approx(expected)
    assert "not known" not in said(finding)


def test_one_reading_without_a_camera_has_no_uncertainty():
    finding = only("delay", [timed(1, 63.0)])
    assert finding.value("delay").uncertainty is None
    assert "not known" in said(finding)


def test_without_a_refresh_nothing_is_told_in_frames():
    finding = only("delay", [timed(1, 63.0, refresh_hz=None)])
    assert finding.value("delay-less-frame") is None
    assert "refresh of the output is not known" in said(finding)


def test_what_no_picture_is_late_by_does_not_count():
    alone = only("delay", [timed(1, -5.0)])
    assert (alone.values[0].written(), alone.readings) == ("undefined", ())
    assert "mistyped" in said(alone)
    finding = only("delay", [timed(1, 63.0), timed(2, 63000.0)])
    assert finding.readings == (1,)
    assert "mistyped" in said(finding)


def test_frame_counters_give_a_delay_also_across_their_turn():
    more = {"kind": "frame-counter", "quantity": "text", "refresh_hz": 50.0}
    plain = reading(1, "counter", None, text="123 120", **more)
    assert only("delay", [plain]).value("counter-delay").value == pytest.approx(60.0)
    turned = reading(1, "counter", None, text="1, 59", parameters={"modulo": 60}, **more)
    assert only("delay", [turned]).value("counter-delay").value == pytest.approx(40.0)


@pytest.mark.parametrize("parameters", [{}, {"modulo": 20}, {"modulo": "1e999"}])
def test_a_display_ahead_of_its_source_does_not_count(parameters):
    more = {"kind": "frame-counter", "quantity": "text", "refresh_hz": 50.0}
    ahead = reading(1, "counter", None, text="1, 59", parameters=parameters, **more)
    assert only("delay", [ahead]).values[0].written() == "undefined"
    finding = only("delay", [ahead, reading(2, "counter", None, text="123 120", **more)])
    assert finding.value("counter-delay").value == pytest.approx(60.0)
    assert "the display (59) is ahead of the source (1), and does not count" in said(finding)
    assert finding.readings == (2,)


def test_a_spread_of_more_than_a_frame_is_doubted():
    readings = [timed(1, 20.0, "10 %"), timed(2, 70.0, "90 %")]
    assert "a frame late" in said(only("delay", readings))
