"""What can be found out about a plan before the day: what the screen cannot show as it is meant,
and whether the exported files are there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from patterns.errors import PatternError
from patterns.files.manifest import read_listing
from patterns.files.ordinary import is_ordinary
from patterns.picture.canvas import Canvas
from patterns.signal.quantise import Range
from player.depth import LevelError, largest_error
from player.outcome import CommandError
from player.outputs.files import open_files
from sequences.drawing import drawable
from sequences.model import Sequence
from sequences.problems import Problem


@dataclass(frozen=True)
class OnScreen:
    """How a sequence looks in the pattern window."""

    sequence: Sequence
    undrawable: tuple[Problem, ...] = ()
    """What cannot be drawn on the canvas in the sequence's own signal."""
    refused: tuple[Problem, ...] = ()
    """What cannot be drawn at the screen's depth and range."""
    error: LevelError | None = None
    """The largest error of a level where the screen has fewer bits than the signal."""

    @property
    def exact(self) -> bool:
        """Whether every level is what its signal asks for."""
        return not (self.undrawable or self.refused or self.error)


def on_screen(sequence: Sequence, canvas: Canvas, bits: int, range_: Range) -> OnScreen:
    """Try a sequence on a screen of this size, depth and range."""
    if undrawable := drawable(sequence, canvas):
        return OnScreen(sequence, undrawable=tuple(undrawable))
    shown = sequence.signal.shown_at(bits, range_)
    if refused := drawable(sequence, canvas, shown):
        return OnScreen(sequence, refused=tuple(refused))
    if bits >= sequence.signal.bits:
        return OnScreen(sequence)
    return OnScreen(sequence, error=largest_error(sequence, canvas, shown))


@dataclass(frozen=True)
class InSet:
    """Whether the exported set of a sequence is there and holds its pictures."""

    sequence: Sequence
    folder: Path
    amiss: str = ""
    """A sentence where the set cannot be used."""
    missing: tuple[int, ...] = ()
    """Steps whose picture no file of the set shows."""
    absent: tuple[str, ...] = ()
    """Files that the set's manifest names, and that are not there."""
    size: tuple[int, int] | None = None
    """Width and height of its pictures; None where the set cannot be used."""

    @property
    def good(self) -> bool:
        """Whether all is there, as far as names and the manifest tell."""
        return not (self.amiss or self.missing or self.absent)


def set_folder(sequence: Sequence, folder: Path) -> Path:
    """Where below a folder the set of a sequence lies: by its name, or that of its file."""
    return folder / Path(sequence.source).stem


def set_folders(sequences: Iterable[Sequence], folder: Path) -> list[tuple[Sequence, Path]]:
    """Where below a folder the set of each sequence lies.

    Raises CommandError where two would lie in one folder; sticks know no capitals.
    """
    found: list[tuple[Sequence, Path]] = []
    taken: dict[str, str] = {}
    for sequence in sequences:
        own = set_folder(sequence, folder)
        other = taken.setdefault(own.name.casefold(), sequence.source)
        if other != sequence.source:
            raise CommandError(
                f"{other} and {sequence.source} would be written into one folder, {own.name}: give "
                "one of the files another name."
            )
        found.append((sequence, own))
    return found


def in_set(sequence: Sequence, folder: Path) -> InSet:
    """Look for the pictures of a sequence among the files of a set; no file is read whole."""
    if not folder.is_dir():
        return InSet(sequence, folder, "It is not there.")
    try:
        output = open_files(folder, sequence.signal)
        missing = tuple(
            step.number
            for step in sequence.steps
            if not output.holds(step.pattern.frame(output.canvas, output.signal))
        )
        files = dict.fromkeys(line.file for line in read_listing(folder).lines)
    except PatternError as error:
        return InSet(sequence, folder, error.sentence())
    absent = tuple(name for name in files if not is_ordinary(folder / name))
    size = output.canvas.width, output.canvas.height
    return InSet(sequence, folder, missing=missing, absent=absent, size=size)
