# ruff: noqa: S311 (moments of a trial)
"""An adjustment killed at any moment: nothing acknowledged is lost, and all is known again."""

from __future__ import annotations

import json
import random
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from readings.visit.visit import Visit

ADJUSTER = Path(__file__).with_name("adjuster.py")
LONGEST = 120.0
"""Seconds that a life may take that nobody ends."""
Line = list[object]
KILLS = 18
"""Of one trial of the campaign."""


def adjust(path: Path, how: str, chance: random.Random) -> subprocess.Popen[str]:
    """Somebody who adjusts, from where the visit is."""
    return subprocess.Popen(
        [sys.executable, str(ADJUSTER), str(path), how, str(chance.randrange(2**32))],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def adjust_and_kill(path: Path, how: str, longest: float, chance: random.Random) -> list[Line]:
    """Let it be adjusted up to a random moment; what was acknowledged.

    Some are killed while they start and are told again what was learnt, some right after an
    acknowledgement.
    """
    adjuster = adjust(path, how, chance)
    assert adjuster.stdout is not None
    lines: list[str] = []
    luck = chance.random()
    if luck < 0.25:
        time.sleep(chance.uniform(0.5, 3.0))
    else:
        while not lines or '"begun"' not in lines[-1]:
            lines.append(adjuster.stdout.readline())
            assert lines[-1], "it ended before it had begun"
        if how == "asked" and luck < 0.45:
            while lines[-1] and '"asked"' not in lines[-1] and '"told"' not in lines[-1]:
                lines.append(adjuster.stdout.readline())
            lines += [adjuster.stdout.readline() for _ in range(chance.randrange(12))]
        elif luck < 0.6:
            lines += [adjuster.stdout.readline() for _ in range(chance.randrange(20))]
        else:
            time.sleep(chance.uniform(0.0, longest))
    adjuster.kill()
    rest, errors = adjuster.communicate()
    assert errors == ""
    return heard_of(lines + rest.splitlines(keepends=True))


def heard_of(lines: list[str]) -> list[Line]:
    """What was said whole."""
    return [json.loads(line) for line in lines if line.endswith("\n")]


def what_is_kept(visit: Visit) -> dict[tuple[object, object], Line]:
    """What a visit has, as it is acknowledged, by what it is and its id."""
    found: list[Line] = []
    for run in (each.id for each in visit.runs()):
        kept = visit.controls(run)
        names = {each.id: each.control.name for each in kept}
        found += [["control", each.id, each.step, each.control.name] for each in kept]
        found += [["reading", each.id, each.step, each.luminance] for each in visit.readings(run)]
        found += [
            ["turn", each.id, each.event, names[each.control], each.value]
            for each in visit.turns(run)
        ]
        found += [["end", each.id, each.step, each.why] for each in visit.adjustments(run)]
    return {(line[0], line[1]): line for line in found}


@dataclass
class Memory:
    """What was acknowledged over all lives of one adjustment."""

    kept: dict[tuple[object, object], Line] = field(default_factory=dict)
    told: dict[object, list[Line]] = field(default_factory=dict)
    """By step, what its adviser was told."""
    undo: dict[object, object] = field(default_factory=dict)
    """By step, what F2 would put back after that."""
    counted: Counter[str] = field(default_factory=Counter)

    def hear(self, said: list[Line]) -> None:
        """Take what one life said, after a look whether it knows all that was known before."""
        names = [line[0] for line in said]
        if "begun" not in names:
            self.counted["killed before it knew"] += 1
            return
        place = names.index("begun")
        _, step, undo = said[place]
        self._compare(step, said[:place], undo)
        self.told[step] = []
        for line in said:
            if line[0] == "told":
                self.told.setdefault(line[1], []).append(line[2:])
                self.undo.pop(line[1], None)
            elif line[0] in ("begun", "undo"):
                self.undo[line[1]] = line[2]
            elif line[0] not in ("asked", "finished"):
                self.kept[line[0], line[1]] = line

    def _compare(self, step: object, again: list[Line], undo: object) -> None:
        """What is told anew begins with all that was acknowledged, at the same times."""
        known = self.told.get(step, [])
        told = [line[2:] for line in again if line[:2] == ["told", step]]
        assert len(told) == len(again), "an adviser of another step was made"
        assert told[: len(known)] == known
        # what was kept and not yet acknowledged: an event, or black and white together
        assert len(told) - len(known) <= 2
        if len(told) == len(known) and step in self.undo:
            assert undo == self.undo[step]
            self.counted["the same to put back"] += bool(undo)
        self.counted["taken up"] += bool(known)
        self.counted["told again"] += len(known)
        self.counted["kept and not yet acknowledged"] += len(told) - len(known)

    def require_kept(self, path: Path) -> None:
        """Nothing that was acknowledged is missing or another; controls are there whole."""
        with Visit.open(path, write=True) as visit:
            kept = what_is_kept(visit)
            assert {key: kept.get(key) for key in self.kept} == self.kept
            controls = Counter(line[2] for (what, _), line in kept.items() if what == "control")
            assert controls in ({}, {1: 6}, {1: 6, 2: 30})
            for run in visit.runs():
                asked = visit.next_step(run.id) not in {None, *controls}
                self.counted["controls asked for"] += asked
                there = {each.id for each in visit.showings(run.id)}
                assert all(each.showing in there for each in visit.readings(run.id))
        with closing(sqlite3.connect(path)) as connection:
            assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert connection.execute("PRAGMA foreign_key_check").fetchall() == []


def kill_often(path: Path, how: str, kills: int, longest: float, chance: random.Random) -> Memory:
    """Kill that many, or fewer where it came to its end before."""
    Visit.create(path, display="lobby wall").close()
    memory = Memory()
    for _ in range(kills):
        said = adjust_and_kill(path, how, longest, chance)
        memory.hear(said)
        memory.require_kept(path)
        memory.counted["kills"] += 1
        if said[-1:] == [["finished"]]:
            break
    return memory


def come_to_the_end(path: Path, how: str, chance: random.Random, memory: Memory) -> None:
    """Nobody kills the last one."""
    lines, errors = adjust(path, how, chance).communicate(timeout=LONGEST)
    assert errors == ""
    said = heard_of(lines.splitlines(keepends=True))
    memory.hear(said)
    memory.require_kept(path)
    with Visit.open(path, write=False) as visit:
        (run,) = visit.runs()
        assert run.ended == "finished"
        assert visit.adjusted(run.id) == {1, 2}
        assert visit.skips(run.id) == []


def test_an_adjustment_killed_a_few_times_is_taken_up_with_all_that_was_learnt(
    tmp_path: Path,
) -> None:
    seed = random.randrange(2**32)
    path, chance = tmp_path / f"{seed}.visit", random.Random(seed)
    memory = kill_often(path, chance.choice(["metered", "asked"]), 4, 2.0, chance)
    assert memory.kept, f"seed {seed}"


@pytest.mark.campaign
@pytest.mark.timeout(1200)
@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("how", ["metered", "typed", "asked"])
def test_an_adjustment_killed_a_hundred_times_is_taken_up_with_all_that_was_learnt(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], how: str, seed: int
) -> None:
    chance, counted = random.Random(f"{seed} {how}"), Counter[str]()
    while counted["kills"] < KILLS:
        path = tmp_path / f"{counted['adjustments']}.visit"
        memory = kill_often(path, how, KILLS - counted["kills"], 0.7, chance)
        come_to_the_end(path, how, chance, memory)
        counted += memory.counted
        counted.update(str(line[2 if line[0] == "turn" else 0]) for line in memory.kept.values())
        counted["adjustments"] += 1
    with capsys.disabled():
        print(f"\n{how}: {dict(counted)}")  # noqa: T201 - what the campaign is for
    assert counted["taken up"] > KILLS / 4
