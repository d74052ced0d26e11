"""Visits as earlier versions wrote them.

Version 7 did not keep what was noticed of controls; version 6 did not keep how a display was
adjusted; version 5 did not keep aims; version 4 did not keep instruments that are named afterwards;
version 3 did not keep which answers are faults; version 2 kept two facts as sentences; version 1
had no check sums either, and at first no `fit`.
"""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

from patterns.picture.sheet import Box
from readings.visit import sums
from readings.visit.derivation import Derivation

DATA = Path(__file__).parents[1] / "data"
"""It holds `readings/visit/schema.sql` as it was while each version was written."""
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


def write_early(visit: Path, early: Path, *, version: int = 1, fit: str = "made") -> Path:
    """Write what is in `visit` to `early` as version 1 to 7 had it.

    Args:
        visit: a visit of today.
        early: a new file.
        version: 1 to 7.
        fit: whether `corrections` has its column `fit`: `made` with it, `grown`, or `none`.
    """
    script = (DATA / f"visit_schema_{version}.sql").read_text("utf-8")
    if fit != "made":
        script, found = re.subn(FIT, "", script)
        assert found == 1
    tables = re.findall(r"CREATE TABLE (\w+)", script)
    assert len(tables) == {1: 12, 5: 14, 6: 18, 7: 21}.get(version, 13)
    script += "".join(TRIGGERS.format(table=table) for table in tables)
    kept = [table for table in tables if table != sums.TABLE]
    with (
        closing(sqlite3.connect(early, isolation_level=None)) as connection,
        closing(sqlite3.connect(visit)) as today,
    ):
        today.row_factory = connection.row_factory = sqlite3.Row
        connection.executescript(
            f"BEGIN; {script} PRAGMA application_id = 1279874118;"
            f" PRAGMA user_version = {version}; COMMIT;"
        )
        if fit == "grown":
            connection.execute(GROWN)
        for table in kept:
            columns = [row[1] for row in connection.execute(f"PRAGMA main.table_info({table})")]
            insert = (
                f"INSERT INTO {table} ({', '.join(columns)})"  # noqa: S608
                f" VALUES ({', '.join('?' * len(columns))})"
            )
            for row in today.execute(f"SELECT * FROM {table}"):  # noqa: S608
                before = _as_before(row) if version < 3 else dict(row)
                connection.execute(insert, [before[name] for name in columns])
        if version > 1:
            for table in kept:
                sums.seal(connection, table)
    return early


def _as_before(row: sqlite3.Row) -> dict[str, object]:
    """A row with the sentences that stood in it before it held data."""
    found = dict(row)
    if found.get("derivation"):
        found["text"] = str(Derivation.described(json.loads(found["derivation"])))
    if "facts" in found:
        facts = json.loads(found["facts"])
        if "box" in facts:
            facts["box"] = str(Box.described(facts["box"]))
            found["facts"] = json.dumps(facts, ensure_ascii=False, sort_keys=True)
    return found
