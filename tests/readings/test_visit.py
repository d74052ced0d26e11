# ruff: noqa: S608 (tables and columns of our own)
"""What a visit keeps, it gives back; what it has kept, it never changes."""

from __future__ import annotations

import math
import sqlite3
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from patterns.aim import Aim
from patterns.control import Control
from readings.visit.records import (
    About,
    PlannedRun,
    PlannedStep,
    Shown,
    Specification,
    Statement,
    Value,
    text_sha256,
)
from readings.visit.schema import TABLES
from readings.visit.visit import Visit, VisitError

NOON = datetime(2031, 5, 4, 12, 0, 0, 123456, tzinfo=UTC)
TEXT = "title: Lobby wall\nsteps: []\n"
SHOWN = Shown(
    inks={"field": (502, 502, 502), "window": (1023, 0, 4)},
    frame_sha256="ab" * 32,
    facts={"area": 0.0999, "MaxCLL": None, "clipped": ["window"]},
    guard="altered",
    guard_why="a night light is on",
)
STEPS = [
    PlannedStep(
        label="1 % window",
        role="window",
        kind="window",
        parameters={"level": "10000 cd/m2", "area": "1 %"},
        quantity="luminance",
        read_of="the window",
        settle_s=5.0,
        variables={"area": "1 %"},
    ),
    PlannedStep(label="rest", kind="field", parameters={"level": "0 %"}, quantity=None),
    PlannedStep(label="zones", kind="moving-box", parameters={}, quantity="count"),
]
ADJUST = PlannedStep(
    label="ten points", kind="window", parameters={}, quantity="colour", role="adjusting"
)
RED_GAIN = Control("Red gain", "gain", "red", None, -50, 50, 1, 0)


def plan(condition: str = "local dimming off", text: str = TEXT) -> PlannedRun:
    return PlannedRun(
        sequence_title="Lobby wall",
        sequence_text=text,
        sequence_source="lobby.yaml",
        condition=condition,
        signal_asked={"transfer": "pq", "bits": 10},
        signal_shown={"transfer": "pq", "bits": 8},
        canvas=(3840, 2160),
        refresh_hz=59.94,
        output="window",
        guards={"night light": "off"},
        overrides={"size": "3840x2160"},
    )


def luminance(value: float, raw: str = "") -> Value:
    return Value(quantity="luminance", raw=raw or str(value), luminance=value)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "lobby wall #1.visit"


@pytest.fixture
def visit(path: Path) -> Any:
    with Visit.create(path, display="lobby wall", settings="cinema", place="harbour") as made:
        yield made


@pytest.fixture
def showing(visit: Visit) -> int:
    return visit.keep_showing(visit.start_run(plan(), STEPS).id, 1, SHOWN).id


def test_a_visit_gives_back_the_display_its_settings_and_the_place(path: Path) -> None:
    made = NOON.astimezone(timezone(timedelta(hours=-7)))
    Visit.create(path, display="Wand ☼", settings="", place="quay 3", at=made).close()
    with Visit.open(path, write=False) as visit:
        expected = About(display="Wand ☼", settings="", place="quay 3", created_at=NOON)
        assert visit.about() == expected
        assert visit.about().created_at.tzinfo == UTC


def test_a_run_gives_back_its_plan_and_its_steps(visit: Visit, path: Path) -> None:
    run = visit.start_run(plan(), STEPS, at=NOON)
    with Visit.open(path, write=False) as reader:
        assert reader.runs() == [run]
        steps = reader.steps(run.id)
    for name in PlannedRun.__dataclass_fields__:
        assert getattr(run, name) == getattr(plan(), name)
    assert (run.id, run.step_count, run.started_at) == (1, 3, NOON)
    # sha256sum of the two lines, made outside
    assert run.sequence_sha256 == "ad0c4605a15de8546324512dece8ca71ad12845fd38805414492cff5e849015b"
    assert (run.ended, run.ended_at) == (None, None)
    assert [(step.run, step.number) for step in steps] == [(1, 1), (1, 2), (1, 3)]
    for step, planned in zip(steps, STEPS, strict=True):
        for name in PlannedStep.__dataclass_fields__:
            assert getattr(step, name) == getattr(planned, name)


def test_a_showing_gives_back_its_codes_hash_facts_and_guard(visit: Visit) -> None:
    run = visit.start_run(plan(), STEPS)
    kept = visit.keep_showing(run.id, 2, SHOWN, at=NOON)
    assert visit.showings(run.id) == [kept]
    assert (kept.run, kept.step, kept.shown_at) == (1, 2, NOON)
    assert kept.inks == {"field": (502, 502, 502), "window": (1023, 0, 4)}
    assert kept.facts == {"area": 0.0999, "MaxCLL": None, "clipped": ["window"]}
    assert kept.frame_sha256 == "ab" * 32
    assert (kept.guard, kept.guard_why) == ("altered", "a night light is on")


@pytest.mark.parametrize(
    "value",
    [
        Value(quantity="luminance", raw=" 0,0031 ", luminance=0.0031),
        Value(quantity="luminance", raw="-0.0002", luminance=-0.0002),
        Value(quantity="colour", raw="100 .3127 .3290", luminance=100.0, x=0.3127, y=0.329),
        Value(quantity="colour", raw="0 0 0", luminance=0.0, tristimulus=(0.0, 0.0, 0.0)),
        Value(quantity="count", raw="24", number=24.0),
        Value(quantity="milliseconds", raw="16.7", number=16.7),
        Value(quantity="choice", raw="b", text="just visible"),
        Value(quantity="text", raw="=1+1\x00\r\n☼", text="=1+1\x00\r\n☼"),
        Value(quantity="tally", raw=""),
    ],
)
def test_a_reading_gives_back_every_digit_and_the_text_as_typed(
    visit: Visit, path: Path, showing: int, value: Value
) -> None:
    meter = visit.add_instrument(
        "spot meter", kind="typed", role="spot meter", specification=Specification()
    )
    kept = visit.keep_reading(showing, value, instrument=meter.id, at=NOON)
    with Visit.open(path, write=False) as reader:
        assert reader.readings() == [kept]
    for name in Value.__dataclass_fields__:
        assert getattr(kept, name) == getattr(value, name)
    assert (kept.run, kept.step, kept.showing, kept.instrument) == (1, 1, showing, meter.id)
    assert (kept.taken_at, kept.replaces, kept.replaced_by) == (NOON, None, None)


def test_x_y_z_give_the_luminance_and_the_chromaticity(visit: Visit, showing: int) -> None:
    value = Value(quantity="colour", raw="20 50 30", tristimulus=(20.0, 50.0, 30.0))
    kept = visit.keep_reading(showing, value)
    assert (kept.luminance, kept.x, kept.y) == (50.0, 0.2, 0.5)
    assert kept.tristimulus == (20.0, 50.0, 30.0)
    dark = Value(quantity="colour", raw="0 0 0", tristimulus=(0.0, 0.0, 0.0))
    kept = visit.keep_reading(showing, dark)
    assert (kept.luminance, kept.x, kept.y) == (0.0, None, None)


def test_instruments_and_corrections_are_given_back(visit: Visit) -> None:
    known = Specification(luminance_relative_uncertainty=0.02, luminance_floor=0.001)
    spot = visit.add_instrument("spot", kind="typed", role="spot meter", specification=known)
    reference = visit.add_instrument(
        "reference", kind="command", role="reference", specification=Specification()
    )
    again = visit.add_instrument("spot", kind="typed", role="spot meter", specification=known)
    assert again == spot
    assert visit.instruments() == [spot, reference]
    assert spot.specification == known
    matrix = (1.01, 0, 0, 0, 0.99, 0, 0.001, 0, 1.5)
    made = visit.add_correction(
        from_instrument=spot.id,
        to_instrument=reference.id,
        matrix=matrix,
        method="four colours",
        fit={"luminance": 0.012},
        at=NOON,
    )
    assert visit.corrections() == [made]
    assert (made.matrix, made.made_at, made.fit) == (matrix, NOON, {"luminance": 0.012})


def test_a_retake_points_at_what_it_replaces_and_both_stay(visit: Visit, showing: int) -> None:
    first = visit.keep_reading(showing, luminance(119.0))
    repeat = visit.keep_reading(showing, luminance(120.0))
    again = visit.keep_showing(1, 1, SHOWN)
    retake = visit.keep_reading(again.id, luminance(121.0), replaces=first.id)
    assert visit.readings(1) == [repeat, retake]
    everything = visit.readings(1, replaced=True)
    assert [reading.id for reading in everything] == [first.id, repeat.id, retake.id]
    assert [reading.replaced_by for reading in everything] == [retake.id, None, None]
    assert retake.replaces == first.id
    with pytest.raises(VisitError, match="has been replaced already"):
        visit.keep_reading(showing, luminance(122.0), replaces=first.id)


def test_a_retake_replaces_only_readings_of_its_own_step(visit: Visit, showing: int) -> None:
    first = visit.keep_reading(showing, luminance(119.0))
    other = visit.keep_showing(1, 3, SHOWN)
    second_run = visit.start_run(plan("after"), STEPS)
    elsewhere = visit.keep_showing(second_run.id, 1, SHOWN)
    for wrong in (other, elsewhere):
        with pytest.raises(VisitError, match="earlier reading of the same step"):
            visit.keep_reading(wrong.id, luminance(1.0), replaces=first.id)
    with pytest.raises(VisitError, match="earlier reading of the same step"):
        visit.keep_reading(showing, luminance(1.0), replaces=999)
    assert visit.readings() == [first]


def test_the_next_step_is_the_first_neither_read_nor_skipped(visit: Visit) -> None:
    run = visit.start_run(plan(), STEPS).id
    assert visit.next_step(run) == 1
    shown = visit.keep_showing(run, 1, SHOWN)
    assert visit.next_step(run) == 1  # shown is not read
    visit.keep_reading(shown.id, luminance(500.0))
    assert visit.next_step(run) == 2
    visit.keep_showing(run, 2, SHOWN)  # nothing to read there
    assert visit.next_step(run) == 3
    skip = visit.skip_step(run, 3, why="no time", at=NOON)
    assert (skip.step, skip.why, skip.at) == (3, "no time", NOON)
    assert visit.skips(run) == [skip]
    assert visit.next_step(run) is None


def test_going_back_leaves_an_earlier_gap_as_the_next_step(visit: Visit) -> None:
    run = visit.start_run(plan(), STEPS).id
    shown = visit.keep_showing(run, 3, SHOWN)
    visit.keep_reading(shown.id, Value(quantity="count", raw="24", number=24))
    assert visit.next_step(run) == 1


def test_a_run_is_resumed_until_it_is_finished(visit: Visit) -> None:
    sha256 = text_sha256(TEXT)
    assert visit.unfinished_run(sha256, "after") is None
    run = visit.start_run(plan("after"), STEPS)
    assert visit.unfinished_run(sha256, "after") == run
    assert visit.unfinished_run(sha256, "before") is None
    assert visit.unfinished_run(text_sha256("other"), "after") is None
    left = visit.end_run(run.id, "left", at=NOON)
    assert (left.ended, left.ended_at) == ("left", NOON)
    assert visit.unfinished_run(sha256, "after") == left
    resumed = visit.resume_run(run.id, guards={"night light": "on"})
    assert (resumed.ended, resumed.ended_at) == (None, None)
    assert visit.end_run(run.id, "finished").ended == "finished"
    assert visit.unfinished_run(sha256, "after") is None
    with pytest.raises(VisitError, match="a finished run stays finished"):
        visit.resume_run(run.id)


def test_an_older_unfinished_run_is_not_revived_once_a_later_one_is_finished(
    visit: Visit,
) -> None:
    visit.start_run(plan(), STEPS)
    visit.end_run(visit.start_run(plan(), STEPS).id, "finished")
    assert visit.unfinished_run(text_sha256(TEXT), "local dimming off") is None


def test_notes_are_about_the_visit_a_run_a_step_or_a_showing(visit: Visit, showing: int) -> None:
    visit.start_run(plan("after"), STEPS)
    notes = [
        visit.keep_note("the hall lights are off", at=NOON),
        visit.keep_note("fans loud", run=1),
        visit.keep_note("a rim of light", run=1, step=3),
        visit.keep_note("a reflection", showing=showing),
        visit.keep_note("later", run=2),
    ]
    about = [(note.run, note.step, note.showing) for note in notes]
    assert about == [
        (None, None, None),
        (1, None, None),
        (1, 3, None),
        (1, 1, showing),
        (2, None, None),
    ]
    assert visit.notes() == notes
    assert visit.notes(1) == notes[1:4]
    with pytest.raises(VisitError, match="that showing belongs to another step"):
        visit.keep_note("no", run=1, step=2, showing=showing)
    with pytest.raises(VisitError, match="a note says something"):
        visit.keep_note("  ")


def test_tallies_are_given_back_in_their_order(visit: Visit, showing: int) -> None:
    tallies = [
        visit.keep_tally(showing, position_px=px, axis="horizontal", direction="backward", at=NOON)
        for px in (480.0, 160, 320.5)
    ]
    assert visit.tallies(1) == tallies
    assert [tally.position_px for tally in tallies] == [480.0, 160.0, 320.5]
    assert (tallies[0].axis, tallies[0].direction, tallies[0].at) == (
        "horizontal",
        "backward",
        NOON,
    )
    assert visit.tallies(2) == []


def test_a_tally_that_is_taken_back_stays_in_the_visit_but_does_not_count(
    visit: Visit, showing: int
) -> None:
    kept, back = (
        visit.keep_tally(showing, position_px=px, axis="horizontal", direction="forward")
        for px in (100.0, 180.0)
    )
    withdrawn = visit.withdraw_tally(back.id, at=NOON)
    assert withdrawn == replace(back, withdrawn=True)
    assert visit.tallies() == [kept]
    assert visit.tallies(withdrawn=True) == [kept, withdrawn]
    with pytest.raises(VisitError, match="that tally has been withdrawn already"):
        visit.withdraw_tally(back.id)
    with pytest.raises(VisitError, match="tally"):
        visit.withdraw_tally(99)


def test_a_count_may_say_in_words_that_it_cannot_be_told(visit: Visit, showing: int) -> None:
    reading = visit.keep_reading(showing, Value(quantity="count", raw="?", text="can't tell"))
    assert (reading.number, reading.text) == (None, "can't tell")
    with pytest.raises(VisitError, match="a count reading has a number, or says in words why not"):
        visit.keep_reading(showing, Value(quantity="count", raw=""))


def test_a_reading_can_be_seen_by_another_reader_once_the_call_returns(
    visit: Visit, path: Path, showing: int
) -> None:
    with Visit.open(path, write=False) as reader:
        for value in range(5):
            visit.keep_reading(showing, luminance(float(value)))
            assert len(reader.readings()) == value + 1


def test_the_database_syncs_fully_and_checks_references(visit: Visit) -> None:
    def pragma(name: str) -> object:
        return visit._connection.execute(f"PRAGMA {name}").fetchone()[0]

    assert pragma("journal_mode") == "delete"
    assert pragma("synchronous") == 3
    assert pragma("foreign_keys") == 1
    assert pragma("application_id") == 1279874118
    assert pragma("user_version") == 8
    assert pragma("fullfsync") == 1  # on macOS fsync alone does not reach the disk
    assert pragma("cell_size_check") == 1


def fill(visit: Visit) -> None:
    """At least one row in every table."""
    run = visit.start_run(plan(), STEPS).id
    visit.skip_step(run, 2)
    visit.end_run(run, "left")
    shown = visit.keep_showing(run, 1, SHOWN)
    typed = visit.keep_reading(shown.id, luminance(1.0))
    visit.keep_note("fans loud")
    tally = visit.keep_tally(shown.id, position_px=1, axis="vertical", direction="forward")
    visit.withdraw_tally(tally.id)
    meters = [
        visit.add_instrument(role, kind="typed", role=role, specification=Specification())
        for role in ("spot meter", "reference")
    ]
    visit.add_correction(
        from_instrument=meters[0].id,
        to_instrument=meters[1].id,
        matrix=[1, 0, 0, 0, 1, 0, 0, 0, 1],
        method="none",
    )
    visit.name_instrument(meters[0].id, [typed.id])
    visit.state_aim(Aim("power 2.4"))
    visit.state("place", "lobby", by="the operator")
    visit.keep_task_event(visit.keep_plan("Half a day", "title: x", "plan.yaml").id, 1, "begun")
    adjusting = visit.start_run(plan(), [ADJUST]).id
    (kept,) = visit.keep_controls(adjusting, 1, [RED_GAIN])
    visit.keep_turn(kept.id, value=-3)
    visit.end_adjustment(adjusting, 1, "ended by hand")
    visit.keep_noticing(kept.id, "reversed")
    visit.give_minutes(adjusting, 20)


@pytest.mark.parametrize("table", [*TABLES, "check_sums"])
@pytest.mark.parametrize(
    "change",
    [
        "UPDATE {0} SET rowid = rowid",
        "DELETE FROM {0}",
        "INSERT OR REPLACE INTO {0} SELECT * FROM {0}",
    ],
)
def test_nothing_kept_is_changed_even_by_another_program(
    visit: Visit, path: Path, table: str, change: str
) -> None:
    fill(visit)
    visit.close()
    with closing(sqlite3.connect(path)) as other:
        before = other.execute(f"SELECT * FROM {table}").fetchall()
        assert before
        with pytest.raises(sqlite3.IntegrityError, match=r"only grows|keeps the steps|stays"):
            other.execute(change.format(table))
        assert other.execute(f"SELECT * FROM {table}").fetchall() == before


def test_the_tables_of_the_schema_are_the_ones_that_only_grow(visit: Visit) -> None:
    found = visit._connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    assert {name for (name,) in found} == {*TABLES, "check_sums"}


@pytest.mark.parametrize(
    "bad", [math.nan, math.inf, -math.inf, 10**400], ids=["nan", "inf", "-inf", "huge"]
)
def test_numbers_that_are_not_finite_are_refused(visit: Visit, showing: int, bad: float) -> None:
    values = [
        Value(quantity="luminance", raw="", luminance=bad),
        Value(quantity="colour", raw="", luminance=1.0, x=bad, y=0.3),
        Value(quantity="colour", raw="", luminance=1.0, x=0.3, y=bad),
        Value(quantity="colour", raw="", luminance=1.0, tristimulus=(1.0, bad, 1.0)),
        Value(quantity="milliseconds", raw="", number=bad),
    ]
    for value in values:
        with pytest.raises(VisitError, match="must be a finite number"):
            visit.keep_reading(showing, value)
    with pytest.raises(VisitError, match="must be a finite number"):
        visit.keep_tally(showing, position_px=bad, axis="vertical", direction="forward")
    with pytest.raises(VisitError, match="must be a finite number"):
        visit.add_correction(from_instrument=1, to_instrument=2, matrix=[bad] * 9, method="")
    assert visit.readings() == []
    assert visit.tallies() == []


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_json_with_numbers_that_are_not_finite_is_refused(visit: Visit, bad: float) -> None:
    run = visit.start_run(plan(), STEPS)
    shown = Shown(inks={}, frame_sha256="ab" * 32, facts={"area": bad}, guard="unknown")
    with pytest.raises(VisitError, match="facts cannot be kept as JSON"):
        visit.keep_showing(run.id, 1, shown)


@pytest.mark.parametrize("bad", ["1e999", "-1e999", "'nan'"])
@pytest.mark.parametrize("column", ["luminance", "x", "tristimulus_z", "number"])
def test_the_database_itself_refuses_what_is_not_finite(
    visit: Visit, showing: int, column: str, bad: str
) -> None:
    sql = f"""INSERT INTO readings (showing, quantity, raw, luminance, taken_at)
        VALUES ({showing}, 'luminance', '', 1, '2031-05-04T12:00:00.000000Z')"""
    visit._connection.execute(sql)
    columns = {"luminance": "1", "y": "0", "tristimulus_x": "0", "tristimulus_y": "0"}
    columns |= {"x": "0", "tristimulus_z": "0", column: bad}
    names, values = ", ".join(columns), ", ".join(columns.values())
    with pytest.raises(sqlite3.IntegrityError, match=r"finite number|and finite|cannot store TEXT"):
        visit._connection.execute(
            f"INSERT INTO readings (showing, quantity, raw, taken_at, {names})"
            f" VALUES ({showing}, 'luminance', '', '2031-05-04T12:00:00.000000Z', {values})"
        )


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        (Value(quantity="luminance", raw=""), "has a luminance"),
        (Value(quantity="colour", raw="", luminance=1.0, x=0.3), "x and y come together"),
        (Value(quantity="count", raw=""), "has a number"),
        (Value(quantity="count", raw="", number=1.5), "a count is a whole number"),
        (Value(quantity="count", raw="", number=-1), "a count or a time is 0 or more"),
        (Value(quantity="milliseconds", raw="", number=-0.1), "0 or more"),
        (Value(quantity="choice", raw="", text=" "), "has a text"),
        (Value(quantity="text", raw=""), "has a text"),
        (Value(quantity="text", raw="\udcff", text="x"), "not Unicode"),
        (Value(quantity="glow", raw=""), "that quantity is unknown"),  # type: ignore[arg-type]
        (Value(quantity="luminance", raw="", luminance="12"), "a number"),  # type: ignore[arg-type]
        (Value(quantity="luminance", raw="", luminance=True), "must be a number"),
        (Value(quantity="colour", raw="", tristimulus=(1, 2)), "three"),  # type: ignore[arg-type]
    ],
)
def test_a_value_that_is_incomplete_or_absurd_is_refused_in_a_sentence(
    visit: Visit, showing: int, value: Value, sentence: str
) -> None:
    with pytest.raises(VisitError, match=sentence) as caught:
        visit.keep_reading(showing, value)
    assert "\n" not in str(caught.value)
    assert visit.readings() == []
    visit.keep_reading(showing, luminance(1.0))  # and the visit goes on


def test_a_showing_with_codes_out_of_range_or_a_wrong_hash_is_refused(visit: Visit) -> None:
    run = visit.start_run(plan(), STEPS).id
    for codes in ((0, 0, 65536), (0, -1, 0), (0, 0), (0, 0, 0.5), (True, 0, 0)):
        shown = Shown(
            inks={"field": codes},  # type: ignore[dict-item]
            frame_sha256="ab" * 32,
            guard="unknown",
        )
        with pytest.raises(VisitError, match="three codes from 0 to 65535"):
            visit.keep_showing(run, 1, shown)
    for sha256 in ("ab" * 31, "AB" * 32, "xy" * 32):
        with pytest.raises(VisitError, match="64 hexadecimal digits"):
            visit.keep_showing(run, 1, Shown(inks={}, frame_sha256=sha256, guard="unknown"))
    with pytest.raises(VisitError, match="verified, altered or unknown"):
        visit.keep_showing(
            run,
            1,
            Shown(inks={}, frame_sha256="ab" * 32, guard="fine"),  # type: ignore[arg-type]
        )
    assert visit.showings() == []


def test_what_is_not_in_the_visit_cannot_be_referred_to(visit: Visit, showing: int) -> None:
    for call in (
        lambda: visit.keep_reading(99, luminance(1.0)),
        lambda: visit.keep_reading(showing, luminance(1.0), instrument=99),
        lambda: visit.keep_showing(1, 4, SHOWN),
        lambda: visit.keep_showing(2, 1, SHOWN),
        lambda: visit.skip_step(1, 4),
        lambda: visit.keep_note("x", run=9),
        lambda: visit.keep_tally(99, position_px=0, axis="vertical", direction="forward"),
        lambda: visit.end_run(9, "left"),
    ):
        with pytest.raises(VisitError, match="that is not in this visit"):
            call()
    for ask in (lambda: visit.run(9), lambda: visit.next_step(9), lambda: visit.reading(9)):
        with pytest.raises(VisitError, match="has no"):
            ask()


def test_a_run_that_cannot_be_kept_whole_is_not_kept_at_all(visit: Visit) -> None:
    bad = PlannedStep(label="x", kind="field", parameters={}, quantity=None, settle_s=-1.0)
    with pytest.raises(VisitError, match="settles for 0 s or more"):
        visit.start_run(plan(), [*STEPS, bad])
    with pytest.raises(VisitError, match="at least one step"):
        visit.start_run(plan(), [])
    assert visit.runs() == []
    assert visit._connection.execute("SELECT count(*) FROM steps").fetchone()[0] == 0


def test_a_time_without_a_zone_is_refused(visit: Visit) -> None:
    with pytest.raises(VisitError, match="does not say its zone"):
        visit.keep_note("x", at=NOON.replace(tzinfo=None))


def test_a_specification_says_something_positive_or_nothing(visit: Visit) -> None:
    with pytest.raises(VisitError, match="luminance floor must be above 0"):
        visit.add_instrument(
            "x", kind="typed", role="reference", specification=Specification(luminance_floor=0.0)
        )


@pytest.mark.skipif(sys.platform == "win32", reason="an open file cannot be moved there")
def test_a_visit_that_is_moved_away_says_so_and_goes_on_once_it_is_back(
    visit: Visit, path: Path
) -> None:
    visit.keep_note("before")
    away = path.rename(path.with_name("away.visit"))
    with pytest.raises(VisitError, match="moved away or removed, so this was not kept; put it"):
        visit.keep_note("meanwhile")
    away.rename(path)
    visit.keep_note("after")
    assert [note.text for note in visit.notes()] == ["before", "after"]


def test_statements_are_kept_all_or_none_with_their_reasons_and_what_stood_first(
    visit: Visit,
) -> None:
    run = visit.start_run(plan(), STEPS).id
    wanted = [
        Statement(what="display", value="lobby wall, east"),
        Statement(what="counted", value="no", run=run, why="wrong picture mode"),
    ]
    for bad in (
        Statement(what="counted", value="perhaps", run=run, why="x"),
        Statement(what="condition", value="off", why="x"),
        Statement(what="display", value=" ", why="x"),
        Statement(what="condition", value="off", run=run + 1, why="x"),
    ):
        with pytest.raises(VisitError):
            visit.state_all([*wanted, bad])
    assert visit.statements() == []
    assert visit.notes() == []
    first, second = visit.state_all(wanted, by="night shift")
    assert (first.at, first.by, second.run) == (second.at, "night shift", run)
    assert [(n.run, n.text, n.at) for n in visit.notes()] == [
        (run, "wrong picture mode", second.at)
    ]
    assert not visit.run(run).counted
    assert visit.runs(at_first=True)[0].counted
    assert visit.about().display == "lobby wall, east"
    assert visit.about(at_first=True).display != "lobby wall, east"
