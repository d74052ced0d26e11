"""The reading half of a visit: everything it holds, as records."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from readings.visit import rows
from readings.visit.columns import Cell
from readings.visit.errors import NotAVisitError, sentences
from readings.visit.lock import WriterLock
from readings.visit.records import (
    About,
    Correction,
    Instrument,
    Note,
    Reading,
    Run,
    Showing,
    Skip,
    Step,
    Tally,
)
from readings.visit.soundness import Soundness

_RUNS = """
SELECT runs.*, last.event, last.at AS event_at FROM runs
LEFT JOIN run_events AS last
    ON last.id = (SELECT max(id) FROM run_events WHERE run = runs.id)
WHERE ?1 IS NULL OR runs.id = ?1 ORDER BY runs.id
"""
_LATEST = """
SELECT max(id) AS id FROM runs WHERE sequence_sha256 = ?1 AND condition = ?2
"""
# A step with nothing to read is done once it was shown; a skip counts until the step is read.
_NEXT = """
SELECT min(number) AS number FROM steps WHERE run = ?1
AND NOT EXISTS (SELECT 1 FROM skips WHERE skips.run = ?1 AND skips.step = steps.number)
AND NOT EXISTS (
    SELECT 1 FROM showings WHERE showings.run = ?1 AND showings.step = steps.number
    AND (steps.quantity IS NULL
         OR EXISTS (SELECT 1 FROM readings WHERE readings.showing = showings.id)))
"""
_READINGS = """
SELECT readings.*, showings.run, showings.step, retake.id AS replaced_by FROM readings
JOIN showings ON showings.id = readings.showing
LEFT JOIN readings AS retake ON retake.replaces = readings.id
WHERE (?1 IS NULL OR showings.run = ?1) AND (?2 OR retake.id IS NULL)
AND (?3 IS NULL OR readings.id = ?3)
ORDER BY showings.run, showings.step, readings.id
"""
_TALLIES = """
SELECT tallies.*, showings.run, showings.step, withdrawals.id IS NOT NULL AS withdrawn FROM tallies
JOIN showings ON showings.id = tallies.showing
LEFT JOIN withdrawals ON withdrawals.tally = tallies.id
WHERE (?1 IS NULL OR showings.run = ?1) AND (?2 OR withdrawals.id IS NULL)
AND (?3 IS NULL OR tallies.id = ?3) ORDER BY tallies.id
"""

_SOUND = Soundness()


class VisitQueries:
    """What both readers and the writer of a visit may ask."""

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        lock: WriterLock | None = None,
        soundness: Soundness = _SOUND,
    ) -> None:
        """Kept by `Visit.create` and `Visit.open`; nothing else makes one."""
        self.path = path
        self.soundness = soundness
        """Whether the file was as it was written when it was opened, and what is left out."""
        self._connection = connection
        self._lock = lock

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file, and let another player write it. Closing twice does no harm."""
        self._connection.close()
        if self._lock is not None:
            self._lock.release()

    def _all(self, sql: str, *values: Cell) -> list[sqlite3.Row]:
        # All at once: an open cursor would hold up the writer.
        with sentences(self.path):
            return self._connection.execute(sql, values).fetchall()

    def _one(self, kind: str, sql: str, number: int, *values: Cell) -> sqlite3.Row:
        """The row with this number, which comes last in the statement."""
        # SQLite numbers no row beyond these.
        found = self._all(sql, *values, number) if abs(number) < 2**63 else []
        if not found:
            raise NotAVisitError(f"{self.path} has no {kind} {number}")
        return found[0]

    def about(self) -> About:
        """The display, its settings, the place, and when the visit began."""
        (row,) = self._all("SELECT * FROM visit")
        return About(
            display=row["display"],
            settings=row["settings"],
            place=row["place"],
            created_at=rows.time(row, "created_at"),
        )

    def instruments(self) -> list[Instrument]:
        """All instruments, in the order in which they were added."""
        return [
            Instrument(
                id=row["id"],
                name=row["name"],
                kind=row["kind"],
                role=row["role"],
                specification=rows.specification(row),
            )
            for row in self._all("SELECT * FROM instruments ORDER BY id")
        ]

    def corrections(self) -> list[Correction]:
        """All correction matrices, the latest last."""
        return [
            Correction(
                id=row["id"],
                from_instrument=row["from_instrument"],
                to_instrument=row["to_instrument"],
                matrix=rows.matrix(row),
                method=row["method"],
                made_at=rows.time(row, "made_at"),
                fit=rows.mapping(row, "fit") if "fit" in row.keys() else {},  # noqa: SIM118 - no mapping
            )
            for row in self._all("SELECT * FROM corrections ORDER BY id")
        ]

    def runs(self) -> list[Run]:
        """All runs, in the order in which they were started."""
        return [rows.run(row) for row in self._all(_RUNS, None)]

    def run(self, run: int) -> Run:
        """One run."""
        return rows.run(self._one("run", _RUNS, run))

    def resumed(self, run: int) -> list[datetime]:
        """When a run was taken up again after it was left, in order."""
        sql = "SELECT at FROM run_events WHERE run = ? AND event = 'resumed' ORDER BY id"
        return [rows.time(row, "at") for row in self._all(sql, run)]

    def unfinished_run(self, sequence_sha256: str, condition: str) -> Run | None:
        """The latest run of that sequence under that condition, unless it was finished.

        Whether canvas, signal and overrides are still the same is for the caller to compare.
        """
        (row,) = self._all(_LATEST, sequence_sha256, condition)
        if row["id"] is None:
            return None
        latest = self.run(row["id"])
        return None if latest.ended == "finished" else latest

    def next_step(self, run: int) -> int | None:
        """The first step neither read nor skipped; None when there is none left.

        A step with nothing to read counts once it was shown.
        """
        self.run(run)
        (row,) = self._all(_NEXT, run)
        number: int | None = row["number"]
        return number

    def steps(self, run: int) -> list[Step]:
        """The plan of a run, in its order."""
        return [
            Step(
                run=row["run"],
                number=row["number"],
                label=row["label"],
                role=row["role"],
                kind=row["kind"],
                parameters=rows.mapping(row, "parameters"),
                quantity=row["quantity"],
                read_of=row["read_of"],
                settle_s=row["settle_s"],
                variables=rows.mapping(row, "variables"),
            )
            for row in self._all("SELECT * FROM steps WHERE run = ? ORDER BY number", run)
        ]

    def skips(self, run: int) -> list[Skip]:
        """The steps passed over, in the order in which they were; some may be read later."""
        return [
            Skip(
                id=row["id"],
                run=row["run"],
                step=row["step"],
                why=row["why"],
                at=rows.time(row, "at"),
            )
            for row in self._all("SELECT * FROM skips WHERE run = ? ORDER BY id", run)
        ]

    def showings(self, run: int | None = None) -> list[Showing]:
        """What was shown in one run, or in all, in the order in which it was."""
        sql = "SELECT * FROM showings WHERE ?1 IS NULL OR run = ?1 ORDER BY id"
        return [rows.showing(row) for row in self._all(sql, run)]

    def showing(self, showing: int) -> Showing:
        """One showing."""
        sql = "SELECT * FROM showings WHERE id = ?"
        return rows.showing(self._one("showing", sql, showing))

    def readings(self, run: int | None = None, *, replaced: bool = False) -> list[Reading]:
        """The current readings of one run, or of all, by step; replaced ones too on request."""
        return [rows.reading(row) for row in self._all(_READINGS, run, replaced, None)]

    def reading(self, reading: int) -> Reading:
        """One reading, current or replaced."""
        return rows.reading(self._one("reading", _READINGS, reading, None, True))

    def notes(self, run: int | None = None) -> list[Note]:
        """The notes of one run, or all of the visit, in the order in which they were written."""
        sql = "SELECT * FROM notes WHERE ?1 IS NULL OR run = ?1 ORDER BY id"
        return [
            Note(
                id=row["id"],
                run=row["run"],
                step=row["step"],
                showing=row["showing"],
                text=row["text"],
                at=rows.time(row, "at"),
            )
            for row in self._all(sql, run)
        ]

    def tallies(self, run: int | None = None, *, withdrawn: bool = False) -> list[Tally]:
        """The tallies of one run, or of all, in their order; withdrawn ones too on request."""
        return [rows.tally(row) for row in self._all(_TALLIES, run, withdrawn, None)]

    def tally(self, tally: int) -> Tally:
        """One tally, withdrawn or not."""
        return rows.tally(self._one("tally", _TALLIES, tally, None, True))
