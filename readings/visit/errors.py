"""What a visit says when it cannot do what was asked: one sentence that the operator can act on."""

from __future__ import annotations

import errno
import os
import re
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from patterns.atomic import in_use
from patterns.errors import BAD_INPUT, LitfieldError
from readings.visit.limits import LARGEST_FILE, LONGEST_ROW


class VisitError(LitfieldError):
    """A visit file could not be opened, read or written; ``str()`` is one clear sentence."""


class NotAVisitError(VisitError):
    """What was named is no visit that can be opened here, or is not in it; the file is whole."""

    exit_code = BAD_INPUT


def from_database(error: sqlite3.Error, path: Path) -> VisitError:
    """The sentence for what SQLite reported about the visit at `path`."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    if code is None:
        column = re.match(r"Could not decode to UTF-8 column '(\w+)'", str(error))
        if column is not None:
            return VisitError(f"{path} is damaged: its {column[1]} is not text")
        return VisitError(f"{path} cannot be used: {error}")
    primary = code & 0xFF  # the upper bits only detail it
    if primary == sqlite3.SQLITE_CONSTRAINT:
        return VisitError(f"not kept in {path}: {_constraint(error, code)}")
    if primary == sqlite3.SQLITE_NOTADB:
        return NotAVisitError(f"{path} is not a visit file")
    sentence: str | None
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        sentence = "{path} was moved away or removed, so this was not kept; put it back where it"
        sentence += " was and try again"
    elif primary == sqlite3.SQLITE_FULL and _is_as_large_as_may_be(path):
        sentence = "{path} is as large as a visit may be, so this was not kept in it; what was kept"
        sentence += " before is whole: go on in a new visit"
    else:
        sentence = (unwritable(path) if primary in _REFUSED else None) or _SENTENCES.get(primary)
    if sentence is None:
        return VisitError(f"{path} cannot be used: {error}")
    return VisitError(sentence.replace("{path}", str(path)))


_SENTENCES = {
    sqlite3.SQLITE_FULL: "the disk is full, so this was not kept in {path};"
    " what was kept before is whole: make room and try again",
    sqlite3.SQLITE_BUSY: "another program is using {path}; close it and try again",
    sqlite3.SQLITE_LOCKED: "another program is using {path}; close it and try again",
    sqlite3.SQLITE_CORRUPT: "{path} is damaged or cut short; use a copy of it",
    sqlite3.SQLITE_READONLY: "{path} is read-only, so nothing can be kept in it",
    sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened, or its folder cannot be written",
    sqlite3.SQLITE_PERM: "{path} may not be opened by this user",
    sqlite3.SQLITE_IOERR: "the disk that holds {path} failed to read or write",
    sqlite3.SQLITE_TOOBIG: "that is too large to be kept in {path}",
}
_REFUSED = {
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_IOERR,  # where what was left half-written is undone, and cannot be removed
}


def unwritable(path: Path) -> str | None:
    """Why the visit at `path`, which is there, cannot be written, and what to do; None if it can.

    One that was cut off while it was written cannot even be read then.
    """
    if _is_on_read_only_disk(path):
        why, how = "lies on a disk that is read-only", "copy it to a disk that can be written"
        short = "its disk is read-only"
    elif not _may(path, os.R_OK):
        return f"{path} may not be read by this user: change who may"
    elif not _may(path, os.W_OK):
        why, how = "is read-only for this user", "change who may write it"
        short = "it is read-only for this user"
    elif not _may(path.absolute().parent, os.W_OK):
        short = f"the folder {path.parent} may not be written by this user"
        why, how = "", "change who may"
    else:
        return None
    journal = path.with_name(f"{path.name}-journal")
    if journal.exists():
        return (
            f"{path} was cut off while it was written; that has to be undone before it can be read,"
            f" and {short}: copy it together with {journal.name} into a folder that can be written,"
            " and open it there"
        )
    if not why:
        return f"{short}, and {path.name} keeps its journal there: {how}"
    return f"{path} {why}, so nothing can be kept in it: {how}"


def _is_on_read_only_disk(path: Path) -> bool:
    if sys.platform == "win32":
        return False
    try:
        return bool(os.statvfs(path).f_flag & os.ST_RDONLY)
    except OSError:
        return False


def _may(path: Path, how: int) -> bool:
    return os.access(path, how, effective_ids=os.access in os.supports_effective_ids)


def _is_as_large_as_may_be(path: Path) -> bool:
    try:
        return path.stat().st_size > LARGEST_FILE - LONGEST_ROW
    except OSError:
        return False


def _constraint(error: sqlite3.Error, code: int) -> str:
    message = str(error)
    if code == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
        return (
            "it refers to a run, step, showing, instrument, reading or control that is not in this"
            " visit"
        )
    # The schema names its constraints with the sentence to show.
    return message.removeprefix("CHECK constraint failed: ")


def from_system(error: OSError, path: Path) -> VisitError:
    """The sentence for what the operating system reported about the file at `path`."""
    refused = error.errno in {errno.EROFS, errno.EACCES, errno.EPERM}
    if name := in_use(error):
        sentence = f"{name} is open in another program; close it there"
    elif error.errno in {errno.ENOSPC, errno.EDQUOT}:
        sentence = f"the disk is full, so {path} was not written"
    elif refused and path.exists() and (why := unwritable(path)):
        sentence = why
    elif error.errno == errno.EROFS:
        sentence = f"{path} lies on a disk that is read-only"
    elif refused:
        sentence = f"the folder {path.parent} may not be written by this user"
    elif error.errno in {errno.ENOENT, errno.ENOTDIR}:
        sentence = f"there is no folder {path.parent}"
    else:
        sentence = f"{path} cannot be used: {error.strerror or error}"
    return VisitError(sentence)


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn whatever SQLite or the operating system raises inside into a VisitError."""
    try:
        yield
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_INTERRUPT:
            raise KeyboardInterrupt from error  # it came while SQLite worked, which only stops then
        raise from_database(error, path) from error
    except UnicodeDecodeError as error:
        # SQLite's own complaint named something in the file that is no longer text.
        raise VisitError(f"{path} is damaged or cut short; use a copy of it") from error
    except OSError as error:
        raise from_system(error, path) from error
