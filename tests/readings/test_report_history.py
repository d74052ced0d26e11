"""What was stated afterwards: in its order, with what stood before and since."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from patterns.aim import Aim
from readings.report.gather import contents_of
from readings.report.history import history_of, set_aside
from readings.report.missing import not_measured
from readings.report.wording import said_cells, set_aside_of, simulated_text
from readings.visit.records import Specification, Statement
from readings.visit.visit import Visit
from tests.readings.test_report import contrast_run, field, keep, plan

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
WHITE = Aim(white=120.0)


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Visit]:
    with Visit.create(tmp_path / "wall.visit", display="wall", at=NOON) as made:
        yield made


def at(minutes: int) -> datetime:
    return NOON + timedelta(minutes=minutes)


def test_each_statement_has_what_stood_before_it(visit: Visit) -> None:
    for minute, name in enumerate(("lobby wall", "lobby wall, east"), 1):
        visit.state("display", name, by="night shift", at=at(minute))
    found = [(each.before, each.now, each.by, each.at) for each in history_of(visit)]
    assert found == [
        ("wall", "lobby wall", "night shift", at(1)),
        ("lobby wall", "lobby wall, east", "night shift", at(2)),
    ]


def test_what_the_next_run_takes_is_no_part_of_it(visit: Visit) -> None:
    for what in ("meter", "instrument", "reference", "range", "screen", "operator"):
        visit.state(what, "x")
    assert history_of(visit) == []


def test_who_set_a_run_aside_last_counts_until_it_counts_again(visit: Visit) -> None:
    run = contrast_run(visit, None, "", 100.0, 0.1)
    for minute, (value, why) in enumerate((("no", "tilted"), ("yes", ""), ("no", "dark")), 1):
        aside = Statement(what="counted", value=value, run=run, why=why)
        visit.state_all([aside], by="night shift", at=at(minute))
    visit.keep_note("fans loud", run=run, at=at(4))
    history = history_of(visit)
    assert [(each.before, each.now, each.why) for each in history] == [
        ("yes", "no", "tilted"), ("no", "yes", ""), ("yes", "no", "dark"),
    ]  # fmt: skip
    assert set_aside(history) == {run: history[2]}
    (told,) = contents_of(visit).runs
    assert set_aside_of(told) == (
        "2031-05-04 12:03 UTC, by night shift: dark. What was read is kept, and is in no finding."
    )
    visit.state("counted", "yes", run=run)
    assert set_aside(history_of(visit)) == {}
    assert set_aside_of(contents_of(visit).runs[0]) == ""


def test_an_aim_that_a_sequence_begins_with_is_not_stated_afterwards(visit: Visit) -> None:
    run = visit.start_run(plan(), [field("White", "white")], aim=WHITE, at=at(1)).id
    assert history_of(visit) == []
    visit.state_aim(WHITE, at=at(2))
    visit.state_aim(Aim(white=100.0), run=run, at=at(3))
    assert [(each.run, each.before, each.now) for each in history_of(visit)] == [
        (None, Aim(), WHITE),
        (run, WHITE, Aim(white=100.0)),
    ]
    assert said_cells(history_of(visit)[0])[1:4] == ("Aim", "not stated", "white of 120 cd/m²")


def test_an_instrument_that_is_named_twice_stands_with_the_one_before(visit: Visit) -> None:
    run = visit.start_run(plan(), [field("White", "white")]).id
    readings = [keep(visit, run, 1, 255, light, None).id for light in (100.0, 101.0)]
    for minute, (name, which) in enumerate((("first", readings), ("second", readings[:1])), 1):
        meter = visit.add_instrument(
            name, kind="typed", role="spot meter", specification=Specification()
        )
        visit.name_instrument(meter.id, which, at=at(minute))
    found = [(each.before, each.now, each.readings) for each in history_of(visit)]
    assert found == [("", "first", (1, 2)), ("first", "second", (1,))]
    assert said_cells(history_of(visit)[1])[1:] == (
        "Instrument of 1 reading of run 1", "first", "second", "not given", "",
    )  # fmt: skip


def test_the_front_page_speaks_of_the_runs_that_count_alone(visit: Visit) -> None:
    contrast_run(visit, None, "as found", 100.0, 0.1)
    second = contrast_run(visit, None, "again", 100.0, 0.1)
    assert sum("not reached" in each for each in not_measured(contents_of(visit))) == 2
    visit.state("counted", "no", run=second)
    contents = contents_of(visit)
    (gap,) = (each for each in not_measured(contents) if "not reached" in each)
    assert gap.startswith("Run 1 (")
    assert [len(each.measured) for each in contents.runs] == [2, 2]
    assert {each.run for each in contents.readings()} == {1}
    visit.state("counted", "no", run=1)
    assert not_measured(contents_of(visit)) == ["Every run is set aside."]
    assert simulated_text(contents_of(visit)) == ""
