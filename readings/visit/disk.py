"""Visit files on the disk: opened with the right settings, and made and copied whole or not at all.

A visit is never opened here but through SQLite: on POSIX, closing any other handle on the file
would drop the locks that SQLite holds on it in the same process.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic
from urllib.parse import quote

from patterns.atomic import atomic_path
from readings.visit.errors import NotAVisitError, VisitError
from readings.visit.limits import LARGEST_FILE, LONGEST_ROW

_PATIENCE_S = 10.0  # how long a commit waits for a reader, and a reader for a commit
_OLDEST_SQLITE = (3, 37, 0)  # STRICT tables
_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: LONGEST_ROW,
    sqlite3.SQLITE_LIMIT_COLUMN: 100,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 100,
    sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 2,
    sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 10,
    sqlite3.SQLITE_LIMIT_ATTACHED: 0,
}
_STEPS = 10_000  # of SQLite's machine, between two looks at whether it is to go on
_STEPS_AT_TABLES = 100
_LOOKS_AT_TABLES = 30  # a visit's own tables, indexes and triggers take ten
_LONGEST_STATEMENT = 8 * 2**10  # bytes; the longest that makes a table of a visit has half of it
_LONGEST_LOOK_S = 120.0  # the largest visit takes a few seconds


def connect(path: Path, *, write: bool) -> sqlite3.Connection:
    """A connection to the existing file at `path`; one for reading changes nothing in it.

    Whatever the file holds, nothing of it runs: `schema.recognise` compares its tables,
    views and triggers first. (`PRAGMA trusted_schema = OFF` would forbid a visit's own checks of
    JSON in SQLite 3.40.)
    """
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise VisitError(f"SQLite {sqlite3.sqlite_version} is too old; 3.37 or later is needed")
    name = quote(os.fsencode(path.resolve().as_posix()))
    # Readers too ask for rw, so that SQLite can undo what a killed player left half-written;
    # a file that cannot be written is opened read-only all the same.
    uri = f"file://{name if name.startswith('/') else '/' + name}?mode=rw"
    connection = sqlite3.connect(uri, uri=True, timeout=_PATIENCE_S, isolation_level=None)
    try:
        connection.row_factory = sqlite3.Row
        for limit, most in _LIMITS.items():
            connection.setlimit(limit, most)
        with few_tables(connection, path):
            _set_up(connection, write=write)
    except BaseException:
        connection.close()
        raise
    return connection


def _set_up(connection: sqlite3.Connection, *, write: bool) -> None:
    connection.execute("PRAGMA cell_size_check = ON")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA recursive_triggers = ON")  # so REPLACE asks the delete triggers
    connection.execute("PRAGMA temp_store = MEMORY")
    connection.execute("PRAGMA synchronous = EXTRA")
    # On macOS fsync alone leaves what it was given in the disk's own memory; elsewhere it is all.
    connection.execute("PRAGMA fullfsync = ON")
    if not write:
        connection.execute("PRAGMA query_only = ON")
        return
    (page,) = connection.execute("PRAGMA page_size").fetchone()
    connection.execute(f"PRAGMA max_page_count = {LARGEST_FILE // page}")


@contextmanager
def few_tables(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """While SQLite reads what tables, views and triggers a file has: end it where they are many."""
    before = connection.setlimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, _LONGEST_STATEMENT)
    looks = 0

    def enough() -> bool:
        nonlocal looks
        looks += 1
        return looks > _LOOKS_AT_TABLES

    try:
        sentence = f"{path} holds many more tables than a visit has"
        with _watched(connection, enough, sentence, _STEPS_AT_TABLES):
            yield
    finally:
        connection.setlimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, before)


@contextmanager
def in_time(connection: sqlite3.Connection, path: Path) -> Iterator[None]:
    """While a whole file is looked through: end it where no visit takes so long."""
    end = monotonic() + _LONGEST_LOOK_S
    sentence = f"{path} took more than {_LONGEST_LOOK_S:g} s to look through; copy it to the disk"
    sentence += " of this computer, if it is a visit"
    with _watched(connection, lambda: monotonic() > end, sentence, _STEPS):
        yield


@contextmanager
def _watched(
    connection: sqlite3.Connection, enough: Callable[[], bool], sentence: str, steps: int
) -> Iterator[None]:
    ended = False

    def look() -> bool:
        nonlocal ended
        ended = ended or enough()
        return ended

    connection.set_progress_handler(look, steps)
    try:
        yield
    except sqlite3.OperationalError as error:
        if ended:
            raise NotAVisitError(sentence) from error
        raise
    finally:
        # Whatever it returns: a signal is taken while it runs, and ends the statement.
        connection.set_progress_handler(lambda: False, _STEPS)


@contextmanager
def one_state(connection: sqlite3.Connection) -> Iterator[None]:
    """While the block runs, what it reads stays as it is, though a player may be writing."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


def look(path: Path) -> None:
    """Say what is wrong with `path` where no database is needed to see it."""
    if path.is_dir():
        raise NotAVisitError(f"{path} is a folder, not a visit file")
    if not path.exists():
        raise NotAVisitError(f"there is no visit file {path}")
    if not path.is_file():
        raise NotAVisitError(f"{path} is not a file")
    size = path.stat().st_size
    if size == 0:
        raise NotAVisitError(f"{path} is empty, so it is not a visit file")
    if size > LARGEST_FILE:
        raise NotAVisitError(
            f"{path} has {size / 2**20:.0f} MiB, and a visit at most {LARGEST_FILE / 2**20:.0f} MiB"
        )


def refuse_lost_link(path: Path) -> None:
    """A link to nothing, or to itself, is no place for a new visit."""
    if path.is_symlink() and not path.exists():
        raise VisitError(f"{path} is a link that leads nowhere; name the file itself")


def refuse_leftovers(path: Path) -> None:
    """SQLite would play a journal that an earlier file left behind into a new one."""
    for suffix in ("-journal", "-wal"):
        leftover = path.with_name(path.name + suffix)
        if os.path.lexists(leftover):
            raise VisitError(f"{leftover} belongs to an earlier file; move it away first")


@contextmanager
def whole_or_nothing(path: Path) -> Iterator[Path]:
    """`atomic_path` for a database: a journal beside the temporary name goes with it."""
    with atomic_path(path, follow=True) as temporary:
        try:
            yield temporary
        finally:
            temporary.with_name(temporary.name + "-journal").unlink(missing_ok=True)
