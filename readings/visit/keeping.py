"""The writing half of a visit: every call returns only after its commit has reached the disk."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime

from readings.visit import columns
from readings.visit import sums as visit_sums
from readings.visit.errors import VisitError, sentences
from readings.visit.limits import MOST_ROWS
from readings.visit.queries import VisitQueries
from readings.visit.records import (
    Axis,
    Correction,
    Direction,
    Ending,
    Instrument,
    InstrumentRole,
    Json,
    Note,
    PlannedRun,
    PlannedStep,
    Reading,
    Run,
    Showing,
    Shown,
    Skip,
    Specification,
    Tally,
    Value,
    text_sha256,
)


class VisitKeeping(VisitQueries):
    """What the writer of a visit may add to it."""

    now: Callable[[], datetime] = staticmethod(lambda: datetime.now(UTC))
    """What time it is where no other is said; a simulated run has a clock of its own."""

    def _time(self, at: datetime | None) -> str:
        return columns.to_time(self.now() if at is None else at)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        if self._lock is None:
            raise VisitError(f"{self.path} was opened for reading only")
        with sentences(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                # A full disk may have ended the transaction already.
                with suppress(sqlite3.Error):
                    self._connection.execute("ROLLBACK")
                raise

    # What a call returns is read back before the commit: once committed, it cannot fail any more.

    def _add(self, table: str, row: Mapping[str, columns.Cell]) -> int:
        number = self._insert(table, row)
        visit_sums.seal(self._connection, table, "WHERE rowid = ?", number)
        return number

    def _insert(self, table: str, row: Mapping[str, columns.Cell]) -> int:
        number = self._connection.execute(insert(table, row), row).lastrowid
        if number is None:
            raise VisitError(f"{self.path} did not keep a row of {table}")
        if number > MOST_ROWS:
            raise VisitError(f"{self.path} takes no more {table}; go on in a new visit")
        return number

    def add_instrument(
        self, name: str, *, kind: str, role: InstrumentRole, specification: Specification
    ) -> Instrument:
        """Add a meter; one that is there already, the same in all, is returned as it is."""
        for known in self.instruments():
            if (known.name, known.kind, known.role, known.specification) == (
                name,
                kind,
                role,
                specification,
            ):
                return known
        row = {
            "name": columns.to_text(name, "the instrument's name"),
            "kind": columns.to_text(kind, "the instrument's kind"),
            "role": columns.to_text(role, "the instrument's role"),
            "specification": columns.to_specification(specification),
        }
        with self._writing():
            number = self._add("instruments", row)
            return next(known for known in self.instruments() if known.id == number)

    def add_correction(
        self,
        *,
        from_instrument: int,
        to_instrument: int,
        matrix: Iterable[float],
        method: str,
        fit: Json | None = None,
        at: datetime | None = None,
    ) -> Correction:
        """Add a correction matrix, nine numbers row by row, between two instruments.

        `fit` says what it was made of and how well it fits. The latest one from an instrument
        counts for all of its readings.
        """
        row: dict[str, columns.Cell] = {
            "from_instrument": from_instrument,
            "to_instrument": to_instrument,
            "matrix": columns.to_matrix(matrix),
            "method": columns.to_text(method, "the method"),
            "fit": columns.to_object(fit or {}, "what it was made of"),
            "made_at": self._time(at),
        }
        with self._writing():
            number = self._add("corrections", row)
            return next(known for known in self.corrections() if known.id == number)

    def start_run(
        self, plan: PlannedRun, steps: Sequence[PlannedStep], *, at: datetime | None = None
    ) -> Run:
        """Begin a run with its whole plan; the steps are numbered from 1."""
        text = columns.to_text(plan.sequence_text, "the sequence's text") or ""
        width, height = plan.canvas
        row: dict[str, columns.Cell] = {
            "sequence_title": columns.to_text(plan.sequence_title, "the sequence's title"),
            "sequence_text": text,
            "sequence_sha256": text_sha256(text),
            "sequence_source": columns.to_text(plan.sequence_source, "the sequence's source"),
            "condition": columns.to_text(plan.condition, "the condition"),
            "signal_asked": columns.to_object(plan.signal_asked, "the signal asked"),
            "signal_shown": columns.to_object(plan.signal_shown, "the signal shown"),
            "width": width,
            "height": height,
            "refresh_hz": columns.to_number(plan.refresh_hz, "the refresh"),
            "output": columns.to_text(plan.output, "the output"),
            "guards": columns.to_object(plan.guards, "guard states"),
            "overrides": columns.to_object(plan.overrides, "overrides"),
            "step_count": len(steps),
            "started_at": self._time(at),
        }
        planned = [
            {"number": number} | columns.step_columns(step) for number, step in enumerate(steps, 1)
        ]
        with self._writing():
            run = self._add("runs", row)
            for step in planned:
                self._insert("steps", {"run": run} | step)
            visit_sums.seal(self._connection, "steps", "WHERE run = ?", run)
            return self.run(run)

    def resume_run(
        self, run: int, *, guards: Json | None = None, at: datetime | None = None
    ) -> Run:
        """Say that a left or interrupted run goes on, with what the guards say now."""
        kept = None if guards is None else columns.to_object(guards, "guard states")
        row: dict[str, columns.Cell] = {
            "run": run,
            "event": "resumed",
            "guards": kept,
            "at": self._time(at),
        }
        with self._writing():
            self._add("run_events", row)
            return self.run(run)

    def end_run(self, run: int, how: Ending, *, at: datetime | None = None) -> Run:
        """Say that a run was finished, for good, or left to be resumed."""
        if how not in ("finished", "left"):
            raise VisitError(f"a run ends finished or left, not {how!r}")
        row = {"run": run, "event": how, "at": self._time(at)}
        with self._writing():
            self._add("run_events", row)
            return self.run(run)

    def skip_step(self, run: int, step: int, *, why: str = "", at: datetime | None = None) -> Skip:
        """Say that a step is passed over; a reading may still follow."""
        row: dict[str, columns.Cell] = {
            "run": run,
            "step": step,
            "why": columns.to_text(why, "the reason"),
        }
        row["at"] = self._time(at)
        with self._writing():
            number = self._add("skips", row)
            return next(skip for skip in self.skips(run) if skip.id == number)

    def keep_showing(
        self, run: int, step: int, shown: Shown, *, at: datetime | None = None
    ) -> Showing:
        """Keep what was on the display, from when (`at`)."""
        row = columns.shown_columns(shown)
        row |= {"run": run, "step": step, "shown_at": self._time(at)}
        with self._writing():
            return self.showing(self._add("showings", row))

    def keep_reading(
        self,
        showing: int,
        value: Value,
        *,
        instrument: int | None = None,
        replaces: int | None = None,
        at: datetime | None = None,
    ) -> Reading:
        """Keep a value read while a showing was up, by the eye unless an instrument is named.

        `replaces` is the id of the current reading of the same step that this one retakes.
        """
        row = columns.value_columns(value) | {
            "showing": showing,
            "instrument": instrument,
            "taken_at": self._time(at),
            "replaces": replaces,
        }
        with self._writing():
            return self.reading(self._add("readings", row))

    def keep_note(
        self,
        text: str,
        *,
        run: int | None = None,
        step: int | None = None,
        showing: int | None = None,
        at: datetime | None = None,
    ) -> Note:
        """Keep a note; one about a showing is about its step and run too."""
        kept = columns.to_text(text, "the note")
        if showing is not None:
            shown = self.showing(showing)
            run = shown.run if run is None else run
            step = shown.step if step is None else step
        row: dict[str, columns.Cell] = {
            "run": run,
            "step": step,
            "showing": showing,
            "text": kept,
            "at": self._time(at),
        }
        with self._writing():
            number = self._add("notes", row)
            return next(note for note in self.notes() if note.id == number)

    def keep_tally(
        self,
        showing: int,
        *,
        position_px: float,
        axis: Axis,
        direction: Direction,
        at: datetime | None = None,
    ) -> Tally:
        """Keep one press of the tally key: where the moving mark was."""
        row: dict[str, columns.Cell] = {
            "showing": showing,
            "position_px": columns.to_number(position_px, "the position"),
            "axis": columns.to_text(axis, "the axis"),
            "direction": columns.to_text(direction, "the direction"),
            "at": self._time(at),
        }
        with self._writing():
            return self.tally(self._add("tallies", row))

    def withdraw_tally(self, tally: int, *, at: datetime | None = None) -> Tally:
        """Take a press back; it stays in the visit, marked as withdrawn."""
        row: dict[str, columns.Cell] = {"tally": tally, "at": self._time(at)}
        with self._writing():
            self._add("withdrawals", row)
            return self.tally(tally)


def insert(table: str, row: Mapping[str, columns.Cell]) -> str:
    """The statement that adds one row."""
    names = ", ".join(row)
    slots = ", ".join(f":{name}" for name in row)
    return f"INSERT INTO {table} ({names}) VALUES ({slots})"  # noqa: S608 (names of our own)
