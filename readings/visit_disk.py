"""Visit files on the disk: opened with the right settings, and made and copied whole or not at all.

A visit is never opened here but through SQLite: on POSIX, closing any other handle on the file
would drop the locks that SQLite holds on it in the same process.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import quote

from patterns.files.atomic import atomic_path
from readings import visit_schema
from readings.visit_errors import VisitError

_PATIENCE_S = 10.0  # how long a commit waits for a reader, and a reader for a commit
_OLDEST_SQLITE = (3, 37, 0)  # STRICT tables


def connect(path: Path, *, write: bool) -> sqlite3.Connection:
    """A connection to the existing file at `path`; one for reading changes nothing in it."""
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise VisitError(f"SQLite {sqlite3.sqlite_version} is too old; 3.37 or later is needed")
    name = quote(os.fsencode(path.resolve().as_posix()))
    # Readers too ask for rw, so that SQLite can undo what a killed player left half-written;
    # a file that cannot be written is opened read-only all the same.
    uri = f"file://{name if name.startswith('/') else '/' + name}?mode=rw"
    connection = sqlite3.connect(uri, uri=True, timeout=_PATIENCE_S, isolation_level=None)
    try:
        connection.row_factory = sqlite3.Row
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA recursive_triggers = ON")  # so REPLACE asks the delete triggers
        connection.execute("PRAGMA temp_store = MEMORY")
        connection.execute("PRAGMA synchronous = EXTRA")
        if not write:
            connection.execute("PRAGMA query_only = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def look(path: Path) -> None:
    """Say what is wrong with `path` where no database is needed to see it."""
    if path.is_dir():
        raise VisitError(f"{path} is a folder, not a visit file")
    if not path.exists():
        raise VisitError(f"there is no visit file {path}")
    if not path.is_file():
        raise VisitError(f"{path} is not a file")
    if path.stat().st_size == 0:
        raise VisitError(f"{path} is empty, so it is not a visit file")


def refuse_lost_link(path: Path) -> None:
    """A link to nothing, or to itself, is no place for a new visit."""
    if path.is_symlink() and not path.exists():
        raise VisitError(f"{path} is a link that leads nowhere; name the file itself")


def refuse_leftovers(path: Path) -> None:
    """SQLite would play a journal that an earlier file left behind into a new one."""
    for suffix in ("-journal", "-wal"):
        leftover = path.with_name(path.name + suffix)
        if leftover.exists():
            raise VisitError(f"{leftover} belongs to an earlier file; move it away first")


def copy(source: sqlite3.Connection, temporary: Path) -> None:
    """Copy a live visit page by page, and make sure that the copy is whole."""
    temporary.touch(exist_ok=False)
    with closing(sqlite3.connect(temporary, isolation_level=None)) as target:
        target.execute("PRAGMA journal_mode = OFF")  # a failed copy is thrown away
        source.backup(target)
        if target.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
            raise VisitError("the copy is not whole; try another disk")
        visit_schema.recognise(target, temporary)


@contextmanager
def whole_or_nothing(path: Path) -> Iterator[Path]:
    """`atomic_path` for a database: a journal beside the temporary name goes with it."""
    with atomic_path(path) as temporary:
        try:
            yield temporary
        finally:
            temporary.with_name(temporary.name + "-journal").unlink(missing_ok=True)
