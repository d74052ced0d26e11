"""``litfield export``: a sequence as numbered picture files."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from player.commands.common import (
    canvas_of,
    load_sequence,
    progress,
    require_drawable,
    signal_option,
    size_option,
)

if TYPE_CHECKING:
    from patterns.canvas import Canvas
    from patterns.files import Item
    from patterns.files.export import Export
    from sequences.model import Sequence, Step


@click.command()
@click.argument("source", metavar="SEQUENCE")
@click.option("--to", "target", metavar="DIR", required=True, help="the folder to write into")
@click.option(
    "--as",
    "formats",
    metavar="FORMAT",
    multiple=True,
    default=("png",),
    show_default=True,
    help="png or tiff; may be given more than once",
)
@signal_option
@size_option
def command(
    source: str, target: str, formats: tuple[str, ...], signal_name: str | None, size: str
) -> None:
    """Write SEQUENCE as numbered files with manifest.csv, SHA256SUMS and overview.png.

    Steps in a row that show the same picture share one file, numbered after the first of them.
    """
    made = write_sequence(source, Path(target), formats=formats, size=size, signal_name=signal_name)
    click.echo(f"{len(made.files)} files written to {made.folder}.")
    if made.left:
        click.echo(f"Left from an earlier export, and in no list: {', '.join(made.left)}")


def write_sequence(
    source: str,
    folder: Path,
    *,
    formats: tuple[str, ...],
    size: str,
    signal_name: str | None = None,
) -> Export:
    """Export a sequence with a progress bar; everything is tried before the first file."""
    from patterns.files.export import export, require_formats

    require_formats(formats)
    sequence = load_sequence(source, signal_name)
    canvas = canvas_of(size)
    require_drawable(sequence, canvas)
    pictures = distinct_pictures(sequence)
    done = 0
    with progress(sequence.title, len(pictures) * len(formats)) as count:

        def after(_number: int, _name: str) -> None:
            nonlocal done
            done += 1
            count(done)

        return export(_items(pictures, sequence, canvas), folder, formats, after)


def distinct_pictures(sequence: Sequence) -> list[Step]:
    """The first of every stretch of steps that show one and the same picture."""
    kept: list[Step] = []
    before = None
    for step in sequence.steps:
        if step.pattern != before:
            kept.append(step)
        before = step.pattern
    return kept


def _items(pictures: list[Step], sequence: Sequence, canvas: Canvas) -> Iterator[Item]:
    from patterns.files import Item

    for step in pictures:
        frame = step.pattern.frame(canvas, sequence.signal)
        yield Item(step.number, step.label, step.pattern, frame)
