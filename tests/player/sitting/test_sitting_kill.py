# ruff: noqa: S311 (moments of a trial)
"""A sitting killed at any moment, across tasks: nothing acknowledged is lost, and it goes on."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from player.sitting.sitting import Sitting
from readings.visit.visit import Visit
from tests.player.sitting.plans import load
from tests.player.sitting.sitter import TASKS, long_plan

SITTER = Path(__file__).with_name("sitter.py")
ENDS = ("done", "answered")


def sit_and_kill(path: Path, chance: random.Random) -> list[list[str]]:
    """Start a sitter, kill it at a random moment, and give what it acknowledged, in words."""
    sitter = subprocess.Popen(
        [sys.executable, str(SITTER), str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert sitter.stdout is not None
    lines = [sitter.stdout.readline()]
    time.sleep(chance.uniform(0.0, 0.3))
    sitter.kill()
    rest, errors = sitter.communicate()
    assert errors == ""
    lines += rest.splitlines(keepends=True)
    return [line.split() for line in lines if line.endswith("\n")]


def kill_often(path: Path, kills: int, chance: random.Random) -> int:
    """Kill that many sitters of one visit; how many tasks were done in the end."""
    Visit.create(path, display="lobby wall").close()
    events: set[tuple[int, str]] = set()
    readings: set[int] = set()
    coming = 1
    for _ in range(kills):
        said = sit_and_kill(path, chance)
        first = [int(words[1]) for words in said if words[0] == "next"]
        assert first in ([], [coming])
        events |= {(int(words[1]), words[2]) for words in said if words[0] == "event"}
        readings |= {int(words[1]) for words in said if words[0] == "reading"}
        with Visit.open(path, write=True) as visit:
            sitting = Sitting(long_plan(), visit, load, lambda _: 1.0)
            kept = {(each.task, each.event) for each in visit.task_events(1)}
            assert events <= kept
            assert readings <= {each.id for each in visit.readings()}
            states = [line.state for line in sitting.lines()]
            done = states.count("done")
            # one after the other, none twice, and at most one on the way
            assert states[:done] == ["done"] * done
            assert states[done:].count("begun") <= 1
            assert sitting.next is not None
            assert sitting.next.number == done + 1
            runs = [run.condition for run in visit.runs()]
            assert len(set(runs)) == len(runs)
            coming = done + 1
    return done


def test_a_sitting_killed_a_few_times_is_taken_up_at_the_right_task(tmp_path: Path) -> None:
    seed = random.randrange(2**32)
    done = kill_often(tmp_path / f"{seed}.visit", 6, random.Random(seed))
    assert 0 < done < TASKS, f"seed {seed}"


@pytest.mark.campaign
@pytest.mark.parametrize("seed", range(10))
def test_a_sitting_killed_two_hundred_times_is_taken_up_at_the_right_task(
    tmp_path: Path, seed: int
) -> None:
    assert 0 < kill_often(tmp_path / "lobby.visit", 20, random.Random(seed)) < TASKS
