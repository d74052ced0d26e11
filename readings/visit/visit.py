"""The visit file: one sitting with one display, of which nothing acknowledged is lost.

A call that keeps something returns only after its commit has reached the disk. Nothing kept is
ever changed: a retake points at the reading that it replaces. One player writes at a time; any
number of readers may look on.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from patterns.aim import NOT_STATED, Aim
from patterns.control import ADJUSTING, Control
from readings.visit import columns, rows
from readings.visit import damage as visit_damage
from readings.visit import disk as visit_disk
from readings.visit import schema as visit_schema
from readings.visit import sums as visit_sums
from readings.visit.columns import Cell, insert
from readings.visit.errors import NotAVisitError, VisitError, sentences
from readings.visit.limits import MOST_ROWS
from readings.visit.lock import WriterLock
from readings.visit.records import (
    About,
    Adjustment,
    AdjustmentEnd,
    Axis,
    Correction,
    Direction,
    Ending,
    Instrument,
    InstrumentRole,
    Json,
    KeptControl,
    KeptMinutes,
    KeptNoticing,
    KeptPlan,
    KeptTurn,
    Naming,
    Note,
    NoticedOfControl,
    PlannedRun,
    PlannedStep,
    Reading,
    Run,
    Showing,
    Shown,
    Skip,
    Specification,
    Stated,
    StatedAim,
    Statement,
    Stating,
    Step,
    Tally,
    TaskEvent,
    TaskEventKind,
    TurnEvent,
    Value,
    text_sha256,
)
from readings.visit.soundness import Soundness

__all__ = ["Visit", "VisitError"]

_RUNS = """
SELECT runs.*, last.event, last.at AS event_at FROM runs
LEFT JOIN run_events AS last
    ON last.id = (SELECT max(id) FROM run_events WHERE run = runs.id)
WHERE ?1 IS NULL OR runs.id = ?1 ORDER BY runs.id
"""
# A step with nothing to read is done once it was shown; a skip counts until the step is read.
_NEXT = """
SELECT min(number) AS number FROM steps WHERE run = ?1 AND role IS NOT ?2
AND NOT EXISTS (SELECT 1 FROM skips WHERE skips.run = ?1 AND skips.step = steps.number)
AND NOT EXISTS (
    SELECT 1 FROM showings WHERE showings.run = ?1 AND showings.step = steps.number
    AND (steps.quantity IS NULL
         OR EXISTS (SELECT 1 FROM readings WHERE readings.showing = showings.id)))
"""
_ADJUSTING = "SELECT number FROM steps WHERE run = ? AND role = ? ORDER BY number"
_TURNS = """
SELECT turns.*, controls.run, controls.step FROM turns
JOIN controls ON controls.id = turns.control WHERE controls.run = ? ORDER BY turns.id
"""
_NOTICINGS = """
SELECT noticings.*, controls.run, controls.step FROM noticings
JOIN controls ON controls.id = noticings.control WHERE controls.run = ? ORDER BY noticings.id
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


class Visit:
    """An open visit file. Every failure is a VisitError that says what to do in one sentence."""

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        lock: WriterLock | None = None,
        soundness: Soundness = _SOUND,
    ) -> None:
        """As `Visit.create` and `Visit.open` make one; nothing else does."""
        self.path = path
        self.soundness = soundness
        """Whether the file was as it was written when it was opened, and what is left out."""
        self._connection = connection
        self._lock = lock
        self._clock: Callable[[], datetime] | None = None

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
        about: dict[str, Cell] = {
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

    # ---- what it holds, as records

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

    def about(self, *, at_first: bool = False) -> About:
        """The display, its settings, the place, and when the visit began; as it was kept at first,
        or with what was stated since."""
        (row,) = self._all("SELECT * FROM visit")
        about, said = rows.about(row), {} if at_first else self.stated()
        return replace(
            about,
            display=said.get("display", about.display),
            settings=said.get("settings", about.settings),
            place=said.get("place", about.place),
        )

    def instruments(self) -> list[Instrument]:
        """All instruments, in the order in which they were added."""
        sql = "SELECT * FROM instruments ORDER BY id"
        return [rows.instrument(row) for row in self._all(sql)]

    def corrections(self) -> list[Correction]:
        """All correction matrices, the latest last."""
        found = [rows.correction(row) for row in self._all("SELECT * FROM corrections ORDER BY id")]
        aside = self._set_aside()
        return [replace(each, aside=tuple(sorted(each.made_of() & aside))) for each in found]

    def _set_aside(self) -> set[int]:
        """The runs that are set aside."""
        said = {each.run: each.value for each in self.statements() if each.what == "counted"}
        return {run for run, counted in said.items() if run is not None and counted == "no"}

    def runs(self, *, at_first: bool = False) -> list[Run]:
        """All runs, in the order in which they were started; as they were kept at first, or with
        what was stated since."""
        found = [rows.run(row) for row in self._all(_RUNS, None)]
        return found if at_first else self._with_what_was_stated(found)

    def run(self, run: int) -> Run:
        """One run."""
        (found,) = self._with_what_was_stated([rows.run(self._one("run", _RUNS, run))])
        return found

    def _with_what_was_stated(self, runs: Sequence[Run]) -> list[Run]:
        """Runs with the condition that was stated last, and whether they count."""
        said: dict[int | None, dict[str, str]] = {}
        for each in self.statements():
            said.setdefault(each.run, {})[each.what] = each.value
        found = []
        for run in runs:
            mine = said.get(run.id, {})
            condition = mine.get("condition", run.condition)
            found.append(replace(run, condition=condition, counted=mine.get("counted") != "no"))
        return found

    def resumed(self, run: int) -> list[datetime]:
        """When a run was taken up again after it was left, in order."""
        sql = "SELECT at FROM run_events WHERE run = ? AND event = 'resumed' ORDER BY id"
        return [rows.time(row, "at") for row in self._all(sql, run)]

    def unfinished_run(self, sequence_sha256: str, condition: str) -> Run | None:
        """The latest run of that sequence under that condition, unless it was finished.

        Whether canvas, signal and overrides are still the same is for the caller to compare.
        """
        wanted = sequence_sha256, condition
        mine = [
            run
            for run in self.runs()
            if run.counted and (run.sequence_sha256, run.condition) == wanted
        ]
        return None if not mine or mine[-1].ended == "finished" else mine[-1]

    def next_step(self, run: int) -> int | None:
        """The first step neither read nor skipped; None when there is none left.

        A step with nothing to read counts once it was shown, one that adjusts once its adjusting
        ended.
        """
        self.run(run)
        (row,) = self._all(_NEXT, run, ADJUSTING)
        left = [] if row["number"] is None else [row["number"]]
        adjusting = {row["number"] for row in self._all(_ADJUSTING, run, ADJUSTING)}
        if adjusting:
            left += adjusting - self.adjusted(run)
        return min(left, default=None)

    def steps(self, run: int) -> list[Step]:
        """The plan of a run, in its order."""
        sql = "SELECT * FROM steps WHERE run = ? ORDER BY number"
        return [rows.step(row) for row in self._all(sql, run)]

    def skips(self, run: int) -> list[Skip]:
        """The steps passed over, in the order in which they were; some may be read later."""
        sql = "SELECT * FROM skips WHERE run = ? ORDER BY id"
        return [rows.skip(row) for row in self._all(sql, run)]

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
        found = self._all(_READINGS, run, replaced, None)
        named = self._named()
        return [rows.reading(row, named.get(row["id"])) for row in found]

    def reading(self, reading: int) -> Reading:
        """One reading, current or replaced."""
        row = self._one("reading", _READINGS, reading, None, True)
        return rows.reading(row, self._named(reading).get(reading))

    def namings(self, reading: int | None = None) -> list[Naming]:
        """With what one reading, or all, were taken, as it was said afterwards; the latest last."""
        if not self._has(visit_schema.NAMINGS):
            return []
        sql = "SELECT * FROM namings WHERE ?1 IS NULL OR reading = ?1 ORDER BY id"
        return [rows.naming(row) for row in self._all(sql, reading)]

    def _has(self, table: str) -> bool:
        """Whether it is of a version that has a table."""
        (version,) = self._all("PRAGMA user_version")
        return table in visit_schema.tables_of(version[0])

    def aims(self) -> list[StatedAim]:
        """All that was stated of what the display is meant to do, the latest last."""
        if not self._has(visit_schema.AIMS):
            return []
        return [rows.stated_aim(row) for row in self._all("SELECT * FROM aims ORDER BY id")]

    def aim(self, run: int | None = None) -> Aim:
        """What counts for the visit; of a run, what its sequence states goes before that."""
        stated = {each.run: each.aim for each in self.aims()}
        whole = stated.get(None, NOT_STATED)
        return stated[run].over(whole) if run in stated else whole

    def statements(self) -> list[Stated]:
        """All that was said afterwards of runs and of the visit, the latest last."""
        if not self._has(visit_schema.STATEMENTS):
            return []
        return [rows.stated(row) for row in self._all("SELECT * FROM statements ORDER BY id")]

    def stated(self, run: int | None = None) -> dict[str, str]:
        """What counts of that for a run, or for the visit, by its kind."""
        return {each.what: each.value for each in self.statements() if each.run == run}

    def plan(self) -> KeptPlan | None:
        """The plan that it went by last; None where it had none."""
        if not self._has(visit_schema.PLANS):
            return None
        found = self._all("SELECT * FROM plans ORDER BY id DESC LIMIT 1")
        return rows.kept_plan(found[0]) if found else None

    def task_events(self, plan: int) -> list[TaskEvent]:
        """What happened to the tasks of a plan, in order."""
        sql = "SELECT * FROM task_events WHERE plan = ? ORDER BY id"
        return [rows.task_event(row) for row in self._all(sql, plan)]

    def controls(self, run: int) -> list[KeptControl]:
        """The controls that a run adjusts by, in the order in which they were given."""
        if not self._has(visit_schema.CONTROLS):
            return []
        sql = "SELECT * FROM controls WHERE run = ? ORDER BY id"
        return [rows.kept_control(row) for row in self._all(sql, run)]

    def turns(self, run: int) -> list[KeptTurn]:
        """What became of the controls of a run, in order."""
        if not self._has(visit_schema.TURNS):
            return []
        return [rows.kept_turn(row) for row in self._all(_TURNS, run)]

    def noticings(self, run: int) -> list[KeptNoticing]:
        """What was found out about the controls of a run, in order."""
        if not self._has(visit_schema.NOTICINGS):
            return []
        return [rows.kept_noticing(row) for row in self._all(_NOTICINGS, run)]

    def minutes(self, run: int) -> KeptMinutes | None:
        """How much time there is for what is left of a run; None where nobody said so."""
        if not self._has(visit_schema.MINUTES):
            return None
        sql = "SELECT * FROM minutes WHERE run = ? ORDER BY id DESC LIMIT 1"
        return next((rows.kept_minutes(row) for row in self._all(sql, run)), None)

    def adjustments(self, run: int) -> list[Adjustment]:
        """How the adjusting of the steps of a run ended, in order; the latest of a step counts."""
        if not self._has(visit_schema.ADJUSTMENTS):
            return []
        sql = "SELECT * FROM adjustments WHERE run = ? ORDER BY id"
        return [rows.adjustment(row) for row in self._all(sql, run)]

    def adjusted(self, run: int) -> set[int]:
        """The steps of a run whose adjusting ended, or was passed over, and not gone on with."""
        adjusting = {row["number"] for row in self._all(_ADJUSTING, run, ADJUSTING)}
        latest = {each.step: each for each in self.adjustments(run)}
        passed = {
            skip.step
            for skip in self.skips(run)
            if skip.step not in latest or skip.at > latest[skip.step].at
        }
        return {step for step, each in latest.items() if each.ended} | (adjusting & passed)

    def _named(self, reading: int | None = None) -> dict[int, Naming]:
        """The latest naming of each reading that has one."""
        return {naming.reading: naming for naming in self.namings(reading)}

    def notes(self, run: int | None = None) -> list[Note]:
        """The notes of one run, or all of the visit, in the order in which they were written."""
        sql = "SELECT * FROM notes WHERE ?1 IS NULL OR run = ?1 ORDER BY id"
        return [rows.note(row) for row in self._all(sql, run)]

    def tallies(self, run: int | None = None, *, withdrawn: bool = False) -> list[Tally]:
        """The tallies of one run, or of all, in their order; withdrawn ones too on request."""
        return [rows.tally(row) for row in self._all(_TALLIES, run, withdrawn, None)]

    def tally(self, tally: int) -> Tally:
        """One tally, withdrawn or not."""
        return rows.tally(self._one("tally", _TALLIES, tally, None, True))

    # ---- what its writer may add

    def now(self) -> datetime:
        """What time it is where no other is said."""
        return datetime.now(UTC) if self._clock is None else self._clock()

    @contextmanager
    def at_times_of(self, clock: Callable[[], datetime]) -> Iterator[None]:
        """Keep what is kept meanwhile at the times of another clock: a simulated display's own."""
        usual, self._clock = self._clock, clock
        try:
            yield
        finally:
            self._clock = usual

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

    def _add(self, table: str, row: Mapping[str, Cell]) -> int:
        number = self._insert(table, row)
        visit_sums.seal(self._connection, table, "WHERE rowid = ?", number)
        return number

    def _insert(self, table: str, row: Mapping[str, Cell]) -> int:
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
        row: dict[str, Cell] = {
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
        self,
        plan: PlannedRun,
        steps: Sequence[PlannedStep],
        *,
        aim: Aim = NOT_STATED,
        at: datetime | None = None,
    ) -> Run:
        """Begin a run with its whole plan, and the aim that its sequence states; the steps are
        numbered from 1."""
        text = columns.to_text(plan.sequence_text, "the sequence's text") or ""
        width, height = plan.canvas
        row: dict[str, Cell] = {
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
            if aim:
                self._add("aims", self._aim_row(aim, run, at))
            return self.run(run)

    def resume_run(
        self, run: int, *, guards: Json | None = None, at: datetime | None = None
    ) -> Run:
        """Say that a left or interrupted run goes on, with what the guards say now."""
        kept = None if guards is None else columns.to_object(guards, "guard states")
        row: dict[str, Cell] = {
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
        row: dict[str, Cell] = {
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

    def name_instrument(
        self, instrument: int, readings: Iterable[int], *, at: datetime | None = None
    ) -> None:
        """Say afterwards with which instrument some readings were taken, all or none of them.

        They are readings of light that had no instrument when they were kept. What was said of
        them before stays, and this counts.
        """
        said_at = self._time(at)
        with self._writing():
            for reading in readings:
                row: dict[str, Cell] = {"reading": reading, "instrument": instrument, "at": said_at}
                self._add("namings", row)

    def state_aim(
        self, aim: Aim, *, run: int | None = None, at: datetime | None = None
    ) -> StatedAim:
        """Say what the display is meant to do, in a run or, without one, in all of them.

        It takes the place of what was stated before, which stays in the visit.
        """
        with self._writing():
            number = self._add("aims", self._aim_row(aim, run, at))
            return next(known for known in self.aims() if known.id == number)

    def _aim_row(self, aim: Aim, run: int | None, at: datetime | None) -> dict[str, Cell]:
        kept = columns.to_object(aim.describe(), "the aim")
        return {"run": run, "aim": kept, "at": self._time(at)}

    def state(
        self,
        what: Stating,
        value: str,
        *,
        run: int | None = None,
        by: str = "",
        at: datetime | None = None,
    ) -> Stated:
        """Say something afterwards of a run or of the visit; it counts from now on.

        What was said or kept before stays.
        """
        (kept,) = self.state_all([Statement(what=what, value=value, run=run)], by=by, at=at)
        return kept

    def state_all(
        self, statements: Iterable[Statement], *, by: str = "", at: datetime | None = None
    ) -> list[Stated]:
        """The same of several things, all or none of them, at one time, with their reasons."""
        said_at = self._time(at)
        who = columns.to_text(by, "who said it")
        said: list[dict[str, Cell]] = []
        notes: list[dict[str, Cell]] = []
        for each in statements:
            value = columns.to_text(each.value, f"the {each.what}")
            said.append(
                {"run": each.run, "what": each.what, "value": value, "by": who, "at": said_at}
            )
            if each.why:
                why = columns.to_text(each.why, "the reason")
                notes.append({"run": each.run, "text": why, "at": said_at})
        with self._writing():
            numbers = [self._add("statements", row) for row in said]
            for note in notes:
                self._add("notes", note)
            return [known for known in self.statements() if known.id in numbers]

    def keep_plan(
        self, title: str, text: str, source: str, *, at: datetime | None = None
    ) -> KeptPlan:
        """Go by a plan from now on."""
        row: dict[str, Cell] = {
            "title": columns.to_text(title, "the plan's title"),
            "text": columns.to_text(text, "the plan's text"),
            "sha256": text_sha256(text),
            "source": columns.to_text(source, "the plan's source"),
            "at": self._time(at),
        }
        with self._writing():
            self._add("plans", row)
            kept = self.plan()
            assert kept is not None  # noqa: S101 - it has just been added
            return kept

    def keep_task_event(
        self,
        plan: int,
        task: int,
        event: TaskEventKind,
        *,
        run: int | None = None,
        text: str = "",
        at: datetime | None = None,
    ) -> TaskEvent:
        """Keep what happened to a task of a plan."""
        row: dict[str, Cell] = {
            "plan": plan,
            "task": task,
            "event": event,
            "run": run,
            "text": columns.to_text(text, "the text of a task"),
            "at": self._time(at),
        }
        with self._writing():
            number = self._add("task_events", row)
            return next(each for each in self.task_events(plan) if each.id == number)

    def keep_controls(
        self, run: int, step: int, controls: Sequence[Control], *, at: datetime | None = None
    ) -> list[KeptControl]:
        """Keep the controls that a step adjusts by, all or none, in the order of their list.

        Raises:
            VisitError: the step has some already, or does not adjust; or two have one name.
        """
        given = [columns.control_columns(control) for control in controls]
        if len({row["name"] for row in given}) != len(given):
            raise VisitError("two controls of one list have the same name")
        kept_at = self._time(at)
        with self._writing():
            if any(known.step == step for known in self.controls(run)):
                raise VisitError(f"step {step} of run {run} has its controls already")
            for row in given:
                self._add("controls", {"run": run, "step": step} | row | {"at": kept_at})
            return [known for known in self.controls(run) if known.step == step]

    def keep_turn(
        self,
        control: int,
        event: TurnEvent = "turned",
        *,
        value: float | None = None,
        advised: float | None = None,
        showing: int | None = None,
        why: str = "",
        at: datetime | None = None,
    ) -> KeptTurn:
        """Keep what became of a control: what its menu reads now, or that it is left out.

        Args:
            control: the id of a kept control.
            event: `turned`, `left out` or `taken in` again.
            value: what the menu reads now, of one that is turned, within its range.
            advised: what it should have read; None where nobody advised it.
            showing: the id of what was on screen meanwhile.
            why: in a few words; may be empty.
            at: when; None is now.
        """
        row: dict[str, Cell] = {
            "control": control,
            "showing": showing,
            "event": columns.to_text(event, "what became of the control"),
            "advised": columns.to_number(advised, "what the menu should read"),
            "value": columns.to_number(value, "what the menu reads"),
            "why": columns.to_text(why, "the reason"),
            "at": self._time(at),
        }
        with self._writing():
            number = self._add("turns", row)
            (of,) = self._all("SELECT run FROM controls WHERE id = ?", control)
            return next(each for each in self.turns(of["run"]) if each.id == number)

    def keep_noticing(
        self,
        control: int,
        what: NoticedOfControl,
        *,
        point: str | None = None,
        showing: int | None = None,
        at: datetime | None = None,
    ) -> KeptNoticing:
        """Keep what was found out about a control, once of each kind.

        Args:
            control: the id of a kept control.
            what: that it shows no effect, goes the other way and the like.
            point: what the grey or colour is called at which it was seen; None for everywhere.
            showing: the id of what was on screen meanwhile.
            at: when; None is now.
        """
        row: dict[str, Cell] = {
            "control": control,
            "showing": showing,
            "what": columns.to_text(what, "what was noticed"),
            "point": columns.to_text(point, "the point"),
            "at": self._time(at),
        }
        with self._writing():
            number = self._add("noticings", row)
            (of,) = self._all("SELECT run FROM controls WHERE id = ?", control)
            return next(each for each in self.noticings(of["run"]) if each.id == number)

    def give_minutes(
        self, run: int, minutes: float | None, *, at: datetime | None = None
    ) -> KeptMinutes:
        """Say how much time there is for what is left of a run; None for as much as it takes."""
        row: dict[str, Cell] = {
            "run": run,
            "minutes": columns.to_number(minutes, "the minutes"),
            "at": self._time(at),
        }
        with self._writing():
            self._add("minutes", row)
            kept = self.minutes(run)
            assert kept is not None  # noqa: S101 - it has just been added
            return kept

    def end_adjustment(
        self,
        run: int,
        step: int,
        why: AdjustmentEnd,
        *,
        largest: float | None = None,
        spread: float | None = None,
        text: str = "",
        at: datetime | None = None,
    ) -> Adjustment:
        """Say how the adjusting of a step ended, or that it is gone on with after that.

        Args:
            run: the run.
            step: the number of a step that adjusts.
            why: how it ended, or `gone on`.
            largest: the largest error as believed then, delta E.
            spread: its k = 2.
            text: in a few words; may be empty.
            at: when; None is now.
        """
        row: dict[str, Cell] = {
            "run": run,
            "step": step,
            "why": columns.to_text(why, "how it ended"),
            "largest": columns.to_number(largest, "the largest error"),
            "spread": columns.to_number(spread, "the spread"),
            "text": columns.to_text(text, "the text"),
            "at": self._time(at),
        }
        with self._writing():
            number = self._add("adjustments", row)
            return next(each for each in self.adjustments(run) if each.id == number)

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
        row: dict[str, Cell] = {
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
        row: dict[str, Cell] = {
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
        row: dict[str, Cell] = {"tally": tally, "at": self._time(at)}
        with self._writing():
            self._add("withdrawals", row)
            return self.tally(tally)


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
                    whole, soundness = visit_damage.rescued(connection, path, version)
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
