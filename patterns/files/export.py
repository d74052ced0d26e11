"""Exporting pictures: numbered files, their lists and an overview, each whole or absent."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from patterns.atomic import why
from patterns.errors import PatternError
from patterns.files import FORMATS
from patterns.files.base import Film, Format, Item
from patterns.files.folder import Folder
from patterns.files.problems import ExportError
from patterns.files.reel import FlashingError, Played
from patterns.files.survey import Metadata, Stating, Survey, survey
from patterns.files.work import LISTS, Work
from patterns.picture.light import Light

__all__ = ["Export", "ExportError", "Watch", "export", "require_format"]


@dataclass(frozen=True)
class Export:
    """What an export made.

    Args:
        folder: where it lies.
        files: names of the picture files, in order.
        left: names of files from an earlier export there that are not part of this one; they
            were left alone, and no list names them any more.
        kept: number of files that an export which was cut off had made already.
        shared: the steps, such as ``3 to 18``, of each picture that is for several, by number.
        light: static HDR metadata of the set; None where each file has its own, or none has any.
        flashes: what of it flashes more than three times a second, as was confirmed.
    """

    folder: Path
    files: tuple[str, ...]
    left: tuple[str, ...]
    kept: int = 0
    light: Light | None = None
    shared: Mapping[int, str] = field(default_factory=dict)
    flashes: tuple[Played, ...] = ()


@dataclass(frozen=True)
class Watch:
    """Who is told how far an export is; each may be None.

    Args:
        seen: the number of pictures looked at beforehand.
        made: the item's number and the file's name, after each file.
        played: the number of pictures of a clip of a whole sequence that are in it.
    """

    seen: Callable[[int], None] | None = None
    made: Callable[[int, str], None] | None = None
    played: Callable[[int], None] | None = None


def export(
    items: Iterable[Item],
    folder: Path,
    formats: Sequence[str | Format] = ("png",),
    watch: Watch | Callable[[int, str], None] | None = None,
    *,
    films: Sequence[Film] = (),
    title: str = "",
    metadata: Metadata = "file",
    flashing_confirmed: bool = False,
) -> Export:
    """Write every item in every format, then the films, the manifest, the overviews, the sums.

    The folder is made where it is missing. Other files in it stay as they are: a name that is
    taken is an error, unless the file is the same, or comes unchanged from an earlier export.
    Where the export cannot go on, the lists name what is whole; the same export again goes on
    from there, after a power cut too.

    Args:
        items: the pictures. A collection that makes its items when it is gone through saves
            memory; it is gone through once before the first file, to see whether there is room
            for all of it. Where it can be gone through only once (a generator), each file is
            looked at when its turn comes.
        folder: where to.
        formats: names from ``FORMATS``, or formats with options.
        watch: who is told how far it is.
        films: files that hold all items.
        title: of the set, for its lists and the name of a film. A folder with the set of another
            title is refused.
        metadata: the static HDR metadata of PQ files; those of the ``set``, or a film, take a
            collection.
        flashing_confirmed: whether somebody has made sure that nobody at risk sees files that
            flash; the manifest keeps it.

    Raises:
        PatternError: an unknown format, or a frame that cannot be made.
        FlashingError: something that plays would flash more than three times a second, and that
            was not confirmed.
        ExportError: the files could not be written; what happened, and where.
    """
    chosen = [require_format(each) for each in dict.fromkeys(formats)]
    if not (chosen or films):
        raise PatternError(f"An export needs a format; there are {', '.join(FORMATS)}.")
    watching = watch if isinstance(watch, Watch) else Watch(made=watch)
    folder = Path(folder)
    collected = items if isinstance(items, Collection) else None
    seen = None
    if collected is not None:
        seen = survey(collected, chosen, films, watching.seen)
    elif films or metadata == "set":
        raise ValueError("A film, and the metadata of a set, take a collection of items.")
    over = seen.over if seen is not None else ()
    if over and not flashing_confirmed:
        raise FlashingError(over)
    light = _stated(metadata, seen)
    if light is not None and collected is not None:
        items = collected = Stating(collected, light)
    work = Work(
        Folder(folder), chosen, films, watching.made, title, flashing_confirmed=flashing_confirmed
    )
    try:
        work.start(seen)
        _make(work, items, watching.played)
    except OSError as error:
        raise ExportError(f"The export to {folder} could not be finished: {why(error)}.") from error
    names = tuple(each.name for each in work.entries)
    known = {*names, *LISTS}
    left = tuple(n for n in work.folder.earlier if n not in known and (folder / n).exists())
    states = any(each.states_light for each in (*chosen, *films))
    return Export(folder, names, left, work.kept, light if states else None, work.shared, over)


def _make(work: Work, items: Iterable[Item], played: Callable[[int], None] | None) -> None:
    try:
        for item in items:
            work.add(item)
            del item  # a large picture is let go before the next one is drawn
        if not work.thumbnails:
            raise ExportError(f"There is nothing to export to {work.folder.path}.")
        if isinstance(items, Collection):
            for film in work.films:
                work.add_film(film, items, played)
    except BaseException:
        work.give_up()
        raise
    try:
        work.finish()
    finally:
        work.folder.leave()


def _stated(metadata: Metadata, seen: Survey | None) -> Light | None:
    """The numbers that every file states; None where each states its own."""
    if metadata == "file":
        return None
    if metadata == "set":
        return seen.light if seen is not None else None
    return metadata


def require_format(format_: str | Format) -> Format:
    """The format of this name; PatternError where there is none."""
    if not isinstance(format_, str):
        return format_
    if format_ not in FORMATS:
        raise PatternError(f"There is no format {format_!r}; there are {', '.join(FORMATS)}.")
    return FORMATS[format_]
