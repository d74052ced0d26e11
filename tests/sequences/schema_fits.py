"""The few keywords of JSON Schema (2020-12) that our schemas use, as a validator."""

from __future__ import annotations

import re
from typing import Any

from ruamel.yaml import YAML

Json = dict[str, Any]
TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "integer": (int,),
    "number": (int, float),
    "boolean": (bool,),
    "null": (type(None),),
}
KNOWN = {"$defs", "$schema", "title", "description", "default", "pattern", "minLength"}
KNOWN |= {"$ref", "type", "enum", "anyOf", "not", "properties", "additionalProperties", "required"}
KNOWN |= {"items", "minItems", "maxItems", "uniqueItems", "minProperties", "maxProperties"}
KNOWN |= {"minimum", "maximum", "exclusiveMinimum", "examples"}


def is_a(value: object, name: str) -> bool:
    if isinstance(value, bool) and name != "boolean":
        return False
    return isinstance(value, TYPES[name])


def fits(value: Any, schema: Any, root: Json) -> bool:
    """Validate by the part of JSON Schema that is used here; an unknown keyword is an error."""
    if isinstance(schema, bool):
        return schema
    assert set(schema) <= KNOWN
    names = schema.get("type", [])
    names = [names] if isinstance(names, str) else names
    return (
        ("$ref" not in schema or fits(value, root["$defs"][schema["$ref"].split("/")[-1]], root))
        and (not names or any(is_a(value, name) for name in names))
        and value in schema.get("enum", [value])
        and ("anyOf" not in schema or any(fits(value, each, root) for each in schema["anyOf"]))
        and not ("not" in schema and fits(value, schema["not"], root))
        and (not is_a(value, "string") or fits_text(value, schema))
        and (not is_a(value, "number") or fits_number(value, schema))
        and (not is_a(value, "array") or fits_list(value, schema, root))
        and (not is_a(value, "object") or fits_mapping(value, schema, root))
    )


def fits_text(value: str, schema: Json) -> bool:
    long_enough = len(value) >= schema.get("minLength", 0)
    return long_enough and re.search(schema.get("pattern", ""), value) is not None


def fits_number(value: float, schema: Json) -> bool:
    above = schema.get("exclusiveMinimum", float("-inf"))
    return above < value and bool(
        schema.get("minimum", value) <= value <= schema.get("maximum", value)
    )


def fits_list(value: list[Any], schema: Json, root: Json) -> bool:
    least, most = schema.get("minItems", 0), schema.get("maxItems", len(value))
    different = not schema.get("uniqueItems") or all(value.count(each) == 1 for each in value)
    return (
        different
        and least <= len(value) <= most
        and all(fits(v, schema.get("items", True), root) for v in value)
    )


def fits_mapping(value: Json, schema: Json, root: Json) -> bool:
    known = schema.get("properties", {})
    rest = schema.get("additionalProperties", True)
    least, most = schema.get("minProperties", 0), schema.get("maxProperties", len(value))
    return (
        set(schema.get("required", [])) <= set(value)
        and least <= len(value) <= most
        and all(fits(each, known.get(name, rest), root) for name, each in value.items())
    )


def document(text: str) -> Any:
    """A YAML text as plain values."""
    return YAML(typ="safe", pure=True).load(text)
