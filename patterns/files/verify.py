"""Whether the files of a set are what they were when it was exported: after copying to a stick."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from patterns.atomic import why
from patterns.errors import PatternError
from patterns.files.journal import JOURNAL
from patterns.files.manifest import MANIFEST, SUMS, Line, read_listing, read_sums
from patterns.files.ordinary import is_ordinary, open_ordinary

CLUTTER = {
    "$recycle.bin",
    ".ds_store",
    ".fseventsd",
    ".spotlight-v100",
    ".temporaryitems",
    ".trashes",
    "desktop.ini",
    "found.000",
    "lost+found",
    "system volume information",
    "thumbs.db",
}
"""What operating systems put on a stick by themselves."""


@dataclass(frozen=True)
class Verdict:
    """What was found; names in alphabetical order.

    Args:
        whole: files that are what they were.
        differ: files that are not, with the reason.
        missing: files of the list that are not there.
        extra: files that no list names.
        unfinished: whether an export into this folder was cut off.
        flashing: files that flash more than three times a second, alone or one after another, and
            were written because somebody confirmed that; as far as the manifest is whole.
    """

    folder: Path
    whole: tuple[str, ...]
    differ: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    extra: tuple[str, ...]
    unfinished: bool
    flashing: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        """Whether every file is there, as it was, and no other."""
        return not (self.differ or self.missing or self.extra or self.unfinished)


def sets_in(folder: Path) -> list[Path]:
    """The folders of sets, whole or cut off, in a folder that is none itself; none in one that is.

    No link is followed.
    """

    def is_set(path: Path) -> bool:
        return any(is_ordinary(path / name) for name in (SUMS, JOURNAL))

    try:
        if is_set(folder):
            return []
        inside = [each for each in folder.iterdir() if each.is_dir() and not each.is_symlink()]
    except OSError:
        return []
    return sorted(each for each in inside if is_set(each))


def verify(folder: Path, progress: Callable[[int, int], None] | None = None) -> Verdict:
    """Read every file of a set again and compare it with SHA256SUMS.

    Args:
        folder: of the set, or of a copy.
        progress: called with the number of files read and that of all.

    Raises:
        PatternError: there is no set, or its list cannot be read.
    """
    folder = Path(folder)
    if not folder.is_dir():
        raise PatternError(f"{folder} is no folder.")
    there = _there(folder)
    unfinished = JOURNAL in there
    if SUMS not in there:
        half = " An export into it was cut off; the same command again finishes it."
        raise PatternError(f"{folder} has no {SUMS}, so it is no whole set.{half * unfinished}")
    try:
        sums = read_sums(folder / SUMS)
    except OSError as error:
        raise PatternError(f"{SUMS} in {folder} cannot be read: {why(error)}.") from error
    if not sums:
        raise PatternError(f"{SUMS} in {folder} is damaged: it is no list of SHA-256 sums.")
    whole, differ = [], []
    for number, (name, expected) in enumerate(sums.items()):
        if progress is not None:
            progress(number, len(sums))
        if name not in there:
            continue
        try:
            found = _read_again(folder / name)
        except OSError as error:
            differ.append((name, f"it cannot be read: {why(error)}"))
            continue
        if found == expected:
            whole.append(name)
        else:
            differ.append((name, "its content is not what was written"))
    lines = _lines(folder) if MANIFEST in whole else ()
    listed = {each.file: each.file_sha256 for each in lines}
    flashing = {each.file for each in lines if each.flashes and each.flashes.confirmed}
    # where the manifest, which is whole, knows the file as it is, the list of sums is what changed
    reasons = [
        (name, f"its line in {SUMS} does, the file is whole")
        if listed.get(name) == _quiet(folder / name)
        else (name, reason)
        for name, reason in differ
    ]
    return Verdict(
        folder,
        tuple(sorted(whole)),
        tuple(sorted(reasons)),
        tuple(sorted(sums.keys() - there)),
        tuple(sorted(there - sums.keys() - {SUMS, JOURNAL})),
        unfinished,
        tuple(sorted(flashing)),
    )


def _there(folder: Path) -> set[str]:
    return {
        each.name
        for each in folder.iterdir()
        if each.name.lower() not in CLUTTER and not each.name.startswith("._")
    }


def _read_again(path: Path) -> str:
    """SHA-256 of what the medium holds: not of what the system remembers, where it can forget."""
    with open_ordinary(path) as file:
        if hasattr(os, "posix_fadvise"):
            os.fdatasync(file.fileno())
            os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        return hashlib.file_digest(file, "sha256").hexdigest()


def _quiet(path: Path) -> str:
    try:
        return _read_again(path)
    except OSError:
        return ""


def _lines(folder: Path) -> tuple[Line, ...]:
    try:
        return read_listing(folder).lines
    except PatternError:
        return ()
