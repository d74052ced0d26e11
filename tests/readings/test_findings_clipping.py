"""Clipping: ladders by eye, channel by channel, and the meter's clip beside them."""

import numpy as np
import pytest

import sequences
from patterns.picture.canvas import Canvas
from patterns.signal.signal import signal_from_parts
from readings.findings import findings_from
from tests.readings.grey_readings import SDR, counted, greys
from tests.readings.made_readings import PQ, said

CURVE = signal_from_parts(PQ).transfer


def ladder(number, count, codes, channel="white", **changes):
    lit = {"white": (1, 1, 1), "red": (1, 0, 0), "cyan": (0, 1, 1)}[channel]
    patches = [tuple(code if on else 64 for on in lit) for code in codes]
    role = "highlights" if channel == "white" else f"highlights-{channel}"
    given = {"signal": PQ, "kind": "highlights", "label": f"Ladder {number}"}
    return counted(number, role, count, patches, **(given | changes))


def only(readings):
    (finding,) = findings_from(readings, ["clipping"])
    return finding


def codes_of(finding, name):
    return [v.where["codes"] for v in finding.values if v.name == name]


LOW = range(600, 750, 10)
HIGH = range(700, 850, 10)


def test_the_last_patch_told_apart_and_the_next_are_levels():
    found = only([ladder(1, 8, LOW)])
    told, missed = found.values[:2]
    assert (told.name, told.bound, told.where["codes"]) == ("told-apart", "lower", [670] * 3)
    assert (missed.name, missed.bound, missed.where["codes"]) == (
        "not-told-apart",
        "upper",
        [680] * 3,
    )
    # code 670 of PQ in 10-bit narrow range is 577 cd/m2
    expected = float(CURVE.decode(np.full(3, (670 / 4 - 16) / 219))[0])
    assert told.value == pytest.approx(expected, rel=0.01)
    assert told.value <= expected
    assert told.unit == "cd/m2"


def test_two_ladders_narrow_each_other_down():
    found = only([ladder(1, 15, LOW), ladder(2, 3, HIGH)])
    assert codes_of(found, "told-apart") == [[740] * 3]
    assert codes_of(found, "not-told-apart") == [[730] * 3]
    assert "disagree" in said(found)
    agreed = only([ladder(1, 15, LOW), ladder(2, 6, HIGH)])
    assert codes_of(agreed, "told-apart") == [[750] * 3]
    assert codes_of(agreed, "not-told-apart") == [[760] * 3]
    assert "disagree" not in said(agreed)
    assert len(codes_of(agreed, "ladder-told-apart")) == 2


def test_every_channel_has_levels_of_its_own_on_one_scale():
    found = only([ladder(1, 8, LOW), ladder(2, 5, LOW, "red"), ladder(3, 0, LOW, "cyan")])
    told = {v.where["channel"]: v.where["codes"] for v in found.values if v.name == "told-apart"}
    assert told == {"white": [670] * 3, "red": [640, 64, 64]}
    missed = {v.where["channel"]: v for v in found.values if v.name == "not-told-apart"}
    assert missed["cyan"].where["codes"] == [64, 600, 600]
    red, white = (
        only([ladder(1, 5, LOW, channel)]).values[0].value for channel in ("red", "white")
    )
    assert red == white


def test_a_ladder_that_shows_all_its_patches_is_clipped_nowhere_on_it():
    found = only([ladder(1, 15, LOW)])
    assert found.value("not-told-apart") is None
    assert "All patches in white stand out" in said(found)


def test_the_meters_clip_stands_beside_it_where_a_tone_curve_was_read():
    def light(value):
        return min(float(CURVE.decode(np.full(3, value))[0]), 600.0)

    curve = greys(light, range(500, 760, 20), signal=PQ, run=2, start=40)
    found = only([ladder(1, 8, LOW), *curve])
    assert codes_of(found, "clips-above") == [[660] * 3]
    assert codes_of(found, "clips-below") == [[680] * 3]
    assert set(range(40, 53)) <= set(found.readings)
    assert "above where the meter" not in said(found)
    odd = only([ladder(1, 13, LOW), *curve])
    assert "above where the meter sees no more rise" in said(odd)


def test_the_meters_clip_of_another_condition_stays_out():
    curve = greys(lambda _: 600.0, range(500, 760, 20), signal=PQ, run=2, start=40,
                  condition="before")  # fmt: skip
    assert codes_of(only([ladder(1, 8, LOW), *curve]), "clips-below") == []


def test_sdr_ladders_are_in_percent():
    found = only([ladder(1, 8, LOW, signal=SDR)])
    assert found.values[0].written() == "at least 69.1 %"  # (670 / 4 - 16) / 219


def test_a_look_is_no_count():
    look = ladder(1, 8, LOW, quantity="choice", text="neutral")
    assert findings_from([look], ["clipping"]) == []


def test_the_shipped_ladders_name_their_patches_as_the_finding_reads_them():
    sequence = sequences.load("highlights")
    steps = [step for step in sequence.steps if step.read and step.read.quantity == "count"]
    readings = []
    for step in steps:
        frame = step.pattern.frame(Canvas(1920, 1080), sequence.signal)
        readings.append(
            counted(step.number, step.role, 4, [], label=step.label, signal=PQ, inks=frame.inks)
        )
    found = only(readings)
    channels = [v.where["channel"] for v in found.values if v.name == "told-apart"]
    assert channels == ["white", "red", "green", "blue", "cyan", "magenta", "yellow"]
    assert found.value("ladder-told-apart").value == pytest.approx(400, abs=4)
