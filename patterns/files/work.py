"""An export under way: one file after another, and in the end the lists."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from io import BytesIO
from pathlib import Path

from patterns.atomic import atomic_path, atomic_write, why
from patterns.files.base import Coded, Film, Format, Item, Kind, Timed
from patterns.files.folder import Folder
from patterns.files.journal import Made
from patterns.files.manifest import (
    MANIFEST,
    SUMS,
    Entry,
    Flashes,
    digits_for,
    file_name,
    file_sha256,
    line,
    manifest_text,
    sums_text,
    whole_line,
)
from patterns.files.ordinary import is_ordinary
from patterns.files.overview import OVERVIEW, Thumbnail, Thumbnails, overview, thumbnail
from patterns.files.overview_pdf import OVERVIEW_PDF, overview_pdf
from patterns.files.problems import ExportError
from patterns.files.reel import FlashingError, Played, clip_of
from patterns.files.survey import Survey

LISTS = (MANIFEST, OVERVIEW, OVERVIEW_PDF, SUMS)
RESERVE, RESERVE_EACH = 131_072, 65_536
"""Bytes kept free for the lists and the overviews, and what each further picture adds."""
WRITERS = 1
"""Goes up when the writers of files change what they write, so that no half of a set is older."""


@dataclass
class Work:
    """An export under way.

    Args:
        folder: where to.
        formats: of a file for each picture.
        films: of a file for all.
        made: told after each file.
        title: of the set.
        digits: of the numbers in names.
        kept: number of files that were there already.
        flashing_confirmed: whether files may flash more than three times a second.
    """

    folder: Folder
    formats: list[Format]
    films: Sequence[Film]
    made: Callable[[int, str], None] | None = None
    title: str = ""
    digits: int = 3
    kept: int = 0
    flashing_confirmed: bool = False
    seen: Survey | None = None
    entries: list[Entry] = field(default_factory=list)
    thumbnails: Thumbnails = field(default_factory=Thumbnails)
    numbers: set[int] = field(default_factory=set)
    keys: list[str] = field(default_factory=list)
    lines: dict[str, list[tuple[str, ...]]] = field(default_factory=dict)
    start_s: Fraction = Fraction(0)
    shared: dict[int, str] = field(default_factory=dict)

    def start(self, seen: Survey | None) -> None:
        """Take the folder; ExportError where the whole set, as it was seen, has no room there."""
        self.folder.take(LISTS, self.title)
        try:
            self._require_room(seen)
        except BaseException:
            self.folder.leave()
            raise

    def _require_room(self, seen: Survey | None) -> None:
        if seen is None:
            self.folder.require_room(RESERVE, "the lists")
            return
        self.digits, self.seen = digits_for(seen.largest), seen
        rooms = sum(seen.rooms.values()) + sum(seen.film_rooms.values())
        there = sum(self.folder.size(name) for name in self._known_names())
        self.folder.require_room(self._reserve(seen.count) + max(rooms - there, 0), "the set")

    def _known_names(self) -> set[str]:
        journal = self.folder.journal
        return {*self.folder.earlier, *(journal.made if journal is not None else ())} - {*LISTS}

    def _reserve(self, pictures: int) -> int:
        return RESERVE + RESERVE_EACH * pictures

    def add(self, item: Item) -> None:
        """Write one item in every format of single pictures."""
        if item.number in self.numbers:
            raise ExportError(f"Two pictures have number {item.number}; each needs its own.")
        clip = self._clip(item)
        for format_ in self.formats:
            name = file_name(item.number, item.label, format_.suffix, self.digits)
            key = _key(item, format_)
            at = item.number, format_.suffix
            room = self.seen.rooms[at] if self.seen is not None else format_.room(item)
            made = self._place(name, key, room, partial(format_.write, item))
            plays = isinstance(format_, Timed)
            conversion = format_.conversion(item) if isinstance(format_, Timed) else ""
            start = Fraction(0) if plays else None
            flashes = self._flashes(clip) if plays else None
            row = line(item, format_, name, start, conversion, self.title, flashes)
            self._enter(name, made, [row])
            if self.made is not None:
                self.made(item.number, name)
        for film in self.films:
            name = file_name(0, self.title or "film", film.suffix, self.digits)
            conversion = film.conversion(item) if isinstance(film, Timed) else ""
            flashes = self._flashes(self.seen.reel if self.seen is not None else None)
            row = line(item, film, name, self.start_s, conversion, self.title, flashes)
            self.lines.setdefault(name, []).append(row)
        if self.films:
            self.keys.append(_key(item))
            self.start_s += item.pictures / item.refresh
        self.numbers.add(item.number)
        if item.last is not None:
            self.shared[item.number] = item.steps
        label = item.label if item.last is None else f"Steps {item.steps}: {item.label}"
        self.thumbnails.append(Thumbnail(item.number, label, thumbnail(item.frame)))

    def _clip(self, item: Item) -> Played | None:
        """How the clip of an item flashes; None where it gets none, an error where it must not."""
        if not any(isinstance(each, Timed) for each in self.formats):
            return None
        if self.seen is not None:
            return self.seen.clips[item.number]
        clip = clip_of(item)
        if clip.flashing.over and not self.flashing_confirmed:
            raise FlashingError([clip])
        return clip

    def _flashes(self, played: Played | None) -> Flashes | None:
        if played is None:
            return None
        over = played.flashing.over or (self.seen is not None and bool(self.seen.over))
        return Flashes(played.flashing, confirmed=over)  # nothing else gets as far as this

    def add_film(
        self,
        film: Film,
        items: Collection[Item],
        progress: Callable[[int], None] | None,
    ) -> None:
        """Write all items into one file."""
        name = file_name(0, self.title or "film", film.suffix, self.digits)
        room = self.seen.film_rooms[film.suffix] if self.seen is not None else film.room(items)
        key = _digest([*_about(film, next(iter(items))), self.title, *self.keys])
        made = self._place(
            name, key, room, lambda path: film.write(items, path, self.title, progress)
        )
        self._enter(name, made, self.lines[name])
        if self.made is not None:
            self.made(0, name)

    def _enter(self, name: str, made: Made, rows: list[tuple[str, ...]]) -> None:
        whole = tuple(whole_line(row, made.sha256, made.coded) for row in rows)
        self.entries.append(Entry(name, made.sha256, whole))

    def finish(self) -> None:
        """Write the lists; with them the export is whole."""
        self._write_lists()
        assert self.folder.journal is not None  # noqa: S101 - taken at the start
        self.folder.journal.finish()

    def give_up(self) -> None:
        """Let the lists name what is whole, if there is room for them."""
        if self.entries:
            with suppress(OSError):  # what stopped the export is what is to be heard
                self._write_lists()
        self.folder.leave()

    def _write_lists(self) -> None:
        """Write the manifest, the overviews and, last, the sums of everything; or no list."""
        path = self.folder.path
        try:
            # without sums no list is believed, until all of them are new
            (path / SUMS).unlink(missing_ok=True)
            self._write_list(MANIFEST, manifest_text(self.entries).encode())
            with BytesIO() as picture:
                overview(self.thumbnails).save(picture, "PNG")
                self._write_list(OVERVIEW, picture.getvalue())
            pages = overview_pdf(self.thumbnails, self.title or "Overview")
            self._write_list(OVERVIEW_PDF, pages)
            sums = {each.name: each.sha256 for each in self.entries}
            sums |= {name: file_sha256(path / name) for name in LISTS if name != SUMS}
            self._write_list(SUMS, sums_text(sums).encode())
        except BaseException:
            self.folder.drop(LISTS)
            raise

    def _write_list(self, name: str, data: bytes) -> None:
        assert self.folder.journal is not None  # noqa: S101 - taken at the start
        with atomic_write(self.folder.path / name) as file:
            file.write(data)
            self.folder.journal.note(name, Made("", hashlib.sha256(data).hexdigest()))

    def _place(self, name: str, key: str, room: int, write: Callable[[Path], Coded | None]) -> Made:
        """Make one file, or find it made."""
        journal = self.folder.journal
        assert journal is not None  # noqa: S101 - taken at the start
        kept = self.folder.made_before(name, key)
        if kept is not None:
            self.kept += 1
            return kept
        path = self.folder.path / name
        reserve = self._reserve(len(self.thumbnails) + 1)
        self.folder.require_room(room + reserve, name, self._so_far())
        ours, taken = self.folder.ours(name), os.path.lexists(path)
        try:
            with atomic_path(path) as temporary:
                coded = write(temporary) or Coded()
                made = Made(key, file_sha256(temporary), coded)
                if ours:
                    self.folder.drop(LISTS)  # they tell of the file that goes now
                elif taken and not _same(path, made.sha256):
                    raise ExportError(self.folder.taken(name))
                journal.note(name, made)
        except OSError as error:
            raise ExportError(
                f"{name} could not be written to {self.folder.path}: {why(error)}{self._so_far()}."
            ) from error
        return made

    def _so_far(self) -> str:
        return f"; the files before it are whole ({len(self.entries)})" if self.entries else ""


def _same(path: Path, sha256: str) -> bool:
    """An export that was cut off leaves files that no list names: the same again is welcome."""
    return is_ordinary(path) and file_sha256(path) == sha256


def _about(kind: Kind, item: Item) -> list[str]:
    return [str(WRITERS), kind.suffix, kind.rule(item.frame.signal)]


def _key(item: Item, format_: Format | None = None) -> str:
    """What a file is to be; files of one key have the same content."""
    return _digest(
        [
            *(_about(format_, item) if format_ is not None else ()),
            item.frame.sha256,
            repr(item.frame.signal),
            item.label,
            item.pattern.kind,
            json.dumps(item.pattern.parameters()),
            str(item.refresh),
            str(item.hold),
            repr(item.light),
        ]
    )


def _digest(parts: list[str]) -> str:
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()
