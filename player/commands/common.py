"""What several commands share: options, loading a sequence, tables on the terminal."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from patterns.plain import plain, steering
from player.outcome import CommandError

if TYPE_CHECKING:
    from rich.console import Console

    from patterns.picture.canvas import Canvas
    from patterns.signal.signal import Signal
    from sequences.model import Problem, Sequence

LONGEST_TEXT = 500
"""Characters of a condition, a name, a place or settings on the command line."""

signal_option = click.option(
    "--signal", "signal_name", metavar="S", help="play or write it as this signal, such as pq10"
)
size_option = click.option(
    "--size", metavar="WxH", default="3840x2160", show_default=True, help="canvas in pixels"
)
json_option = click.option("--json", "as_json", is_flag=True, help="for a machine to read")


def one_line(_: click.Context, parameter: click.Parameter, value: str) -> str:
    """An option's text as a visit keeps it and a report prints it: one line of plain text."""
    if len(value) > LONGEST_TEXT:
        raise CommandError(f"{parameter.opts[0]} takes at most {LONGEST_TEXT} characters.")
    character = steering(value)
    if character is not None and 0xD800 <= ord(character) < 0xE000:
        raise CommandError(f"{parameter.opts[0]} has characters that are not Unicode.")
    if character is not None:
        raise CommandError(
            f"{parameter.opts[0]} takes one line of plain text, without the character "
            f"U+{ord(character):04X}."
        )
    return value


class Number(click.FloatRange):
    """A range of numbers as click has it, without NaN, which is neither in a range nor outside."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        number: float = super().convert(value, param, ctx)
        if math.isnan(number):
            self.fail(f"{value!r} is not a number.", param, ctx)
        return number


def seed_of(_: click.Context, parameter: click.Parameter, value: int) -> int:
    """A seed: 0 or more, as the generators of noise want it."""
    if value < 0:
        raise CommandError(f"{parameter.opts[0]} is a whole number of 0 or more, not {value}.")
    return value


def load_sequence(source: str, signal_name: str | None = None) -> Sequence:
    """A sequence by file or shipped name, with another signal where one is named."""
    import sequences
    from patterns.signal.signal import named_signal
    from readings.findings import FINDINGS
    from sequences.model import SequenceError

    try:
        sequence = sequences.load(source, FINDINGS)
    except SequenceError as error:
        near = _near(source)
        if near is None:
            raise
        raise CommandError(f"{error}\nDid you mean {near}?") from error
    if signal_name is None:
        return sequence
    signal = named_signal(signal_name)
    _require_same_codes(sequence, signal)
    return replace(sequence, signal=signal)


def _near(source: str) -> Path | None:
    """The sequence file that lies where one of almost the same name was looked for."""
    import difflib

    path = Path(source)
    with suppress(OSError, ValueError):
        if not path.exists():
            files = {each.name: each for each in path.parent.glob("*.y*ml")}
            close = difflib.get_close_matches(path.name, files, 1, 0.75)
            return files[close[0]] if close else None
    return None


def _require_same_codes(sequence: Sequence, signal: Signal) -> None:
    """The same code is black in one coding and grey in another: what was meant cannot be told."""
    import sequences

    own = sequence.signal
    found = sequences.code_in(sequence)
    if found is not None and (own.bits, own.range) != (signal.bits, signal.range):
        step, code = found
        raise CommandError(
            f"{sequence.source}: step {step.number} asks for {code} of {own.name}, and codes mean "
            f"something else in {signal.name}: write its levels in % or cd/m2 to play it so."
        )


def canvas_of(size: str) -> Canvas:
    """``--size`` as a canvas."""
    from patterns.picture.canvas import parse_canvas

    return parse_canvas(size)


def require_drawable(sequence: Sequence, canvas: Canvas, signal: Signal | None = None) -> None:
    """Raise SequenceError with every step that cannot be drawn exactly."""
    import sequences
    from sequences.model import SequenceError

    problems: list[Problem] = sequences.drawable(sequence, canvas, signal)
    if problems:
        raise SequenceError(problems)


def say(text: str = "", *, err: bool = False, nl: bool = True) -> None:
    """Print a text on stdout or stderr, without what would steer the terminal."""
    click.echo(plain(text), err=err, nl=nl)


def console(*, stderr: bool = False) -> Console:
    """A terminal to print on; plain text where it is not one.

    What is printed on it steers nothing but by the styles that it is given.
    """
    from rich.console import Console, ConsoleOptions, ConsoleRenderable, RenderHook, RenderResult
    from rich.segment import Segment

    class Plain:
        def __init__(self, inner: ConsoleRenderable) -> None:
            self.inner = inner

        def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
            for text, style, control in console.render(self.inner, options):
                yield Segment(text if control else plain(text), style, control)

    class Hook(RenderHook):
        def process_renderables(
            self, renderables: list[ConsoleRenderable]
        ) -> list[ConsoleRenderable]:
            return [Plain(each) for each in renderables]

    made = Console(stderr=stderr, highlight=False, soft_wrap=False, emoji=False)
    made.push_render_hook(Hook())
    return made


@contextmanager
def progress(title: str, total: int) -> Iterator[Callable[[int], None]]:
    """A progress bar with the time left on stderr; the block calls what it gets with the count."""
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console(stderr=True)) as bar:
        task = bar.add_task(plain(title), total=total)
        yield lambda done: bar.update(task, completed=done)


def require_file(path: Path) -> None:
    """Refuse a target whose place is taken by something that a file must not replace."""
    if not path.name:
        raise CommandError("--to names the file to write.")
    if path.exists() and not path.is_file():
        what = "a folder" if path.is_dir() else "no ordinary file"
        raise CommandError(f"{path} is {what}; --to names a file.")
    if path.exists() and _is_visit(path):
        raise CommandError(f"{path} is a visit; --to names another file.")


def _is_visit(path: Path) -> bool:
    from readings.report.write import begins_as_a_visit

    with suppress(OSError):
        return begins_as_a_visit(path)
    return False


def folder_to_write(path: str) -> Path:
    """A folder named with ``--to``; made where it is missing."""
    if not path.strip():
        raise CommandError("--to names the folder to write into; it was given nothing.")
    folder = Path(path)
    if folder.exists() and not folder.is_dir():
        raise CommandError(f"{folder} is a file; --to names a folder.", 2)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CommandError(f"The folder {folder} cannot be made: {error.strerror}.", 1) from error
    return folder
