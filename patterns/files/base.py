"""What every file format offers."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.signal import Signal


@dataclass(frozen=True)
class Item:
    """One picture to export.

    Args:
        number: of the step, from 1; no two items of an export share one.
        label: what the picture shows, in words.
        pattern: what the frame was made from.
        frame: the codes; of a pattern that moves, its frame at time 0.
    """

    number: int
    label: str
    pattern: Pattern
    frame: Frame


class Format(Protocol):
    """One way of keeping a frame in a file."""

    @property
    def suffix(self) -> str:
        """Of the file name, with its dot: ``.png``."""

    @property
    def summary(self) -> str:
        """One line for help texts."""

    def rule(self, signal: Signal) -> str:
        """How the signal's codes stand in the file."""

    def room(self, item: Item) -> int:
        """Bytes of free disk that the file may need; an upper estimate, before it is made."""

    def write(self, item: Item, path: Path) -> None:
        """Make the file at ``path``, which does not exist; the same bytes for the same item.

        Raises:
            OSError: as the operating system has it.
            PatternError: the frame does not fit this format.
        """


def packed_room(frame: Frame) -> int:
    """About the largest size of a frame whose repeated rows pack away to nearly nothing."""
    row = 6 * frame.width
    stretches = len(frame.runs())
    return min(stretches * row + frame.height * row // 256, frame.height * row) + 65_536
