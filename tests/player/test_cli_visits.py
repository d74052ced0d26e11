"""What the commands say of a visit that is missing, foreign, or damaged, and how they end."""

from __future__ import annotations

import csv
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from player.cli import run
from readings.visit.visit import Visit
from tests.readings.paired_run import ERROR, meters, paired


@pytest.fixture
def visit(tmp_path: Path) -> Path:
    """A visit with twelve readings, of two meters."""
    with Visit.create(tmp_path / "lobby.visit", display="lobby wall") as made:
        spot, reference = meters(made)
        paired(made, spot, ERROR)
        paired(made, reference)
    return tmp_path / "lobby.visit"


def commands(path: Path, folder: Path) -> list[list[str]]:
    """Every command that takes a visit, and makes none."""
    return [
        ["readings", str(path), "--to", str(folder / "table.csv")],
        ["report", str(path), "--to", str(folder / "report")],
        ["correct", str(path)],
        ["correct", str(path), "--look"],
        ["visit", str(path)],
        ["visit", str(path), "--display", "lobby wall, east", "--by", "night shift"],
    ]


def play(path: Path) -> list[str]:
    simulated = ["--output", "simulated", "--unattended"]
    return ["play", "near-black", "--visit", str(path), *simulated]


def write_foreign(path: Path, kind: str) -> None:
    if kind == "text":
        path.write_bytes(b"display,luminance\n" * 400)
    elif kind == "empty":
        path.touch()
    elif kind == "database":
        with closing(sqlite3.connect(path)) as other:
            other.execute("CREATE TABLE visit (id)")
    elif kind == "view":
        Visit.create(path, display="lobby wall").close()
        with closing(sqlite3.connect(path)) as other:
            other.execute("CREATE VIEW more AS SELECT 1")
    elif kind == "newer":
        Visit.create(path, display="lobby wall").close()
        with closing(sqlite3.connect(path)) as other:
            other.execute("PRAGMA user_version = 9")


@pytest.mark.parametrize("kind", ["missing", "text", "empty", "database", "view", "newer"])
def test_a_visit_that_is_missing_or_foreign_is_bad_input_everywhere(
    kind: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "lobby.visit"
    write_foreign(path, kind)
    before = sorted(tmp_path.iterdir())
    asked = commands(path, tmp_path)
    for arguments in asked if kind == "missing" else [*asked, play(path)]:
        assert run(arguments) == 2, arguments
        told = capfd.readouterr()
        assert len(told.err.splitlines()) == 1
        assert "lobby.visit" in told.err
        assert "Something went wrong" not in told.err
        assert told.out == ""
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.parametrize("option", ["--run", "--reference-run"])
@pytest.mark.parametrize("number", ["3", "-1", "99999999999999999999"])
def test_a_run_that_is_not_there_is_bad_input(
    visit: Path, option: str, number: str, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["correct", str(visit), option, number]) == 2
    assert capfd.readouterr().err == f"{visit} has no run {number}.\n"


def damage(path: Path) -> None:
    """Change a reading as a bad disk does: without the visit's own triggers."""
    content = path.read_bytes()
    with closing(sqlite3.connect(path)) as connection:
        (raw,) = connection.execute("SELECT raw FROM readings WHERE id = 2").fetchone()
    kept = raw.encode()
    at = content.index(kept)
    assert content.count(kept) == 1
    path.write_bytes(content[:at] + bytes([kept[0] ^ 1]) + content[at + 1 :])


SAID = "Reading 2 of run 1 does not match its check sum and is left out."


def test_of_a_damaged_visit_the_rest_is_given_and_the_command_ends_with_1(
    visit: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    damage(visit)
    table = tmp_path / "table.csv"
    assert run(["readings", str(visit), "--to", str(table)]) == 1
    told = capfd.readouterr()
    assert told.err == f"{visit} is damaged; what is whole is in {table}. {SAID}\n"
    assert told.out == f"11 readings written to {table}.\n"
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert sorted(int(row["reading"]) for row in rows) == list(range(1, 13))
    assert [row["left_out"] for row in rows] == [""] * 11 + [SAID]

    assert run(["report", str(visit), "--to", str(tmp_path / "report")]) == 1
    told = capfd.readouterr()
    assert told.err == f"lobby.visit is damaged; what is whole is in the report. {SAID}\n"
    assert "report.html" in told.out
    (found,) = json.loads((tmp_path / "report" / "findings.json").read_text("utf-8"))["visits"]
    assert found["damage"] == [SAID]


def test_nothing_is_kept_in_a_damaged_visit(visit: Path, capfd: pytest.CaptureFixture[str]) -> None:
    damage(visit)
    content = visit.read_bytes()
    for arguments in (["correct", str(visit)], ["correct", str(visit), "--look"], play(visit)):
        assert run(arguments) == 1
        told = capfd.readouterr()
        assert told.err.startswith(f"{visit} is damaged, so nothing more is kept in it; ")
        assert told.err.endswith(f"{SAID}\n")
        assert told.out == ""
    assert visit.read_bytes() == content


def test_much_damage_is_told_in_few_sentences(
    visit: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(visit, isolation_level=None)) as connection:
        (sql,) = connection.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'notes_are_never_changed'"
        ).fetchone()
    with Visit.open(visit, write=True) as opened:
        for number in range(20):
            opened.keep_note("dark")
            opened.keep_note("dark", run=1, step=number % 6 + 1)
    with closing(sqlite3.connect(visit, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER notes_are_never_changed")
        connection.execute("UPDATE notes SET text = 'bark'")
        connection.execute(sql)
    assert run(["readings", str(visit), "--to", str(tmp_path / "table.csv")]) == 1
    told = capfd.readouterr().err
    assert "Notes 1, 3, 5" in told
    assert len(told) < 600
