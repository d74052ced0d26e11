"""Descriptions of displays: what is shipped loads, and what is wrong is said in one sentence."""

import re
from pathlib import Path

import pytest

from player.simulated import SimulatedError, load_display, parse_display, shipped_displays
from player.simulated.menu import SimulatedControl
from player.simulated.parameters import (
    DisplayParameters,
    Emissive,
    Gamut,
    Link,
    PowerPoint,
    Response,
    Responses,
    Time,
)
from player.simulated.zoned import Ends, Halo, Zoned

GOOD = """
name: plain
peak: 500
responses:
  bt1886: {white: 400}
light: {kind: emissive}
"""
ZONED = """
name: plain
peak: 500
responses: {bt1886: {white: 400}}
light:
  kind: zoned
  contrast: 1000
  columns: 2
  rows: 2
  halos: [{radius: 5, share: 0.5}]
"""


def complaint(text: str) -> str:
    with pytest.raises(SimulatedError) as caught:
        parse_display(text, "here.yaml")
    said = str(caught.value)
    assert said.isprintable()
    assert len(said) < 1200
    assert said.startswith("here.yaml ")
    assert said.endswith(".")
    return said


def test_two_displays_are_shipped():
    assert list(shipped_displays()) == ["lobby-wall", "ticket-desk"]


@pytest.mark.parametrize("name", ["lobby-wall", "ticket-desk"])
def test_a_shipped_display_loads_by_name_and_by_path(name: str):
    assert load_display(name) == load_display(shipped_displays()[name])
    assert load_display(name).name == name.replace("-", " ")


def test_a_description_is_read_with_its_defaults():
    parameters = parse_display(GOOD, "here.yaml")
    assert parameters.link.range == "follow"
    assert parameters.power_limit(1) == 500


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no mapping"),
        ("[1, 2]", "no mapping"),
        ("name: [", "is not YAML"),
        ("name: a\nname: b", "is not YAML: found duplicate key"),
        ("a: &x 1\nb: *x", "uses YAML aliases"),
        ("--- 1\n--- 2", "is not YAML"),
        ("a: !odd 1", "is not YAML"),
        (GOOD + "colour: red", "colour: is not known here"),
        ("name: lobby", "peak: is missing"),
        (GOOD.replace("500", "yes"), "peak: should be a valid number"),
        (GOOD.replace("500", "'500'"), "peak: should be a valid number"),
        (GOOD.replace("500", ".inf"), "peak: should be a finite number"),
        (GOOD.replace("500", "-1"), "peak: should be greater than 0"),
        (GOOD.replace("500", "300"), "the white of bt1886 is above the display's peak"),
        (GOOD.replace("emissive", "lamp"), "light: kind should be one of"),
        (GOOD.replace("kind: emissive", "leakage: 0.01"), "light: needs its kind"),
        (GOOD.replace("bt1886: {white: 400}", "{}"), "answers at least one of"),
        (GOOD + "gamut: {red: [0.2, 0.3], green: [0.3, 0.3], blue: [0.4, 0.3]}", "lie on a line"),
        (GOOD + "gamut: {white: [0.7, 0.2]}", "outside the triangle"),
        (GOOD + "gamut: {white: [0.7]}", "gamut.white"),
        (GOOD + "power: [{lit: 50, white: 9}, {lit: 10, white: 8}]", "not in order of lit"),
        (GOOD + "power: [{lit: 5, white: 8}, {lit: 10, white: 9}]", "may not make white brighter"),
        (ZONED, "the shares of the halos do not make 1"),
        (ZONED.replace("columns: 2", "columns: 2.5"), "light.zoned.columns"),
        (GOOD.replace("plain", '"\\e[2J"'), "name: should be one line of plain text"),
        (GOOD.replace("plain", '"  "'), "name: should be one line of plain text"),
        (GOOD + '"\\rred": 1', "\ufffdred: is not known here"),
        (GOOD + "a\u202eb: 1", "a\ufffdb: is not known here"),
        (GOOD + "1: 2", "1: is not known here"),
        (GOOD + "link: [8]", "link: should be a mapping of names"),
        (GOOD.replace("plain", '"\\ud800"'), "name: should be text"),
        (GOOD + f"{'x' * 500}: 1", f"{'x' * 199}…: is not known here"),
    ],
)
def test_what_is_wrong_is_said(text: str, said: str):
    assert said in complaint(text)


def test_all_that_is_wrong_is_said_at_once():
    said = complaint("name: ''\npeak: 0\nresponses: {}\nlight: {kind: emissive, leakage: -1}")
    parts = ("name:", "peak:", "responses:", "light.emissive.leakage:")
    assert [part for part in parts if part not in said] == []


def test_of_very_much_that_is_wrong_the_rest_is_counted():
    said = complaint(GOOD + f"power: [{', '.join(['1'] * 30)}]")
    assert said.count("should be a mapping of names") == 20
    assert said.endswith("; and 10 more.")


def test_a_missing_file_names_what_is_shipped(tmp_path: Path):
    with pytest.raises(SimulatedError, match=r"cannot be read .*lobby-wall, ticket-desk\.$"):
        load_display(tmp_path / "none.yaml")


def test_a_folder_is_no_description(tmp_path: Path):
    with pytest.raises(SimulatedError, match="cannot be read"):
        load_display(tmp_path)


def test_a_file_that_is_not_text_is_refused(tmp_path: Path):
    path = tmp_path / "odd.yaml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SimulatedError, match=r"is not UTF-8 text\.$"):
        load_display(path)


def test_a_huge_file_is_refused_unread(tmp_path: Path):
    path = tmp_path / "huge.yaml"
    path.write_bytes(b"#" * 70_000)
    with pytest.raises(SimulatedError, match="larger than 65536 bytes"):
        load_display(path)


def test_deep_nesting_is_refused_at_once():
    assert "nested more than 12 deep" in complaint("[" * 60_000)


def test_every_parameter_is_explained():
    page = Path(__file__).parents[2] / "docs" / "simulated-display.md"
    explained = set(re.findall(r"`(?:\w+\.)?(?:\*\.)?(\w+)`", page.read_text("utf-8")))
    parts = (DisplayParameters, Link, Gamut, Response, Responses, Zoned, Emissive, Halo, Ends, Time)
    fields = {
        field for part in (*parts, PowerPoint, SimulatedControl) for field in part.model_fields
    }
    groups = {"link", "gamut", "responses", "light", "time"}
    assert fields - groups - explained == set()
