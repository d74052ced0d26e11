"""White, read again: a display that drifts by a formula, and whites that cannot be compared."""

from datetime import timedelta
from math import exp

import pytest

from patterns.signal.signal import signal_from_parts
from readings.colorimetry.chromaticity import uv_of
from readings.evidence.measured import evidence
from readings.findings import FINDINGS, findings_from, findings_of
from readings.report.summary import verdict_of
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit
from tests.readings.grey_readings import D65, SDR, grey
from tests.readings.made_readings import METER, PQ, START, checked, only

NAME = "white-drift"


def warming(minutes):
    """A display that loses 6 % of 400 cd/m2 with a time constant of 20 min."""
    return 400 * (1 - 0.06 * (1 - exp(-minutes / 20)))


def white(number, minutes, luminance, **changes):
    given = {"role": "white", "label": "White", "taken_at": START + timedelta(minutes=minutes)}
    return grey(number, 940, luminance, **given | changes)


def whites(*minutes, **changes):
    return [white(n, at, warming(at), **changes) for n, at in enumerate(minutes, 1)]


def test_the_change_is_that_of_the_display_from_the_first_white_to_the_last():
    finding = only(NAME, whites(0, 10, 48))
    assert finding.values[0].name == NAME
    assert finding.values[0].value == pytest.approx(-6 * (1 - exp(-48 / 20)))
    assert finding.value("white-drift-minutes").value == 48
    assert finding.readings == (1, 2, 3)
    assert [n.value for n in finding.series[0].column("change")] == pytest.approx(
        [0, *(-6 * (1 - exp(-at / 20)) for at in (10, 48))]
    )


def test_the_gain_of_the_meter_cancels_and_its_repeatability_does_not():
    # two readings of ± 0.4 % (k = 2): ± 0.4 % times the root of 2, in percent of the first
    found = only(NAME, whites(0, 60)).value(NAME)
    assert found.uncertainty == pytest.approx(0.4 * 2**0.5 * warming(60) / 400, rel=0.01)
    unknown = Specification(luminance_relative_uncertainty=0.04, luminance_resolution=0.01)
    found = only(NAME, whites(0, 60, specification=unknown)).value(NAME)
    assert found.uncertainty == pytest.approx(4 * 2**0.5 * warming(60) / 400, rel=0.01)


def test_a_white_that_went_off_and_came_back_is_told_by_its_largest_change():
    finding = only(NAME, [white(1, 0, 100.0), white(2, 5, 92.0), white(3, 9, 100.5)])
    assert finding.value(NAME).value == pytest.approx(0.5)
    largest = finding.value("white-drift-largest")
    assert largest.value == pytest.approx(-8)
    assert largest.where["minutes"] == 5


def test_the_colour_that_moved_is_a_distance_in_uv():
    moved = (0.3155, 0.3290)
    finding = only(NAME, [white(1, 0, 100.0, xy=D65), white(2, 9, 100.0, xy=moved)])
    (u, v), (first_u, first_v) = uv_of(moved), uv_of(D65)
    expected = ((u - first_u) ** 2 + (v - first_v) ** 2) ** 0.5
    assert finding.value("white-drift-uv").value == pytest.approx(expected)
    alone = only(NAME, [white(1, 0, 100.0, xy=None), white(2, 9, 100.0, xy=None)])
    assert alone.value("white-drift-uv") is None


def test_whites_of_other_runs_count_and_the_finding_is_of_the_last_run():
    finding = only(NAME, [white(1, 0, 100.0), white(2, 30, 97.0, run=2)])
    assert finding.value(NAME).value == pytest.approx(-3)
    assert finding.run == 2


def test_a_grey_of_100_percent_is_a_white_whatever_the_depth_of_its_signal():
    eight = SDR | {"bits": 8, "range": "narrow"}
    codes = {"level": (235,) * 3, "background": (16, 16, 16)}
    assert signal_from_parts(eight).quantiser.white == 235
    again = white(2, 20, 99.0, role="grey", signal=eight, inks=codes)
    # the background is another code of the same black
    assert only(NAME, [white(1, 0, 100.0), again]).value(NAME).value == pytest.approx(-1)


@pytest.mark.parametrize(
    "other",
    [
        {"facts": {"area_percent": 100.0}},
        {"facts": {"area_percent": 4.0}},
        {"condition": "local dimming off"},
        {"signal": SDR | {"range": "full"}, "inks": {"level": (1023,) * 3}},
        {"signal": PQ},
        {"instrument_name": "reference"},
        {"inks": {"level": (939,) * 3, "background": (64,) * 3}},
        {"inks": {"level": (940,) * 3, "background": (300,) * 3}},
        {"role": "viewing-angle"},
        {"role": "drift"},
        {"kind": "window", "parameters": {"area": "10 %", "level": "100 %", "place": 1}},
    ],
    ids=" ".join,
)
def test_what_is_no_repeat_of_the_same_white_is_not_compared(other):
    assert findings_from([white(1, 0, 100.0), white(2, 20, 50.0, **other)], [NAME]) == []


def test_a_white_without_a_luminance_is_no_white():
    assert findings_from([white(1, 0, 100.0), white(2, 20, None, xy=None)], [NAME]) == []


def test_two_areas_are_two_findings():
    full = {"facts": {"area_percent": 100.0}, "kind": "field", "parameters": {}}
    found = findings_from(
        [
            white(1, 0, 100.0),
            white(2, 1, 90.0, **full),
            white(3, 20, 99.0),
            white(4, 21, 85.5, **full),
        ],
        [NAME],
    )
    assert [each.value(NAME).value for each in found] == pytest.approx([-1, -5])
    assert ["10 %" in each.title for each in found] == [True, False]


@pytest.mark.parametrize(("last", "verdict"), [(99.0, "good"), (97.0, "bad"), (98.0, "unsure")])
def test_2_percent_is_the_limit_of_our_own(last, verdict):
    finding = only(NAME, [white(1, 0, 100.0), white(2, 30, last)])
    (limit,) = FINDINGS[NAME].limits
    assert limit.limit == 2
    assert verdict_of(finding.value(NAME), limit) == verdict


def test_absurd_whites_are_told_without_a_number_that_is_none():
    checked([white(1, 0, 0.0), white(2, 9, 100.0)], [NAME])
    checked([white(1, 0, 100.0), white(2, 9, 0.0)], [NAME])
    checked([white(1, 0, 100.0, specification=None), white(2, 9, 99.0, specification=None)], [NAME])
    checked([white(1, 0, 1e-9, xy=(0.9, 0.9)), white(2, 9, 1e30)], [NAME])
    checked([white(1, 9, 100.0), white(2, 9, 99.0), white(3, 9, 98.0)], [NAME])


def run_of_white(visit, luminance, meter):
    plan = PlannedRun(
        sequence_title="White",
        sequence_text="title: White\n",
        sequence_source="white.yaml",
        condition="after",
        signal_asked=SDR,
        signal_shown=SDR,
        canvas=(1920, 1080),
        refresh_hz=60.0,
        output="window",
    )
    step = PlannedStep(
        label="White",
        kind="window",
        parameters={"area": "10 %"},
        quantity="luminance",
        role="white",
    )
    run = visit.start_run(plan, [step])
    inks = {"level": (940,) * 3, "background": (64,) * 3}
    facts = {"area_percent": 10.0}
    shown = Shown(inks=inks, frame_sha256="ab" * 32, facts=facts, guard="verified")
    showing = visit.keep_showing(run.id, 1, shown)
    value = Value(quantity="luminance", raw=str(luminance), luminance=luminance)
    visit.keep_reading(showing.id, value, instrument=meter)
    visit.end_run(run.id, "finished")
    return run.id


def test_a_run_that_was_set_aside_does_not_count(tmp_path):
    with Visit.create(tmp_path / "wall.visit", display="lobby wall") as visit:
        meter = visit.add_instrument(
            "spot meter", kind="typed", role="spot meter", specification=METER
        ).id
        for luminance in (400.0, 150.0, 392.0):
            run_of_white(visit, luminance, meter)
        (finding,) = findings_of(visit, [NAME])
        assert finding.value("white-drift-largest").value == pytest.approx(-62.5)
        visit.state("counted", "no", run=2)
        assert {each.run for each in evidence(visit)} == {1, 3}
        (finding,) = findings_of(visit, [NAME])
        assert finding.value(NAME).value == pytest.approx(-2)
        assert finding.value("white-drift-largest") is None
