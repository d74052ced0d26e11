"""A plan of a short sitting, made without a file, and what a sitting needs beside it."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import sequences
from patterns.picture.canvas import Canvas
from player.outputs.simulated import SimulatedOutput
from player.run.live import LiveRun
from player.simulated_play import simulated_display
from player.sitting.sitting import Sitting
from readings.visit.records import text_sha256
from readings.visit.visit import Visit
from sequences.model import Sequence
from sequences.plans.model import Ask, Note, Plan, Play, Task, Tell

WHITE = """
title: White
signal: sdr8
steps:
  - {show: {field: {level: 100 %}}, read: luminance, role: white, settle: 0 s}
  - {show: {field: {level: 0 %}}, read: luminance, role: black, settle: 0 s}
"""
GREY = WHITE.replace("White", "Grey").replace("100 %", "50 %").replace("role: white", "role: grey")


def load(source: str) -> Sequence:
    """A shipped sequence, or one of those above by its title."""
    texts = {"White": WHITE, "Grey": GREY}
    return sequences.load_text(texts[source], source) if source in texts else sequences.load(source)


def plan(**changes: object) -> Plan:
    """Six tasks: something to do, a question, two runs of which one hangs on it, a run, a note."""
    tasks = (
        Task(1, "Local dimming off", Tell("Switch local dimming off."), 2.0),
        Task(2, "HDR?", Ask("Does the display take HDR?", "hdr", ("HDR", "SDR only")), 1.0),
        Task(3, "White", Play(load("White"), "local dimming off"), 10.0, "first"),
        Task(4, "Grey in HDR", Play(load("Grey")), 30.0, only_if={"hdr": ("HDR",)}),
        Task(5, "Grey", Play(load("Grey"), "last"), 20.0, "last"),
        Task(6, "What strikes you?", Note("What strikes you?"), 1.0),
    )
    given = {"title": "Short", "tasks": tasks, "text": "title: Short\n", "source": "short.yaml"}
    given |= changes
    # what may be changed is any of its fields, whose types a mapping cannot tell
    return Plan(**given, sha256=text_sha256(str(given["text"])))  # type: ignore[arg-type]


def sitting(visit: Visit, at: list[float] | None = None, **changes: object) -> Sitting:
    """A sitting with that plan; `at` holds the seconds of its clock."""
    now = at if at is not None else [0.0]
    return Sitting(plan(**changes), visit, load, lambda _: 7.0, clock=lambda: now[0])


def new_visit(folder: Path) -> Visit:
    return Visit.create(folder / "lobby.visit", display="lobby wall")


def run_of(visit: Visit, task: Task, *, to_its_end: bool) -> LiveRun:
    """A run of a task's sequence, played on a simulated display."""
    output = SimulatedOutput(Canvas(640, 360), 8, "full", simulated_display())
    seconds = count()
    run = LiveRun(
        task.what.sequence,
        visit,
        output,
        condition=task.what.condition,
        clock=lambda: float(next(seconds)),
    )
    run.begin()
    for text in ("100", "0.1") if to_its_end else ("100",):
        run.screen.beat()
        assert run.enter(text) or run.enter(text)  # what is doubted is kept the second time
    run.leave()
    return run
