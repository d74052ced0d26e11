"""The tasks of a sitting and how far they have come, kept in the visit as they go."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, TypeGuard

from readings.visit.records import KeptPlan, TaskEvent
from readings.visit.visit import Visit
from sequences.model import Sequence
from sequences.plans.model import Adjust, Ask, Note, Plan, Play, Task, What, left_out, minutes_of
from sequences.problems import SequenceError

State = Literal["done", "begun", "to come", "left out", "not needed"]
"""`not needed`: an answer says that it is not wanted. `begun`: left on the way."""
LOST = "What was added here cannot be played any more."


def becomes_run(what: What) -> TypeGuard[Play | Adjust]:
    """Whether a task is played as a run."""
    return isinstance(what, Play | Adjust)


@dataclass(frozen=True)
class TaskLine:
    """A task as it stands."""

    task: Task
    state: State
    said: str
    """The answer, or why it was left out."""
    run: int | None
    """The run that it began last."""
    set_aside: bool
    """Whether that run is set aside: the task is to come again."""
    late: bool
    """Whether the time that is left does not reach for it, by its importance."""


class Sitting:
    """What was done of a plan in a visit, and what comes next.

    Every method that changes something returns after the visit's commit. The same plan taken up
    again in the same visit goes on where it was left, also after the program was killed.

    Args:
        plan: what is to be done.
        visit: keeps it, open for writing.
        load: gives a sequence by its shipped name or its file, for tasks added on the spot.
        minutes: how long a sequence takes.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        plan: Plan,
        visit: Visit,
        load: Callable[[str], Sequence],
        minutes: Callable[[Sequence], float],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.plan = plan
        self.visit = visit
        self._load = load
        self._minutes = minutes
        self._clock = clock
        self._began = clock()
        self._kept = _taken_up(plan, visit)
        self._tasks = list(plan.tasks)
        self._events: list[TaskEvent] = []
        for event in visit.task_events(self._kept.id):
            if event.event == "added":
                self._tasks.append(self._added(event))
            self._events.append(event)
        self._done_before = minutes_of(
            task for task in self._tasks if self.state(task) in ("done", "left out")
        )

    # ---- how it stands

    @property
    def tasks(self) -> tuple[Task, ...]:
        """The plan's own, and after them those that were added on the spot."""
        return tuple(self._tasks)

    @property
    def answers(self) -> dict[str, str]:
        """Answers to questions so far, by the question's name; the last of each."""
        named = {task.number: task.what.name for task in self._tasks if isinstance(task.what, Ask)}
        return {
            named[each.task]: each.text
            for each in self._events
            if each.event == "answered" and each.task in named
        }

    def state(self, task: Task) -> State:
        """How far a task has come."""
        last = self._last(task)
        if last is not None and last.event == "left out":
            return "left out"
        if self._set_aside(task):
            return "to come"
        if last is not None and last.event in ("done", "answered"):
            return "done"
        if last is not None and last.event == "begun":
            # the program may have been killed between the end of the run and that of the task
            ended = None if last.run is None else self.visit.run(last.run).ended
            return "done" if ended == "finished" else "begun"
        return "not needed" if task.wanted(self.answers) is False else "to come"

    def lines(self) -> list[TaskLine]:
        """All tasks as they stand."""
        states = {task.number: self.state(task) for task in self._tasks}
        late = self._late([t for t in self._tasks if states[t.number] in ("to come", "begun")])
        found = []
        for task in self._tasks:
            last, state = self._last(task), states[task.number]
            said = last.text if last is not None and state in ("done", "left out") else ""
            run, aside = self.run_of(task), self._set_aside(task)
            found.append(TaskLine(task, state, said, run, aside, task.number in late))
        return found

    @property
    def next(self) -> Task | None:
        """The task that comes next: one that was begun, or the first to come that time reaches for;
        where it reaches for none, the first to come."""
        lines = self.lines()
        for wanted in (
            (each for each in lines if each.state == "begun"),
            (each for each in lines if each.state == "to come" and not each.late),
            (each for each in lines if each.state == "to come"),
        ):
            for line in wanted:
                return line.task
        return None

    @property
    def minutes_to_go(self) -> float:
        """What the tasks that are still to come take, all of them."""
        return minutes_of(t for t in self._tasks if self.state(t) in ("to come", "begun"))

    @property
    def minutes_there(self) -> float | None:
        """What is left of the plan's time; None where it does not say. Between two days of one
        sitting no time passes: what was done before counts as long as it was planned."""
        if self.plan.minutes is None:
            return None
        passed = (self._clock() - self._began) / 60
        return self.plan.minutes - self._done_before - passed

    def run_of(self, task: Task) -> int | None:
        """The run that a task began last; None where it began none."""
        runs = [each.run for each in self._events if each.task == task.number and each.run]
        return runs[-1] if runs else None

    # ---- what happens

    def begun(self, task: Task, run: int | None = None) -> None:
        """A task was begun, perhaps with a run."""
        self._keep(task, "begun", run)

    def done(self, task: Task, run: int | None = None) -> None:
        """A task was done."""
        self._keep(task, "done", run)

    def answer(self, task: Task, text: str) -> None:
        """Keep the answer to a question, or what was written down. Raises ValueError: it is none.

        A choice is given by its number or its words.
        """
        what, said = task.what, text.strip()
        if not said:
            raise ValueError("Type the answer; Enter keeps it.")
        if isinstance(what, Ask) and what.choices:
            said = _chosen(said, what.choices)
        if isinstance(what, Note):
            self.visit.keep_note(said)
        self._keep(task, "answered", text=said)

    def leave_out(self, task: Task, why: str = "") -> None:
        """A task is left out; it can be taken up again."""
        self._keep(task, "left out", text=why)

    def take_up(self, task: Task) -> None:
        """A task that was done or left out is to come again."""
        self._keep(task, "taken up")

    def add(self, source: str, condition: str = "") -> Task:
        """Add a sequence on the spot, after all others. Raises SequenceError: there is none."""
        self._load(source)
        number = len(self._tasks) + 1
        kept = json.dumps({"play": source, "condition": condition}, ensure_ascii=False)
        event = self.visit.keep_task_event(self._kept.id, number, "added", text=kept)
        task = self._added(event)
        self._tasks.append(task)
        self._events.append(event)
        return task

    # ---- within

    def _keep(
        self,
        task: Task,
        event: Literal["begun", "done", "answered", "left out", "taken up"],
        run: int | None = None,
        text: str = "",
    ) -> None:
        kept = self.visit.keep_task_event(self._kept.id, task.number, event, run=run, text=text)
        self._events.append(kept)

    def _set_aside(self, task: Task) -> bool:
        run = self.run_of(task)
        return run is not None and not self.visit.run(run).counted

    def _last(self, task: Task) -> TaskEvent | None:
        mine = (e for e in reversed(self._events) if e.task == task.number and e.event != "added")
        return next(mine, None)

    def _added(self, event: TaskEvent) -> Task:
        given = json.loads(event.text)
        try:
            sequence = self._load(given["play"])
        except SequenceError:
            return Task(event.task, given["play"], Note(LOST), 1.0)
        what = Play(sequence, given["condition"])
        return Task(event.task, sequence.title, what, self._minutes(sequence))

    def _late(self, coming: Iterable[Task]) -> set[int]:
        """The tasks to come that the time left does not reach for: the least important last."""
        there = self.minutes_there
        if there is None:
            return set()
        return {task.number for task in left_out(coming, there)}


def _chosen(said: str, choices: tuple[str, ...]) -> str:
    if said.isdecimal() and 1 <= int(said) <= len(choices):
        return choices[int(said) - 1]
    alike = [each for each in choices if each.casefold() == said.casefold()]
    if not alike:
        raise ValueError(f"Type 1 to {len(choices)}, or one of the answers in words.")
    return alike[0]


def _taken_up(plan: Plan, visit: Visit) -> KeptPlan:
    """The visit's record of the plan: the one it went by last, where that is the very same."""
    last = visit.plan()
    if last is not None and last.sha256 == plan.sha256:
        return last
    kept = visit.keep_plan(plan.title, plan.text, plan.source)
    aim = plan.aim.over(visit.aim())
    if aim != visit.aim():
        visit.state_aim(aim)
    return kept
