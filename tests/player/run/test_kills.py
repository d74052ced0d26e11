"""kill -9 at any moment of a run: every acknowledged reading is there, and the run goes on."""

from __future__ import annotations

import random
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from readings.visit.visit import Visit

PLAYER = """
import itertools, sys
import sequences
from patterns.picture.canvas import Canvas
from player.run.live import LiveRun
from player.visits import open_or_create
from player.outputs.base import Guard

class Unseen:
    name, canvas, bits, range = "simulated", Canvas(640, 360), 8, "full"
    def about(self): return {}
    def show(self, frame): return Guard("unknown", "nothing is shown in this test")
    def blackout(self): pass
    def close(self): pass

text = open(sys.argv[1]).read()
from pathlib import Path
with open_or_create(Path(sys.argv[2]), name="lobby wall") as visit:
    sequence = sequences.load_text(text, "kills.yaml")
    live = LiveRun(sequence, visit, Unseen(), clock=itertools.count().__next__)
    live.begin()
    print("at", live.number, flush=True)
    while live.step is not None:
        number = live.number
        live.enter(f"{number}.5")
        print("kept", number, flush=True)
    live.leave()
"""
SEQUENCE = """
title: Many greys
signal: sdr8
steps:
  - each: {level: {from: 0 %, to: 100 %, step: 0.025 %}}
    show: {field: {}}
    read: luminance
"""


def kill_and_resume(folder: Path, kills: int, seed: int) -> list[int]:
    """Kill the player ``kills`` times; what it acknowledged, in order of acknowledgement."""
    chance = random.Random(seed)  # noqa: S311 - moments of kills are no secrets
    (folder / "killed.py").write_text(PLAYER)
    (folder / "kills.yaml").write_text(SEQUENCE)
    path = folder / "kills.visit"
    acknowledged: list[int] = []
    for _ in range(kills):
        with subprocess.Popen(
            [sys.executable, folder / "killed.py", folder / "kills.yaml", path],
            stdout=subprocess.PIPE,
            text=True,
        ) as process:
            assert process.stdout is not None
            first = process.stdout.readline()
            killer = threading.Timer(chance.uniform(0.0, 0.15), process.kill)
            killer.start()
            lines = process.stdout.read().splitlines()
        killer.join()
        assert process.returncode == -9, "the run ended before it was killed"
        started = int(first.removeprefix("at "))
        assert started >= len(acknowledged) + 1, "an acknowledged step was asked again"
        whole = [line for line in lines if line.startswith("kept ")]
        acknowledged += [int(line.removeprefix("kept ")) for line in whole]
        with Visit.open(path, write=False) as visit:
            (run,) = visit.runs()
            kept = {reading.step: reading.luminance for reading in visit.readings(run.id)}
        missing = [step for step in acknowledged if kept.get(step) != step + 0.5]
        assert missing == []
        # at most one reading may be on the disk whose acknowledgement was cut off
        assert sorted(kept) == list(range(1, len(kept) + 1))
    return acknowledged


def test_kills_at_random_moments_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    acknowledged = kill_and_resume(tmp_path, kills=8, seed=11)
    assert len(acknowledged) > 8


@pytest.mark.campaign
def test_two_hundred_kills_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    total = 0
    for round_ in range(10):
        folder = tmp_path / str(round_)
        folder.mkdir()
        total += len(kill_and_resume(folder, kills=20, seed=round_))
    assert total > 200
