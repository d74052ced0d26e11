"""What is in a visit and what is missing, on the terminal."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from patterns.words import count
from readings.evidence.measured import Measured
from readings.findings import FINDINGS
from readings.ranges import ranges
from readings.report.gather import RunContents, VisitContents, contents_of
from readings.report.wording import aim_text, specified_text, time_text
from readings.visit.visit import Visit

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from player.sitting.sitting import TaskLine

MOST_STEPS = 6
"""Stretches of steps without a reading that are listed; of more, how many there are."""


def print_overview(visit: Visit, screen: Console) -> None:
    """Print the display, the instruments, the runs and the tasks of a visit, and what is missing.

    Raises:
        VisitError: it cannot be read.
    """
    contents = contents_of(visit)
    for line in _about(contents):
        _print(screen, line)
    screen.print()
    screen.print(_instruments(contents))
    if contents.runs:
        screen.print()
        screen.print(_runs(contents))
    plan, tasks = visit.plan(), task_lines(visit)
    title = "" if plan is None else plan.title
    if tasks:
        screen.print()
        screen.print(_tasks(title, tasks))
    screen.print()
    sentences = [*missing(contents, visit.path), *_tasks_missing(title, tasks)]
    for sentence in sentences or ["Nothing is missing."]:
        _print(screen, sentence)


def _print(screen: Console, text: str) -> None:
    from rich.text import Text

    screen.print(Text(text))


def _table(*heads: str) -> Table:
    from rich.table import Table

    return Table(*heads, box=None, pad_edge=False)


def _row(table: Table, *cells: str) -> None:
    from rich.markup import escape

    table.add_row(*map(escape, cells))


def _about(contents: VisitContents) -> Iterator[str]:
    about = contents.about
    yield f"Display: {about.display}"
    yield f"Place: {about.place or 'not given'}"
    yield f"Settings: {about.settings or 'not given'}"
    yield f"Aim: {aim_text(contents.aim)}"
    yield f"Begun: {time_text(about.created_at)}"
    if contents.history:
        number = count(len(contents.history), "statement")
        yield f"Stated afterwards: {number}; the report says what was said before."


def _instruments(contents: VisitContents) -> Table:
    """The instruments with how many readings that count each took, and how many none did."""
    table = _table("instrument", "role", "promised by its maker", "readings")
    light = [reading for reading in contents.readings() if reading.of_light]
    for meter in contents.instruments:
        mine = sum(reading.instrument == meter.id for reading in light)
        _row(table, meter.name, meter.role, specified_text(meter), str(mine))
    without = unnamed(contents)
    if without:
        _row(table, "none named", "", f"run {ranges(runs_of(without))}", str(len(without)))
    elif not contents.instruments:
        _row(table, "none", "", "", "0")
    return table


def unnamed(contents: VisitContents) -> list[Measured]:
    """The readings of light whose instrument nobody named."""
    return [each for each in contents.readings() if each.of_light and not each.with_meter]


def runs_of(readings: list[Measured]) -> list[int]:
    """Their runs, each once."""
    return sorted({each.run for each in readings})


def _runs(contents: VisitContents) -> Table:
    table = _table("run", "sequence", "condition", "begun", "read", "state", "notes")
    for number in (0, 4, 5):
        table.columns[number].no_wrap = True
    for each in contents.runs:
        run = each.run
        notes = sum(note.run == run.id for note in contents.notes)
        read, asked = _read(each)
        _row(
            table,
            str(run.id),
            run.sequence_title,
            run.condition or "–",
            time_text(run.started_at),
            f"{read} of {asked}",
            state_of(each),
            str(notes) if notes else "",
        )
    return table


def _read(contents: RunContents) -> tuple[int, int]:
    """How many steps have a reading, of those that ask for one."""
    asked = {step.number for step in contents.steps if step.quantity is not None}
    return len(asked & contents.read_steps()), len(asked)


def state_of(contents: RunContents) -> str:
    """How a run stands; one that is played now, or was cut off, has not ended."""
    if not contents.run.counted:
        return "set aside"
    return contents.run.ended or "not ended"


def missing(contents: VisitContents, path: Path) -> list[str]:
    """Sentences of what is missing, and what to do about it."""
    if not contents.runs:
        return ["No run was started."]
    sentences = [sentence for run in contents.counted_runs() for sentence in _unread(run)]
    kinds = [FINDINGS[name] for name in contents.not_found() if FINDINGS[name].wanted]
    subjects = [kind.subject for kind in kinds if not kind.all_well]
    if subjects:
        sentences.append(f"No reading speaks to: {'; '.join(subjects)}.")
    without = unnamed(contents)
    if without:
        runs = runs_of(without)
        named = " ".join(f"--run {run}" for run in runs) if len(runs) < len(contents.runs) else ""
        said = f"litfield name {shlex.quote(str(path))} --instrument spot-meter.yaml {named}"
        sentences.append(
            f"{count(len(without), 'reading')} of run{'s' if len(runs) > 1 else ''} {ranges(runs)} "
            f"{'has' if len(without) == 1 else 'have'} no instrument: write its name and what its "
            f"maker promises into a file, and say {said.strip()}"
        )
    return sentences


def _unread(contents: RunContents) -> Iterator[str]:
    """The steps of a run without a reading, and how to go on."""
    run = contents.run
    unread = [each.step for each in contents.unread()]
    condition = f", {run.condition}" if run.condition else ""
    which = f"Run {run.id} ({run.sequence_title}{condition})"
    unfinished = run.ended != "finished"
    if unread:
        have = "step has" if len(unread) == 1 else "steps have"
        sentence = f"{which}: {len(unread)} {have} no reading: {ranges(unread, MOST_STEPS)}."
    elif unfinished:
        sentence = f"{which}: every step is read, but the run was not ended."
    else:
        return
    goes_on = " Played again under the same condition, it goes on there." if unfinished else ""
    yield sentence + goes_on


def task_lines(visit: Visit) -> list[TaskLine] | None:
    """The tasks of the plan with how far each has come, none where the visit goes by no plan; None
    where the plan's sequences are not there any more."""
    from player.commands.sitting import load
    from player.sitting.sitting import Sitting
    from sequences.model import SequenceError
    from sequences.plans import load_plan_text

    kept = visit.plan()
    if kept is None:
        return []
    try:
        plan = load_plan_text(kept.text, kept.source, FINDINGS, Path(kept.source).parent)
    except SequenceError:
        return None
    return Sitting(plan, visit, load, lambda _: 0.0).lines()


def _tasks(title: str, tasks: Sequence[TaskLine]) -> Table:
    table = _table("task", title, "state", "run", "said")
    for line in tasks:
        run = "" if line.run is None else str(line.run)
        state = f"{line.state}, its run is set aside" if line.set_aside else line.state
        _row(table, str(line.task.number), line.task.label, state, run, line.said)
    return table


def _tasks_missing(title: str, tasks: Sequence[TaskLine] | None) -> Iterator[str]:
    if tasks is None:
        yield f"The plan {title} cannot be read any more: sequences that it plays are not there."
        return
    coming = [each.task.number for each in tasks if each.state in ("to come", "begun")]
    if coming:
        these = count(len(coming), "task")
        yield f"{these} of {len(tasks)} not done: {ranges(coming, MOST_STEPS)}."
