"""Sits through a long plan without windows, and says each thing only once the visit has kept it.

Usage: sitter.py VISIT. Lines: `event TASK EVENT`, `reading ID`, and `next TASK` at the start.
"""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

sys.path.append(str(Path(__file__).parents[3]))  # last: what is installed goes before the tree

from patterns.picture.canvas import Canvas
from player.outputs.simulated import SimulatedOutput
from player.run.live import LiveRun
from player.simulated_play import simulated_display
from player.sitting.sitting import Sitting
from readings.visit.records import text_sha256
from readings.visit.visit import Visit
from sequences.plans.model import Ask, Plan, Play, Task, Tell
from tests.player.sitting.plans import load

TASKS = 600
CANVAS = Canvas(640, 360)


def long_plan() -> Plan:
    """Things to do, questions and runs in turn, more than the kills leave time for."""
    tasks = []
    for number in range(1, TASKS + 1):
        what = (
            Tell("Switch local dimming on."),
            Ask("Which preset?", f"preset {number}", ("film", "sport")),
            Play(load("White"), f"condition {number}"),
        )[number % 3]
        tasks.append(Task(number, f"Task {number}", what, 1.0))
    text = "title: Long\n"
    return Plan("Long", tuple(tasks), text, text_sha256(text), "long.yaml")


def say(*words: object) -> None:
    """Acknowledge."""
    sys.stdout.write(" ".join(map(str, words)) + "\n")
    sys.stdout.flush()


def play(sitting: Sitting, task: Task, output: SimulatedOutput) -> None:
    """Play a task's sequence to its end."""
    assert isinstance(task.what, Play)
    seconds = count()
    run = LiveRun(
        task.what.sequence,
        sitting.visit,
        output,
        condition=task.what.condition,
        clock=lambda: float(next(seconds)),
    )
    sitting.begun(task, run.id)
    say("event", task.number, "begun")
    run.begin()
    while not run.finished:
        run.screen.beat()
        text = {1: "100", 2: "0.1"}[run.number]
        assert run.enter(text) or run.enter(text)
        say("reading", max(each.id for each in sitting.visit.readings(run.id)))
        run.screen.beat()
    run.leave()
    sitting.done(task, run.id)
    say("event", task.number, "done")


def main() -> None:
    """Sit until killed, or to the end."""
    output = SimulatedOutput(CANVAS, 8, "full", simulated_display())
    with Visit.open(sys.argv[1], write=True) as visit:
        sitting = Sitting(long_plan(), visit, load, lambda _: 1.0)
        say("next", sitting.next.number if sitting.next else 0)
        while (task := sitting.next) is not None:
            if isinstance(task.what, Play):
                play(sitting, task, output)
            elif isinstance(task.what, Ask):
                sitting.answer(task, "1")
                say("event", task.number, "answered")
            else:
                sitting.done(task)
                say("event", task.number, "done")


if __name__ == "__main__":
    main()
