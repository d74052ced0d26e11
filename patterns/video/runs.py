"""A clip's pictures as runs of frames that are alike, and which of them are worth a still."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from patterns.errors import PatternError
from patterns.frame import Frame, alike
from patterns.kinds.base import Pattern
from patterns.signal import Signal
from patterns.video.settings import Settings

WORTH_A_STILL = 8
"""Frames alike in a moving pattern from which on they are coded as a still."""


@dataclass(frozen=True)
class Picture:
    """What a clip shows, for how many frames, and what it is called there."""

    shows: Frame | Pattern
    hold: int
    title: str = ""

    def frame(self, settings: Settings, number: int) -> Frame:
        """The frame so many frames after the picture's beginning."""
        if isinstance(self.shows, Frame):
            return self.shows
        time = Fraction(number) / settings.rate
        return self.shows.frame(settings.playing, settings.signal, time)

    @property
    def moves(self) -> bool:
        """Whether its frames differ."""
        return isinstance(self.shows, Pattern) and self.shows.moves


@dataclass(frozen=True)
class Run:
    """Frames that are alike: the first, counted from the picture's beginning, and how many."""

    first: int
    frames: int


def frames_of(picture: Picture, settings: Settings) -> Iterator[tuple[Run, Frame]]:
    """Runs of a picture, in order, each with its frame.

    Raises:
        PatternError: a hold of no frames, or a frame of another size or signal.
    """
    if picture.hold < 1:
        raise PatternError(f"A picture stands for at least one frame, not {picture.hold}.")
    before = _checked(picture.frame(settings, 0), settings)
    first = 0
    for number in range(1, picture.hold if picture.moves else 0):
        frame = picture.frame(settings, number)
        if not alike(before, frame):
            yield Run(first, number - first), before
            before, first = _checked(frame, settings), number
    yield Run(first, picture.hold - first), before


def grouped(runs: Sequence[Run]) -> Iterator[Run | list[Run]]:
    """Long runs one by one, and lists of the short ones between them."""
    short: list[Run] = []
    if len(runs) == 1:
        yield runs[0]
        return
    for run in runs:
        if run.frames < WORTH_A_STILL:
            short.append(run)
            continue
        if short:
            yield short
            short = []
        yield run
    if short:
        yield short


def _checked(frame: Frame, settings: Settings) -> Frame:
    canvas = settings.canvas
    if (frame.width, frame.height) != (canvas.width, canvas.height):
        raise PatternError(
            f"A frame of {frame.width}x{frame.height} does not fit a clip of {canvas}."
        )
    if _plain(frame.signal) != _plain(settings.signal):
        raise PatternError(
            f"A frame of {frame.signal.name} does not fit a clip of {settings.signal.name}."
        )
    return frame


def _plain(signal: Signal) -> tuple[object, ...]:
    return signal.transfer, signal.primaries, signal.bits, signal.range
