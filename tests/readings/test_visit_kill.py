# ruff: noqa: S311 (moments of a trial)
"""A player killed at any moment loses nothing that it has acknowledged."""

from __future__ import annotations

import random
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from readings.visit.records import PlannedStep
from readings.visit.visit import Visit
from tests.readings.test_visit_damage import PLAN

WRITER = Path(__file__).with_name("visit_writer.py")
STEPS = 3000  # more than the kills of one visit leave time for


def play_and_kill(path: Path, chance: random.Random, what: str = str(STEPS)) -> list[str]:
    """Start a player, kill it at a random moment, and return what it acknowledged."""
    player = subprocess.Popen(
        [sys.executable, str(WRITER), str(path), what],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert player.stdout is not None
    lines = []
    if chance.random() < 0.3:
        time.sleep(chance.uniform(0.0, 0.4))  # while it starts and opens the visit
    else:
        lines.append(player.stdout.readline())
        time.sleep(chance.uniform(0.0, 0.06))
    player.kill()
    rest, errors = player.communicate()
    assert errors == ""
    lines += rest.splitlines(keepends=True)
    return [line.strip() for line in lines if line.endswith("\n")]


def kill_often(path: Path, kills: int, chance: random.Random) -> int:
    """Kill that many players of one visit, and look at the file after each."""
    Visit.create(path, display="lobby wall").close()
    acknowledged: list[str] = []
    for _ in range(kills):
        new = play_and_kill(path, chance)
        acknowledged += new
        with Visit.open(path, write=chance.random() < 0.5) as visit:
            kept = {f"{r.id} {r.step} {r.raw}": r for r in visit.readings()}
            assert [line for line in acknowledged if line not in kept] == []
            assert all(r.luminance == r.step + 0.5 for r in kept.values())
            # A reading committed but not yet acknowledged counts as read too.
            assert [r.step for r in visit.readings()] == list(range(1, len(kept) + 1))
            for run in visit.runs():
                assert run.ended is None
                assert visit.next_step(run.id) == len(kept) + 1
                assert len(visit.steps(run.id)) == STEPS
            assert len(visit.runs()) <= 1
            # What was kept without an acknowledgement is acknowledged by being there.
            acknowledged = list(kept)
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    return len(acknowledged)


def test_every_acknowledged_reading_survives_kill_minus_9(tmp_path: Path) -> None:
    seed = random.randrange(2**32)
    kept = kill_often(tmp_path / f"{seed}.visit", 10, random.Random(seed))
    assert kept > 0, f"no player of seed {seed} lived long enough to keep anything"


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(80))
def test_every_acknowledged_reading_survives_eight_hundred_kills(tmp_path: Path, seed: int) -> None:
    assert kill_often(tmp_path / "lobby.visit", 10, random.Random(seed)) > 0


def test_every_acknowledged_turn_of_a_control_survives_kill_minus_9(tmp_path: Path) -> None:
    seed = random.randrange(2**32)
    chance, path = random.Random(seed), tmp_path / f"{seed}.visit"
    adjusting = PlannedStep(
        label="x", kind="window", parameters={}, quantity="colour", role="adjusting"
    )
    with Visit.create(path, display="lobby wall") as visit:
        run = visit.start_run(PLAN, [adjusting]).id
    acknowledged: list[str] = []
    for _ in range(6):
        acknowledged += play_and_kill(path, chance, "adjust")
        with Visit.open(path, write=chance.random() < 0.5) as visit:
            kept = visit.turns(run)
            assert len(visit.controls(run)) in ({3} if kept else {0, 3})
        assert [each.value for each in kept] == list(range(len(kept)))
        said = [f"{each.id} {each.control} {each.value:g}" for each in kept]
        assert [line for line in acknowledged if line not in said] == []
        acknowledged = said
    assert acknowledged, f"no player of seed {seed} lived long enough to keep anything"


def test_what_a_killed_player_left_half_written_is_undone_by_a_reader_too(tmp_path: Path) -> None:
    path = tmp_path / "lobby.visit"
    Visit.create(path, display="lobby wall").close()
    killed = """
import os, sys
from readings.visit.visit import Visit
visit = Visit.open(sys.argv[1], write=True)
visit._connection.execute("PRAGMA cache_size = 1")  # pages go to the file before the commit
visit._connection.execute("PRAGMA cache_spill = 1")
visit._connection.execute("BEGIN IMMEDIATE")
for _ in range(200):
    visit._connection.execute(
        "INSERT INTO notes (text, at) VALUES (?, '2031-05-04T09:30:00.000000Z')", ("x" * 4000,)
    )
os._exit(9)
"""
    assert subprocess.run([sys.executable, "-c", killed, str(path)], check=False).returncode == 9
    assert path.with_name("lobby.visit-journal").stat().st_size > 0
    with Visit.open(path, write=False) as visit:
        assert visit.notes() == []
    assert not path.with_name("lobby.visit-journal").exists()
