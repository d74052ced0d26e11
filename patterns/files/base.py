"""What every file format offers."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Protocol, runtime_checkable

import numpy as np

from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.light import Light, Stated, light_of
from patterns.signal.exact import round_half_away
from patterns.signal.signal import Signal

HOLD = Fraction(60)
"""Seconds that a picture lasts in a clip, where nothing else is said."""


@dataclass(frozen=True)
class Item:
    """One picture to export.

    Args:
        number: of the step, from 1; no two items of an export share one.
        label: what the picture shows, in words.
        pattern: what the frame was made from.
        frame: the codes; of a pattern that moves, its frame at time 0.
        refresh: pictures a second, where a file plays.
        hold: seconds that it lasts there.
        last: number of the last of several steps in a row that show it; None for one step.
        metadata: static HDR metadata of a PQ picture: ``file`` for those of this picture, those
            of the set it belongs to, or None for a file that states none.
    """

    number: int
    label: str
    pattern: Pattern
    frame: Frame
    refresh: Fraction = Fraction(60)
    hold: Fraction = HOLD
    metadata: Stated = "file"
    last: int | None = None

    @property
    def steps(self) -> str:
        """What it is for: ``3``, or ``3 to 18``, which no spreadsheet takes for a date."""
        return str(self.number) if self.last is None else f"{self.number} to {self.last}"

    @cached_property
    def light(self) -> Light | None:
        """The static HDR metadata that its file states; None where it states none."""
        if self.frame.signal.transfer.name != "pq":
            return None
        return light_of(self.frame) if self.metadata == "file" else self.metadata

    @property
    def canvas(self) -> Canvas:
        """Size of the frame, and the refresh."""
        return Canvas(self.frame.width, self.frame.height, self.refresh)

    @property
    def pictures(self) -> int:
        """Number of pictures that it lasts, one at least."""
        return max(1, round_half_away(self.hold * self.refresh))


@dataclass(frozen=True)
class Coded:
    """What is known of a file once it is made, for the manifest.

    Args:
        words: how it was coded; empty where that is the same for every picture.
        stated: MaxCLL and MaxFALL that a clip states, cd/m2; empty where it states none.
    """

    words: str = ""
    stated: tuple[int, ...] = ()


class Kind(Protocol):
    """What formats of single pictures and of whole sequences share."""

    @property
    def suffix(self) -> str:
        """Of the file name, with its dot: ``.png``."""

    @property
    def summary(self) -> str:
        """One line for help texts."""

    @property
    def states_light(self) -> bool:
        """Whether its files have a place for static HDR metadata."""

    def rule(self, signal: Signal) -> str:
        """How the signal's codes stand in the file, with the options that it is written with."""


class Format(Kind, Protocol):
    """One way of keeping a picture in a file of its own."""

    def room(self, item: Item) -> int:
        """Bytes of disk that the file may need, rather too many than too few."""

    def write(self, item: Item, path: Path) -> Coded | None:
        """Make the file at ``path``, which does not exist; the same bytes for the same item.

        What it gives back is for the manifest; None where there is nothing to say.

        Raises:
            OSError: as the operating system has it.
            PatternError: the frame does not fit this format.
        """


class Film(Kind, Protocol):
    """One way of keeping a whole sequence in one file."""

    def room(self, items: Collection[Item]) -> int:
        """As with :class:`Format`, of all items together."""

    def write(
        self,
        items: Collection[Item],
        path: Path,
        title: str,
        progress: Callable[[int], None] | None = None,
    ) -> Coded | None:
        """Make the file from items in their order; ``progress`` is told the pictures done."""


@runtime_checkable
class Timed(Protocol):
    """A format whose files play: their lines of the manifest have times."""

    def conversion(self, item: Item) -> str:
        """Error of each flat colour by the conversion to Y'CbCr, in words; empty for none."""


SAMPLES = 12


def sampled_room(frame: Frame) -> int:
    """About the largest size of a packed frame, from a sample of its rows.

    Rows that repeat pack away to nearly nothing. Of the others, each is taken to need twice as
    much as the worst of the sample needs by itself.
    """
    from isal import isal_zlib

    row = 6 * frame.width
    picked = np.linspace(0, len(frame.rows) - 1, min(SAMPLES, len(frame.rows))).astype(int)
    worst = 0
    for each in frame.rows[picked]:
        # what a picture writer leaves of a row, by the left neighbour
        left = np.diff(each, axis=0, prepend=each[:1] * 0)
        worst = max(worst, len(isal_zlib.compress(left.astype("<u2").tobytes(), 1)))
    rows = min(len(frame.runs()) * 2 * worst, frame.height * (row + 64))
    return rows + frame.height * row // 256 + 65_536
