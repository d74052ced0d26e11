"""Adjusting, as a finding: errors as found and as left, controls, and what cannot be told."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from patterns.aim import Aim
from patterns.control import Control
from patterns.signal.signal import signal_from_parts
from readings.adjusting.goal import Goal, greys
from readings.colorimetry.chromaticity import xy_of, xyz_of
from readings.evidence.correction.applied import AsRead, Light
from readings.evidence.measured import Adjusting, NoticedControl, Turned
from readings.findings import findings_from, findings_of
from readings.report.pictures import Labelled, pictures_of
from readings.report.write import write_report
from readings.visit.records import Adjustment, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit
from tests.readings.grey_readings import SDR
from tests.readings.made_readings import METER, PQ, START, checked, found, made, only, said
from tests.readings.test_visit_damage import PLAN

CONTROLS = (
    Control("Red gain", "gain", "red", None, -50, 50, 1, 4),
    Control("Green gain", "gain", "green", None, -50, 50, 1, 0),
    Control("Blue gain", "gain", "blue", None, -50, 50, 0.5, -2),
)
LEVELS = (0, 20, 50, 80, 100)
FOUND, LEFT = (1.12, 1.0, 0.88), (1.0, 1.0, 1.0)


def at(seconds):
    return START + timedelta(seconds=seconds)


def light(level, gains, signal=SDR, black=0.05):
    """XYZ in cd/m2 of a display by formula: a power law of 2.4 of white 100 cd/m2, above black."""
    primaries = signal_from_parts(signal).primaries
    share = (level / 100) ** 2.4
    return primaries.matrix @ (100 * share * np.array(gains) + black)


def read(number, level, xyz, **changes):
    """One reading of a grey while the display is adjusted, ten seconds after the one before."""
    signal = signal_from_parts(changes.get("signal", SDR))
    top, bottom = signal.quantiser.white, signal.quantiser.black
    code = round(bottom + level / 100 * (top - bottom))
    x, y = xy_of(np.asarray(xyz))
    given = {
        "step": 1,
        "label": "Two-point controls",
        "role": "adjusting",
        "kind": "window",
        "quantity": "colour",
        "inks": {"level": (code,) * 3, "background": (bottom,) * 3},
        "facts": {"area_percent": 10.0, "changed": {"level": f"{level} %"}},
        "signal": SDR,
        "luminance": float(xyz[1]),
        "x": float(x),
        "y": float(y),
        "raw": "read",
    }
    return made(number, **given | changes)


def end(why, seconds=400, text=""):
    return Adjustment(
        id=1, run=1, step=1, why=why, largest=None, spread=None, text=text, at=at(seconds)
    )


def turn(control, value, seconds, **changes):
    given = {"event": "turned", "advised": value, "value": value, "why": "", "at": at(seconds)}
    return Turned(control, **given | changes)


TURNS = (turn(0, -6, 55), turn(2, 2, 56), turn(2, 1.5, 58))
"""After five readings and before the next."""
DONE = Adjusting(CONTROLS, TURNS, (end("reached"),))


def adjusted(before=FOUND, after=LEFT, adjusting=DONE, **changes):
    """All levels read as found, then turns, then all levels as left."""
    first = [read(n, level, light(level, before)) for n, level in enumerate(LEVELS, 1)]
    later = [read(n, level, light(level, after)) for n, level in enumerate(LEVELS, 6)]
    return [replace(each, adjusting=adjusting, **changes) for each in first + later]


def value(finding, name):
    got = finding.value(name)
    assert got is not None, name
    return got


def test_errors_are_those_of_the_goal_as_found_and_as_left():
    finding = only("adjustment", adjusted())
    signal = signal_from_parts(SDR)
    goal = Goal.of(greys(LEVELS), signal, light(100, FOUND), light(0, FOUND))
    before = [goal.error(n, light(level, FOUND)) for n, level in enumerate(LEVELS)]
    after = [goal.error(n, light(level, LEFT)) for n, level in enumerate(LEVELS)]
    assert value(finding, "adjusted-largest-before").value == pytest.approx(max(before), abs=0.1)
    assert value(finding, "adjusted-largest").value == pytest.approx(max(after), abs=0.1)
    assert value(finding, "adjusted-average-before").value == pytest.approx(
        float(np.mean(before)), abs=0.1
    )
    assert max(before) > 4
    change = value(finding, "adjusted-average-change")
    assert change.reach[1] < 0
    assert finding.judgement.verdict == "open"
    assert finding.judgement.sentence == (
        "Adjusted: Two-point controls: errors are smaller than they were, as seen by the spot meter"
    )


def test_each_control_stands_as_found_and_as_left_with_its_clicks():
    finding = only("adjustment", adjusted())
    series = next(each for each in finding.series if each.name == "controls")
    rows = {row.label: [number.value for number in row.numbers] for row in series.rows}
    assert rows == {
        "Red gain": [4, -6, -10, 1],
        "Green gain": [0, 0, 0, 0],
        "Blue gain": [-2, 1.5, 7, 2],
    }


def test_minutes_changes_and_readings_are_counted_and_pauses_are_not():
    finding = only("adjustment", adjusted())
    counts = ("adjusting-changes", "adjusting-controls", "adjusting-readings")
    assert [value(finding, name).value for name in counts] == [3, 2, 10]
    assert value(finding, "adjusting-minutes").value == pytest.approx(390 / 60)
    late = replace(DONE, ends=(end("reached", 400 + 3600),))
    paused = only("adjustment", adjusted(adjusting=late))
    assert value(paused, "adjusting-minutes").value == pytest.approx(90 / 60)


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        ((), "It was not ended."),
        ((end("nothing left"),), "It ended because no control was known to help any more."),
        ((end("ended by hand", text="lunch."),), "ended by hand (lunch)."),
        ((end("reached"), end("gone on")), "gone on with, and not ended since."),
        ((end("gone on"), end("within the meter")), "less than the meter can tell."),
        ((end("not worth the time"),), "not worth the time it would have taken."),
    ],
)
def test_why_it_ended_is_told(ends, told):
    finding = only("adjustment", adjusted(adjusting=replace(DONE, ends=ends)))
    assert finding.method.endswith(told)
    assert told.rstrip(".").split("because ")[-1].split("It ")[-1] in str(finding.judgement.answers)


def test_where_nothing_was_reached_it_says_that_it_cannot_be_told():
    finding = only("adjustment", adjusted(after=FOUND))
    assert finding.judgement.verdict == "unsure"
    assert finding.judgement.sentence.endswith("smaller than they were cannot be told")
    assert "The largest error is not smaller than as found by more than the" in said(finding)
    assert "The mean error is not smaller than as found by more than the" in said(finding)


def test_where_it_got_worse_it_says_so():
    finding = only("adjustment", adjusted(before=(1.02, 1.0, 0.99), after=(1.3, 1.0, 0.8)))
    assert finding.judgement.verdict == "bad"
    assert "The largest error is larger than as found." in said(finding)
    change = value(finding, "adjusted-largest-change")
    assert change.reach[0] > 0
    assert "errors are larger than they were found" in finding.judgement.sentence


def test_only_one_level_read_is_told_and_nothing_is_claimed_of_others():
    few = [each for each in adjusted() if each.facts["changed"]["level"] == "100 %"]
    finding = only("adjustment", few)
    assert "Only 100 % was read; nothing is known of other levels." in said(finding)
    assert "No black was read" in said(finding)
    assert value(finding, "adjusted-largest").count == 1


def test_levels_read_once_are_not_compared_and_named():
    readings = adjusted()
    finding = only("adjustment", [each for each in readings if each.reading != 8])
    assert "Read only once, so not compared: 50 %." in said(finding)
    assert value(finding, "adjusted-largest").count == 4


def test_what_was_first_read_late_or_not_read_again_is_named():
    readings = adjusted()
    turned = (*TURNS, turn(1, 1, 95))
    moved = [replace(each, adjusting=replace(DONE, turned=turned)) for each in readings]
    late = [replace(r, taken_at=at(57)) if r.reading == 4 else r for r in moved]
    finding = only("adjustment", late)
    assert "First read after something had been turned: 80 %." in said(finding)
    assert "Not read again after the last turn: " in said(finding)
    assert "20 %" in said(finding)


def test_nothing_read_twice_gives_the_controls_and_says_so():
    finding = only("adjustment", adjusted()[:5])
    assert value(finding, "adjusted-largest").value is None
    assert "No level was read both before and after" in said(finding)
    assert [each.name for each in finding.series] == ["controls"]
    assert finding.judgement.verdict == "unsure"


def test_a_step_without_controls_or_turns_says_that_nothing_was_turned():
    bare = adjusted(adjusting=Adjusting(CONTROLS, (), ()))
    assert "Nothing was turned." in said(only("adjustment", bare))
    assert only("adjustment", bare).judgement.sentence.endswith("nothing was turned")
    without = adjusted(adjusting=None)
    assert only("adjustment", without).method.endswith("It was not ended.")


def test_a_control_that_was_left_out_is_named_with_its_reason_unless_taken_in_again():
    out = turn(1, None, 57, event="left out", advised=2.0, why="no effect seen at 70 %.")
    back = turn(1, None, 58, event="taken in", advised=None)
    told = only("adjustment", adjusted(adjusting=replace(DONE, turned=(*TURNS, out))))
    assert "Green gain was left out: no effect seen at 70 %." in said(told)
    again = only("adjustment", adjusted(adjusting=replace(DONE, turned=(*TURNS, out, back))))
    assert "left out" not in said(again)


def test_what_was_found_out_about_a_control_stands_with_it_and_is_told():
    noticed = (
        NoticedControl(1, "no effect seen", "70 %"),
        NoticedControl(0, "reversed", None),
        NoticedControl(0, "at its ceiling", "100 %"),
    )
    finding = only("adjustment", adjusted(adjusting=replace(DONE, noticed=noticed)))
    assert "No effect of Green gain was seen at 70 %." in finding.warnings
    assert "Red gain goes the other way: more of it is less light." in finding.warnings
    assert "Red gain gives no more light at 100 %: it is at its ceiling." in finding.warnings
    (series,) = [each for each in finding.settled()["series"] if each["name"] == "controls"]
    assert [row["where"].get("noticed") for row in series["rows"]] == [
        [{"what": "reversed", "point": None}, {"what": "at its ceiling", "point": "100 %"}],
        [{"what": "no effect seen", "point": "70 %"}],
        None,
    ]


def test_a_meter_of_which_nothing_is_promised_leaves_it_open():
    finding = only("adjustment", adjusted(specification=Specification()))
    assert "not known" in said(finding)
    assert finding.judgement.verdict == "unsure"
    assert value(finding, "adjusted-largest").reach is None


def test_what_one_meter_errs_by_alike_is_in_no_interval_of_what_it_read():
    poor = replace(METER, chromaticity_uncertainty=0.02, luminance_relative_uncertainty=0.1)
    for name in ("adjusted-largest", "adjusted-average"):
        low, high = value(only("adjustment", adjusted()), name).reach
        wide = value(only("adjustment", adjusted(specification=poor)), name).reach
        assert wide[1] - wide[0] < 1.2 * (high - low)


def test_what_a_meter_errs_by_otherwise_in_a_colour_farther_off_is_in_the_interval():
    low, high = value(only("adjustment", adjusted()), "adjusted-largest-before").reach
    poor = replace(METER, chromaticity_uncertainty=0.02)
    finding = only("adjustment", adjusted(specification=poor))
    wide = value(finding, "adjusted-largest-before").reach
    assert 1.5 * (high - low) < wide[1] - wide[0] < 4 * (high - low)
    assert value(finding, "adjusted-largest-change").reach[1] < 0


def test_how_a_meter_repeats_is_in_the_interval():
    low, high = value(only("adjustment", adjusted()), "adjusted-largest").reach
    poor = replace(METER, chromaticity_repeatability=0.004)
    wide = value(only("adjustment", adjusted(specification=poor)), "adjusted-largest").reach
    assert wide[1] - wide[0] > 2 * (high - low)


def test_what_two_meters_err_by_does_not_cancel():
    other = {"instrument": 2, "instrument_name": "other meter"}
    readings = adjusted()
    mixed = readings[:5] + [replace(each, **other) for each in readings[5:]]
    finding = only("adjustment", mixed)
    assert "As found and as left were not read with one meter" in said(finding)
    assert "as read" not in value(finding, "adjusted-largest").label
    assert "as seen by" not in finding.judgement.sentence
    low, high = value(only("adjustment", readings), "adjusted-largest").reach
    wide = value(finding, "adjusted-largest").reach
    assert wide[1] - wide[0] > 3 * (high - low)


def test_a_meter_of_which_only_the_repeatability_is_stated_tells_what_changed():
    bare = replace(METER, chromaticity_uncertainty=None, luminance_relative_uncertainty=None)
    finding = only("adjustment", adjusted(specification=bare))
    assert value(finding, "adjusted-average-change").reach[1] < 0
    assert "errors are smaller than they were" in finding.judgement.sentence


def test_the_largest_is_held_against_the_largest_whichever_level_it_is_of():
    """Where what the largest may be as found and as left lies apart, a change is told as sure."""
    before, after = (1.06, 1.0, 0.97), (1.0, 1.0, 0.995)
    finding = only("adjustment", adjusted(before=before, after=after))
    low, _ = value(finding, "adjusted-largest-before").reach
    _, high = value(finding, "adjusted-largest").reach
    assert high < low
    assert value(finding, "adjusted-largest-change").reach[1] < 0
    series = next(each for each in finding.series if each.name == "adjusted")
    for name, column in (("adjusted-largest-before", "before"), ("adjusted-largest", "after")):
        ends = [each.reach for each in series.column(column) if each.reach]
        reach = value(finding, name).reach
        assert reach == (max(low for low, _ in ends), max(high for _, high in ends))


OFF = np.array([0.003, -0.002])
"""By how much the meter reads x and y too high."""


def neutral_to_a_meter_that_is_off(**changes):
    """As left, all levels are what that meter reads as they are wanted; the truth is not."""
    readings = adjusted()
    signal, ends = signal_from_parts(SDR), [light(level, FOUND) for level in (100, 0)]
    seen = [xyz_of(each[1], xy_of(each) + OFF) for each in ends]
    shown = [100 * (each.inks["level"][0] - 64) / 876 for each in readings[5:]]
    wanted = Goal.of(greys(shown), signal, *seen).xyz
    true = [xyz_of(each[1], xy_of(each) - OFF) for each in wanted]
    goal = Goal.of(greys(shown), signal, *ends)
    largest = max(goal.error(n, each) for n, each in enumerate(true))
    first = [
        replace(each, x=each.x + OFF[0], y=each.y + OFF[1], **changes) for each in readings[:5]
    ]
    later = [
        replace(
            each,
            luminance=float(xyz[1]),
            **dict(zip("xy", map(float, xy_of(xyz)), strict=True)),
            **changes,
        )
        for each, xyz in zip(readings[5:], wanted, strict=True)
    ]
    return only("adjustment", first + later), largest


def test_what_is_neutral_to_a_meter_that_is_off_is_not_praised_as_neutral():
    finding, largest = neutral_to_a_meter_that_is_off()
    assert largest > 3
    assert value(finding, "adjusted-largest").value < 0.5
    low, high = value(finding, "adjusted-truth").reach
    assert low <= largest <= high
    off = value(finding, "adjusted-meter")
    assert (off.value, off.bound) == (0.006, "upper")
    assert off.where == {"stated_by": "specification"}
    assert finding.judgement.verdict != "good"
    assert finding.judgement.sentence.endswith("as seen by the spot meter")
    (told,) = [each for each in finding.judgement.answers if each.startswith("Adjusted to")]
    assert "the spot meter, whose x and y may be off by 0.006" in told
    assert told.endswith(f"in truth the largest error as left is at most {high:.1f}")


def test_of_a_meter_whose_colour_is_not_stated_it_says_so_and_what_to_do():
    bare = replace(METER, chromaticity_uncertainty=None)
    finding, _ = neutral_to_a_meter_that_is_off(specification=bare)
    assert finding.value("adjusted-meter") is None
    assert value(finding, "adjusted-truth").reach is None
    (told,) = [each for each in finding.judgement.answers if each.startswith("Adjusted to")]
    assert "by how much its x and y are off is not stated" in told
    assert told.endswith("Correct it against a reference")
    assert told in said(finding)


def test_of_a_corrected_meter_what_the_correction_leaves_is_told():
    corrected = AsRead(
        correction=3, reference="reference", light=Light(1.0, 0.31, 0.33), specification=METER
    )
    known = replace(METER, chromaticity_uncertainty=0.0021)
    finding = only("adjustment", adjusted(specification=known, as_read=corrected))
    off = value(finding, "adjusted-meter")
    assert (off.value, off.where) == (0.0021, {"stated_by": "correction", "correction": 3})
    told = " ".join(finding.judgement.answers)
    assert "the spot meter, corrected to the reference, whose x and y may be off by 0.0021" in told


def test_of_several_meters_nothing_is_said_of_one():
    readings = adjusted()
    other = [replace(each, instrument=2, instrument_name="other") for each in readings[5:]]
    finding = only("adjustment", readings[:5] + other)
    assert finding.value("adjusted-meter") is None
    assert not any("Adjusted to" in each for each in finding.judgement.answers)
    assert value(finding, "adjusted-truth").reach == value(finding, "adjusted-largest").reach


def test_a_white_that_was_stated_is_what_white_is_held_against():
    plain, stated = (
        only("adjustment", adjusted(aim=aim)) for aim in (Aim(), Aim("bt1886", white=150.0))
    )
    assert value(stated, "adjusted-largest").value > value(plain, "adjusted-largest").value + 5
    assert stated.aimed.aim.white == 150.0


def test_pq_is_told_in_delta_e_itp_and_what_the_display_cannot_reach_is_left_out():
    signal = signal_from_parts(PQ)

    def seen(level, gains):
        peak = np.minimum(float(signal.transfer.decode(np.array(level / 100))), 300.0)
        return signal.primaries.matrix @ (peak * np.array(gains))

    levels = (0, 30, 50, 60, 70)
    readings = [
        replace(read(n, level, seen(level, gains) + 1e-3, signal=PQ), adjusting=DONE)
        for n, (gains, level) in enumerate(
            ((gains, level) for gains in (FOUND, LEFT) for level in levels), 1
        )
    ]
    finding = only("adjustment", readings)
    assert value(finding, "adjusted-largest").label.startswith(
        "Delta E ITP as read, largest, as left"
    )
    assert "Brighter than the display can be, so without a target: " in said(finding)
    assert "70 %" in said(finding)


def test_two_steps_of_a_run_are_two_findings():
    first = adjusted()
    second = [
        replace(each, reading=each.reading + 20, step=2, label="Multi-point controls")
        for each in first
    ]
    titles = [each.title for each in found("adjustment", first + second)]
    assert titles == ["Adjusted: Two-point controls", "Adjusted: Multi-point controls"]


def test_no_other_finding_reads_what_was_read_on_the_way():
    assert {each.name for each in findings_from(adjusted())} == {"adjustment"}


def test_it_keeps_to_what_every_finding_keeps_to():
    for readings in (
        adjusted(),
        adjusted(after=FOUND),
        adjusted(specification=Specification()),
        adjusted(specification=None, instrument=None, instrument_name=None),
        adjusted()[:5],
        adjusted()[:1],
        adjusted(x=None, y=None),
        adjusted(luminance=0.0),
        adjusted(luminance=1e9),
        adjusted(signal={"transfer": "none"}),
        adjusted(inks={}),
        adjusted(adjusting=None),
    ):
        checked(readings, ["adjustment"])


def test_a_perfect_meter_of_a_display_as_wanted_reads_no_error_after():
    readings = adjusted()
    signal, ends = signal_from_parts(SDR), (light(100, FOUND), light(0, FOUND))
    shown = [100 * (each.inks["level"][0] - 64) / 876 for each in readings[5:]]
    wanted = Goal.of(greys(shown), signal, *ends).xyz
    after = [
        replace(each, luminance=float(xyz[1]), x=float(xy_of(xyz)[0]), y=float(xy_of(xyz)[1]))
        for each, xyz in zip(readings[5:], wanted, strict=True)
    ]
    found = value(only("adjustment", readings[:5] + after), "adjusted-average")
    assert found.value == pytest.approx(0, abs=0.01)
    assert found.reach[0] == 0


def test_errors_as_found_and_as_left_are_drawn_level_by_level():
    labelled = [Labelled("run 1", only("adjustment", adjusted()))]
    pictures, undrawn = pictures_of(labelled)
    assert undrawn == []
    (picture,) = [each for each in pictures if each.name == "adjustment"]
    assert "as found" in picture.svg
    assert "as left in truth" in picture.svg
    assert "Grey bars" in picture.says
    assert "80 %" in picture.svg


def test_no_truth_is_drawn_where_the_meters_errors_are_not_known():
    bare = replace(METER, chromaticity_uncertainty=None)
    (picture,), _ = pictures_of([Labelled("", only("adjustment", adjusted(specification=bare)))])
    assert "in truth" not in picture.svg
    assert "Grey bars" not in picture.says


def test_panels_of_two_steps_of_a_run_say_of_which_step_they_are():
    second = [
        replace(each, reading=each.reading + 20, step=2, label="Multi-point controls")
        for each in adjusted()
    ]
    both = found("adjustment", adjusted() + second)
    (picture,), _ = pictures_of(
        [Labelled("run 1: as left, local dimming off", each) for each in both]
    )
    assert "Adjusted: Two-point controls, run 1" in picture.svg
    assert "Adjusted: Multi-point controls, run 1" in picture.svg


def test_a_visit_gives_its_controls_turns_and_ends_to_the_finding_and_the_report(tmp_path):
    step = PlannedStep(
        label="Gains",
        kind="window",
        parameters={"area": "10 %"},
        quantity="colour",
        role="adjusting",
    )
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display="lobby wall", at=START) as visit:
        run = visit.start_run(replace(PLAN, signal_shown=SDR), [step], at=START).id
        kept = visit.keep_controls(run, 1, CONTROLS, at=START)
        meter = visit.add_instrument(
            "spot meter", kind="typed", role="spot meter", specification=METER
        )
        for each in adjusted():
            if each.reading == 6:
                for one in TURNS:
                    visit.keep_turn(kept[one.control].id, value=one.value, at=one.at)
            shown = Shown(
                inks=each.inks, frame_sha256="ab" * 32, facts=each.facts, guard="verified"
            )
            showing = visit.keep_showing(run, 1, shown, at=each.taken_at).id
            given = Value(quantity="colour", raw="x", luminance=each.luminance, x=each.x, y=each.y)
            visit.keep_reading(showing, given, instrument=meter.id, at=each.taken_at)
        visit.keep_noticing(kept[2].id, "dead zone", point="20 %")
        visit.end_adjustment(run, 1, "nothing left", text="as told", at=at(200))
    with Visit.open(path, write=False) as visit:
        (finding,) = findings_of(visit, ["adjustment"])
    assert finding.method.endswith("no control was known to help any more (as told).")
    assert "Blue gain does nothing about where it stands at 20 %." in finding.warnings
    same = value(only("adjustment", adjusted()), "adjusted-largest-before").value
    assert value(finding, "adjusted-largest-before").value == pytest.approx(same)
    write_report([path], tmp_path / "report")
    page = (tmp_path / "report" / "report.html").read_text("utf-8")
    assert "Controls, as found and as left" in page
    assert "Errors as found and as left" in page
    assert "Why it ended: no control was known to help any more (as told)" in page


def test_a_corrected_meter_is_told_and_its_corrected_readings_are_what_is_compared():
    before = AsRead(1, "reference", Light(90.0, 0.32, 0.33), METER, (), (1.0,) * 9)
    plain, corrected = only("adjustment", adjusted()), only("adjustment", adjusted(as_read=before))
    assert "All readings are those of the spot meter, corrected to the reference" in (
        corrected.method
    )
    same = value(plain, "adjusted-largest").value
    assert value(corrected, "adjusted-largest").value == pytest.approx(same)
