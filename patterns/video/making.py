"""Making a clip: pictures, each held for some frames, as one HEVC file.

A still costs one key frame, however long it stands: what follows is one small picture that says
"as before", with the count of its place. Key frames come again about every second, so that
players can jump; large ones less often. They are copies of the first, and as HEVC has them
(instantaneous decoding refresh), each begins anew and knows nothing of what was before.

Before a still goes into the file it is decoded, and compared with the codes meant.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from pathlib import Path

from patterns.atomic import atomic_path, why
from patterns.errors import LitfieldError, PatternError
from patterns.kinds.base import Pattern
from patterns.picture.frame import Frame, alike
from patterns.picture.light import Light
from patterns.signal.signal import Signal
from patterns.video.encoder import (
    COARSENESS,
    Cap,
    Coded,
    Encoder,
    at_count,
    byte_stream,
    decoded,
    repeat_unit,
    require_encoder,
)
from patterns.video.levels import UNLIMITED, Level, level_for
from patterns.video.mp4 import Mp4, Start, finish
from patterns.video.planes import Planes, light_levels, light_of_levels, planes_of
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


KEY_SHARE = 0.2
"""Of the bit rate of the level that size and rate ask for: what repeated key frames may take."""
KEPT = 64_000_000
"""Bytes of coded key frames to keep for pictures that come again."""

Progress = Callable[[int, int], None]


class VideoError(LitfieldError):
    """A clip that could not be finished; ``str()`` is one clear sentence."""


@dataclass(frozen=True)
class Clip:
    """What was made.

    Args:
        path: the file.
        settings: as asked for.
        frames: in all.
        starts: where each picture begins.
        level: as stated in the stream; ``UNLIMITED`` where no level's limits hold.
        light: as stated in the stream; None where nothing is stated.
        largest_errors: of a decoded sample against the code meant, for Y', C'B and C'R; 0 of a
            lossless clip.
    """

    path: Path
    settings: Settings
    frames: int
    starts: tuple[Start, ...]
    level: Level
    light: Light | None
    largest_errors: tuple[int, int, int]

    @property
    def holds_a_level(self) -> bool:
        """Whether players that keep to levels can rely on the one stated."""
        return self.level != UNLIMITED


def clip(
    pictures: Sequence[Picture],
    path: Path,
    settings: Settings,
    title: str = "",
    progress: Progress | None = None,
) -> Clip:
    """Write a clip; the file appears whole or not at all.

    Args:
        pictures: in order. With two or more, each title is a chapter.
        path: of the file, ``.mp4``; one that is there is replaced.
        settings: size, rate, signal and so on.
        title: of the whole, kept in the file; empty for none.
        progress: called with the frames done and in all.

    Raises:
        PatternError: a picture that cannot be made or carried like this; which, and why.
        VideoError: the file could not be written.
    """
    if not pictures:
        raise PatternError("A clip needs at least one picture.")
    require_encoder(settings)
    try:
        with atomic_path(Path(path)) as temporary:
            return replace(_Work(pictures, settings, progress).write(temporary, title), path=path)
    except OSError as error:
        raise VideoError(f"{path} could not be written: {why(error)}.") from error


class _Work:
    """A clip under way."""

    def __init__(
        self, pictures: Sequence[Picture], settings: Settings, progress: Progress | None
    ) -> None:
        self.settings = settings
        self.pictures = pictures
        self.progress = progress
        self.errors = (0, 0, 0)
        self.keys: dict[str, bytes] = {}
        self.runs: list[list[Run]] = []
        levels: list[tuple[float, float]] = []
        for picture in pictures:
            runs = []
            for run, frame in _named(picture, frames_of(picture, settings)):
                runs.append(run)
                if settings.signal.transfer.name == "pq" and settings.light is None:
                    levels.append(light_levels(frame))
            self.runs.append(runs)
        self.light = light_of_levels(levels, settings.signal)
        if isinstance(settings.light, Light) and settings.signal.transfer.name == "pq":
            self.light = settings.light
        self.total = sum(picture.hold for picture in pictures)
        self.starts: list[Start] = []
        for number, picture in enumerate(pictures, 1):
            first = sum(start.frames for start in self.starts)
            self.starts.append(Start(picture.title or f"{number}", first, picture.hold))

    def write(self, path: Path, title: str) -> Clip:
        """Write all pictures to a file."""
        settings = self.settings
        with Mp4(path, settings, self.light, self.starts, title) as mp4:
            for picture, runs in zip(self.pictures, self.runs, strict=True):
                for part in grouped(runs):
                    if isinstance(part, Run):
                        self._still(mp4, picture, part)
                    else:
                        self._moving(mp4, picture, part)
        level = level_for(settings, mp4.sizes)
        try:
            finish(path, level, self.light)
        except ValueError as error:
            raise VideoError(f"The clip could not be finished: {error}.") from error
        starts = tuple(self.starts)
        return Clip(path, settings, self.total, starts, level, self.light, self.errors)

    def _planes(self, picture: Picture, frame: Frame) -> Planes:
        try:
            return planes_of(frame, self.settings)
        except PatternError as error:
            raise _of(picture, error) from error

    def _still(self, mp4: Mp4, picture: Picture, run: Run) -> None:
        frame = picture.frame(self.settings, run.first)
        again = repeat_unit(replace(self.settings, light=None))
        key = self.keys.get(frame.sha256)
        if key is None:
            planes = self._planes(picture, frame)
            key, headers = self._key(planes)
            self._check(picture, planes, [key, again, at_count(again, 2)], headers)
            if sum(map(len, self.keys.values())) + len(key) < KEPT:
                self.keys[frame.sha256] = key
        every = self._key_interval(len(key))
        # as many of them as there are counts
        repeats = [at_count(again, count) for count in range(min(every, run.frames, 256))]
        for number in range(run.frames):
            place = number % every
            self._add(mp4, repeats[place % 256] if place else key, key=place == 0)

    def _key(self, planes: Planes) -> tuple[bytes, bytes]:
        """A key frame, and the parameter sets as a byte stream."""
        for coarseness in self._tries():
            encoder = Encoder(self.settings, self.light, coarseness)
            ((key, _),) = encoder.coded([planes])
            if not self.settings.compat or Cap(self.settings).takes_key(len(key)):
                break
        return key, byte_stream(encoder.headers)

    def _tries(self) -> tuple[int, ...]:
        return COARSENESS if self.settings.compat else COARSENESS[:1]

    def _check(self, picture: Picture, planes: Planes, units: list[bytes], headers: bytes) -> None:
        """Decode a key frame and two repeats, and keep what is wrong with them."""
        shown = [planes.largest_errors(image) for image in decoded(units, headers)]
        if len(shown) != len(units) or len(set(shown)) != 1:
            raise VideoError(f"The encoder did not hold {picture.title or 'a picture'} still.")
        self._note(picture, shown[0])

    def _note(self, picture: Picture, errors: tuple[int, int, int]) -> None:
        if any(errors) and not self.settings.compat:
            raise VideoError(
                f"The encoder did not keep the codes of {picture.title or 'a picture'}."
            )
        y, cb, cr = (max(pair) for pair in zip(self.errors, errors, strict=True))
        self.errors = (y, cb, cr)

    def _moving(self, mp4: Mp4, picture: Picture, runs: Sequence[Run]) -> None:
        if not self.settings.compat:
            for unit, key in Encoder(self.settings, self.light).coded(self._drawn(picture, runs)):
                self._add(mp4, unit, key=key)
            return
        for coarseness in COARSENESS:
            cap = Cap(self.settings)
            units: list[Coded] = []
            encoder = Encoder(self.settings, self.light, coarseness)
            for unit, key in encoder.coded(self._drawn(picture, runs)):
                units.append((unit, key))
                if not cap.takes(len(unit)) and coarseness != COARSENESS[-1]:
                    break
            else:
                break
        for unit, key in units:
            self._add(mp4, unit, key=key)
        images = decoded((unit for unit, _ in units), byte_stream(encoder.headers))
        meant: Planes | None = None
        for planes, image in zip(self._drawn(picture, runs), images, strict=True):
            meant = planes or meant
            if meant is not None:
                self._note(picture, meant.largest_errors(image))

    def _drawn(self, picture: Picture, runs: Sequence[Run]) -> Iterator[Planes | None]:
        """Frame by frame; None for one that is as before."""
        for run in runs:
            yield self._planes(picture, picture.frame(self.settings, run.first))
            yield from [None] * (run.frames - 1)

    def _add(self, mp4: Mp4, unit: bytes, *, key: bool) -> None:
        mp4.add(unit, key=key)
        if self.progress is not None:
            self.progress(len(mp4.sizes), self.total)

    def _key_interval(self, size: int) -> int:
        """Frames from a key frame of so many bytes to its next copy."""
        rate = self.settings.rate
        allowed = KEY_SHARE * 1000 * level_for(self.settings).kbits
        seconds = max(1.0, 8 * size / allowed) if allowed else 1.0
        return ceil(seconds * rate)


def _named(picture: Picture, frames: Iterator[tuple[Run, Frame]]) -> Iterator[tuple[Run, Frame]]:
    try:
        yield from frames
    except PatternError as error:
        raise _of(picture, error) from error


def _of(picture: Picture, error: PatternError) -> PatternError:
    message = f"{picture.title}: {error}" if picture.title else str(error)
    return PatternError(message, *error.parameters)
