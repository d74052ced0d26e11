"""What is damaged in a visit file, and all else that is in it.

SQLite's own check compares indexes with tables, and knows nothing of what a text said before; check
sums know nothing of indexes. A visit that fails either is read once more, row by row and without
any index. What matches its check sum, and rests on nothing that is lost, goes into a visit in
memory, which then answers in its place.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from readings.visit import schema as visit_schema
from readings.visit import sums as visit_sums
from readings.visit.columns import Cell, insert
from readings.visit.errors import NotAVisitError, VisitError
from readings.visit.limits import LARGEST_FILE, LONGEST_TEXT, MOST_ROWS
from readings.visit.schema import LATEST, TABLES, tables_of
from readings.visit.soundness import LeftOut, Soundness, Why
from readings.visit.sums import Key, key_of, sum_of

_HEAD: Key = ("visit", 1, None)
_SAYS_WITHOUT = {
    "notes": ("runs", "steps", "showings"),
    "turns": ("showings",),
    "noticings": ("showings",),
}
"""By table, what its rows say what they say without."""
_CUT_SHORT = "is damaged or cut short; use a copy of it"


def damage_of(connection: sqlite3.Connection, path: Path, version: int) -> str | None:
    """What is wrong with a visit that was recognised, to stand after its name; None if nothing.

    Raises:
        NotAVisitError: it holds more rows than a visit may.
    """
    try:
        if connection.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
            return _CUT_SHORT
        lost = connection.execute("PRAGMA foreign_key_check").fetchone()
        if lost is not None:
            return f"is damaged: a row of {lost[0]} refers to a row that is missing"
        return _damage_of_rows(connection, path, version)
    except sqlite3.DatabaseError as error:
        if not _is_unreadable(error):
            raise
        return _CUT_SHORT


def _damage_of_rows(connection: sqlite3.Connection, path: Path, version: int) -> str | None:
    summed = version != visit_schema.BEFORE_SUMS
    sums = _sums(_rows(connection, path, visit_sums.TABLE)) if summed else {}
    headless = True
    for table in tables_of(version):
        for row in _rows(connection, path, table):
            if summed and sums.pop(key_of(table, row), None) != sum_of(table, row):
                return f"is damaged: a row of {table} does not match its check sum"
            if _too_long(row):
                return f"holds a text in {table} that is longer than any of a visit"
            headless = headless and table != "visit"
    if headless:
        return "is damaged: part of the visit is missing"
    return f"is damaged: a row of {next(iter(sums))[0]} is missing" if sums else None


def rescued(
    connection: sqlite3.Connection, path: Path, version: int
) -> tuple[sqlite3.Connection, Soundness]:
    """A visit in memory with all that is whole in a damaged one, and what is left out.

    Raises:
        VisitError: not even its head can be read.
    """
    with _lossless(connection):
        found = _Found(connection, path, version)
    if _HEAD not in found.rows and _HEAD not in found.changed:
        raise VisitError(f"{path} {_CUT_SHORT}")
    memory = sqlite3.connect(":memory:", isolation_level=None)
    try:
        memory.row_factory = sqlite3.Row
        visit_schema.make(memory)
        for (name,) in memory.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'"):
            memory.execute(f'DROP TRIGGER "{name}"')
        head_changed = found.changed.pop(_HEAD, None)
        if head_changed is not None:
            del found.left[_HEAD]
            found.rows[_HEAD] = head_changed
        for key, row in found.rows.items():
            try:
                kept: dict[str, Cell] = {name: _text(row[name]) for name in row.keys()}  # noqa: SIM118 - no mapping
                memory.execute(insert(key[0], kept), kept)
            except sqlite3.IntegrityError as error:
                if key == _HEAD:
                    raise VisitError(f"{path} {_CUT_SHORT}") from error
                found.leave(key, "unfit")
        found.leave_what_rests(_references(memory))
        for table, number, step in found.left:
            which = "run = ? AND number = ?" if table == "steps" else "id = ? AND ? IS NULL"
            memory.execute(f"DELETE FROM {table} WHERE {which}", (number, step))  # noqa: S608 - names of our own
        memory.execute("PRAGMA query_only = ON")
    except BaseException:
        memory.close()
        raise
    left = sorted(found.left.values(), key=lambda each: (TABLES.index(each.kept_in), each.row))
    return memory, Soundness(
        damaged=True, head_changed=head_changed is not None, left_out=tuple(left)
    )


class _Found:
    """All rows that can be read, told apart by their check sums, and what is left out of them."""

    def __init__(self, connection: sqlite3.Connection, path: Path, version: int) -> None:
        self.rows: dict[Key, sqlite3.Row] = {}
        """Those that match."""
        self.changed: dict[Key, sqlite3.Row] = {}
        """Those that do not, as they stand."""
        self.left: dict[Key, LeftOut] = {}
        sums = _sums(_readable(connection, path, visit_sums.TABLE))
        length = 0
        for table in tables_of(version):
            for row in _readable(connection, path, table):
                key = key_of(table, row)
                whole = sums.get(key) == sum_of(table, row) and not _too_long(row)
                (self.rows if whole else self.changed)[key] = row
                length += sum(len(cell) for cell in row if isinstance(cell, str))
                if length > LARGEST_FILE:
                    raise NotAVisitError(f"{path} is no visit: its texts are longer than the file")
        self._latest: dict[str, dict[object, list[Key]]] = {table: {} for table in LATEST}
        for key, row in self.rows.items():
            if key[0] in LATEST:
                self._latest[key[0]].setdefault(_said_of(key[0], row), []).append(key)
        for key in self.changed.keys() - self.rows.keys():
            if _is_numbered(key):
                self.leave(key, "changed")
        for key in sums.keys() - self.rows.keys() - self.changed.keys():
            self.leave(key, "missing")

    def leave(self, key: Key, why: Why, on: LeftOut | None = None) -> None:
        """Leave out a row."""
        table, row, step = key
        self.left.setdefault(
            key, LeftOut(kept_in=table, row=row, step=step, run=self._run(key), why=why, on=on)
        )

    def leave_what_rests(self, references: dict[str, list[tuple[str, list[str]]]]) -> None:
        """Leave out what rests on something left out, until nothing more does."""
        before = -1
        while before != len(self.left):
            before = len(self.left)
            for key, row in self.rows.items():
                for on in self._rests_on(key, row, references):
                    if on not in self.rows:
                        self.leave(on, "missing")  # without a check sum, nobody missed it so far
                    if on in self.left:
                        self.leave(key, "rests", self.left[on])
            for key in list(self.left):
                self._leave_before(key, self._row(key))

    def _rests_on(
        self, key: Key, row: sqlite3.Row, references: dict[str, list[tuple[str, list[str]]]]
    ) -> Iterator[Key]:
        """What a row refers to and does not stand without; a retake stands by itself."""
        table = key[0]
        without = (table, *_SAYS_WITHOUT.get(table, ()))
        for parent, columns in references[table]:
            values = [row[column] for column in columns]
            if parent not in without and None not in values:
                yield (parent, values[0], values[1] if parent == "steps" else None)

    def _leave_before(self, key: Key, row: sqlite3.Row | None) -> None:
        """A retaken reading, or a tally taken back, does not come back with what took its place;
        nor does what was said before where the latest counts, as of the instrument of a reading.

        Where a press is lost, no tally reading counts that may have had it; and where a turn is,
        nobody knows what the menu of its control reads.
        """
        table, on = key[0], self.left[key]
        if table == "readings" and row is not None and row["replaces"] is not None:
            earlier = ("readings", row["replaces"], None)
            if earlier in self.rows:
                self.leave(earlier, "rests", on)
        if table in LATEST:
            self._leave_said_before(key, row)
        if table == "turns":
            self._leave_controls(row, on)
        if table in {"tallies", "withdrawals"}:
            self._leave_counted(table, row, on)

    def _leave_counted(self, table: str, row: sqlite3.Row | None, on: LeftOut) -> None:
        """The press that was taken back; of a press, the tallies that may have had it."""
        if table == "withdrawals" and row is not None:
            tally: Key = ("tallies", row["tally"], None)
            if tally in self.rows:
                self.leave(tally, "rests", on)
            return
        step = None if row is None else self._step_of(row["showing"])
        for other, reading in self.rows.items():
            if other[0] != "readings" or reading["quantity"] != "tally":
                continue
            if step is None or self._step_of(reading["showing"]) == step:
                self.leave(other, "rests", on)

    def _leave_controls(self, turn: sqlite3.Row | None, on: LeftOut) -> None:
        """The control of a turn; of one that is not there, any."""
        for key in [key for key in self.rows if key[0] == "controls"]:
            if turn is None or turn["control"] == key[1]:
                self.leave(key, "rests", on)

    def _leave_said_before(self, key: Key, row: sqlite3.Row | None) -> None:
        """What was said before of the same thing; of a row that is not there, of any."""
        said = self._latest[key[0]]
        earlier = (
            [each for keys in said.values() for each in keys]
            if row is None
            else said.get(_said_of(key[0], row), [])
        )
        for before in earlier:
            if before[1] < key[1]:
                self.leave(before, "rests", self.left[key])

    def _row(self, key: Key) -> sqlite3.Row | None:
        return self.rows.get(key) or self.changed.get(key)

    def _step_of(self, showing: int) -> tuple[int, int] | None:
        row = self._row(("showings", showing, None))
        return None if row is None else (row["run"], row["step"])

    def _run(self, key: Key) -> int | None:
        """The run that a row belongs to, as far as that can be read."""
        table, number, _ = key
        row = self._row(key)
        if table in {"runs", "steps"}:
            return number
        if row is None:
            return None
        if table == "withdrawals":
            return self._run(("tallies", row["tally"], None))
        if table in {"turns", "noticings"}:
            return self._run(("controls", row["control"], None))
        if "reading" in row.keys():  # noqa: SIM118 - no mapping
            return self._run(("readings", row["reading"], None))
        run = None
        if table in {"readings", "tallies"}:
            run, _ = self._step_of(row["showing"]) or (None, None)
        elif "run" in row.keys():  # noqa: SIM118 - no mapping
            run = row["run"]
        return run if isinstance(run, int) else None


def _said_of(table: str, row: sqlite3.Row) -> tuple[object, ...]:
    return tuple(row[column] for column in LATEST[table])


def _references(connection: sqlite3.Connection) -> dict[str, list[tuple[str, list[str]]]]:
    """By table, what its rows refer to: the table, and the columns with the key."""
    found = {}
    for table in TABLES:
        keys: dict[int, tuple[str, list[str]]] = {}
        for row in connection.execute(f"PRAGMA foreign_key_list({table})"):
            keys.setdefault(row["id"], (row["table"], []))[1].append(row["from"])
        found[table] = list(keys.values())
    return found


def _sums(rows: Iterator[sqlite3.Row]) -> dict[Key, str]:
    """The check sums by row; of a row with two, neither counts."""
    found: dict[Key, str] = {}
    seen = set()
    for row in rows:
        key: Key = (row["kept_in"], row["row"], row["step"])
        if key[0] not in TABLES or not _is_numbered(key) or row["id"] in seen:
            continue
        seen.add(row["id"])
        found[key] = "" if key in found else row["sha256"]
    return found


def _is_numbered(key: tuple[object, ...]) -> bool:
    """Whether a key is one still, after damage."""
    table, row, step = key
    return isinstance(row, int) and isinstance(step, int if table == "steps" else type(None))


def _readable(connection: sqlite3.Connection, path: Path, table: str) -> Iterator[sqlite3.Row]:
    """The rows from the front to where a table breaks, and then from its end; some may be twice."""
    for order in ("ASC", "DESC"):
        scan = f"SELECT * FROM {table} NOT INDEXED ORDER BY rowid {order} LIMIT ? OFFSET ?"  # noqa: S608 - names of our own
        done = 0
        at_a_time = _most(table) + 1
        while done <= _most(table):
            try:
                for row in connection.execute(scan, (at_a_time, done)):
                    done += 1
                    yield row
                if at_a_time > 1:
                    return
                at_a_time = _most(table) + 1
            except sqlite3.DatabaseError as error:
                if not _is_unreadable(error):
                    raise
                if at_a_time > 1:
                    at_a_time = 1  # the row before the break was lost with it
                elif _code(error) == sqlite3.SQLITE_TOOBIG:
                    done += 1
                else:
                    break
        else:
            raise _too_many(path, table)


def _rows(connection: sqlite3.Connection, path: Path, table: str) -> Iterator[sqlite3.Row]:
    """Every row of a table, read without its indexes."""
    found = connection.execute(f"SELECT * FROM {table} NOT INDEXED LIMIT {_most(table) + 1}")  # noqa: S608 - names of our own
    for number, row in enumerate(found):
        if number == _most(table):
            raise _too_many(path, table)
        yield row


def _most(table: str) -> int:
    return MOST_ROWS * (len(TABLES) if table == visit_sums.TABLE else 1)


def _too_many(path: Path, table: str) -> VisitError:
    return NotAVisitError(f"{path} has more than {_most(table)} rows of {table}, as no visit has")


def _too_long(row: sqlite3.Row) -> bool:
    return any(isinstance(cell, str) and len(cell) > LONGEST_TEXT for cell in row)


def _is_unreadable(error: sqlite3.DatabaseError) -> bool:
    return _code(error) in {None, sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_TOOBIG}


def _code(error: sqlite3.DatabaseError) -> int | None:
    """What SQLite calls an error, without its details; None of bytes that are no text."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    return None if code is None else code & 0xFF


@contextmanager
def _lossless(connection: sqlite3.Connection) -> Iterator[None]:
    """While the block runs, a text whose bytes are no longer UTF-8 can be read all the same."""
    connection.text_factory = lambda content: content.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        connection.text_factory = str


def _text(cell: Cell) -> Cell:
    if isinstance(cell, str):
        return cell.encode("utf-8", "surrogateescape").decode("utf-8", "replace")
    return cell
