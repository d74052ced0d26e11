"""Somebody who goes through a whole sitting by real keys, and only looks at the visit file."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

import sequences
from patterns.kinds.moving_box import MovingBox
from patterns.picture.canvas import Canvas
from player.sitting.sitting import Sitting
from readings.visit.visit import Visit, VisitError
from sequences.model import Sequence, Step
from sequences.plans.model import Ask, Note, Plan, Play, Task
from sequences.zone_steps import is_comb, is_crawl
from tests.player.playing import Playing

ANSWERS = {"choice": "1", "count": "1", "text": "nothing", "milliseconds": "30"}
AGAIN = 6.0
"""Seconds after which a key is pressed once more: what was typed may have been doubted."""
GIVES_UP = 300.0
"""Seconds at one step after which the sitting is taken to hang."""


@dataclass
class Log:
    """What the sitting took."""

    keys: Counter[str] = field(default_factory=Counter)
    """Keys and typed texts, by what they were for."""
    between: list[float] = field(default_factory=list)
    """Seconds from the end of one sequence to the first picture of the next, with all that was
    asked and told between them."""
    seconds: float = 0.0


class Calibrator:
    """Goes through a plan on two screens with a meter that reads on Enter.

    Args:
        playing: the command of the sitting.
        plan: what it goes by.
        answers: to the plan's questions, by their names; the second choice to all others.
        canvas: of the pattern screen.
    """

    def __init__(
        self, playing: Playing, plan: Plan, answers: dict[str, str], canvas: Canvas
    ) -> None:
        self.playing = playing
        self.plan = plan
        self.answers = answers
        self.canvas = canvas
        self.log = Log()

    def go_through(self) -> Log:
        """Do every task; the log of it."""
        began, ended = time.monotonic(), None
        while (task := self._next()) is not None:
            if isinstance(task.what, Play):
                self._press("Return", "task")
                run = self._run_of(task)
                self._wait(lambda run=run: self._shown(run) > 0, f"{task.label} is up")
                if ended is not None:
                    self.log.between.append(time.monotonic() - ended)
                self._play(run, task.what.sequence)
                ended = time.monotonic()
            else:
                self._do(task)
        self.log.seconds = time.monotonic() - began
        return self.log

    # ---- tasks

    def _do(self, task: Task) -> None:
        what = task.what
        if isinstance(what, Ask):
            self._type(self.answers.get(what.name, "2"), "task")
        elif isinstance(what, Note):
            self._type("a bright corner", "task")
        self._press("Return", "task")
        self._wait(lambda: self._done(task), f"{task.label} is done")

    def _play(self, run: int, sequence: Sequence) -> None:
        while (number := self._open(run)) is not None:
            step = sequence.steps[number - 1]
            self._wait(lambda n=number: self._last(run) == n, f"step {number} is up")
            self._read(run, step)
        self._press("Return", "end of a sequence")
        self._wait(lambda: self._ended(run), "the run is finished")
        time.sleep(0.3)
        self._press("Return", "what a sequence gave")

    def _read(self, run: int, step: Step) -> None:
        read = step.read
        if read is not None and read.quantity == "tally":
            time.sleep(float(step.settle))
            if is_crawl(step) and isinstance(step.pattern, MovingBox):
                time.sleep(float(step.pattern.seconds_to_end(self.canvas)) + 3)
        elif read is not None and not read.of_light:
            self._type("?" if is_comb(step) else ANSWERS[read.quantity], "reading")
        until = time.monotonic() + GIVES_UP
        while self._open(run) == step.number:
            assert time.monotonic() < until, f"{step.label} was never read: {self.playing.said()}"
            self._press("Return", "reading")
            again = time.monotonic() + AGAIN + float(step.settle)
            while self._open(run) == step.number and time.monotonic() < again:
                time.sleep(0.1)

    # ---- keys

    def _press(self, key: str, why: str) -> None:
        self.log.keys[why] += 1
        self.playing.key(key)

    def _type(self, text: str, why: str) -> None:
        self.log.keys[why] += len(text)
        self.playing.type(text)

    # ---- what the visit says

    def _visit(self) -> Visit:
        return Visit.open(self.playing.visit_path, write=False)

    def _next(self) -> Task | None:
        with self._visit() as visit:
            return Sitting(self.plan, visit, sequences.load, lambda _: 1.0).next

    def _done(self, task: Task) -> bool:
        with self._visit() as visit:
            sitting = Sitting(self.plan, visit, sequences.load, lambda _: 1.0)
            return sitting.state(task) == "done"

    def _run_of(self, task: Task) -> int:
        found: list[int] = []

        def there() -> bool:
            with self._visit() as visit:
                kept = visit.plan()
                assert kept is not None
                found.extend(
                    each.run
                    for each in visit.task_events(kept.id)
                    if each.task == task.number and each.run
                )
            return bool(found)

        self._wait(there, f"{task.label} is begun")
        return found[-1]

    def _shown(self, run: int) -> int:
        with self._visit() as visit:
            return len(visit.showings(run))

    def _last(self, run: int) -> int:
        with self._visit() as visit:
            return visit.showings(run)[-1].step

    def _open(self, run: int) -> int | None:
        with self._visit() as visit:
            return visit.next_step(run)

    def _ended(self, run: int) -> bool:
        with self._visit() as visit:
            return visit.run(run).ended == "finished"

    def _wait(self, what: Callable[[], bool], why: str) -> None:
        end = time.monotonic() + GIVES_UP
        while True:
            try:
                if what():
                    return
            except VisitError:
                pass  # it is being written
            self.playing.running()
            assert time.monotonic() < end, f"waited until {why}: {self.playing.said()}"
            time.sleep(0.1)
