"""Exporting a sequence: its pictures one by one, with what was asked for."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from player.commands.common import canvas_of, progress, require_drawable
from player.outcome import CommandError

if TYPE_CHECKING:
    from patterns.files import Film, Format, Item
    from patterns.files.export import Export
    from patterns.files.reel import Played
    from patterns.files.survey import Metadata
    from patterns.picture.canvas import Canvas
    from sequences.flashing import FlashingStep
    from sequences.model import Sequence, Step


@dataclass(frozen=True)
class Wanted:
    """What was asked for beside the sequence.

    Args:
        formats: names of ``FORMATS`` and ``FILMS``.
        size: of the canvas, as written.
        signal_name: of another signal than the sequence's.
        hold: seconds of each picture in clips; None for what the sequence says.
        rate: pictures a second in clips; None for the refresh of ``size``.
        chroma: of clips.
        compat: whether each lossless clip gets a twin of capped bit rate.
        metadata: ``set``, ``file``, or MaxCLL and MaxFALL in cd/m2.
        flashing_confirmed: whether nobody at risk sees what flashes.
    """

    formats: tuple[str, ...]
    size: str
    signal_name: str | None = None
    hold: Fraction | None = None
    rate: Fraction | None = None
    chroma: Literal["4:2:0", "4:4:4"] = "4:2:0"
    compat: bool = False
    metadata: Literal["set", "file"] | tuple[float, float] = "set"
    flashing_confirmed: bool = False


def hold_of(text: str | None) -> Fraction | None:
    """``--hold`` in seconds."""
    if text is None:
        return None
    from patterns.signal.measures import parse_measure, seconds
    from sequences.grammar import LONGEST_HOLD

    try:
        held = seconds(parse_measure(text, ("s", "min", "ms"), "20 s"))
    except ValueError as error:
        raise CommandError(f"--hold: {error}.") from error
    if not 0 < held <= LONGEST_HOLD:
        raise CommandError(f"--hold: expected more than 0 s, and at most 24 hours, not {text}.")
    return held


def rate_of(text: str | None) -> Fraction | None:
    """``--rate`` in pictures a second."""
    from patterns.video import parse_rate

    return None if text is None else parse_rate(text)


def metadata_of(text: str) -> Literal["set", "file"] | tuple[float, float]:
    """``--metadata``: a word, or two numbers."""
    if text == "set":
        return "set"
    if text == "file":
        return "file"
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*,\s*(\d+(?:\.\d+)?)\s*", text)
    if found is None:
        raise CommandError(
            f"--metadata is set, file, or MaxCLL and MaxFALL such as 1000,400, not {text!r}."
        )
    return float(found[1]), float(found[2])


class Pictures(Collection["Item"]):
    """The pictures of a sequence, drawn anew whenever they are gone through: none is kept.

    Steps in a row that show the same picture are one.
    """

    def __init__(self, sequence: Sequence, canvas: Canvas, hold: Fraction | None = None) -> None:
        self._sequence = sequence
        self._canvas = canvas
        self._hold = hold
        self._steps = distinct_pictures(sequence)
        before = [step.number - 1 for step in self._steps[1:]] + [len(sequence.steps)]
        self._last = {step.number: n for step, n in zip(self._steps, before, strict=True)}

    def __len__(self) -> int:
        return len(self._steps)

    def __iter__(self) -> Iterator[Item]:
        for step in self._steps:
            yield self._item(step)

    def __contains__(self, item: object) -> bool:
        return False  # no picture is kept, so none that there is can be one of these

    def held(self, step: Step) -> Fraction:
        """Seconds that a step lasts in clips."""
        from patterns.files.base import HOLD

        if self._hold is not None:
            return self._hold
        return HOLD if step.hold is None else step.hold

    @property
    def hasty(self) -> bool:
        """Whether any picture is held for less than a second."""
        return any(self.held(each) < 1 for each in self._steps)

    @cached_property
    def frames(self) -> int:
        """Frames of a film of all steps."""
        from patterns.video import frames_in

        return sum(frames_in(self.held(each), self._canvas.refresh) for each in self._steps)

    def _item(self, step: Step) -> Item:
        from patterns.files import Item

        return Item(
            step.number,
            step.label,
            step.pattern,
            step.pattern.frame(self._canvas, self._sequence.signal),
            refresh=self._canvas.refresh,
            hold=self.held(step),
            last=last if (last := self._last[step.number]) > step.number else None,
        )


def distinct_pictures(sequence: Sequence) -> list[Step]:
    """The first of every stretch of steps that show one and the same picture."""
    kept: list[Step] = []
    before = None
    for step in sequence.steps:
        if step.pattern != before:
            kept.append(step)
        before = step.pattern
    return kept


def flashing_clips(
    sequence: Sequence, canvas: Canvas, moving: Collection[FlashingStep]
) -> list[Played]:
    """What would flash more than three times a second in clips: the film, and those of steps.

    They last as the sequence says, at the canvas's refresh where clips have it, else at 60 Hz.
    ``moving`` says how each step flashes that moves. An export judges every frame; here what moves
    for long is looked at where it begins and ends, and not at all where all pictures stand for a
    second or longer, or flash once a second at most: two changes there, one from picture to
    picture and two more are below the limit.
    """
    from patterns.files.reel import clip_of, reel_of
    from patterns.video import RATES

    rate = canvas.refresh if canvas.refresh in RATES.values() else Fraction(60)
    pictures = Pictures(sequence, replace(canvas, refresh=rate))
    often = {each.number for each in moving if each.flashing.most > 1}
    if not (pictures.hasty or often):
        return []
    film = reel_of(pictures, "the film", brief=True)
    clips = [
        clip_of(item, brief=True) for item in pictures if item.number in often or item.hold < 1
    ]
    return [each for each in (film, *clips) if each.flashing.over]


def write_sequence(sequence: Sequence, folder: Path, wanted: Wanted) -> Export:
    """Export a sequence with progress bars; everything is tried before the first file."""
    from patterns.files.export import Watch, export
    from patterns.files.reel import FlashingError

    formats, films = _formats(wanted)
    canvas = canvas_of(wanted.size)
    if wanted.rate is not None:
        canvas = replace(canvas, refresh=wanted.rate)
    require_drawable(sequence, canvas)
    pictures = Pictures(sequence, canvas, wanted.hold)
    if any(each.suffix.endswith(".mp4") for each in (*formats, *films)):
        _require_clips(sequence, pictures, wanted)
    # each picture counts once when it is looked at, and once in every file that holds it
    total = len(pictures) * (1 + len(formats) + len(films))
    done = len(pictures)
    with progress(sequence.title, total) as count:

        def made(number: int, _name: str) -> None:
            nonlocal done
            done += 1 if number else len(pictures)
            count(done)

        def played(frames: int) -> None:
            count(done + frames * len(pictures) // pictures.frames)

        try:
            return export(
                pictures,
                folder,
                formats,
                Watch(count, made, played),
                films=films,
                title=sequence.title,
                metadata=_metadata(wanted, sequence),
                flashing_confirmed=wanted.flashing_confirmed,
            )
        except FlashingError as error:
            raise CommandError(
                f"Nothing was written: {str(error).rstrip('.')}; read docs/safety.md, and add "
                "--flashing-confirmed only where nobody at risk sees it."
            ) from error


def _formats(wanted: Wanted) -> tuple[list[Format], list[Film]]:
    """Formats of single pictures, and films, with their options and twins."""
    from patterns.files import FILMS, FORMATS
    from patterns.files.hevc import HevcFilm, HevcFormat

    formats: list[Format] = []
    films: list[Film] = []
    compats = (False, True) if wanted.compat else (False,)
    for name in dict.fromkeys(wanted.formats):
        if name == "hevc":
            formats += [HevcFormat(wanted.chroma, compat) for compat in compats]
        elif name == "hevc-film":
            films += [HevcFilm(wanted.chroma, compat) for compat in compats]
        elif name in FORMATS:
            formats.append(FORMATS[name])
        else:
            known = ", ".join((*FORMATS, *FILMS))
            raise CommandError(f"There is no format {name!r}; there are {known}.")
    return formats, films


def _metadata(wanted: Wanted, sequence: Sequence) -> Metadata:
    from patterns.picture.light import light_by_hand

    if isinstance(wanted.metadata, str):
        return wanted.metadata
    if sequence.signal.transfer.name != "pq":
        raise CommandError("--metadata with numbers is for PQ signals; others state none.")
    return light_by_hand(*wanted.metadata, sequence.signal.primaries)


def _require_clips(sequence: Sequence, pictures: Pictures, wanted: Wanted) -> None:
    """Every picture carried as Y'CbCr, before the first file: all that cannot be come at once."""
    from patterns.errors import PatternError
    from patterns.video import Settings, planes_of
    from sequences.model import Problem, SequenceError

    lines = {step.number: step for step in sequence.steps}
    problems = []
    for item in pictures:
        settings = Settings(item.canvas, item.refresh, item.frame.signal, wanted.chroma)
        try:
            planes_of(item.frame, settings)
        except PatternError as error:
            step = lines[item.number]
            problems.append(
                Problem(
                    sequence.source,
                    step.line,
                    step.column,
                    f"step {step.number}: {str(error).rstrip('.')}",
                    f"what HEVC {wanted.chroma} can carry",
                )
            )
    if problems:
        raise SequenceError(problems)
