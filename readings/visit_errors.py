"""What a visit says when it cannot do what was asked: one sentence that the operator can act on."""

from __future__ import annotations

import errno
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class VisitError(Exception):
    """A visit file could not be opened, read or written; ``str()`` is one clear sentence."""


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
    sentence = {
        sqlite3.SQLITE_FULL: "the disk is full, so this was not kept in {path};"
        " what was kept before is whole: make room and try again",
        sqlite3.SQLITE_BUSY: "another program is using {path}; close it and try again",
        sqlite3.SQLITE_LOCKED: "another program is using {path}; close it and try again",
        sqlite3.SQLITE_NOTADB: "{path} is not a visit file",
        sqlite3.SQLITE_CORRUPT: "{path} is damaged or cut short; use a copy of it",
        sqlite3.SQLITE_READONLY: "{path} is read-only, so nothing can be kept in it",
        sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened, or its folder cannot be written",
        sqlite3.SQLITE_PERM: "{path} may not be opened by this user",
        sqlite3.SQLITE_IOERR: "the disk that holds {path} failed to read or write",
        sqlite3.SQLITE_TOOBIG: "that is too large to be kept in {path}",
    }.get(primary)
    if code == sqlite3.SQLITE_READONLY_ROLLBACK:
        # Seen where a crash left a journal on a medium that cannot be written.
        sentence = "{path} was cut off while writing; copy it with its -journal file to a disk"
        sentence += " that can be written, and open it there"
    if code == sqlite3.SQLITE_READONLY_DBMOVED:
        sentence = "{path} was moved away or removed, so this was not kept; put it back where it"
        sentence += " was and try again"
    if code == sqlite3.SQLITE_READONLY_DIRECTORY:
        sentence = "{path} cannot be written, since its folder cannot be written"
    if sentence is None:
        return VisitError(f"{path} cannot be used: {error}")
    return VisitError(sentence.format(path=path))


def _constraint(error: sqlite3.Error, code: int) -> str:
    message = str(error)
    if code == sqlite3.SQLITE_CONSTRAINT_FOREIGNKEY:
        return "it refers to a run, step, showing, instrument or reading that is not in this visit"
    # The schema names its constraints with the sentence to show.
    return message.removeprefix("CHECK constraint failed: ")


def from_system(error: OSError, path: Path) -> VisitError:
    """The sentence for what the operating system reported about the file at `path`."""
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return VisitError(f"the disk is full, so {path} was not written")
    if error.errno == errno.EROFS:
        return VisitError(f"{path} lies on a disk that is read-only")
    if error.errno in {errno.EACCES, errno.EPERM}:
        return VisitError(f"the folder {path.parent} may not be written by this user")
    if error.errno in {errno.ENOENT, errno.ENOTDIR}:
        return VisitError(f"there is no folder {path.parent}")
    return VisitError(f"{path} cannot be used: {error.strerror or error}")


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn whatever SQLite or the operating system raises inside into a VisitError."""
    try:
        yield
    except sqlite3.Error as error:
        raise from_database(error, path) from error
    except UnicodeDecodeError as error:
        # SQLite's own complaint named something in the file that is no longer text.
        raise VisitError(f"{path} is damaged or cut short; use a copy of it") from error
    except OSError as error:
        raise from_system(error, path) from error
