"""Visits as earlier versions wrote them: version 1 had no check sums, and at first no `fit`."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from pathlib import Path

SCHEMA = Path(__file__).parents[1] / "data" / "visit_schema_1.sql"
"""`readings/visit/schema.sql` as it was while version 1 was written."""
TRIGGERS = """
CREATE TRIGGER {table}_are_never_changed BEFORE UPDATE ON {table}
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is changed'); END;
CREATE TRIGGER {table}_are_never_deleted BEFORE DELETE ON {table}
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is deleted'); END;
CREATE TRIGGER {table}_are_never_overwritten BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'a visit only grows: nothing kept in {table} is overwritten'); END;
"""
FIT = r"    fit TEXT NOT NULL DEFAULT.*\n.*\n"
GROWN = """
ALTER TABLE corrections ADD COLUMN fit TEXT NOT NULL DEFAULT '{}'
    CONSTRAINT "what a correction was made of is a JSON object"
    CHECK (CASE WHEN json_valid(fit) THEN json_type(fit) = 'object' ELSE 0 END)
"""


def write_early(visit: Path, early: Path, *, fit: str = "made") -> Path:
    """Write what is in `visit` to `early` as version 1 had it.

    Args:
        visit: a visit of today.
        early: a new file.
        fit: whether `corrections` has its column `fit`: `made` with it, `grown`, or `none`.
    """
    script = SCHEMA.read_text("utf-8")
    if fit != "made":
        script, found = re.subn(FIT, "", script)
        assert found == 1
    tables = re.findall(r"CREATE TABLE (\w+)", script)
    assert len(tables) == 12
    script += "".join(TRIGGERS.format(table=table) for table in tables)
    with closing(sqlite3.connect(early, isolation_level=None)) as connection:
        connection.executescript(
            f"BEGIN; {script} PRAGMA application_id = 1279874118; PRAGMA user_version = 1; COMMIT;"
        )
        if fit == "grown":
            connection.execute(GROWN)
        connection.execute("ATTACH ? AS today", (str(visit),))
        for table in tables:
            columns = [row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")]
            names = ", ".join(columns)
            copy = f"INSERT INTO {table} ({names}) SELECT {names} FROM today.{table}"  # noqa: S608
            connection.execute(copy)
    return early
