"""The JSON Schema of a sequence, for editors that complete and check YAML."""

from __future__ import annotations

from typing import Any, cast

from patterns.control import MENUS
from patterns.kinds import KINDS
from patterns.quantity import QUANTITIES
from patterns.signal.signal import signal_names
from sequences.each import MOST_STEPS
from sequences.faults import MOST_COUNTED, NONE, RANGES
from sequences.grammar import AimParts, Head, SignalParts, StepKeys
from sequences.reads import ADJUST, MOST_LEVELS

Json = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema() -> Json:
    """The schema (2020-12) of a sequence file with every kind and its parameters.

    What a schema cannot say is left to loading: the units of a level, what a signal reaches,
    that a key of ``each`` is used.
    """
    definitions: Json = {}
    head = model_schema(Head, definitions)
    step = model_schema(StepKeys, definitions)
    definitions["signal"] = model_schema(SignalParts, definitions)
    definitions["aim"] = model_schema(AimParts, definitions)
    kinds = {name: _kind(name, definitions) for name in sorted(KINDS)}
    definitions["step"] = step
    head["properties"]["signal"] |= {
        "anyOf": [{"enum": signal_names()}, {"$ref": "#/$defs/signal"}]
    }
    head["properties"]["aim"] |= {"$ref": "#/$defs/aim"}
    head["properties"]["steps"] |= {"items": {"$ref": "#/$defs/step"}, "maxItems": MOST_STEPS}
    step["properties"]["show"] |= {
        "type": "object",
        "properties": kinds,
        "additionalProperties": False,
        "minProperties": 1,
        "maxProperties": 1,
    }
    step["properties"]["each"] |= _each()
    step["properties"]["read"] |= _read()
    step["properties"]["faults"] |= _faults()
    head["title"] = "Litfield sequence"
    head["$schema"] = DIALECT
    head["$defs"] = definitions
    return head


def model_schema(model: Any, definitions: Json) -> Json:
    """The schema of a model of pydantic; what it refers to goes to ``definitions``."""
    made = cast(Json, _clean(model.model_json_schema(by_alias=True)))
    definitions |= made.pop("$defs", {})
    return made


def _kind(name: str, definitions: Json) -> Json:
    made = model_schema(KINDS[name], definitions)
    # each may give what show leaves out, and a kind without parameters is written "field:"
    made.pop("required", None)
    made["title"] = name
    made["description"] = KINDS[name].summary
    made["type"] = ["object", "null"]
    return made


def _clean(value: object) -> object:
    """Defaults as they are written, no invented titles, no null where a file has no use for it."""
    if isinstance(value, list):
        return [_clean(each) for each in value]
    if not isinstance(value, dict):
        return value
    kept = {key: _clean(each) for key, each in value.items() if not _idle(key, each)}
    default = kept.get("default")
    if isinstance(default, dict) and set(default) == {"number", "unit"}:
        kept["default"] = f"{default['number']} {default['unit']}"
    choices = kept.get("anyOf")
    if isinstance(choices, list) and {"type": "null"} in choices:
        rest = [each for each in choices if each != {"type": "null"}]
        if len(rest) == 1:
            kept.pop("anyOf")
            kept = {**cast(Json, rest[0]), **kept}
        else:
            kept["anyOf"] = rest
    return kept


def _idle(key: str, value: object) -> bool:
    return (key == "title" and isinstance(value, str)) or (key == "default" and value is None)


def _each() -> Json:
    scalar = {"type": ["string", "number"]}
    span = {
        "type": "object",
        "properties": {"from": scalar, "to": scalar, "step": scalar},
        "required": ["from", "to", "step"],
        "additionalProperties": False,
    }
    values = {"type": "array", "minItems": 1, "items": {"not": {"type": "null"}}}
    return {
        "type": "object",
        "minProperties": 1,
        "additionalProperties": {"anyOf": [values, span]},
    }


def _read() -> Json:
    texts = {name: {"type": "string", "minLength": 1} for name in QUANTITIES if name != "choice"}
    choices = {
        "type": "array",
        "minItems": 2,
        "maxItems": 50,
        "uniqueItems": True,
        "items": {"type": "string", "minLength": 1},
    }
    properties: dict[str, object] = {str(name): text for name, text in texts.items()}
    properties["choice"] = choices
    properties[ADJUST] = _adjust()
    mapping = {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
        "minProperties": 1,
        "maxProperties": 1,
    }
    return {"anyOf": [{"enum": list(texts)}, mapping]}


def _adjust() -> Json:
    menus = {
        "type": "array",
        "minItems": 1,
        "uniqueItems": True,
        "items": {"enum": list(MENUS)},
    }
    levels = {
        "type": "array",
        "minItems": 2,
        "maxItems": MOST_LEVELS,
        "uniqueItems": True,
        "items": {"type": "string"},
    }
    parts = {
        "type": "object",
        "properties": {"controls": menus, "levels": levels},
        "required": ["controls"],
        "additionalProperties": False,
    }
    return {"anyOf": [menus, parts]}


def _faults() -> Json:
    choices = {
        "type": "array",
        "minItems": 1,
        "uniqueItems": True,
        "items": {"type": "string", "minLength": 1},
    }
    above = {
        "type": "object",
        "properties": {"above": {"type": "integer", "minimum": 0, "maximum": MOST_COUNTED - 1}},
        "required": ["above"],
        "additionalProperties": False,
    }
    told = {"anyOf": [{"enum": [NONE]}, choices, above]}
    by_range = {
        "type": "object",
        "properties": dict.fromkeys(RANGES, told),
        "additionalProperties": False,
        "minProperties": 1,
    }
    return {"anyOf": [*told["anyOf"], by_range]}
