"""The visit file: one sitting with one display, of which nothing acknowledged is lost.

A call that keeps something returns only after its commit has reached the disk. Nothing kept is
ever changed: a retake points at the reading that it replaces. One player writes at a time; any
number of readers may look on.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Self

from readings.visit import columns
from readings.visit import damage as visit_damage
from readings.visit import disk as visit_disk
from readings.visit import schema as visit_schema
from readings.visit import sums as visit_sums
from readings.visit.errors import VisitError, sentences
from readings.visit.keeping import VisitKeeping, insert
from readings.visit.lock import WriterLock
from readings.visit.soundness import Soundness

__all__ = ["Visit", "VisitError"]


class Visit(VisitKeeping):
    """An open visit file. Every failure is a VisitError that says what to do in one sentence."""

    @classmethod
    def create(
        cls,
        path: str | os.PathLike[str],
        *,
        display: str,
        settings: str = "",
        place: str = "",
        at: datetime | None = None,
    ) -> Self:
        """Make a new visit file and open it for writing. Nothing half-made appears at `path`."""
        path = Path(path)
        about: dict[str, columns.Cell] = {
            "id": 1,
            "display": columns.to_text(display, "the display's name"),
            "settings": columns.to_text(settings, "the display's settings"),
            "place": columns.to_text(place, "the place"),
            "created_at": columns.to_time(at),
        }
        visit_disk.refuse_lost_link(path)
        with _lock_for(path) as lock, sentences(path):
            _refuse_existing(path)
            visit_disk.refuse_leftovers(path)
            with visit_disk.whole_or_nothing(path) as temporary:
                temporary.touch(exist_ok=False)
                with closing(visit_disk.connect(temporary, write=True)) as connection:
                    visit_schema.make(connection)
                    connection.execute("BEGIN IMMEDIATE")
                    connection.execute(insert("visit", about), about)
                    visit_sums.seal(connection, "visit")
                    connection.execute("COMMIT")
                _refuse_existing(path)
            return cls(path, visit_disk.connect(path, write=True), lock)

    @classmethod
    def open(cls, path: str | os.PathLike[str], *, write: bool) -> Self:
        """Open an existing visit; for reading, also while a player is writing it.

        Of a damaged visit, what is whole is read as it was when it was opened, and `soundness` says
        what is left out; it is not opened for writing.
        """
        path = Path(path)
        with sentences(path):
            visit_disk.look(path)
            if not write:
                connection, soundness = _connect(path, write=False)
                return cls(path, connection, soundness=soundness)
            with _lock_for(path) as lock:
                connection, soundness = _connect(path, write=True)
                return cls(path, connection, lock, soundness)


def require_sound(path: Path, soundness: Soundness) -> None:
    """Refuse a damaged visit where only a whole one will do."""
    if soundness.damaged:
        first, *more = soundness.sentences()
        also = f" (and {len(more)} more)" if more else ""
        raise VisitError(
            f"{path} is damaged, so nothing more is kept in it; play into another file, and report "
            f"on both: {first.rstrip('.')}{also}"
        )


def _connect(path: Path, *, write: bool) -> tuple[sqlite3.Connection, Soundness]:
    connection = visit_disk.connect(path, write=write)
    try:
        with visit_disk.one_state(connection):
            with visit_disk.few_tables(connection, path):
                version = visit_schema.recognise(connection, path)
            with visit_disk.in_time(connection, path):
                damage = visit_damage.damage_of(connection, path, version)
                if damage is not None:
                    if version == visit_schema.BEFORE_SUMS:
                        raise VisitError(f"{path} {damage}")
                    whole, soundness = visit_damage.rescued(connection, path)
        if damage is None:
            if not write:
                return connection, Soundness(check_summed=version != visit_schema.BEFORE_SUMS)
            _make_ready(connection, version)
            return connection, Soundness()
    except BaseException:
        connection.close()
        raise
    connection.close()
    try:
        if write:
            require_sound(path, soundness)
    except BaseException:
        whole.close()
        raise
    return whole, soundness


def _make_ready(connection: sqlite3.Connection, version: int) -> None:
    """Make sure that a visit can be written, and bring it up to date."""
    connection.execute("PRAGMA journal_mode = DELETE")
    # SQLite lets a file without write permission pass until something is written.
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA user_version = {version}")
    connection.execute("ROLLBACK")
    visit_schema.grow(connection, version)


@contextmanager
def _lock_for(path: Path) -> Iterator[WriterLock]:
    """The writer's lock; it outlives the block unless something in it fails."""
    lock = WriterLock(path.resolve())
    try:
        yield lock
    except BaseException:
        lock.release()
        raise


def _refuse_existing(path: Path) -> None:
    if path.exists():
        raise VisitError(f"{path} is there already; open it, or choose another name")
