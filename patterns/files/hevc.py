"""HEVC clips in an export: one for each picture, or one for a whole sequence.

The clips themselves are made by ``patterns.video``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Literal

from patterns.errors import PatternError
from patterns.files.base import Coded, Item, sampled_room
from patterns.files.problems import ExportError
from patterns.signal.signal import Signal

if TYPE_CHECKING:
    from patterns.video import Clip, Picture, Settings
    from patterns.video.settings import Chroma

COPIES = 0.2
"""Of the bit rate of the level, what repeated key frames may take (``patterns.video.clip``)."""
REPEAT = 256
"""Bytes of a frame that says "as before", its entry in the file's tables included."""
MOTION = 0.3
"""Of a key frame, what a frame of a moving picture takes, rather too much."""


@dataclass(frozen=True)
class _Hevc:
    """What both have in common: the options.

    Args:
        chroma: 4:2:0, which every player has, or 4:4:4.
        compat: a capped bit rate instead of lossless coding.
    """

    chroma: Chroma = "4:2:0"
    compat: bool = False
    states_light: ClassVar[bool] = True

    @property
    def suffix(self) -> str:
        return "-compat.mp4" if self.compat else ".mp4"

    def rule(self, signal: Signal) -> str:
        from patterns.video import matrix_of

        coding = "capped bit rate" if self.compat else "lossless"
        return (
            f"{signal.bits}-bit Y'CbCr {self.chroma}, matrix {matrix_of(signal).name}, "
            f"{signal.range} range; HEVC, {coding}"
        )

    def conversion(self, item: Item) -> str:
        """Error of each ink by Y'CbCr: R'G'B' in codes, and luminance in percent."""
        from patterns.video import carried

        parts = []
        for name, codes in item.frame.inks.items():
            try:
                found = carried(codes, item.frame.signal)
            except PatternError:  # an ink that the picture itself does not use
                continue
            errors = " ".join(f"{each:+.3f}" if each else "0" for each in found.code_errors)
            light = found.luminance_error
            off = "" if light is None else f" ({light:+.4f} %)" if light else " (0 %)"
            parts.append(f"{name}: {errors}{off}")
        return "; ".join(parts)

    def _settings(self, item: Item) -> Settings:
        from patterns.picture.light import Light
        from patterns.video import Settings

        stated: Light | Literal["nothing"] | None
        if item.metadata is None:
            stated = "nothing"  # a set without light, such as one of black alone
        else:
            stated = item.metadata if isinstance(item.metadata, Light) else None
        return Settings(
            item.canvas, item.refresh, item.frame.signal, self.chroma, self.compat, stated
        )

    def _room(self, item: Item) -> int:
        from patterns.video.levels import level_for

        key = sampled_room(item.frame)
        if item.pattern.moves:
            return key + int(item.pictures * MOTION * key)
        seconds = float(item.hold)
        copies = min(seconds * key, COPIES * 125 * level_for(self._settings(item)).kbits * seconds)
        return key + int(copies) + REPEAT * item.pictures


class HevcFormat(_Hevc):
    """A clip for each picture."""

    summary = "HEVC clips for media players, one for each step, lossless in 4:2:0 (or 4:4:4)"

    def room(self, item: Item) -> int:
        return self._room(item)

    def write(self, item: Item, path: Path) -> Coded:
        return _written(self._settings(item), [_picture(item)], path, item.label, None)


class HevcFilm(_Hevc):
    """A clip for a whole sequence, with a chapter for each picture."""

    summary = "one HEVC clip of the whole sequence, with a chapter and a key frame for each step"

    def room(self, items: Collection[Item]) -> int:
        return sum(self._room(item) for item in items)

    def write(
        self,
        items: Collection[Item],
        path: Path,
        title: str,
        progress: Callable[[int], None] | None = None,
    ) -> Coded:
        from patterns.video import Picture

        # patterns and not frames: a clip draws each picture when it comes to it
        pictures = [Picture(each.pattern, each.pictures, each.label) for each in items]
        return _written(self._settings(next(iter(items))), pictures, path, title, progress)


def _picture(item: Item) -> Picture:
    from patterns.video import Picture

    shows = item.pattern if item.pattern.moves else item.frame
    return Picture(shows, item.pictures, item.label)


def _written(
    settings: Settings,
    pictures: Sequence[Picture],
    path: Path,
    title: str,
    progress: Callable[[int], None] | None,
) -> Coded:
    from patterns.video import VideoError, clip

    def tell(done: int, _total: int) -> None:
        if progress is not None:
            progress(done)

    try:
        made = clip(pictures, path, settings, title, tell)
    except VideoError as error:
        if isinstance(error.__cause__, OSError):
            raise error.__cause__ from error
        raise ExportError(str(error)) from error
    return _coded(made)


def _coded(made: Clip) -> Coded:
    """Profile, level, how far a decoded sample is off at most, and what the clip states."""
    from patterns.video.planes import whole

    level = f"level {made.level}" if made.holds_a_level else "beyond the limits of every level"
    y, cb, cr = made.largest_errors
    words = f"{made.settings.profile}, {level}; largest error {y} {cb} {cr}"
    light = made.light
    return Coded(words, () if light is None else (whole(light.max_cll), whole(light.max_fall)))
