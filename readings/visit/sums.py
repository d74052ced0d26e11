"""The check sum of each row of a visit, by which damage is found that SQLite itself cannot see.

A row and its check sum are kept in one commit. The sum is the SHA-256, in hexadecimal, of this text
in UTF-8: a JSON array of the table's name and an object of the row's columns, with sorted names,
without the columns that are NULL, and without spaces. So a column that comes later, and is NULL in
the rows of before, changes no sum.
"""

from __future__ import annotations

import json
import sqlite3
from hashlib import sha256

TABLE = "check_sums"
Key = tuple[str, int, int | None]
"""A row: its table, its id, and None; of a step its run, and its number."""

_KEEP = "INSERT INTO check_sums (kept_in, row, step, sha256) VALUES (?, ?, ?, ?)"

_JSON = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def key_of(table: str, row: sqlite3.Row) -> Key:
    """Which row of a visit this is."""
    return (table, row["run"], row["number"]) if table == "steps" else (table, row["id"], None)


def sum_of(table: str, row: sqlite3.Row) -> str:
    """The check sum of a row with all of its columns; empty where it holds what no visit holds."""
    kept = {name: cell for name, cell in zip(row.keys(), row, strict=True) if cell is not None}
    try:
        text = _JSON.encode([table, kept])
    except TypeError:  # damage has made bytes of a text
        return ""
    return sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def seal(connection: sqlite3.Connection, table: str, where: str = "", *values: int) -> None:
    """Keep the check sums of rows that have none, as they now stand in their table."""
    rows = connection.execute(f"SELECT * FROM {table} {where}", values).fetchall()  # noqa: S608 - words of our own
    connection.executemany(_KEEP, [(*key_of(table, row), sum_of(table, row)) for row in rows])
