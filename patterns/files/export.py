"""Exporting frames: numbered files, their lists and an overview, each whole or absent."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from patterns.errors import PatternError
from patterns.files import FORMATS, Format, Item
from patterns.files.atomic import atomic_path, atomic_write, why
from patterns.files.manifest import (
    MANIFEST,
    OVERVIEW,
    SUMS,
    Entry,
    entry,
    file_sha256,
    manifest_text,
    read_sums,
    sums_text,
)
from patterns.files.names import file_name
from patterns.files.overview import Thumbnail, overview, thumbnail

LISTS = (MANIFEST, OVERVIEW, SUMS)
RESERVE, RESERVE_EACH = 131_072, 32_768
"""Bytes kept free for the lists and the overview, and what each further picture adds."""


class ExportError(Exception):
    """An export that could not be finished; ``str()`` is one clear sentence."""


@dataclass(frozen=True)
class Export:
    """What an export made.

    Args:
        folder: where it lies.
        files: names of the picture files, in order.
        left: names of files from an earlier export there that are not part of this one; they
            were left alone, and no list names them any more.
    """

    folder: Path
    files: tuple[str, ...]
    left: tuple[str, ...]


def export(
    items: Iterable[Item],
    folder: Path,
    formats: Sequence[str] = ("png",),
    progress: Callable[[int, str], None] | None = None,
) -> Export:
    """Write every item in every format, then ``manifest.csv``, ``overview.png``, ``SHA256SUMS``.

    The folder is made where it is missing. Other files in it stay as they are: a name that is
    taken is an error, unless the file is the same, or comes unchanged from an earlier export
    (SHA256SUMS there tells). Where the export cannot go on, the lists name what is whole.

    Args:
        items: the pictures; taken one at a time, so that a generator saves memory.
        folder: where to.
        formats: names from ``FORMATS``.
        progress: called with the item's number and the file's name after each file.

    Raises:
        PatternError: an unknown format, or a frame that cannot be made.
        ExportError: the files could not be written; what happened, and where.
    """
    chosen = require_formats(formats)
    work = _Work(Path(folder), chosen, progress)
    try:
        work.start()
        try:
            for item in items:
                work.add(item)
        except BaseException:
            work.give_up()
            raise
        if not work.entries:
            raise ExportError(f"There is nothing to export to {folder}.")
        work.write_lists()
    except OSError as error:
        raise ExportError(f"The export to {folder} could not be finished: {why(error)}.") from error
    names = tuple(each.name for each in work.entries)
    known = {*names, *LISTS}
    left = tuple(n for n in work.earlier if n not in known and (work.folder / n).exists())
    return Export(work.folder, names, left)


def require_formats(names: Sequence[str]) -> list[Format]:
    """The formats of these names, each once; PatternError where there is no such format."""
    unknown = [name for name in names if name not in FORMATS]
    if unknown or not names:
        raise PatternError(
            f"There is no format {unknown[0] if unknown else ''!r}; there are {', '.join(FORMATS)}."
        )
    return [FORMATS[name] for name in dict.fromkeys(names)]


@dataclass
class _Work:
    """An export under way."""

    folder: Path
    formats: list[Format]
    progress: Callable[[int, str], None] | None
    entries: list[Entry] = field(default_factory=list)
    thumbnails: list[Thumbnail] = field(default_factory=list)
    earlier: dict[str, str] = field(default_factory=dict)

    def start(self) -> None:
        """Make the folder, and see what an earlier export left there."""
        if self.folder.exists() and not self.folder.is_dir():
            raise ExportError(f"{self.folder} is a file; an export needs a folder.")
        self.folder.mkdir(parents=True, exist_ok=True)
        sums = read_sums(self.folder / SUMS)
        manifest = self.folder / MANIFEST
        # a list of sums that knows the manifest beside it is one of ours
        if manifest.is_file() and sums.get(MANIFEST) == file_sha256(manifest):
            self.earlier = sums
        for name in LISTS:
            if os.path.lexists(self.folder / name) and not self._replaceable(name):
                raise ExportError(self._taken(name))
        self._require_room(RESERVE, "the lists")

    def add(self, item: Item) -> None:
        """Write one item in every format."""
        if any(each.number == item.number for each in self.thumbnails):
            raise ExportError(f"Two pictures have number {item.number}; each needs its own.")
        for format_ in self.formats:
            name = file_name(item.number, item.label, format_.suffix)
            reserve = RESERVE + RESERVE_EACH * (len(self.thumbnails) + 1)
            self._require_room(format_.room(item) + reserve, name)
            self._place(item, format_, name)
            self.entries.append(entry(item, format_, name, file_sha256(self.folder / name)))
            if self.progress is not None:
                self.progress(item.number, name)
        self.thumbnails.append(Thumbnail(item.number, item.label, thumbnail(item.frame)))

    def write_lists(self) -> None:
        """Write the manifest, the overview and, last, the sums of everything; or no list."""
        try:
            with atomic_write(self.folder / MANIFEST) as file:
                file.write(manifest_text(self.entries).encode())
            with atomic_write(self.folder / OVERVIEW) as file:
                overview(self.thumbnails).save(file, "PNG")
            sums = {each.name: each.sha256 for each in self.entries}
            sums |= {name: file_sha256(self.folder / name) for name in (MANIFEST, OVERVIEW)}
            with atomic_write(self.folder / SUMS) as file:
                file.write(sums_text(sums).encode())
        except BaseException:
            self._drop_lists()
            raise

    def give_up(self) -> None:
        """Let the lists name what is whole, if there is room for them."""
        if self.entries:
            with suppress(OSError):  # what stopped the export is what is to be heard
                self.write_lists()

    def _place(self, item: Item, format_: Format, name: str) -> None:
        path = self.folder / name
        ours, taken = self._replaceable(name), os.path.lexists(path)
        try:
            with atomic_path(path) as temporary:
                format_.write(item, temporary)
                if ours:
                    self._drop_lists()  # they tell of the file that goes now
                elif taken and not _same(path, temporary):
                    raise ExportError(self._taken(name))
        except OSError as error:
            raise ExportError(
                f"{name} could not be written to {self.folder}: {why(error)}{self._so_far()}."
            ) from error

    def _drop_lists(self) -> None:
        for name in LISTS:
            (self.folder / name).unlink(missing_ok=True)

    def _replaceable(self, name: str) -> bool:
        """Whether a file there is one of ours, as an earlier export left it."""
        path = self.folder / name
        if name == SUMS:
            return bool(self.earlier)
        return path.is_file() and self.earlier.get(name) == file_sha256(path)

    def _taken(self, name: str) -> str:
        return (
            f"{name} is in {self.folder} already and does not come unchanged from an earlier "
            "export; it was left as it is: choose another folder."
        )

    def _require_room(self, room: int, what: str) -> None:
        free = shutil.disk_usage(self.folder).free
        if free < room:
            raise ExportError(
                f"{self.folder} has {free / 1e6:.1f} MB free, and {what} may need "
                f"{room / 1e6:.1f} MB{self._so_far()}."
            )

    def _so_far(self) -> str:
        return f"; the files before it are whole ({len(self.entries)})" if self.entries else ""


def _same(path: Path, other: Path) -> bool:
    """An export that was cut off leaves files that no list names: the same again is welcome."""
    return path.is_file() and file_sha256(path) == file_sha256(other)
