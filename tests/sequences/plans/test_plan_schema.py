"""The JSON Schema of a plan for editors, tried on shipped plans and on slips."""

import json
from pathlib import Path

import pytest

from player.cli import run
from sequences import SequenceError
from sequences.plans import load_plan_text, schema, shipped_plans
from tests.sequences.schema_fits import document, fits

SCHEMA = schema()


@pytest.mark.parametrize("path", shipped_plans().values(), ids=shipped_plans())
def test_every_shipped_plan_fits(path: Path):
    assert fits(document(path.read_text("utf-8")), SCHEMA, SCHEMA)


@pytest.mark.parametrize(
    "task",
    [
        "label: x",
        "tell: 5",
        "{tell: x, importance: frist}",
        "{tell: x, needs: [masks]}",
        "{tell: x, minutes: 0}",
        "{tell: x, minutes: 1441}",
        "{tel: x}",
        "{adjust: Two Point}",
        "{ask: x, name: X}",
        "{ask: x, name: x, choices: [one]}",
        "{ask: x, name: x, choices: [one, one]}",
        "{play: tone-pq, output: stick}",
        "{play: tone-pq, instrument: meter}",
        "{tell: x, only_if: hdr}",
        "{tell: x, only_if: {}}",
        "{tell: x, only_if: {hdr: []}}",
    ],
)
def test_what_loading_refuses_of_a_task_the_schema_refuses(task: str):
    text = f"title: x\ntasks: [{task}]\n"
    assert fits(document("title: x\ntasks: [{tell: x}]"), SCHEMA, SCHEMA)
    assert not fits(document(text), SCHEMA, SCHEMA)
    with pytest.raises(SequenceError):
        load_plan_text(text, "f")


@pytest.mark.parametrize(
    "text",
    [
        "tasks: [{tell: x}]",
        "title: x",
        "title: x\ntasks: []",
        "title: x\nminutes: 0\ntasks: [{tell: x}]",
        "title: x\naim: {curv: srgb}\ntasks: [{tell: x}]",
        "title: x\nsteps: 1\ntasks: [{tell: x}]",
    ],
)
def test_what_loading_refuses_of_a_plan_the_schema_refuses(text: str):
    assert not fits(document(text), SCHEMA, SCHEMA)
    with pytest.raises(SequenceError):
        load_plan_text(text, "f")


def test_every_key_of_a_task_is_described():
    assert all("description" in each for each in SCHEMA["$defs"]["task"]["properties"].values())


def test_the_command_prints_the_schema_of_a_plan_where_asked(capfd: pytest.CaptureFixture[str]):
    assert run(["schema", "--plan"]) == 0
    assert json.loads(capfd.readouterr().out) == SCHEMA
    assert run(["schema"]) == 0
    assert json.loads(capfd.readouterr().out)["title"] == "Litfield sequence"
