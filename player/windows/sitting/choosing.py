"""Between two runs: which task comes next, what it asks, and what the operator does about it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from patterns.words import duration
from player.keys import LOOK_HELP
from player.run.alike import Question
from player.sitting.given import Given
from player.sitting.sitting import Sitting, State, TaskLine, becomes_run
from readings.visit.errors import VisitError
from sequences.model import CAUTIONS
from sequences.plans.model import Adjust, Ask, Note, Play, Task, Tell, usual_label
from sequences.problems import SequenceError

ROWS = 12
"""Tasks, or sequences to add, that are seen at once."""
PATIENCE = 4.0
"""Seconds that a question about leaving waits for its second key."""
NOBODY_AT_RISK = "yes"
SAME = "Type yes where this is the same condition, no where it is another one."
CONFIRM = f"Type {NOBODY_AT_RISK} and Enter where nobody at risk sees the display."
LEAVE = "Escape again leaves; the sitting is taken up where it is, whenever you like."
ALL_DONE = "Nothing is left to do. Escape twice ends the sitting; an arrow chooses a task again."
WORDS: dict[State, str] = {
    "done": "done",
    "begun": "begun",
    "to come": "to come",
    "left out": "left out",
    "not needed": "not needed",
}
HELP: tuple[tuple[str, str], ...] = (
    ("Enter", "do the chosen task; keep the answer that is typed"),
    ("Up, Down", "choose another task"),
    ("Right", "leave the chosen task out; twice, so that no slip does it"),
    ("Left", "take up again what was done or left out"),
    ("F4", "add a sequence on the spot, after the others"),
    ("Delete, Backspace", "erase the line, one character"),
    *LOOK_HELP,
    ("F1", "this list"),
    ("Escape, twice", "leave; the sitting is taken up where it is"),
)
STARTS = "Enter starts it."
ENTER = {
    Tell: "Enter, when it is done.",
    Ask: "Enter keeps it.",
    Note: "Enter keeps it as a note.",
}
KINDS = {Play: "Play", Adjust: "Adjust", Tell: "Do", Ask: "Answer", Note: "Write down"}


@dataclass(frozen=True)
class Line:
    """One line of the list."""

    number: str
    label: str
    state: str
    said: str
    chosen: bool
    faint: bool


@dataclass(frozen=True)
class SittingView:
    """What the operator is shown between two runs."""

    title: str
    time: str
    head: str
    """What the chosen task is, and its place: `Play · task 3 of 14`."""
    label: str
    text: tuple[str, ...]
    """What is to be known or done, a sentence each."""
    choices: tuple[str, ...]
    entry: bool
    line: str
    prompt: str
    """What Enter does now."""
    notice: str
    pressing: bool
    lines: tuple[Line, ...]
    lines_title: str
    adding: bool
    """Whether they are sequences that may be added."""
    given_head: str
    given: tuple[tuple[str, str], ...]
    """What the task before gave: a word, and a sentence."""
    help: tuple[tuple[str, str], ...]
    using: str
    """What is read and shown with: meter, range, screen."""
    keys_lost: bool = False
    """Whether keys go to another program."""


class Choosing:
    """Takes keys and typed text between two runs.

    Args:
        sitting: the tasks.
        shipped: names of the sequences that may be added on the spot.
        flashing: why a task may not be shown without asking first; empty where it may.
        using: what is read and shown with, for people.
        alike: what is to be asked of a task's condition, where earlier runs say nearly the same.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        sitting: Sitting,
        shipped: Sequence[str],
        flashing: Callable[[Task], Sequence[str]],
        using: str = "",
        alike: Callable[[Task], Question | None] = lambda _: None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.sitting = sitting
        self._shipped = tuple(shipped)
        self._flashing = flashing
        self._using = using
        self._alike = alike
        self._question: Question | None = None
        """What is asked of the condition of the task that is to start."""
        self.condition: str | None = None
        """The condition of an earlier run that the task is played under; None for its own."""
        self._clock = clock
        self._chosen = sitting.next
        self.line = ""
        self.notice = ""
        self._pressing = False
        self._asked: tuple[str, float] = ("", 0.0)
        """What a second key would do, and until when."""
        self._helping = False
        self._adding: int | None = None
        """Which sequence of the list to add is chosen; None where it is closed."""
        self._at_risk: tuple[str, ...] = ()
        """What flashes, where that has to be confirmed."""
        self.start: Task | None = None
        """The task to play now."""
        self.confirmed: tuple[str, ...] = ()
        """What flashes, and nobody at risk sees."""
        self.left = False
        self.given_of: Task | None = None
        """The task whose findings stand on the page; None where the chosen task does."""
        self.given: Mapping[int, Given] = {}
        """What runs gave, by their ids, as far as it is worked out."""

    # ---- keys

    def key(self, name: str) -> bool:
        """Take a key by its name; False where it only types."""
        handler = {
            "ENTER": self._enter,
            "RETURN": self._enter,
            "NUM_ENTER": self._enter,
            "UP": lambda: self._move(-1),
            "DOWN": lambda: self._move(1),
            "PAGEUP": lambda: self._move(-ROWS),
            "PAGEDOWN": lambda: self._move(ROWS),
            "RIGHT": self._leave_out,
            "LEFT": self._take_up,
            "DELETE": self._clear,
            "BACKSPACE": self._erase,
            "F1": self._help,
            "F4": self._open_list,
            "ESCAPE": self._escape,
        }.get(name)
        if handler is None:
            return False
        self.notice, self._pressing = "", False
        if self._asked[0] != name:
            self._asked = ("", 0.0)  # another key takes back what was asked
        try:
            handler()
        except (VisitError, SequenceError) as error:
            self._tell(error.sentence())
        return True

    def type(self, text: str) -> None:
        """Take typed characters, where something is to be typed."""
        plain = "".join(each for each in text if each.isprintable())
        if not plain or not (self._entry or self._asks_yes):
            return
        self.notice, self._pressing = "", False
        self.line = (self.line + plain)[:2000]

    def played(self, task: Task) -> None:
        """A task has been played: what it gave is worked out, and the next one is chosen."""
        self.start, self.confirmed, self.condition = None, (), None
        self.given_of = task
        if (run := self.sitting.run_of(task)) is not None:
            self.given = {number: each for number, each in self.given.items() if number != run}
        self._choose_next()  # behind what it gave

    def tell(self, sentence: str) -> None:
        """Tell the operator something that went wrong."""
        self._tell(sentence)

    # ---- what the window shows

    def view(self) -> SittingView:
        """All of it now."""
        sitting, task = self.sitting, self._chosen
        lines = sitting.lines()
        choices = task.what.choices if task is not None and isinstance(task.what, Ask) else ()
        numbered = tuple(f"{n}  {each}" for n, each in enumerate(choices, 1))
        shown, title = self._listed(lines)
        notice = self.notice or ("" if task is not None else ALL_DONE)
        return SittingView(
            title=sitting.plan.title,
            time=_time(sitting),
            head=self._head(task),
            label="" if task is None else task.label,
            text=self._text(task),
            choices=numbered,
            entry=self._entry or self._asks_yes,
            line=self.line,
            prompt=self._prompt(task),
            notice=notice,
            pressing=self._pressing,
            lines=shown,
            lines_title=title,
            adding=self._adding is not None,
            given_head="" if self.given_of is None else self.given_of.label,
            given=self._given(),
            help=HELP if self._helping else (),
            using=self._using,
        )

    def _listed(self, lines: Sequence[TaskLine]) -> tuple[tuple[Line, ...], str]:
        if self._adding is not None:
            first = _first(self._adding, len(self._shipped))
            part = self._shipped[first : first + ROWS]
            shown = tuple(
                Line("+", each, "", "", first + place == self._adding, False)
                for place, each in enumerate(part)
            )
            return shown, f"Sequences {first + 1} to {first + len(part)} of {len(self._shipped)}"
        at = self._chosen.number - 1 if self._chosen is not None else 0
        first = _first(at, len(lines))
        part_of = lines[first : first + ROWS]
        done = sum(each.state == "done" for each in lines)
        return (
            tuple(self._line(each) for each in part_of),
            f"Tasks {first + 1} to {first + len(part_of)} of {len(lines)}, {done} done",
        )

    def _line(self, line: TaskLine) -> Line:
        task = line.task
        chosen = self._chosen is not None and task.number == self._chosen.number
        state = "no time" if line.late else WORDS[line.state]
        if line.state == "to come":
            state = f"{state}, {ceil(task.minutes)} min"
        given = self.given.get(line.run) if line.run is not None else None
        label, what = task.label, task.what
        said = line.said or ("" if given is None else given.in_short())
        if isinstance(what, Play) and label == usual_label(what):
            label, said = what.sequence.title, said or what.condition  # on two lines
        return Line(str(task.number), label, state, said, chosen, line.state == "not needed")

    def _head(self, task: Task | None) -> str:
        if task is None:
            return "All tasks are done"
        return f"{KINDS[type(task.what)]} · task {task.number} of {len(self.sitting.tasks)}"

    def _text(self, task: Task | None) -> tuple[str, ...]:
        if task is None:
            return ()
        if self._question is not None:
            return (self._question.found,)
        if self._at_risk:
            return (*self._at_risk[:3], CAUTIONS["flashing"])
        what = task.what
        if isinstance(what, Tell | Ask | Note):
            said = [] if what.text == task.label else [what.text]
        else:
            condition = f", under the condition {what.condition}" if what.condition else ""
            said = [f"About {duration(60 * ceil(task.minutes))}{condition}."]
            said += ["Read with the reference."] if what.instrument == "reference" else []
            said += [CAUTIONS[each] for each in what.sequence.cautions]
            said += list(what.sequence.at_the_screen)
        return tuple(said)

    def _prompt(self, task: Task | None) -> str:
        """What Enter does now."""
        asked = {
            SAME: self._question is not None,
            CONFIRM: bool(self._at_risk),
            "Enter goes on to the tasks.": self.given_of is not None,
            "Enter adds it after the others; Escape closes the list.": self._adding is not None,
        }
        if any(asked.values()) or task is None:
            return next((sentence for sentence, holds in asked.items() if holds), "")
        state = self.sitting.state(task)
        if state in ("done", "left out"):
            gave = "Enter shows what it gave, " if self._gave(task) else ""
            return f"It is {WORDS[state]}: {gave}the left arrow takes it up again."
        if becomes_run(task.what) and state == "begun":
            return "Enter goes on with it."
        if isinstance(task.what, Ask) and task.what.choices:
            return "A number or the words, and Enter."
        return STARTS if becomes_run(task.what) else ENTER[type(task.what)]

    def _given(self) -> tuple[tuple[str, str], ...]:
        if self.given_of is None:
            return ()
        run = self.sitting.run_of(self.given_of)
        given = None if run is None else self.given.get(run)
        if given is None:
            return (("", "Being worked out…"),)
        told = []
        for each in given.said:
            settle = f" {each.settle}." if each.settle else ""
            told.append((each.word, f"{each.sentence}. {'; '.join(each.figures)}.{settle}"))
        if given.unread:
            told.append(("NOT READ", f"{given.unread} of its steps."))
        return tuple(told) or (("", "It was read, and nothing was found from it."),)

    # ---- what keys do

    @property
    def _entry(self) -> bool:
        task = self._chosen
        if task is None or not isinstance(task.what, Ask | Note):
            return False
        free = not self._asks_yes and self.given_of is None and self._adding is None
        return free and self.sitting.state(task) == "to come"

    @property
    def _asks_yes(self) -> bool:
        return bool(self._at_risk) or self._question is not None

    def _tell(self, sentence: str) -> None:
        self.notice, self._pressing = sentence, True

    def _enter(self) -> None:
        task = self._chosen
        if self._helping:
            self._helping = False
        elif self.given_of is not None:
            self.given_of = None
        elif self._adding is not None:
            self._add(self._shipped[self._adding])
        elif task is None:
            self._tell(ALL_DONE)
        elif self._question is not None:
            self._say_whether_the_same(task, self._question)
        elif self._at_risk:
            self._confirm(task)
        else:
            self._do(task)

    def _do(self, task: Task) -> None:
        """What Enter does with the chosen task."""
        if self.sitting.state(task) in ("done", "left out"):
            if self._gave(task):
                self.given_of = task
            else:
                self._tell(self._prompt(task))
        elif isinstance(task.what, Ask | Note):
            self._answer(task)
        elif becomes_run(task.what):
            self._start(task)
        else:
            self.sitting.done(task)
            self._choose_next()

    def _gave(self, task: Task) -> bool:
        """Whether a run of it has findings to be shown."""
        run = self.sitting.run_of(task)
        return run is not None and run in self.given

    def _answer(self, task: Task) -> None:
        try:
            self.sitting.answer(task, self.line)
        except ValueError as error:
            if isinstance(error, VisitError):
                raise
            self._tell(str(error))
            return
        self._choose_next()

    def _start(self, task: Task) -> None:
        self.condition, self._question = None, self._alike(task)
        if self._question is None:
            self._start_unless_it_flashes(task)

    def _say_whether_the_same(self, task: Task, question: Question) -> None:
        said = self.line.strip().casefold()
        if said not in ("yes", "no"):
            self._tell(SAME)
            return
        self.condition = question.condition if said == "yes" else None
        self._question, self.line = None, ""
        self._start_unless_it_flashes(task)

    def _start_unless_it_flashes(self, task: Task) -> None:
        found = tuple(self._flashing(task))
        if found and not self.confirmed:
            self._at_risk, self.line = found, ""
            return
        self.start = task

    def _confirm(self, task: Task) -> None:
        if self.line.strip().casefold() != NOBODY_AT_RISK:
            self._tell("Nothing is shown: Escape goes back to the tasks.")
            return
        self.confirmed, self._at_risk, self.line = self._at_risk, (), ""
        self.start = task

    def _add(self, name: str) -> None:
        self._chosen, self._adding = self.sitting.add(name), None
        self.notice = "Added."

    def _choose_next(self) -> None:
        self._chosen, self.line = self.sitting.next, ""

    def _move(self, by: int) -> None:
        self.given_of = None
        if self._adding is not None:
            self._adding = min(max(self._adding + by, 0), len(self._shipped) - 1)
            return
        if self._asks_yes or (self._entry and self.line):
            self._tell("Enter keeps what is typed, Delete erases it.")
            return
        tasks = self.sitting.tasks
        at = self._chosen.number - 1 if self._chosen is not None else len(tasks)
        self._chosen = tasks[min(max(at + by, 0), len(tasks) - 1)]

    def _leave_out(self) -> None:
        task = self._chosen
        if self.given_of is not None or task is None or self._adding is not None or self._asks_yes:
            return
        if self.sitting.state(task) in ("done", "left out"):
            self._tell(self._prompt(task))
        elif self._twice("RIGHT"):
            self.sitting.leave_out(task)
            self._choose_next()
        else:
            self._tell("The right arrow again leaves this task out.")

    def _take_up(self) -> None:
        task = self._chosen
        if (
            self.given_of is None
            and task is not None
            and self.sitting.state(task) in ("done", "left out")
        ):
            self.sitting.take_up(task)

    def _clear(self) -> None:
        self.line = ""

    def _erase(self) -> None:
        self.line = self.line[:-1]

    def _help(self) -> None:
        self._helping = not self._helping

    def _open_list(self) -> None:
        self.given_of = None
        self._adding = None if self._adding is not None else 0

    def _escape(self) -> None:
        self.given_of = None
        if self._helping:
            self._helping = False
        elif self._adding is not None:
            self._adding = None
        elif self._asks_yes:
            self._at_risk, self._question, self.line = (), None, ""
        elif self._twice("ESCAPE"):
            self.left = True
        else:
            self._tell(LEAVE)

    def _twice(self, name: str) -> bool:
        """Whether this key comes for the second time in time; the first one asks."""
        now, (asked, until) = self._clock(), self._asked
        self._asked = (name, now + PATIENCE)
        return asked == name and now < until


def _first(at: int, count: int) -> int:
    """The first of the rows that are seen: the chosen one stays in the middle where it can."""
    return min(max(at - ROWS // 2, 0), max(count - ROWS, 0))


def _time(sitting: Sitting) -> str:
    to_go = sitting.minutes_to_go
    takes = f"{duration(60 * ceil(to_go))} to go" if to_go else ""
    there = sitting.minutes_there
    if there is None:
        return takes
    if there <= 0:
        return f"Time is up; {takes}" if takes else "Time is up"
    return f"{duration(60 * ceil(there))} left; {takes}" if takes else ""
