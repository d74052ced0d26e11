"""The table holds every reading of a visit, digit for digit, and nothing that was not kept."""

from __future__ import annotations

import csv
import errno
import json
import os
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from readings.visit import table
from readings.visit.records import PlannedRun, PlannedStep, Shown, Specification, Value
from readings.visit.visit import Visit

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def visit(tmp_path: Path) -> Iterator[Visit]:
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as made:
        yield made


def start(visit: Visit, condition: str = "local dimming off") -> int:
    plan = PlannedRun(
        sequence_title="Lobby wall",
        sequence_text="title: Lobby wall\n",
        sequence_source="lobby.yaml",
        condition=condition,
        signal_asked={},
        signal_shown={},
        canvas=(3840, 2160),
        output="simulated",
    )
    window = PlannedStep(
        label="1 % window",
        role="window",
        kind="window",
        parameters={"level": "50 %"},
        quantity="luminance",
        read_of="the window",
        settle_s=5,
        variables={"area": "1 %"},
    )
    zones = PlannedStep(label="zones", kind="moving-box", parameters={}, quantity="count")
    return visit.start_run(plan, [window, zones]).id


def show(visit: Visit, run: int, step: int) -> int:
    shown = Shown(
        inks={"window": (502, 502, 64)}, frame_sha256="ab" * 32, guard="altered", guard_why="dim"
    )
    return visit.keep_showing(run, step, shown, at=NOON).id


def of_readings(visit: Visit) -> list[dict[str, object]]:
    return [row for row in table.rows(visit) if row["unread"] is None]


def written(visit: Visit, path: Path) -> list[dict[str, str]]:
    table.write_csv(visit, path)
    with path.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if not row["unread"]]


def test_each_step_without_a_reading_has_a_row_with_its_reason(
    visit: Visit, tmp_path: Path
) -> None:
    first, second = start(visit), start(visit, "bright")
    visit.keep_reading(show(visit, first, 1), Value(quantity="luminance", raw="1", luminance=1))
    visit.skip_step(first, 2, why="needs someone at the screen to count")
    show(visit, second, 1)
    for suffix in ("csv", "xlsx"):
        table.write_table(visit, tmp_path / f"table.{suffix}")
    with (tmp_path / "table.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    columns = ("run", "step", "reading", "quantity", "unread")
    told = [tuple(row[column] for column in columns) for row in found]
    assert told == [
        ("1", "1", "1", "luminance", ""),
        ("1", "2", "", "count", "skipped: needs someone at the screen to count"),
        ("2", "1", "", "luminance", "shown, but nothing was read"),
        ("2", "2", "", "count", "not reached"),
    ]
    assert (found[2]["label"], found[2]["condition"]) == ("1 % window", "bright")
    assert found[2]["raw"] == ""
    assert [row["unread"] for row in table.sheet(visit, "readings").rows] == [
        row["unread"] or None for row in found
    ]


def test_a_row_says_all_about_its_reading(visit: Visit, tmp_path: Path) -> None:
    meter = visit.add_instrument(
        "spot", kind="typed", role="spot meter", specification=Specification()
    )
    showing = show(visit, start(visit), 1)
    value = Value(
        quantity="colour", raw="0,1 0,2", luminance=0.1 + 0.2, x=0.3127, y=0.329, text='a, "b"\nc'
    )
    visit.keep_reading(showing, value, instrument=meter.id, at=NOON)
    assert written(visit, tmp_path / "table.csv") == [
        {
            "run": "1",
            "sequence": "Lobby wall",
            "condition": "local dimming off",
            "counted": "1",
            "step": "1",
            "label": "1 % window",
            "role": "window",
            "kind": "window",
            "quantity": "colour",
            "read_of": "the window",
            "variables": '{"area": "1 %"}',
            "parameters": '{"level": "50 %"}',
            "settle_s": "5.0",
            "shown_at": "2031-05-04T12:00:00+00:00",
            "codes": '{"window": [502, 502, 64]}',
            "frame_sha256": "ab" * 32,
            "guard": "altered",
            "guard_why": "dim",
            "reading": "1",
            "instrument": "spot",
            "instrument_named_at": "",
            "luminance_cd_m2": "0.30000000000000004",
            "x": "0.3127",
            "y": "0.329",
            "tristimulus_X": "",
            "tristimulus_Y_cd_m2": "",
            "tristimulus_Z": "",
            "corrected_luminance_cd_m2": "",
            "corrected_x": "",
            "corrected_y": "",
            "correction": "",
            "uncorrected": "",
            "count": "",
            "milliseconds": "",
            "text": 'a, "b"\nc',
            "raw": "0,1 0,2",
            "taken_at": "2031-05-04T12:00:00+00:00",
            "replaces": "",
            "replaced_by": "",
            "replaced": "0",
            "notes": "",
            "run_notes": "",
            "unread": "",
            "left_out": "",
        }
    ]


def test_numbers_stand_under_their_own_quantity(visit: Visit) -> None:
    run = start(visit)
    visit.keep_reading(show(visit, run, 1), Value(quantity="milliseconds", raw="", number=16.5))
    visit.keep_reading(show(visit, run, 2), Value(quantity="count", raw="", number=24))
    xyz = Value(quantity="colour", raw="", tristimulus=(20.0, 50.0, 30.0))
    visit.keep_reading(show(visit, run, 2), xyz)
    columns = ("milliseconds", "count", "tristimulus_X", "tristimulus_Y_cd_m2", "tristimulus_Z")
    assert [tuple(row[column] for column in columns) for row in of_readings(visit)] == [
        (16.5, None, None, None, None),
        (None, 24, None, None, None),
        (None, None, 20.0, 50.0, 30.0),
    ]


def test_replaced_readings_are_there_and_say_so(visit: Visit) -> None:
    showing = show(visit, start(visit), 1)
    first = visit.keep_reading(showing, Value(quantity="luminance", raw="1", luminance=1.0))
    visit.keep_reading(
        showing, Value(quantity="luminance", raw="2", luminance=2.0), replaces=first.id
    )
    columns = ("luminance_cd_m2", "replaces", "replaced_by", "replaced")
    assert [tuple(row[column] for column in columns) for row in of_readings(visit)] == [
        (1.0, None, 2, 1),
        (2.0, 1, None, 0),
    ]


def test_rows_come_by_run_and_step_with_the_notes_that_concern_them(visit: Visit) -> None:
    before, after = start(visit), start(visit, "after")
    value = Value(quantity="count", raw="1", number=1)
    shown_after = show(visit, after, 1)
    visit.keep_reading(shown_after, value)
    visit.keep_reading(show(visit, before, 2), value)
    visit.keep_reading(show(visit, before, 1), value)
    visit.keep_note("about the visit")
    visit.keep_note("fans loud", run=before)
    visit.keep_note("a rim of light", run=before, step=2)
    visit.keep_note("a reflection", showing=shown_after)
    visit.keep_note("still there", showing=shown_after)
    visit.keep_note("another time", showing=show(visit, after, 1))
    columns = ("condition", "step", "notes", "run_notes")
    assert [tuple(row[column] for column in columns) for row in of_readings(visit)] == [
        ("local dimming off", 1, None, "fans loud"),
        ("local dimming off", 2, "a rim of light", "fans loud"),
        ("after", 1, "a reflection\nstill there", None),
    ]


def test_every_row_has_every_column(visit: Visit) -> None:
    visit.keep_reading(show(visit, start(visit), 2), Value(quantity="count", raw="1", number=1))
    assert [row.keys() for row in table.rows(visit)] == [set(table.COLUMNS)] * 2
    assert len(set(table.COLUMNS)) == len(table.COLUMNS)


@pytest.mark.parametrize("raw", ["=1+1", "+1", "-1", "@x", "☼ 0,5", "a\x00b", " 1 ", "1\r\n2"])
def test_texts_are_written_as_they_were_kept(visit: Visit, tmp_path: Path, raw: str) -> None:
    visit.keep_reading(show(visit, start(visit), 1), Value(quantity="text", raw=raw, text="x"))
    (row,) = written(visit, tmp_path / "table.csv")
    assert row["raw"] == raw
    assert json.loads(row["codes"]) == {"window": [502, 502, 64]}


def test_a_visit_without_readings_gives_the_header_alone(visit: Visit, tmp_path: Path) -> None:
    path = tmp_path / "TABLE.CSV"
    table.write_table(visit, path)
    assert path.read_bytes() == ",".join(table.COLUMNS).encode() + b"\r\n"


@pytest.mark.parametrize("name", ["table.pdf", "table", ".csv", "table.csv.gz"])
def test_a_suffix_without_a_format_is_refused(visit: Visit, tmp_path: Path, name: str) -> None:
    with pytest.raises(table.TableError, match=r"should end in \.csv or \.xlsx"):
        table.write_table(visit, tmp_path / name)
    assert isinstance(table.TableError(), ValueError)
    assert not (tmp_path / name).exists()


def test_a_table_that_fails_leaves_the_earlier_one(
    visit: Visit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "table.csv"
    path.write_text("earlier")

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, f"no space for {descriptor}")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(table.TableError, match="the disk is full"):
        table.write_csv(visit, path)
    assert path.read_text() == "earlier"
    names = {file.name for file in tmp_path.iterdir()}
    assert names == {"lobby.visit", "lobby.visit.lock", "table.csv"}


@pytest.mark.parametrize("name", ["wall.csv", "wall.xlsx"])
def test_a_table_that_another_program_has_open_is_told_as_that(
    visit: Visit, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Windows refuses to replace it; the refusal is made up, as its error has it."""
    path = tmp_path / name
    path.write_text("earlier", encoding="utf-8")

    def refuse(temporary: Path, target: Path) -> None:
        error = PermissionError(errno.EACCES, "The process cannot access the file", str(temporary))
        error.filename2 = str(target)
        error.winerror = 32
        raise error

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(table.TableError) as caught:
        table.write_table(visit, path)
    assert str(caught.value) == f"{path} is open in another program; close it there"
    assert path.read_text(encoding="utf-8") == "earlier"


def test_a_table_never_goes_over_the_visit_or_a_folder(visit: Visit, tmp_path: Path) -> None:
    with pytest.raises(table.TableError, match="is the visit itself"):
        table.write_csv(visit, visit.path)
    with pytest.raises(table.TableError, match="is a folder"):
        table.write_csv(visit, tmp_path)
    with pytest.raises(table.TableError, match="there is no folder"):
        table.write_csv(visit, tmp_path / "nowhere" / "table.csv")
    assert visit.about().display == "lobby wall"
    if sys.platform != "win32":
        link = tmp_path / "link.csv"
        link.symlink_to(visit.path)
        with pytest.raises(table.TableError, match="is the visit itself"):
            table.write_csv(visit, link)
