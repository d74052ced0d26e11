# ruff: noqa: S311 (moments of a trial)
"""An adjustment killed at any moment: nothing acknowledged is lost, and all is known again."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from readings.visit.visit import Visit

ADJUSTER = Path(__file__).with_name("adjuster.py")


def adjust_and_kill(path: Path, longest: float, chance: random.Random) -> list[list[str]]:
    """Let it be adjusted up to a random moment; what was acknowledged, in words."""
    adjuster = subprocess.Popen(
        [sys.executable, str(ADJUSTER), str(path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert adjuster.stdout is not None
    lines = [adjuster.stdout.readline()]
    time.sleep(chance.uniform(0.0, longest))
    adjuster.kill()
    rest, errors = adjuster.communicate()
    assert errors == ""
    lines += rest.splitlines(keepends=True)
    return [line.split() for line in lines if line.endswith("\n")]


def told_of_open_step(visit: Visit) -> tuple[int, float]:
    """How much a new adviser of the step that is open has to be told, and when the last of it was,
    seconds from the first."""
    (run,) = visit.runs()
    step = visit.next_step(run.id)
    showings = {each.id: each for each in visit.showings(run.id)}
    times = [each.taken_at for each in visit.readings(run.id) if each.step == step]
    read = len(times)
    assert all(showings[each.showing].step == each.step for each in visit.readings(run.id))
    times += [each.at for each in visit.turns(run.id) if each.step == step]
    if read < 2:  # without black and white there is no goal, and nobody is told anything
        return 0, 0.0
    return len(times), (max(times) - min(times)).total_seconds()


def kill_often(path: Path, kills: int, longest: float, chance: random.Random) -> int:
    """Kill that many of them; how many turns there are in the end."""
    Visit.create(path, display="lobby wall").close()
    readings: set[int] = set()
    turns = 0
    heard: tuple[int, float] = (0, 0.0)
    for _ in range(kills):
        said = adjust_and_kill(path, longest, chance)
        if not said:
            continue  # it was killed before it had begun
        number, at = said[0][1:]
        assert (int(number), float(at)) == pytest.approx(heard)
        readings |= {int(words[1]) for words in said if words[0] == "reading"}
        turns = max([turns, *(int(words[1]) for words in said if words[0] == "turns")])
        with Visit.open(path, write=True) as visit:
            (run,) = visit.runs()
            assert readings <= {each.id for each in visit.readings(run.id)}
            assert turns <= len(visit.turns(run.id))
            if ["ended"] in said:
                return len(visit.turns(run.id))
            heard = told_of_open_step(visit)
    return turns


def test_an_adjustment_killed_a_few_times_is_taken_up_with_all_that_was_learnt(
    tmp_path: Path,
) -> None:
    seed = random.randrange(2**32)
    assert kill_often(tmp_path / "lobby.visit", 4, 2.0, random.Random(seed)) > 0, f"seed {seed}"


@pytest.mark.campaign
@pytest.mark.timeout(1200)
@pytest.mark.parametrize("seed", range(5))
def test_an_adjustment_killed_two_hundred_times_is_taken_up_with_all_that_was_learnt(
    tmp_path: Path, seed: int
) -> None:
    assert kill_often(tmp_path / "lobby.visit", 40, 0.6, random.Random(seed)) > 0
