"""How a visit file is marked, made, recognised, and brought up to date.

Version 8 keeps what was found out about controls, and how much time there was said to be.
Version 7 keeps how a display was adjusted by its own controls.
Version 6 keeps what a display is meant to do, what is said afterwards of runs and of the visit, and
the plan that it went by.
Version 5 keeps with what instrument a reading was taken where that is said afterwards.
Version 4 keeps which answers of a step are faults. Version 3 keeps as data how a value was derived,
and where the box of a showing stood; before, both were sentences (`readings/visit/older.py`).
Version 2 keeps a check sum of every row; version 1 had none, and its early files lack a column of
`corrections`.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

from readings.visit import sums as visit_sums
from readings.visit.errors import NotAVisitError, VisitError

APPLICATION_ID = 0x4C495446  # "LITF", by which a visit is told from any other SQLite file
VERSION = 8
BEFORE_SUMS = 1
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
    "namings",
    "aims",
    "statements",
    "plans",
    "task_events",
    "controls",
    "turns",
    "adjustments",
    "noticings",
    "minutes",
)
"""What is kept, each table after those that its rows refer to."""
NAMINGS, AIMS, STATEMENTS, PLANS = "namings", "aims", "statements", "plans"
CONTROLS, TURNS, ADJUSTMENTS = "controls", "turns", "adjustments"
NOTICINGS, MINUTES = "noticings", "minutes"
LATEST = {
    NAMINGS: ("reading",),
    AIMS: ("run",),
    STATEMENTS: ("run", "what"),
    ADJUSTMENTS: ("run", "step"),
    MINUTES: ("run",),
}
"""Tables of which the latest row counts, each with the columns of what it is said of."""
_SINCE = {
    visit_sums.TABLE: 2,
    NAMINGS: 5,
    **dict.fromkeys((AIMS, STATEMENTS, PLANS, "task_events"), 6),
    **dict.fromkeys((CONTROLS, TURNS, ADJUSTMENTS), 7),
    **dict.fromkeys((NOTICINGS, MINUTES), 8),
}
"""The tables that came later, with the first version that has them."""


@dataclass(frozen=True)
class _Later:
    """A column that a table has not had from the beginning."""

    table: str
    column: str
    """As the schema has it."""
    add: str
    """The statement that gives it to a table of before."""
    lacking: tuple[int, ...]
    """The versions of which every visit lacks it, ..."""
    perhaps: tuple[int, ...]
    """... and those of which some do."""


_FIT = _Later(
    table="corrections",
    column="""
    fit TEXT NOT NULL DEFAULT '{}' CONSTRAINT "what a correction was made of is a JSON object"
        CHECK (CASE WHEN json_valid(fit) THEN json_type(fit) = 'object' ELSE 0 END),""",
    add="""
ALTER TABLE corrections ADD COLUMN fit TEXT NOT NULL DEFAULT '{}'
    CONSTRAINT "what a correction was made of is a JSON object"
    CHECK (CASE WHEN json_valid(fit) THEN json_type(fit) = 'object' ELSE 0 END)
""",
    lacking=(),
    perhaps=(1,),
)
_DERIVATION = _Later(
    table="readings",
    column="""
    derivation TEXT CONSTRAINT "how a value was derived is a JSON object"
        CHECK (CASE WHEN derivation IS NULL THEN 1
               WHEN json_valid(derivation) THEN json_type(derivation) = 'object' ELSE 0 END),""",
    add="""
ALTER TABLE readings ADD COLUMN derivation TEXT
    CONSTRAINT "how a value was derived is a JSON object"
    CHECK (CASE WHEN derivation IS NULL THEN 1
           WHEN json_valid(derivation) THEN json_type(derivation) = 'object' ELSE 0 END)
""",
    lacking=(1, 2),
    perhaps=(),
)
_FAULTS = _Later(
    table="steps",
    column="""
    faults TEXT CONSTRAINT "which answers are faults is a JSON object"
        CHECK (CASE WHEN faults IS NULL THEN 1
               WHEN json_valid(faults) THEN json_type(faults) = 'object' ELSE 0 END),""",
    add="""
ALTER TABLE steps ADD COLUMN faults TEXT
    CONSTRAINT "which answers are faults is a JSON object"
    CHECK (CASE WHEN faults IS NULL THEN 1
           WHEN json_valid(faults) THEN json_type(faults) = 'object' ELSE 0 END)
""",
    lacking=(1, 2, 3),
    perhaps=(),
)
_LATER = (_FIT, _DERIVATION, _FAULTS)

_OBJECTS = "SELECT type, name, tbl_name, sql FROM sqlite_schema"

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


def tables_of(version: int) -> tuple[str, ...]:
    """Those of `TABLES` that a visit of a version has."""
    return tuple(table for table in TABLES if _SINCE.get(table, 1) <= version)


def make(connection: sqlite3.Connection) -> None:
    """Lay the tables of a visit into an empty database."""
    script = (files("readings") / "visit" / "schema.sql").read_text(encoding="utf-8")
    tables = (*TABLES, visit_sums.TABLE)
    triggers = "".join(_APPEND_ONLY.format(table=table) for table in tables)
    marks = f"PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {VERSION};"
    connection.executescript(f"BEGIN; {script} {triggers} {marks} COMMIT;")  # one sync, not sixty


def recognise(connection: sqlite3.Connection, path: Path) -> int:
    """Make sure that this is a visit, with the tables of a version known here and nothing else.

    What a database of another hand may bring along, such as views and triggers, is compared before
    anything of it can run.

    Returns:
        the version of the visit.
    """
    if _pragma(connection, "application_id") != APPLICATION_ID:
        raise NotAVisitError(f"{path} is a file of another program, not a visit file")
    version = _pragma(connection, "user_version")
    if not isinstance(version, int) or not BEFORE_SUMS <= version <= VERSION:
        if isinstance(version, int) and version > VERSION:
            raise NotAVisitError(
                f"{path} was written by a newer Litfield (visit version {version};"
                f" this one knows {VERSION}); open it there"
            )
        raise VisitError(f"{path} carries no valid visit version; it is damaged")
    found = _objects(connection)
    known = _own_objects(version)
    for (kind, name), text in found.items():
        if (kind, name) not in known:
            raise NotAVisitError(
                f"{path} holds the {kind} {name:.60}, which no visit has, so it is not opened"
            )
        if text not in known[kind, name]:
            raise VisitError(f"{path} is damaged: its {kind} {name} is not that of a visit")
    if found.keys() != known.keys():
        raise VisitError(f"{path} is damaged: part of the visit is missing")
    return version


def grow(connection: sqlite3.Connection, version: int) -> None:
    """Give a visit of an earlier version, open for writing, what came later, all in one commit.

    Nothing kept changes. Where rows have no check sums, they get those of what they say now.
    """
    if version == VERSION:
        return
    connection.execute("BEGIN IMMEDIATE")
    objects = _objects(connection)
    for later in _LATER:
        if objects["table", later.table] == (later.table, _before(later)):
            connection.execute(later.add)
    for table, since in _SINCE.items():
        if version < since:
            for statement in _made_for(table):
                connection.execute(statement)
    if version == BEFORE_SUMS:
        for table in TABLES:
            visit_sums.seal(connection, table)
    connection.execute(f"PRAGMA user_version = {VERSION}")
    connection.execute("COMMIT")


_Object = tuple[str, str]
"""The kind of a database object, and its name."""
_Text = tuple[str, str | None]
"""The table that it belongs to, and the statement that made it."""


def _objects(connection: sqlite3.Connection) -> dict[_Object, _Text]:
    most = len(_made()) + 1  # of a file with endless many, one too many is enough
    rows = connection.execute(_OBJECTS + " LIMIT ?", (most,))
    return {(_as_text(kind), _as_text(name)): (table, sql) for kind, name, table, sql in rows}


def _as_text(cell: object) -> str:
    """A name in the schema; damage may have made bytes, a number or nothing of it."""
    return cell.decode("utf-8", "replace") if isinstance(cell, bytes) else str(cell)


@cache
def _made() -> dict[_Object, _Text]:
    """All of a new visit."""
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
        make(connection)
        rows = connection.execute(_OBJECTS)
        return {(kind, name): (table, sql) for kind, name, table, sql in rows}


@cache
def _own_objects(version: int) -> dict[_Object, frozenset[_Text]]:
    """All that a visit of a version has, each with every text that it was ever made with."""
    known = {
        key: frozenset({text}) for key, text in _made().items() if _SINCE.get(text[0], 1) <= version
    }
    for later in _LATER:
        table = ("table", later.table)
        before = (later.table, _before(later))
        if version in later.lacking:
            known[table] = frozenset({before})
            continue
        with closing(sqlite3.connect(":memory:", isolation_level=None)) as connection:
            connection.execute(before[1])
            connection.execute(later.add)
            known[table] |= {_objects(connection)[table]}
        if version in later.perhaps:
            known[table] |= {before}
    return known


def _before(later: _Later) -> str:
    """The statement that made a table before it had its later column."""
    return str(_made()["table", later.table][1]).replace(later.column, "", 1)


def _made_for(added: str) -> list[str]:
    """The statements that make a table with all that belongs to it, the table first."""
    statements = [
        (kind, sql)
        for (kind, _), (table, sql) in _made().items()
        if table == added and sql is not None
    ]
    return [sql for _, sql in sorted(statements, key=lambda each: each[0] != "table")]


def _pragma(connection: sqlite3.Connection, name: str) -> object:
    return connection.execute(f"PRAGMA {name}").fetchone()[0]
