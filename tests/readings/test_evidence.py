"""What findings get to see of a visit."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from readings.evidence.measured import evidence
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit, VisitError

SIGNAL = {"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}
SHOWN = Shown(
    inks={"level": (940, 940, 940), "background": (64, 64, 64)},
    frame_sha256="ab" * 32,
    facts={"area_percent": 9.9966},
    guard="altered",
    guard_why="the desktop has a gamma ramp",
)


@pytest.fixture
def visit(tmp_path):
    with Visit.create(tmp_path / "wall.visit", display="Lobby wall") as made:
        yield made


def start(visit, condition="before"):
    plan = PlannedRun(
        sequence_title="Windows",
        sequence_text="title: Windows\n",
        sequence_source="windows.yaml",
        condition=condition,
        signal_asked=SIGNAL,
        signal_shown=SIGNAL | {"bits": 8},
        canvas=(1920, 1080),
        refresh_hz=59.94,
        output="window",
    )
    step = PlannedStep(
        label="10 % window",
        kind="window",
        parameters={"area": "10 %"},
        quantity="luminance",
        role="window",
        read_of="the middle",
        variables={"area": "10 %"},
    )
    return visit.start_run(plan, [step, step]).id


def luminance(value):
    return Value(quantity="luminance", raw=str(value), luminance=value)


def test_a_reading_brings_its_step_its_picture_and_its_meter_along(visit):
    specification = Specification(luminance_relative_uncertainty=0.02)
    meter = visit.add_instrument(
        "spot meter 1", kind="typed", role="spot meter", specification=specification
    )
    run = start(visit)
    showing = visit.keep_showing(run, 2, SHOWN).id
    at = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    kept = visit.keep_reading(showing, luminance(612.5), instrument=meter.id, at=at)

    (found,) = evidence(visit)

    assert (found.reading, found.run, found.step) == (kept.id, run, 2)
    assert (found.condition, found.sequence, found.label) == ("before", "Windows", "10 % window")
    assert (found.role, found.kind, found.of) == ("window", "window", "the middle")
    assert found.parameters == found.variables == {"area": "10 %"}
    assert found.inks == {"level": (940, 940, 940), "background": (64, 64, 64)}
    assert found.facts == {"area_percent": 9.9966}
    assert found.signal == SIGNAL | {"bits": 8}
    assert (found.guard, found.guard_why) == ("altered", "the desktop has a gamma ramp")
    assert (found.instrument, found.instrument_name) == (meter.id, "spot meter 1")
    assert found.specification == specification
    assert (found.quantity, found.raw, found.luminance) == ("luminance", "612.5", 612.5)
    assert (found.x, found.y, found.number, found.text) == (None, None, None, None)
    assert found.taken_at == at


def test_a_retake_stands_for_the_reading_that_it_replaces(visit):
    run = start(visit)
    showing = visit.keep_showing(run, 1, SHOWN).id
    slip = visit.keep_reading(showing, luminance(6125.0))
    visit.keep_reading(showing, luminance(612.5), replaces=slip.id)
    assert [found.luminance for found in evidence(visit)] == [612.5]


def test_readings_come_by_run_and_step_however_they_were_taken(visit):
    first, second = start(visit, "off"), start(visit, "on")
    for run, step, value in [(second, 1, 4.0), (first, 2, 3.0), (first, 1, 1.0), (first, 1, 2.0)]:
        visit.keep_reading(visit.keep_showing(run, step, SHOWN).id, luminance(value))
    assert [found.luminance for found in evidence(visit)] == [1.0, 2.0, 3.0, 4.0]
    assert [found.luminance for found in evidence(visit, second)] == [4.0]


def test_what_the_eye_read_has_no_meter_and_no_specification(visit):
    showing = visit.keep_showing(start(visit), 1, SHOWN).id
    visit.keep_reading(showing, luminance(1.0))
    (found,) = evidence(visit)
    assert (found.instrument, found.instrument_name, found.specification) == (None, None, None)


def test_a_visit_without_readings_gives_none(visit):
    assert evidence(visit) == []
    start(visit)
    assert evidence(visit) == []


def test_a_run_that_is_not_there_is_an_error(visit):
    with pytest.raises(VisitError, match="no run 7"):
        evidence(visit, 7)


def test_a_picture_that_stands_over_several_steps_came_on_with_the_first_of_them(visit):
    run = start(visit)
    other = replace(SHOWN, frame_sha256="cd" * 32)
    at = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    for minute, (step, shown) in enumerate([(1, SHOWN), (2, SHOWN), (1, other), (2, SHOWN)]):
        time = at + timedelta(minutes=minute)
        showing = visit.keep_showing(run, step, shown, at=time).id
        visit.keep_reading(showing, luminance(minute), at=time + timedelta(seconds=5))
    found = sorted(evidence(visit), key=lambda reading: reading.taken_at)
    assert [(each.came_on - at).total_seconds() for each in found] == [0, 0, 120, 180]


def test_a_picture_came_on_anew_when_a_run_was_taken_up_again(visit):
    run = start(visit)
    at = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    first = visit.keep_showing(run, 1, SHOWN, at=at).id
    visit.keep_reading(first, luminance(1.0), at=at)
    visit.end_run(run, "left", at=at + timedelta(minutes=1))
    visit.resume_run(run, at=at + timedelta(minutes=30))
    again = visit.keep_showing(run, 2, SHOWN, at=at + timedelta(minutes=31)).id
    visit.keep_reading(again, luminance(2.0), at=at + timedelta(minutes=31))
    assert [(each.came_on - at).total_seconds() for each in evidence(visit)] == [0, 31 * 60]


def test_the_refresh_of_the_run_stands_beside_its_readings(visit):
    visit.keep_reading(visit.keep_showing(start(visit), 1, SHOWN).id, luminance(1.0))
    assert [each.refresh_hz for each in evidence(visit)] == [59.94]
