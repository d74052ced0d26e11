"""``litfield check``: is a sequence or a plan right, what does it hold, how long does it take."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from patterns.words import count, duration
from player.commands.checking_plan import (
    CheckedPlan,
    Wishes,
    check_plan,
    facts_of,
    facts_of_plan,
    print_plan,
    screen_facts,
    shown_told,
)
from player.commands.common import (
    Number,
    canvas_of,
    console,
    json_option,
    load_sequence,
    require_drawable,
    say,
    signal_option,
    size_option,
)
from player.outcome import CommandError
from player.plan_checks import OnScreen, on_screen

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from patterns.flashing import Flashing
    from patterns.picture.canvas import Canvas
    from patterns.signal.quantise import Range
    from sequences.model import Sequence


@click.command()
@click.argument("sources", metavar="SEQUENCE|PLAN...", nargs=-1)
@signal_option
@size_option
@click.option(
    "--bits",
    type=click.Choice(["8", "10"]),
    help="depth of the screen that shows it: says what is not exact there  [default: 8 for a plan]",
)
@click.option(
    "--range",
    "range_name",
    type=click.Choice(["full", "narrow"]),
    default="full",
    show_default=True,
    help="with --bits or a plan: the range that the link to the display is set to",
)
@click.option(
    "--files", metavar="DIR", help="with a plan: the folder that it was exported to, to be checked"
)
@click.option(
    "--minutes",
    type=Number(0, 24 * 60, min_open=True),
    metavar="N",
    help="with a plan: how much time there is, instead of what it says",
)
@json_option
def command(
    sources: tuple[str, ...],
    signal_name: str | None,
    size: str,
    bits: str | None,
    range_name: Range,
    files: str | None,
    minutes: float | None,
    as_json: bool,
) -> None:
    """Validate sequences and plans; list their steps or tasks, time and cautions.

    Without one: what is shipped. Of a plan also what has to be at hand, what the screen cannot
    show exactly, and whether the files for a media player are there.
    """
    canvas = canvas_of(size)
    if not sources:
        _list_shipped(canvas, as_json=as_json)
        return
    folder = None if files is None else Path(files)
    wishes = Wishes(canvas, int(bits or 8), range_name, folder, minutes)
    checked, wrong = _check_all(sources, signal_name, wishes, by_bits=bits is not None)
    if as_json:
        import json

        say(json.dumps([_facts(each, wishes) for each in checked], indent=2))
    else:
        screen = console()
        for each in checked:
            if isinstance(each, Looked):
                _print(each, screen, wishes)
            else:
                print_plan(each, wishes, screen)
    if wrong:
        raise CommandError("\n".join(wrong))


@dataclass(frozen=True)
class Looked:
    """A sequence, and how it looks on a screen where its depth was named."""

    sequence: Sequence
    on_screen: OnScreen | None


def _check_all(
    sources: tuple[str, ...], signal_name: str | None, wishes: Wishes, *, by_bits: bool
) -> tuple[list[Looked | CheckedPlan], list[str]]:
    """Every sequence and plan that is right, and the problems of those that are not."""
    from sequences.model import SequenceError
    from sequences.plans import is_plan

    plans = {source for source in sources if is_plan(source)}
    if not plans and (wishes.files is not None or wishes.minutes is not None):
        raise CommandError("--files and --minutes are about a plan, and none was named.")
    if plans and signal_name is not None:
        raise CommandError("--signal is about a sequence: those of a plan keep their own.")
    checked: list[Looked | CheckedPlan] = []
    wrong: list[str] = []
    for source in sources:
        try:
            if source in plans:
                checked.append(check_plan(source, wishes))
            else:
                checked.append(_look(source, signal_name, wishes, by_bits=by_bits))
        except SequenceError as error:
            wrong.append(f"{error}{_perhaps_a_plan(source)}")
        except CommandError as error:
            wrong.append(str(error))
    return checked, wrong


def _look(source: str, signal_name: str | None, wishes: Wishes, *, by_bits: bool) -> Looked:
    sequence = load_sequence(source, signal_name)
    require_drawable(sequence, wishes.canvas)
    if not by_bits:
        return Looked(sequence, None)
    return Looked(sequence, on_screen(sequence, wishes.canvas, wishes.bits, wishes.range))


def _perhaps_a_plan(source: str) -> str:
    """What is added where a name is that of no file, and close to that of a shipped plan."""
    import difflib

    from sequences.plans import shipped_plans

    close = difflib.get_close_matches(source.lower(), shipped_plans(), 1, 0.75)
    return f"\nDid you mean the plan {close[0]}?" if close and not Path(source).exists() else ""


def _list_shipped(canvas: Canvas, *, as_json: bool) -> None:
    import sequences
    from sequences.duration import sequence_seconds
    from sequences.plans import load_plan, shipped_plans
    from sequences.plans.model import longest, minutes_of

    shipped = {name: sequences.load(name) for name in sequences.shipped()}
    plans = {name: load_plan(name, canvas=canvas) for name in shipped_plans()}
    if as_json:
        import json

        listed = [_plain(each, canvas) for each in shipped.values()]
        listed += [facts_of_plan(each) for each in plans.values()]
        say(json.dumps(listed, indent=2))
        return
    from rich.table import Table

    def time(seconds: float) -> str:
        return duration(round(seconds), seconds_too=True)

    table = Table("sequence", "title", "signal", "steps", "time", box=None, pad_edge=False)
    for name, sequence in shipped.items():
        steps, taken = str(len(sequence.steps)), time(sequence_seconds(sequence, canvas))
        table.add_row(name, sequence.title, sequence.signal.name, steps, taken)
    of_plans = Table("plan", "title", "tasks", "time", "there are", box=None, pad_edge=False)
    for name, plan in plans.items():
        tasks, taken = str(len(plan.tasks)), time(60 * minutes_of(longest(plan.tasks)))
        there = "" if plan.minutes is None else time(60 * plan.minutes)
        of_plans.add_row(name, plan.title, tasks, taken, there)
    screen = console()
    for each in (table, of_plans):
        each.columns[0].no_wrap = True  # it is there to be typed
        screen.print(each)
        screen.print()


def _print(looked: Looked, screen: Console, wishes: Wishes) -> None:
    from rich.markup import escape
    from rich.padding import Padding

    from player.commands.exporting import flashing_clips
    from sequences.duration import sequence_seconds
    from sequences.flashing import moving_steps

    sequence, canvas = looked.sequence, wishes.canvas
    screen.print(f"{escape(sequence.title)}  ({escape(sequence.source)})")
    taken = duration(round(sequence_seconds(sequence, canvas)), seconds_too=True)
    cautions = ", ".join(sequence.cautions) or "none"
    screen.print(
        f"signal {sequence.signal.name}, {count(len(sequence.steps), 'step')}, "
        f"about {taken}, cautions: {cautions}\n"
    )
    if sequence.at_the_screen:
        screen.print("At the screen:")
        for line in sequence.at_the_screen:
            screen.print(Padding(escape(line), (0, 0, 0, 2)))
        screen.print()
    if looked.on_screen is not None:
        for line in shown_told(looked.on_screen, wishes):
            screen.print(escape(line))
    moving = moving_steps(sequence, canvas)
    for each in moving:
        if each.flashing.over:
            screen.print(f"Flashes too often: {escape(str(each))}")
    for played in flashing_clips(sequence, canvas, moving):
        screen.print(f"Flashes too often when exported as clips: {escape(str(played))}")
    for remark in _remarks(sequence):
        screen.print(escape(remark))
    screen.print(_table(sequence))
    screen.print()


def _table(sequence: Sequence) -> Table:
    from rich.markup import escape
    from rich.table import Table

    # a column is there where it says something: most sequences have one importance, no warm-up
    has_roles = any(step.role for step in sequence.steps)
    sorts = len({step.importance for step in sequence.steps}) > 1
    warms = any(step.warm_up for step in sequence.steps)
    columns = ["step", "label", "kind", "read", *(["role"] * has_roles), "settle"]
    columns += ["warm-up"] * warms + ["importance"] * sorts
    table = Table(*columns, box=None, pad_edge=False)
    for step in sequence.steps:
        read: str = "" if step.read is None else step.read.quantity
        if step.read is not None and step.read.of:
            read += f" of {step.read.of}"
        if step.read is not None and step.read.adjusts:
            read += f", adjusting {' and '.join(step.read.adjusts)}"
        table.add_row(
            str(step.number),
            escape(step.label),
            step.pattern.kind,
            escape(read),
            *([escape(step.role)] * has_roles),
            f"{float(step.settle):g} s",
            *([f"{float(step.warm_up) / 60:g} min" if step.warm_up else ""] * warms),
            *([step.importance] * sorts),
        )
    return table


def _remarks(sequence: Sequence) -> list[str]:
    """What is allowed and yet seldom meant, a sentence each."""
    from readings.findings import FINDINGS
    from sequences.roles import remarks

    sentences = remarks(sequence.steps, FINDINGS)
    unsettled = [
        step.number
        for step in sequence.steps
        if step.read is not None and step.read.of_light
        if not step.settle and not step.pattern.moves
    ]
    if unsettled:
        more = f" and {len(unsettled) - 1} more" if len(unsettled) > 1 else ""
        sentences.append(
            f"Step {unsettled[0]}{more}: with settle: 0 s a meter reads at once, before the light "
            "has settled."
        )
    return sentences


def _flashing(sequence: Sequence, canvas: Canvas) -> dict[str, object]:
    """What flashes more than three times a second: steps as played, and clips as exported."""
    from player.commands.exporting import flashing_clips
    from sequences.flashing import moving_steps

    def facts(found: Flashing) -> dict[str, object]:
        since = None if found.since is None else float(found.since)
        return {
            "flashes": found.flashes,
            "red": found.red,
            "area_percent": found.area,
            "since_s": since,
        }

    moving = moving_steps(sequence, canvas)
    steps = [each for each in moving if each.flashing.over]
    clips = flashing_clips(sequence, canvas, moving)
    return {
        "flashing_steps": [{"number": each.number, **facts(each.flashing)} for each in steps],
        "flashing_clips": [
            {"what": each.what, "step": each.step, **facts(each.flashing)} for each in clips
        ],
    }


def _facts(checked: Looked | CheckedPlan, wishes: Wishes) -> dict[str, object]:
    if not isinstance(checked, Looked):
        return facts_of(checked)
    sequence, found = checked.sequence, checked.on_screen
    facts = _plain(sequence, wishes.canvas) | _flashing(sequence, wishes.canvas)
    return facts if found is None else facts | {"screen": screen_facts(found)}


def _plain(sequence: Sequence, canvas: Canvas) -> dict[str, object]:
    from sequences.duration import sequence_seconds

    return {
        "source": sequence.source,
        "title": sequence.title,
        "signal": sequence.signal.describe(),
        "cautions": list(sequence.cautions),
        "finds": list(sequence.finds),
        "at_the_screen": list(sequence.at_the_screen),
        "remarks": _remarks(sequence),
        "seconds": sequence_seconds(sequence, canvas),
        "steps": [
            {
                "number": step.number,
                "label": step.label,
                "kind": step.pattern.kind,
                "parameters": step.pattern.parameters(),
                "read": step.read.quantity if step.read else None,
                "of": step.read.of if step.read else None,
                "adjusts": list(step.read.adjusts) if step.read else [],
                "levels_percent": list(step.read.levels) if step.read else [],
                "role": step.role,
                "settle_s": float(step.settle),
                "warm_up_s": float(step.warm_up),
                "importance": step.importance,
            }
            for step in sequence.steps
        ],
    }
