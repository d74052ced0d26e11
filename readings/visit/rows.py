"""From the rows of a visit to records."""

from __future__ import annotations

import json
import math
import sqlite3
from dataclasses import fields
from datetime import datetime
from typing import Any

from patterns.quantity import LIGHT
from readings.visit import older
from readings.visit.derivation import Derivation
from readings.visit.errors import VisitError
from readings.visit.records import Codes, Reading, Run, Showing, Specification, Tally, Triple


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
    known = {field.name for field in fields(Specification)}
    given = mapping(row, "specification")
    if not all(_is_number(value) and value > 0 for value in given.values()):
        raise _damage(row, "specification")
    return Specification(**{name: value for name, value in given.items() if name in known})


def run(row: sqlite3.Row) -> Run:
    """One row of runs with its last event."""
    ended = row["event"] if row["event"] != "resumed" else None
    return Run(
        id=row["id"],
        sequence_title=row["sequence_title"],
        sequence_text=row["sequence_text"],
        sequence_sha256=row["sequence_sha256"],
        sequence_source=row["sequence_source"],
        condition=row["condition"],
        signal_asked=mapping(row, "signal_asked"),
        signal_shown=mapping(row, "signal_shown"),
        canvas=(row["width"], row["height"]),
        refresh_hz=row["refresh_hz"],
        output=row["output"],
        guards=mapping(row, "guards"),
        overrides=mapping(row, "overrides"),
        step_count=row["step_count"],
        started_at=time(row, "started_at"),
        ended=ended,
        ended_at=optional_time(row, "event_at") if ended else None,
    )


def _facts(row: sqlite3.Row) -> dict[str, Any]:
    facts = mapping(row, "facts")
    before = facts.get("box")
    if isinstance(before, str):
        box = older.box_of(before)
        facts["box"] = None if box is None else box.describe()
    return facts


def showing(row: sqlite3.Row) -> Showing:
    """One row of showings."""
    return Showing(
        id=row["id"],
        run=row["run"],
        step=row["step"],
        shown_at=time(row, "shown_at"),
        inks=inks(row),
        frame_sha256=row["frame_sha256"],
        facts=_facts(row),
        guard=row["guard"],
        guard_why=row["guard_why"],
    )


def _derivation(row: sqlite3.Row) -> Derivation | None:
    if "derivation" not in row.keys() or row["derivation"] is None:  # noqa: SIM118 - no mapping
        return None
    try:
        return Derivation.described(mapping(row, "derivation"))
    except ValueError:
        raise _damage(row, "derivation") from None


def reading(row: sqlite3.Row) -> Reading:
    """One row of readings with its run, step and retake."""
    text, derivation = row["text"], _derivation(row)
    if derivation is None and row["quantity"] in LIGHT:
        derivation = older.derivation_of(text)
        text = text if derivation is None else None
    return Reading(
        id=row["id"],
        run=row["run"],
        step=row["step"],
        showing=row["showing"],
        instrument=row["instrument"],
        quantity=row["quantity"],
        raw=row["raw"],
        luminance=row["luminance"],
        x=row["x"],
        y=row["y"],
        tristimulus=tristimulus(row),
        number=row["number"],
        text=text,
        derivation=derivation,
        taken_at=time(row, "taken_at"),
        replaces=row["replaces"],
        replaced_by=row["replaced_by"],
    )


def tally(row: sqlite3.Row) -> Tally:
    """One row of tallies with its run, step and whether it was withdrawn."""
    return Tally(
        id=row["id"],
        run=row["run"],
        step=row["step"],
        showing=row["showing"],
        position_px=row["position_px"],
        axis=row["axis"],
        direction=row["direction"],
        at=time(row, "at"),
        withdrawn=bool(row["withdrawn"]),
    )
