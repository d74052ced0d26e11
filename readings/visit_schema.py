"""How a visit file is marked, made and recognised."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from functools import cache
from importlib.resources import files
from pathlib import Path

from readings.visit_errors import VisitError

APPLICATION_ID = 0x4C495446  # "LITF", by which a visit is told from any other SQLite file
VERSION = 1
TABLES = (
    "visit",
    "instruments",
    "corrections",
    "runs",
    "run_events",
    "steps",
    "skips",
    "showings",
    "readings",
    "notes",
    "tallies",
    "withdrawals",
)

_LATER = {
    ("corrections", "fit"): """
ALTER TABLE corrections ADD COLUMN fit TEXT NOT NULL DEFAULT '{}'
    CONSTRAINT "what a correction was made of is a JSON object"
    CHECK (CASE WHEN json_valid(fit) THEN json_type(fit) = 'object' ELSE 0 END)
"""
}
"""Columns that early visits of this version lack; the last ones of their tables."""

# The third trigger is for INSERT OR REPLACE, which deletes a row without asking the second.
_APPEND_ONLY = """
CREATE TRIGGER {table}_are_never_changed BEFORE UPDATE ON {table}
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is changed'); END;
CREATE TRIGGER {table}_are_never_deleted BEFORE DELETE ON {table}
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is deleted'); END;
CREATE TRIGGER {table}_are_never_overwritten BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is overwritten'); END;
"""


def make(connection: sqlite3.Connection) -> None:
    """Lay the tables of a visit into an empty database."""
    script = (files("readings") / "visit_schema.sql").read_text(encoding="utf-8")
    triggers = "".join(_APPEND_ONLY.format(table=table) for table in TABLES)
    marks = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {VERSION};"
    connection.executescript(f"BEGIN; {script} {triggers} {marks} COMMIT;")  # one sync, not sixty


def recognise(connection: sqlite3.Connection, path: Path) -> None:
    """Make sure that this is a visit, of a version known here, and whole."""
    if _pragma(connection, "application_id") != APPLICATION_ID:
        raise VisitError(f"{path} is a file of another program, not a visit file")
    version = _pragma(connection, "user_version")
    if version != VERSION:
        raise VisitError(
            f"{path} was written by a newer Litfield (visit version {version};"
            f" this one knows {VERSION}); open it there"
            if isinstance(version, int) and version > VERSION
            else f"{path} carries no valid visit version; it is damaged"
        )
    if _pragma(connection, "quick_check") != "ok":
        raise VisitError(f"{path} is damaged or cut short; use a copy of it")
    tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
    if not tables.issuperset(TABLES) or not connection.execute("SELECT 1 FROM visit").fetchone():
        raise VisitError(f"{path} is damaged: part of the visit is missing")
    # The quick check looks at each row by itself, and at no name of a column.
    if not _same(_columns(connection), _own_columns()):
        raise VisitError(f"{path} is damaged: its columns are not those of a visit")
    lost = connection.execute("PRAGMA foreign_key_check").fetchone()
    if lost is not None:
        raise VisitError(f"{path} is damaged: a row of {lost[0]} refers to a row that is missing")


def grow(connection: sqlite3.Connection) -> None:
    """Give an early visit, open for writing, the columns that came later. Nothing kept changes."""
    columns = _columns(connection)
    for (table, column), statement in _LATER.items():
        if column not in columns[table]:
            connection.execute(statement)


def _same(found: dict[str, list[str]], own: dict[str, list[str]]) -> bool:
    """Whether the columns are those of a visit, or of one before some came later."""
    return all(
        found[table] == columns
        or found[table] == [name for name in columns if (table, name) not in _LATER]
        for table, columns in own.items()
    )


def _columns(connection: sqlite3.Connection) -> dict[str, list[str]]:
    return {
        table: [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        for table in TABLES
    }


@cache
def _own_columns() -> dict[str, list[str]]:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        make(connection)
        return _columns(connection)


def _pragma(connection: sqlite3.Connection, name: str) -> object:
    return connection.execute(f"PRAGMA {name}").fetchone()[0]
