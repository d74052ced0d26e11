"""The JSON Schema for editors, tried with the few keywords of JSON Schema that it uses."""

import json
from typing import Any

import pytest
from ruamel.yaml import YAML

import sequences
from patterns.kinds import KINDS

SCHEMA = sequences.schema()
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


def fits(value: Any, schema: Any) -> bool:
    """Validate by the part of JSON Schema that is used here; an unknown keyword is an error."""
    if isinstance(schema, bool):
        return schema
    assert set(schema) <= KNOWN
    names = schema.get("type", [])
    names = [names] if isinstance(names, str) else names
    return (
        ("$ref" not in schema or fits(value, SCHEMA["$defs"][schema["$ref"].split("/")[-1]]))
        and (not names or any(is_a(value, name) for name in names))
        and value in schema.get("enum", [value])
        and ("anyOf" not in schema or any(fits(value, each) for each in schema["anyOf"]))
        and not ("not" in schema and fits(value, schema["not"]))
        and (not is_a(value, "number") or fits_number(value, schema))
        and (not is_a(value, "array") or fits_list(value, schema))
        and (not is_a(value, "object") or fits_mapping(value, schema))
    )


def fits_number(value: float, schema: dict[str, Any]) -> bool:
    return bool(schema.get("minimum", value) <= value <= schema.get("maximum", value))


def fits_list(value: list[Any], schema: dict[str, Any]) -> bool:
    least, most = schema.get("minItems", 0), schema.get("maxItems", len(value))
    return least <= len(value) <= most and all(fits(v, schema.get("items", True)) for v in value)


def fits_mapping(value: dict[str, Any], schema: dict[str, Any]) -> bool:
    known = schema.get("properties", {})
    rest = schema.get("additionalProperties", True)
    least, most = schema.get("minProperties", 0), schema.get("maxProperties", len(value))
    return (
        set(schema.get("required", [])) <= set(value)
        and least <= len(value) <= most
        and all(fits(each, known.get(name, rest)) for name, each in value.items())
    )


def document(text: str) -> Any:
    return YAML(typ="safe", pure=True).load(text)


def test_the_schema_is_json():
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("name", sequences.shipped())
def test_every_shipped_sequence_fits(name: str):
    assert fits(document(sequences.load(name).text), SCHEMA)


@pytest.mark.parametrize(
    "text",
    [
        "signal: sdr8\nsteps: [show: {field: {}}]",
        "title: x\nsignal: sdr9\nsteps: [show: {field: {}}]",
        "title: x\nsignal: sdr8\nsteps: []",
        "title: x\nsignal: sdr8\nstepz: 1\nsteps: [show: {field: {}}]",
        "title: x\nsignal: sdr8\ncautions: [loud]\nsteps: [show: {field: {}}]",
        "title: x\nsignal: {transfer: pq}\nsteps: [show: {field: {}}]",
        "title: x\nsignal: sdr8\nsteps: [show: {filed: {}}]",
        "title: x\nsignal: sdr8\nsteps: [show: {field: {}, window: {}}]",
        "title: x\nsignal: sdr8\nsteps: [show: {field: {levle: 5 %}}]",
        "title: x\nsignal: sdr8\nsteps: [show: {checkerboard: {columns: 2.5}}]",
        "title: x\nsignal: sdr8\nsteps: [show: {checkerboard: {columns: 0}}]",
        "title: x\nsignal: sdr8\nsteps: [{show: {field: {}}, read: lux}]",
        "title: x\nsignal: sdr8\nsteps: [{show: {field: {}}, read: choice}]",
        "title: x\nsignal: sdr8\nsteps: [{show: {field: {}}, each: {level: {from: 1 %}}}]",
        "title: x\nsignal: sdr8\nsteps: [{show: {field: {}}, each: {level: 5 %}}]",
        "title: x\nsignal: sdr8\nsteps: [{read: luminance}]",
    ],
)
def test_what_loading_refuses_the_schema_refuses(text: str):
    assert not fits(document(text), SCHEMA)
    with pytest.raises(sequences.SequenceError):
        sequences.load_text(text, "f")


def test_every_kind_and_parameter_is_described():
    kinds = SCHEMA["$defs"]["step"]["properties"]["show"]["properties"]
    assert set(kinds) == set(KINDS)
    for name, kind in kinds.items():
        assert kind["description"] == KINDS[name].summary
        assert all("description" in each for each in kind["properties"].values())


def test_defaults_are_told_as_a_file_would_write_them():
    kinds = SCHEMA["$defs"]["step"]["properties"]["show"]["properties"]
    assert kinds["window"]["properties"]["level"]["default"] == "100 %"
    assert kinds["moving-box"]["properties"]["speed"]["default"] == "120 px/s"
    assert kinds["ramp"]["properties"]["from"]["default"] == "0 %"
    assert SCHEMA["properties"]["warm_up"]["default"] == "0 s"
