"""``litfield check`` of a plan: its tasks, their time, what has to be at hand, what will not do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from patterns.words import count, duration
from player.plan_checks import InSet, OnScreen, in_set, on_screen, set_folders
from player.run.time_left import numbers_said
from sequences.flashing import FlashingStep, flashing_steps
from sequences.model import CAUTIONS, Sequence
from sequences.plans import Plan, Task, load_plan
from sequences.plans.model import Adjust, Ask, Need, Play, kind_of, left_out, longest, minutes_of

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from patterns.picture.canvas import Canvas
    from patterns.signal.quantise import Range

AT_HAND = {
    "mask": "a black mask with a hole",
    "reference": "a reference instrument",
    "stick": "a stick with the exported files, and a media player",
}


@dataclass(frozen=True)
class Wishes:
    """What was asked about plans: the screen, the folder of sets, and the minutes there are."""

    canvas: Canvas
    bits: int
    range: Range
    files: Path | None
    minutes: float | None


@dataclass(frozen=True)
class CheckedPlan:
    """A plan, and all that was found out about it."""

    plan: Plan
    minutes: float | None
    """The time that there is."""
    there: tuple[Task, ...]
    """The tasks with the answers with which they take longest."""
    out: tuple[Task, ...]
    """Those of them that there is no time for."""
    screen: tuple[OnScreen, ...]
    sets: tuple[InSet, ...]
    unnamed: tuple[Sequence, ...]
    """What a media player shows, where no folder of sets was named."""
    flashing: tuple[tuple[Sequence, FlashingStep], ...]

    @property
    def fits(self) -> bool:
        """Whether there is time for all."""
        return not self.out


def check_plan(source: str, wishes: Wishes) -> CheckedPlan:
    """Load a plan and look at all that it plays. Raises SequenceError where it cannot be used."""
    from readings.findings import FINDINGS

    plan = load_plan(source, FINDINGS, wishes.canvas)
    minutes = plan.minutes if wishes.minutes is None else wishes.minutes
    there = longest(plan.tasks)
    in_window, from_files = plan.sequences("window"), plan.sequences("files")
    screen = [on_screen(each, wishes.canvas, wishes.bits, wishes.range) for each in in_window]
    # a media player has the depth and the range of the files
    screen += [
        on_screen(each, wishes.canvas, each.signal.bits, each.signal.range)
        for each in from_files
        if each not in in_window
    ]
    sets = [] if wishes.files is None else set_folders(from_files, wishes.files)
    return CheckedPlan(
        plan=plan,
        minutes=minutes,
        there=there,
        out=() if minutes is None else left_out(there, minutes),
        screen=tuple(screen),
        sets=tuple(in_set(*each) for each in sets),
        unnamed=tuple(from_files) if wishes.files is None else (),
        flashing=tuple(
            (each.sequence, step)
            for each in screen
            if not each.undrawable
            for step in flashing_steps(each.sequence, wishes.canvas)
        ),
    )


def print_plan(checked: CheckedPlan, wishes: Wishes, screen: Console) -> None:
    """What was found out, for people."""
    from rich.markup import escape
    from rich.padding import Padding

    plan = checked.plan
    screen.print(f"{escape(plan.title)}  ({escape(plan.source)})")
    screen.print(f"{count(len(plan.tasks), 'task')}, {_time(checked)}")
    if checked.out:
        out = ", ".join(f"{each.number} ({_named(each)})" for each in checked.out)
        screen.print(f"Left out, by importance: {escape(out)}.")
    if plan.aim:
        screen.print(f"Aim: {escape(plan.aim.told())}.")
    screen.print()
    for head, lines in (
        ("At hand:", [_at_hand(*each) for each in plan.needs().items()]),
        ("Cautions:", [CAUTIONS[each] for each in plan.cautions()]),
        ("Before the day:", _before_the_day(checked, wishes)),
    ):
        if lines:
            screen.print(head)
            for line in lines:
                screen.print(Padding(escape(line), (0, 0, 0, 2)))
            screen.print()
    screen.print(_table(plan))
    screen.print()


def facts_of(checked: CheckedPlan) -> dict[str, object]:
    """The same for a machine."""
    return facts_of_plan(checked.plan) | {
        "minutes_there_are": checked.minutes,
        "fits": checked.fits,
        "left_out": [task.number for task in checked.out],
        "screen": [screen_facts(each) for each in checked.screen],
        "sets": [
            {
                "sequence": each.sequence.source,
                "folder": str(each.folder),
                "good": each.good,
                "amiss": each.amiss,
                "missing_steps": list(each.missing),
                "absent_files": list(each.absent),
                "size": None if each.size is None else list(each.size),
            }
            for each in checked.sets
        ],
        "no_set_named_for": [each.source for each in checked.unnamed],
        "flashing": [
            {"sequence": each.source, "step": step.number} for each, step in checked.flashing
        ],
    }


def facts_of_plan(plan: Plan) -> dict[str, object]:
    """A plan for a machine, without what was found out about it."""
    return {
        "source": plan.source,
        "title": plan.title,
        "cautions": list(plan.cautions()),
        "needs": {need: list(numbers) for need, numbers in plan.needs().items()},
        "aim": plan.aim.describe(),
        "minutes": minutes_of(longest(plan.tasks)),
        "minutes_there_are": plan.minutes,
        "tasks": [_task_facts(task) for task in plan.tasks],
    }


def _time(checked: CheckedPlan) -> str:
    """`about 3 h 39 min, which fits the 4 h 00 min that there are.`"""
    asks = len(checked.there) < len(checked.plan.tasks)
    taken = f"{'at most ' if asks else ''}about {_told(minutes_of(checked.there))}"
    if checked.minutes is None:
        return f"{taken}."
    there = f"the {_told(checked.minutes)} that there are"
    return f"{taken}, which {'fits' if checked.fits else 'does not fit'} {there}."


def _told(minutes: float) -> str:
    return duration(60 * round(minutes))


def _named(task: Task) -> str:
    what = task.what
    return Path(what.sequence.source).stem if isinstance(what, Play) else task.label


def _at_hand(need: Need, numbers: Iterable[int]) -> str:
    return f"{AT_HAND[need]}: {numbers_said(numbers, thing='task')}"


def shown_told(found: OnScreen, wishes: Wishes) -> list[str]:
    """What a screen does not show as it is meant, a problem or a sentence each."""
    name, signal = found.sequence.source, found.sequence.signal.name
    link = f"{wishes.bits} bits, {wishes.range} range"
    told = [f"Cannot be drawn at {wishes.canvas}: {problem}" for problem in found.undrawable]
    told += [f"Cannot be shown at {link}: {problem}" for problem in found.refused]
    if found.error is not None:
        told.append(
            f"Not exact at {link}: {name} ({signal}); the largest error of a level: {found.error}."
        )
    return told


def _before_the_day(checked: CheckedPlan, wishes: Wishes) -> list[str]:
    """What cannot be shown as it is meant, and what is missing, a sentence or a problem each."""
    told = [line for each in checked.screen for line in shown_told(each, wishes)]
    in_window = checked.plan.sequences("window")
    said = [each for each in in_window if each.signal.transfer.name in ("pq", "hlg")]
    if said:
        names = ", ".join(f"{each.source} ({each.signal.name})" for each in said)
        told.append(
            f"The window shows {names}: the link has to say so to the display, see docs/set-up.md."
        )
    told += [f"Flashes too often: {each.source}, {step}." for each, step in checked.flashing]
    if checked.unnamed:
        names = ", ".join(each.source for each in checked.unnamed)
        told.append(
            f"No exported set was named, and a media player shows {names}: litfield export "
            f"{checked.plan.source} --to DIR, then check with --files DIR."
        )
    for each_set in checked.sets:
        told += _set_told(each_set, wishes.canvas)
    return told


def _set_told(found: InSet, canvas: Canvas) -> list[str]:
    if found.amiss:
        return [f"The set {found.folder} of {found.sequence.source} cannot be used: {found.amiss}"]
    told = []
    if found.size is not None and found.size != (canvas.width, canvas.height):
        told.append(
            f"{found.folder} holds pictures of {found.size[0]}x{found.size[1]}, and the display is "
            f"taken for one of {canvas} (--size): what is scaled is not exact."
        )
    if found.missing:
        told.append(f"{found.folder} lacks the pictures of {numbers_said(found.missing)}.")
    if found.absent:
        named = ", ".join(found.absent[:3]) + ", …" * (len(found.absent) > 3)
        told.append(f"{found.folder} lacks {count(len(found.absent), 'file')}: {named}.")
    return told or [f"{found.folder} holds all pictures of {found.sequence.source}."]


def _table(plan: Plan) -> Table:
    from rich.markup import escape
    from rich.table import Table

    rows = [
        {
            "task": str(task.number),
            "": kind_of(task.what),
            "what": _what(task),
            "time": duration(60 * max(round(task.minutes), 1)),
            "condition": task.what.condition if isinstance(task.what, Play | Adjust) else "",
            "by": _by(task),
            "importance": task.importance,
            "only if": _hangs(task),
        }
        for task in plan.tasks
    ]
    # a column is there where it says something
    idle = {"condition": {""}, "by": {""}, "importance": {"usual"}, "only if": {""}}
    columns = [name for name in rows[0] if {row[name] for row in rows} != idle.get(name)]
    table = Table(*columns, box=None, pad_edge=False)
    for row in rows:
        table.add_row(*(escape(row[name]) for name in columns))
    return table


def _what(task: Task) -> str:
    return task.what.sequence.source if isinstance(task.what, Play) else task.label


def _by(task: Task) -> str:
    """What it is read with and shown by, where that is not the usual."""
    if not isinstance(task.what, Play | Adjust):
        return ""
    with_what = "reference" * (task.what.instrument == "reference")
    return ", ".join(filter(None, [with_what, "media player" * (task.what.output == "files")]))


def _hangs(task: Task) -> str:
    """`hdr: HDR; zones: many or few`."""
    return "; ".join(f"{name}: {' or '.join(kept)}" for name, kept in task.only_if.items())


def _task_facts(task: Task) -> dict[str, object]:
    what = task.what
    facts: dict[str, object] = {
        "number": task.number,
        "kind": kind_of(what),
        "label": task.label,
        "minutes": task.minutes,
        "importance": task.importance,
        "only_if": {name: list(kept) for name, kept in task.only_if.items()},
        "needs": list(task.needs),
    }
    if isinstance(what, Play | Adjust):
        facts |= {
            "sequence": what.sequence.source,
            "condition": what.condition,
            "instrument": what.instrument,
            "output": what.output,
        }
    if isinstance(what, Ask):
        facts |= {"name": what.name, "choices": list(what.choices)}
    return facts


def screen_facts(found: OnScreen) -> dict[str, object]:
    error = found.error
    return {
        "sequence": found.sequence.source,
        "exact": found.exact,
        "undrawable": [str(problem) for problem in found.undrawable],
        "refused": [str(problem) for problem in found.refused],
        "largest_error": None
        if error is None
        else {
            "label": error.label,
            "meant_cd_m2": error.meant,
            "shown_cd_m2": error.shown,
            "relative": error.relative,
        },
    }
