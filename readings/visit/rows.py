"""From the rows of a visit to records."""

from __future__ import annotations

import json
import math
import sqlite3
from dataclasses import fields
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from patterns.aim import Aim, AimError
from patterns.control import Control
from patterns.faults import Faults
from patterns.quantity import LIGHT
from readings.visit import older
from readings.visit.derivation import Derivation
from readings.visit.errors import VisitError
from readings.visit.records import (
    About,
    Adjustment,
    Codes,
    Correction,
    Instrument,
    KeptControl,
    KeptMinutes,
    KeptNoticing,
    KeptPlan,
    KeptTurn,
    Naming,
    Note,
    Reading,
    Run,
    Showing,
    Skip,
    Specification,
    Stated,
    StatedAim,
    Step,
    Tally,
    TaskEvent,
    Triple,
)

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Record = TypeVar("Record", bound="DataclassInstance")


def time(row: sqlite3.Row, column: str) -> datetime:
    """A time as kept, aware and in UTC."""
    try:
        return datetime.fromisoformat(row[column])
    except ValueError:
        raise _damage(row, column) from None


def optional_time(row: sqlite3.Row, column: str) -> datetime | None:
    """The same where there may be none."""
    return None if row[column] is None else time(row, column)


def mapping(row: sqlite3.Row, column: str) -> dict[str, Any]:
    """A JSON object as kept."""
    try:
        return dict(_json(row[column]))
    except (TypeError, ValueError, RecursionError):
        raise _damage(row, column) from None


def inks(row: sqlite3.Row) -> dict[str, Codes]:
    """The codes of each ink."""
    found = mapping(row, "inks")
    for codes in found.values():
        if not isinstance(codes, list) or [type(code) for code in codes] != [int] * 3:
            raise _damage(row, "inks")
    return {name: (r, g, b) for name, (r, g, b) in found.items()}


def matrix(row: sqlite3.Row) -> tuple[float, ...]:
    """The nine numbers of a correction."""
    try:
        numbers = _json(row["matrix"])
    except (ValueError, RecursionError):
        raise _damage(row, "matrix") from None
    if not all(_is_number(number) for number in numbers):
        raise _damage(row, "matrix")
    return tuple(numbers)


def _json(text: str) -> Any:
    """JSON as a visit keeps it: every number is finite."""
    return json.loads(text, parse_float=_finite, parse_constant=_finite)


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(f"{text} is not a finite number")
    return number


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _damage(row: sqlite3.Row, column: str) -> VisitError:
    # The file passed SQLite's own checks, so only the content has changed.
    text = ascii(row[column])
    text = text if len(text) <= 80 else f"{text[:77]}..."
    return VisitError(f"the visit is damaged: its {column} reads {text}")


def tristimulus(row: sqlite3.Row) -> Triple | None:
    """X Y Z where the meter gave them."""
    if row["tristimulus_x"] is None:
        return None
    return (row["tristimulus_x"], row["tristimulus_y"], row["tristimulus_z"])


def specification(row: sqlite3.Row) -> Specification:
    """What is known here of an instrument's specification."""
    known = _names(Specification)
    given = mapping(row, "specification")
    if not all(_is_number(value) and value > 0 for value in given.values()):
        raise _damage(row, "specification")
    return Specification(**{name: value for name, value in given.items() if name in known})


@cache
def _names(kind: type[DataclassInstance]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _record(kind: type[Record], row: sqlite3.Row, **read: object) -> Record:
    """A record with what was read of the row, and all else as the columns of its names have it."""
    kept = {name: row[name] for name in _names(kind) if name not in read}
    return kind(**kept, **read)


def _has(row: sqlite3.Row, column: str) -> bool:
    return column in row.keys()  # noqa: SIM118 - no mapping


def about(row: sqlite3.Row) -> About:
    """The one row of visit."""
    return _record(About, row, created_at=time(row, "created_at"))


def instrument(row: sqlite3.Row) -> Instrument:
    """One row of instruments."""
    return _record(Instrument, row, specification=specification(row))


def correction(row: sqlite3.Row) -> Correction:
    """One row of corrections."""
    fit = mapping(row, "fit") if _has(row, "fit") else {}
    return _record(
        Correction, row, matrix=matrix(row), made_at=time(row, "made_at"), fit=fit, aside=()
    )


def run(row: sqlite3.Row) -> Run:
    """One row of runs with its last event."""
    ended = row["event"] if row["event"] != "resumed" else None
    objects = ("signal_asked", "signal_shown", "guards", "overrides")
    return _record(
        Run,
        row,
        **{name: mapping(row, name) for name in objects},
        canvas=(row["width"], row["height"]),
        started_at=time(row, "started_at"),
        ended=ended,
        ended_at=optional_time(row, "event_at") if ended else None,
        counted=True,
    )


def step(row: sqlite3.Row) -> Step:
    """One row of steps."""
    return _record(
        Step,
        row,
        parameters=mapping(row, "parameters"),
        variables=mapping(row, "variables"),
        faults=_faults(row),
    )


def _faults(row: sqlite3.Row) -> Faults | None:
    if not _has(row, "faults") or row["faults"] is None:
        return None
    try:
        return Faults.described(mapping(row, "faults"))
    except ValueError:
        raise _damage(row, "faults") from None


def skip(row: sqlite3.Row) -> Skip:
    """One row of skips."""
    return _record(Skip, row, why=older.skip_of(row["why"]), at=time(row, "at"))


def showing(row: sqlite3.Row) -> Showing:
    """One row of showings."""
    return _record(Showing, row, shown_at=time(row, "shown_at"), inks=inks(row), facts=_facts(row))


def _facts(row: sqlite3.Row) -> dict[str, Any]:
    facts = mapping(row, "facts")
    before = facts.get("box")
    if isinstance(before, str):
        box = older.box_of(before)
        facts["box"] = None if box is None else box.describe()
    return facts


def naming(row: sqlite3.Row) -> Naming:
    """One row of namings."""
    return _record(Naming, row, at=time(row, "at"))


def stated_aim(row: sqlite3.Row) -> StatedAim:
    """One row of aims."""
    try:
        aim = Aim.described(mapping(row, "aim"))
    except (ValueError, AimError):
        raise _damage(row, "aim") from None
    return _record(StatedAim, row, aim=aim, at=time(row, "at"))


def stated(row: sqlite3.Row) -> Stated:
    """One row of statements."""
    return _record(Stated, row, at=time(row, "at"))


def kept_plan(row: sqlite3.Row) -> KeptPlan:
    """One row of plans."""
    return _record(KeptPlan, row, at=time(row, "at"))


def task_event(row: sqlite3.Row) -> TaskEvent:
    """One row of task_events."""
    return _record(TaskEvent, row, at=time(row, "at"))


def kept_control(row: sqlite3.Row) -> KeptControl:
    """One row of controls."""
    own = {name: row[name] for name in _names(Control) if name != "step"}
    try:
        control = Control(**own, step=row["click"])
    except ValueError:
        raise _damage(row, "name") from None
    return _record(KeptControl, row, control=control, at=time(row, "at"))


def kept_turn(row: sqlite3.Row) -> KeptTurn:
    """One row of turns with its run and step."""
    return _record(KeptTurn, row, at=time(row, "at"))


def kept_noticing(row: sqlite3.Row) -> KeptNoticing:
    """One row of noticings with its run and step."""
    return _record(KeptNoticing, row, at=time(row, "at"))


def kept_minutes(row: sqlite3.Row) -> KeptMinutes:
    """One row of minutes."""
    return _record(KeptMinutes, row, at=time(row, "at"))


def adjustment(row: sqlite3.Row) -> Adjustment:
    """One row of adjustments."""
    return _record(Adjustment, row, at=time(row, "at"))


def reading(row: sqlite3.Row, named: Naming | None = None) -> Reading:
    """One row of readings with its run, step and retake, and the naming of it that counts."""
    text, derivation = row["text"], _derivation(row)
    if derivation is None and row["quantity"] in LIGHT:
        derivation = older.derivation_of(text)
        text = text if derivation is None else None
    return _record(
        Reading,
        row,
        instrument=row["instrument"] if named is None else named.instrument,
        named_at=None if named is None else named.at,
        tristimulus=tristimulus(row),
        text=text,
        derivation=derivation,
        taken_at=time(row, "taken_at"),
    )


def _derivation(row: sqlite3.Row) -> Derivation | None:
    if not _has(row, "derivation") or row["derivation"] is None:
        return None
    try:
        return Derivation.described(mapping(row, "derivation"))
    except ValueError:
        raise _damage(row, "derivation") from None


def note(row: sqlite3.Row) -> Note:
    """One row of notes."""
    return _record(Note, row, at=time(row, "at"))


def tally(row: sqlite3.Row) -> Tally:
    """One row of tallies with its run, step and whether it was withdrawn."""
    return _record(Tally, row, at=time(row, "at"), withdrawn=bool(row["withdrawn"]))
