"""The JSON Schema for editors, tried on shipped files and on slips."""

import json

import pytest

import sequences
from patterns.kinds import KINDS
from tests.sequences.schema_fits import document, fits

SCHEMA = sequences.schema()


def test_the_schema_is_json():
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA


@pytest.mark.parametrize("name", sequences.shipped())
def test_every_shipped_sequence_fits(name: str):
    assert fits(document(sequences.load(name).text), SCHEMA, SCHEMA)


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
    assert not fits(document(text), SCHEMA, SCHEMA)
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
