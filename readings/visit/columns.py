"""From records to the columns of a visit: everything that goes in is checked here."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import UTC, datetime

from patterns.control import Control
from readings.visit.errors import VisitError
from readings.visit.limits import LONGEST_TEXT
from readings.visit.records import Json, PlannedStep, Shown, Specification, Value

Cell = str | int | float | None


def to_time(at: datetime | None) -> str:
    """A time as kept, `2031-05-04T09:30:00.000000Z`; None is now."""
    if at is None:
        at = datetime.now(UTC)
    if at.tzinfo is None:
        raise VisitError(f"the time {at.isoformat()} does not say its zone")
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def to_text(text: str | None, what: str) -> str | None:
    """A text that can be kept as UTF-8."""
    if text is None:
        return None
    if not isinstance(text, str):
        raise VisitError(f"{what} must be a text, not {text!r}")
    try:
        _require_short(text.encode("utf-8"), what)
    except UnicodeEncodeError:
        raise VisitError(f"{what} has characters that are not Unicode: {text!a}") from None
    return text


def _require_short(content: bytes, what: str) -> None:
    if len(content) > LONGEST_TEXT:
        raise VisitError(f"{what} has {len(content)} bytes; a visit keeps at most {LONGEST_TEXT}")


def to_number(number: float | None, what: str) -> float | None:
    """A finite number. SQLite itself would turn NaN into NULL, keep infinity, and read '12'."""
    if number is None:
        return None
    if isinstance(number, bool) or not isinstance(number, (int, float)):
        raise VisitError(f"{what} must be a number, not {number!r}")
    try:
        value = float(number)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        raise VisitError(f"{what} must be a finite number, not {number!r}")
    return value


def to_json(value: object, what: str) -> str:
    """JSON with sorted keys; NaN and infinity have none."""
    try:
        text = json.dumps(value, allow_nan=False, ensure_ascii=False, sort_keys=True)
        content = text.encode("utf-8")
    except (TypeError, ValueError, RecursionError) as error:
        raise VisitError(f"{what} cannot be kept as JSON: {error}") from None
    _require_short(content, what)
    return text


def to_object(value: Json, what: str) -> str:
    """A JSON object."""
    if not isinstance(value, Mapping):
        raise VisitError(f"{what} must be a mapping, not {value!r}")
    return to_json(dict(value), what)


def to_specification(specification: Specification) -> str:
    """A specification as a JSON object; only positive values say anything."""
    given = asdict(specification)
    for name, value in given.items():
        number = to_number(value, name.replace("_", " "))
        if number is not None and number <= 0:
            raise VisitError(f"{name.replace('_', ' ')} must be above 0, or left unknown")
    return to_json({name: value for name, value in given.items() if value is not None}, "it")


def to_matrix(matrix: Iterable[float]) -> str:
    """A correction matrix as a JSON array of nine numbers, row by row."""
    return to_json([to_number(value, "a matrix element") for value in matrix], "the matrix")


def shown_columns(shown: Shown) -> dict[str, Cell]:
    """What a row of `showings` keeps of what was shown."""
    for name, codes in shown.inks.items():
        given: list[object] = list(codes)  # from outside, so not yet what the hint says
        if len(given) != 3 or not all(type(code) is int and 0 <= code <= 65535 for code in given):
            raise VisitError(f"ink {name} must be three codes from 0 to 65535, not {codes!r}")
    return {
        "inks": to_object({name: list(codes) for name, codes in shown.inks.items()}, "inks"),
        "frame_sha256": to_text(shown.frame_sha256, "the frame's SHA-256"),
        "facts": to_object(shown.facts, "facts"),
        "guard": to_text(shown.guard, "the guard state"),
        "guard_why": to_text(shown.guard_why, "the guard's reason"),
    }


def value_columns(value: Value) -> dict[str, Cell]:
    """What a row of `readings` keeps of a value, with what X Y Z imply filled in."""
    columns: dict[str, Cell] = {
        "quantity": to_text(value.quantity, "the quantity"),
        "raw": to_text(value.raw, "the text as received"),
        "luminance": to_number(value.luminance, "the luminance"),
        "x": to_number(value.x, "x"),
        "y": to_number(value.y, "y"),
        "tristimulus_x": None,
        "tristimulus_y": None,
        "tristimulus_z": None,
        "number": to_number(value.number, "the number"),
        "text": to_text(value.text, "the text"),
        "derivation": None,
    }
    if value.derivation is not None:
        columns["derivation"] = to_object(value.derivation.describe(), "the derivation")
    if value.tristimulus is not None:
        given = [to_number(v, "each of X Y Z") for v in value.tristimulus]
        known = [v for v in given if v is not None]
        if len(given) != 3 or len(known) != 3:
            raise VisitError(f"X Y Z must be three numbers, not {value.tristimulus!r}")
        big_x, big_y, big_z = known
        columns |= {"tristimulus_x": big_x, "tristimulus_y": big_y, "tristimulus_z": big_z}
        if value.luminance is None:
            columns["luminance"] = big_y
        total = big_x + big_y + big_z
        # No light has no chromaticity.
        if value.x is None and value.y is None and 0 < total < math.inf:
            columns |= {"x": to_number(big_x / total, "x"), "y": to_number(big_y / total, "y")}
    return columns


def step_columns(step: PlannedStep) -> dict[str, Cell]:
    """What a row of `steps` keeps of a planned step."""
    return {
        "label": to_text(step.label, "the step's label"),
        "role": to_text(step.role, "the step's role"),
        "kind": to_text(step.kind, "the pattern kind"),
        "parameters": to_object(step.parameters, "parameters"),
        "quantity": to_text(step.quantity, "the quantity"),
        "read_of": to_text(step.read_of, "what is read"),
        "settle_s": to_number(step.settle_s, "the settling time"),
        "variables": to_object(step.variables, "variables"),
        "faults": None if step.faults is None else to_object(step.faults.describe(), "the faults"),
    }


def control_columns(control: Control) -> dict[str, Cell]:
    """What a row of `controls` keeps of a control."""
    return {
        "name": to_text(control.name, "the control's name"),
        "does": to_text(control.does, "what the control does"),
        "channel": to_text(control.channel, "the control's channel"),
        "level": to_number(control.level, "the control's level"),
        "lowest": to_number(control.lowest, "the lowest that the menu reads"),
        "highest": to_number(control.highest, "the highest that the menu reads"),
        "click": to_number(control.step, "a click"),
        "found": to_number(control.found, "what the menu was found at"),
    }


def insert(table: str, row: Mapping[str, Cell]) -> str:
    """The statement that adds one row."""
    names = ", ".join(row)
    slots = ", ".join(f":{name}" for name in row)
    return f"INSERT INTO {table} ({names}) VALUES ({slots})"  # noqa: S608 (names of our own)
