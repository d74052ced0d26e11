# ruff: noqa: S608 - the names are those of the schema
"""Visits spoilt as any program that knows SQLite could spoil them, and as a bad disk does."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from random import Random
from typing import Any

from readings.visit import sums as visit_sums
from readings.visit.schema import TABLES
from tests.mutated import mutations
from tests.mutated.mutations import Raw, tree_of

LARGEST_SEALED = 20_000_000
"""Bytes of a visit whose check sums are made anew."""
PAGE = 4096
NUMBERS: list[object] = [
    0, -1, 1, 2, 7, 0.5, -0.0, 1e308, -1e308, 1.7e308, 9e999, -9e999, 1e-320, 1e-300, 5e-324, 1e16,
    2**31, 2**53, 2**63 - 1, -(2**63), 1e100, None, 0.3, 1.0, 99999, 100_000_000,
]  # fmt: skip
TIMES = [
    "2026-02-30T25:61:61.000000Z", "9999-12-31T23:59:59.999999Z", "0000-00-00T00:00:00.000000Z",
    "0001-01-01T00:00:00.000000Z", "????-??-??T??:??:??.??????Z", "now",
]  # fmt: skip
INSIDE: list[object] = [*NUMBERS[:-2], [], {}, True, "x", "1e999", ["1"], {"a": None}]


def spoil_visit(path: Path, random: Random) -> None:
    """Spoil a visit in one to three ways."""
    if random.random() < 0.3:
        data = path.read_bytes()
        for _ in range(random.choice([1, 1, 1, 2, 8])):
            data = _spoilt_file(data, random)
        path.write_bytes(data)
        if random.random() < 0.1:
            path.with_name(f"{path.name}-journal").write_bytes(random.randbytes(2000))
        return
    with closing(sqlite3.connect(path, isolation_level=None)) as visit:
        visit.execute("PRAGMA ignore_check_constraints = ON")
        visit.execute("PRAGMA foreign_keys = OFF")
        for _ in range(random.choice([1, 1, 2, 3])):
            with suppress(sqlite3.Error):
                _unguarded(visit, random.choice(_WAYS), random)
        if random.random() < 0.6:
            with suppress(sqlite3.Error, IndexError):  # where a table or a column has gone
                _unguarded(visit, _sealed, random)


def _spoilt_file(data: bytes, random: Random) -> bytes:
    """Bytes flipped in one place, pages swapped, cut off, or written over."""
    way = random.randrange(7)
    at = random.randrange(max(len(data), 1))
    if way <= 2:
        return mutations.spoilt_bytes(data, random, random.choice([1, 3]))
    if way == 3:
        return data[: at // PAGE * PAGE]
    page = at // PAGE * PAGE
    if way == 4:
        return data[:page] + bytes(PAGE) + data[page + PAGE :]
    other = random.randrange(max(len(data), 1)) // PAGE * PAGE
    if way == 5:
        return data[:page] + data[other : other + PAGE] + data[page + PAGE :]
    # a text in the middle of a page
    spoilt = mutations.as_bytes(random.choice(mutations.TEXTS))[: PAGE // 2]
    return data[:at] + spoilt + data[at + len(spoilt) :]


def _unguarded(visit: sqlite3.Connection, way: Callable[..., None], random: Random) -> None:
    """Do something without the triggers, which come back afterwards."""
    told = visit.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in told:
        visit.execute(f'DROP TRIGGER "{name}"')
    try:
        way(visit, random)
    finally:
        for _, sql in told:
            with suppress(sqlite3.Error):
                visit.execute(sql)


def _columns(visit: sqlite3.Connection, table: str) -> list[tuple[str, str]]:
    rows = visit.execute(f"PRAGMA table_info({table})").fetchall()
    return [(row[1], row[2]) for row in rows]


def _cell(visit: sqlite3.Connection, random: Random) -> None:
    """One value, or the same column of every row."""
    filled = [t for t in TABLES if visit.execute(f"SELECT count(*) FROM {t}").fetchone()[0]]
    table = random.choice(["readings", "showings", "steps", "runs", *filled])
    name, kind = random.choice(_columns(visit, table))
    rows = [row[0] for row in visit.execute(f"SELECT rowid FROM {table}")]
    chosen = rows if random.random() < 0.2 else [random.choice(rows)]
    for row in chosen:
        found = visit.execute(f'SELECT "{name}" FROM {table} WHERE rowid = ?', [row]).fetchone()
        if found is None:  # a damaged index told of it
            continue
        new = _value(name, kind, found[0], random)
        if isinstance(new, bytes):  # text that is none
            sql = f'UPDATE {table} SET "{name}" = CAST(? AS TEXT) WHERE rowid = ?'
        else:
            sql = f'UPDATE {table} SET "{name}" = ? WHERE rowid = ?'
        visit.execute(sql, [new, row])


def _value(name: str, kind: str, old: object, random: Random) -> Any:
    if kind != "TEXT":
        return random.choice(NUMBERS)
    if name.endswith("at") and random.random() < 0.7:
        return random.choice(TIMES)
    return _text(str(old), random)


def _text(text: str, random: Random) -> str | bytes | None:
    """Another text, or other JSON where it is JSON."""
    chance = random.random()
    if text.startswith(("{", "[")) and chance < 0.85:
        tree = tree_of(json.loads(text))
        if chance < 0.4 and (found := mutations.places(tree)):
            at, n = random.choice(found)
            at[n] = tree_of(random.choice(INSIDE))
        else:
            tree = mutations.spoilt_tree(tree, random, random.choice([1, 2]))
        return _storable(mutations.as_json(tree))
    if chance < 0.06:
        return random.choice([b"\xff\xfe", b"\x00", b"a\x00b", b"\xed\xa0\x80"])
    if chance < 0.12:
        return None
    if chance < 0.3:
        return _storable(mutations.spoilt_text(text, random))
    spoilt = mutations.spoilt_scalar(text, random)
    return _storable(spoilt.text if isinstance(spoilt, Raw) else str(spoilt))


def _storable(text: str) -> str | bytes:
    """SQLite takes half characters as bytes only."""
    data = mutations.as_bytes(text)
    return data if any(0xD800 <= ord(each) < 0xE000 for each in text) else text


def _sealed(visit: sqlite3.Connection, _: Random) -> None:
    """New check sums of all rows, as whoever knows visits can make them; early ones have none."""
    (pages,) = visit.execute("PRAGMA page_count").fetchone()
    if pages * PAGE > LARGEST_SEALED:  # sealing it takes the time that reading it has
        return
    visit.execute(f"DELETE FROM {visit_sums.TABLE}")
    visit.row_factory = sqlite3.Row
    try:
        for table in TABLES:
            visit_sums.seal(visit, table)
    finally:
        visit.row_factory = None


def _drop(visit: sqlite3.Connection, random: Random) -> None:
    visit.execute(f"DROP TABLE {random.choice(TABLES)}")


def _column(visit: sqlite3.Connection, random: Random) -> None:
    table = random.choice(TABLES)
    columns = _columns(visit, table)
    if not columns:  # the table is gone
        return
    name, _ = random.choice(columns)
    way = random.randrange(3)
    if way == 0:
        visit.execute(f'ALTER TABLE {table} RENAME COLUMN "{name}" TO "other"')
    elif way == 1:
        visit.execute(f'ALTER TABLE {table} DROP COLUMN "{name}"')
    else:
        visit.execute(f"ALTER TABLE {table} ADD COLUMN more BLOB")


def _loosen(visit: sqlite3.Connection, random: Random) -> None:
    """Tables that are no longer strict, where any value may stand in any column."""
    visit.execute("PRAGMA writable_schema = ON")
    visit.execute("UPDATE sqlite_master SET sql = replace(sql, ') STRICT', ')')")
    visit.execute("PRAGMA writable_schema = RESET")
    table = random.choice(["readings", "showings", "steps", "runs", "visit", "instruments"])
    columns = _columns(visit, table)
    if not columns:  # the table is gone
        return
    name, _ = random.choice(columns)
    value = random.choice(["x", "", b"\x00\xff", 1e308, -1, None, "1e999", 2**62])
    visit.execute(f'UPDATE {table} SET "{name}" = ?', [value])


def _rows(visit: sqlite3.Connection, random: Random) -> None:
    """Rows deleted, or pointing elsewhere."""
    table = random.choice(TABLES)
    if random.random() < 0.5:
        some = random.choice(["", " WHERE rowid % 2", " WHERE rowid = 1", " WHERE rowid > 3"])
        visit.execute(f"DELETE FROM {table}{some}")
    else:
        visit.execute(f"UPDATE {table} SET rowid = rowid + 1000000 WHERE rowid = 1")


def _many(visit: sqlite3.Connection, random: Random) -> None:
    """The readings over and over."""
    names = ", ".join(f'"{name}"' for name, _ in _columns(visit, "readings") if name != "id")
    for _ in range(random.choice([1, 4, 8])):
        visit.execute(f"INSERT INTO readings ({names}) SELECT {names} FROM readings")


def _marks(visit: sqlite3.Connection, random: Random) -> None:
    mark = random.choice(
        ["user_version = 2", "user_version = 3", "user_version = 4", "user_version = -1",
         "user_version = 0", "user_version = 6", "user_version = 7", "application_id = 1",
         "journal_mode = WAL", "encoding = 'UTF-16'", "auto_vacuum = FULL"]
    )  # fmt: skip
    visit.execute(f"PRAGMA {mark}")


def _guards(visit: sqlite3.Connection, random: Random) -> None:
    """Something more in the file: a view in a table's place, a trigger, an index."""
    table = random.choice(TABLES)
    way = random.randrange(3)
    if way == 0:
        visit.execute(f"ALTER TABLE {table} RENAME TO old")
        visit.execute(f"CREATE VIEW {table} AS SELECT * FROM old")
    elif way == 1:
        visit.execute(f"CREATE TRIGGER more AFTER INSERT ON {table} BEGIN DELETE FROM {table}; END")
    else:
        visit.execute(f"CREATE TABLE more AS SELECT * FROM {table}")


_WAYS: list[Callable[[sqlite3.Connection, Random], None]] = [
    *[_cell] * 8, _drop, _column, _loosen, _loosen, _rows, _rows, _many, _marks, _guards,
]  # fmt: skip
