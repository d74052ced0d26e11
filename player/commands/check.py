"""``litfield check``: is a sequence right, what does it hold, how long does it take."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from patterns.words import count, duration
from player.commands.common import (
    canvas_of,
    console,
    json_option,
    load_sequence,
    say,
    signal_option,
    size_option,
)
from player.outcome import CommandError

if TYPE_CHECKING:
    from rich.console import Console

    from patterns.flashing import Flashing
    from patterns.picture.canvas import Canvas
    from sequences.model import Sequence


@click.command()
@click.argument("sources", metavar="SEQUENCE...", nargs=-1)
@signal_option
@size_option
@json_option
def command(sources: tuple[str, ...], signal_name: str | None, size: str, as_json: bool) -> None:
    """Validate sequences and list their steps, time and cautions. Without one: what is shipped."""
    canvas = canvas_of(size)
    if not sources:
        _list_shipped(canvas, as_json=as_json)
        return
    loaded, wrong = _load_all(sources, signal_name, canvas)
    if as_json:
        import json

        data = [_plain(each, canvas) | _flashing(each, canvas) for each in loaded]
        say(json.dumps(data, indent=2))
    else:
        screen = console()
        for sequence in loaded:
            _print(sequence, screen, canvas)
    if wrong:
        raise CommandError("\n".join(wrong))


def _load_all(
    sources: tuple[str, ...], signal_name: str | None, canvas: Canvas
) -> tuple[list[Sequence], list[str]]:
    """Every sequence that is right, and the problems of those that are not."""
    import sequences
    from sequences.model import SequenceError

    loaded: list[Sequence] = []
    wrong: list[str] = []
    for source in sources:
        try:
            sequence = load_sequence(source, signal_name)
            problems = sequences.drawable(sequence, canvas)
            if problems:
                raise SequenceError(problems)
        except (SequenceError, CommandError) as error:
            wrong.append(str(error))
        else:
            loaded.append(sequence)
    return loaded, wrong


def _list_shipped(canvas: Canvas, *, as_json: bool) -> None:
    import sequences
    from sequences.duration import sequence_seconds

    shipped = {name: sequences.load(name) for name in sequences.shipped()}
    if as_json:
        import json

        say(json.dumps([_plain(each, canvas) for each in shipped.values()], indent=2))
        return
    from rich.table import Table

    table = Table("name", "title", "signal", "steps", "time", box=None, pad_edge=False)
    table.columns[0].no_wrap = True  # it is there to be typed
    for name, sequence in shipped.items():
        steps = str(len(sequence.steps))
        taken = duration(round(sequence_seconds(sequence, canvas)), seconds_too=True)
        table.add_row(name, sequence.title, sequence.signal.name, steps, taken)
    console().print(table)


def _print(sequence: Sequence, screen: Console, canvas: Canvas) -> None:
    from rich.markup import escape
    from rich.padding import Padding
    from rich.table import Table

    from player.commands.exporting import flashing_clips
    from sequences.duration import sequence_seconds
    from sequences.flashing import moving_steps

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
    moving = moving_steps(sequence, canvas)
    for each in moving:
        if each.flashing.over:
            screen.print(f"Flashes too often: {escape(str(each))}")
    for played in flashing_clips(sequence, canvas, moving):
        screen.print(f"Flashes too often when exported as clips: {escape(str(played))}")
    for remark in _remarks(sequence):
        screen.print(escape(remark))
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
    screen.print(table)
    screen.print()


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
                "role": step.role,
                "settle_s": float(step.settle),
                "warm_up_s": float(step.warm_up),
                "importance": step.importance,
            }
            for step in sequence.steps
        ],
    }
