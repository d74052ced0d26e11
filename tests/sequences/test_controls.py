"""The controls of a display from a file: families of them, and what is wrong at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from patterns.control import Control
from sequences import SequenceError
from sequences.controls import MOST_CONTROLS, load_controls, load_controls_text, schema
from tests.sequences.schema_fits import fits

WALL = """\
display: lobby wall
controls:
  - does: gain
    channels: [red, green, blue]
    name: "{channel} gain"
    range: [-50, 50]
    found: {red: 1, blue: -3, green: 0}
  - {does: point, levels: [50 %, 100 %], channels: [red, blue], range: [-10, 10], step: 0.5,
     found: {red: [1, 2], blue: 0.5}}
  - {does: backlight, range: [0, 100], step: 5, found: 80}
  - {does: preset, name: Gamma, range: [1.8, 2.6], step: 0.2, found: 2.2}
  - {does: hue, channels: [cyan, magenta], range: [-5, 5], found: [1, -1]}
"""


def controls(text: str) -> list[Control]:
    return list(load_controls_text(text, "f").controls)


def told(entry: str) -> list[str]:
    """Problems of one control, whose text begins at line 2, column 5."""
    with pytest.raises(SequenceError) as raised:
        load_controls_text(f"controls:\n  - {entry}\n", "f")
    return str(raised.value).splitlines()


def test_one_entry_stands_for_a_family_in_the_order_of_levels_and_channels():
    found = load_controls_text(WALL, "wall.yaml")
    assert found.display == "lobby wall"
    assert list(found.controls) == [
        Control("Red gain", "gain", "red", None, -50, 50, 1, 1),
        Control("Green gain", "gain", "green", None, -50, 50, 1, 0),
        Control("Blue gain", "gain", "blue", None, -50, 50, 1, -3),
        Control("50 % red", "point", "red", 50, -10, 10, 0.5, 1),
        Control("50 % blue", "point", "blue", 50, -10, 10, 0.5, 0.5),
        Control("100 % red", "point", "red", 100, -10, 10, 0.5, 2),
        Control("100 % blue", "point", "blue", 100, -10, 10, 0.5, 0.5),
        Control("Backlight", "backlight", None, None, 0, 100, 5, 80),
        Control("Gamma", "preset", None, None, 1.8, 2.6, 0.2, 2.2),
        Control("Cyan hue", "hue", "cyan", None, -5, 5, 1, 1),
        Control("Magenta hue", "hue", "magenta", None, -5, 5, 1, -1),
    ]


def test_a_display_need_not_be_named_and_a_byte_order_mark_is_read():
    text = "\ufeffcontrols: [{does: preset, range: [0, 3], found: 1}]\r\n"
    found = load_controls_text(text, "f")
    assert (found.display, len(found.controls)) == (None, 1)


def test_a_file_is_read_and_one_that_is_not_there_is_told(tmp_path: Path):
    path = tmp_path / "wall.yaml"
    path.write_text(WALL, "utf-8")
    assert load_controls(path) == load_controls_text(WALL, "wall.yaml")
    with pytest.raises(SequenceError) as raised:
        load_controls(tmp_path / "none.yaml")
    assert str(raised.value).endswith("none.yaml: found no file of this name; expected a control "
                                      "list file")  # fmt: skip


@pytest.mark.parametrize(
    ("entry", "wanted"),
    [
        ("{does: gain, channel: red, range: [0, 9], fond: 1}",
         ["f:2:5: found no found in this control", "f:2:47: found unknown key 'fond' in"]),
        ("{does: gains, channel: red, range: [0, 9], found: 1}",
         ["f:2:12: found does: gains; expected gain, offset, point, backlight, preset, hue"]),
        ("{does: gain, range: [0, 9], found: 1}",
         ["f:2:5: found a gain without channel; expected channel or channels"]),
        ("{does: gain, channel: cyan, range: [0, 9], found: 1}",
         ["f:2:27: found channel: cyan; expected red, green or blue"]),
        ("{does: gain, channel: red, channels: [red], range: [0, 9], found: 1}",
         ["f:2:32: found channels beside channel; expected one of them"]),
        ("{does: hue, channels: [cyan, cyan], range: [0, 9], found: 1}",
         ["f:2:34: found cyan a second time; expected each channel once"]),
        ("{does: preset, channel: red, range: [0, 9], found: 1}",
         ["f:2:20: found channel of a preset; expected none"]),
        ("{does: gain, channel: red, level: 9 %, range: [0, 9], found: 1}",
         ["f:2:32: found level of a gain; expected none"]),
        ("{does: point, channel: red, range: [0, 9], found: 1}",
         ["f:2:5: found a point without level; expected level or levels"]),
        ("{does: point, channel: red, levels: [9 %, 9 %, 200 %], range: [0, 9], found: 1}",
         ["f:2:47: found 9 % a second time", "f:2:52: found a level: 200 %; expected 0 % to 109"]),
        ("{does: gain, channel: red, range: [9, 0], found: 1}",
         ["f:2:39: found range: [9, 0]; expected the lowest and the highest that the menu reads"]),
        ("{does: gain, channel: red, range: 9, found: 1}", ["f:2:39: found range: 9; expected"]),
        ("{does: gain, channel: red, range: [0, 9], step: 2, found: 0}",
         ["f:2:53: found 0 to 9 by steps of 2; expected a whole number of steps from lowest"]),
        ("{does: gain, channel: red, range: [0, 9], step: 0, found: 0}",
         ["f:2:53: found step: 0; expected more than 0"]),
        ("{does: gain, channel: red, range: [0, 9], found: 10}",
         ["f:2:54: found found: 10; expected 0 to 9, as its range"]),
        ("{does: gain, channel: red, range: [0, 8], step: 2, found: 3}",
         ["f:2:63: found found: 3; expected a multiple of 2 from 0"]),
        ("{does: gain, channel: red, range: [0, 9], found: high}",
         ["f:2:54: found found: high; expected a number, one for each channel as in {red: 0"]),
        ("{does: gain, channels: [red, blue], range: [0, 9], found: [1]}",
         ["f:2:63: found found: 1 numbers for 2 controls; expected 2 numbers"]),
        ("{does: gain, channels: [red, blue], range: [0, 9], found: {red: 1, green: 2}}",
         ["f:2:63: found found without blue", "f:2:72: found found: green; expected red or blue"]),
        ("{does: gain, channels: [red, blue], range: [0, 9], found: {red: [1, 2], blue: 0}}",
         ["f:2:69: found found red: 2 numbers for 1 levels; expected 1 numbers"]),
        ('{does: gain, channel: red, name: "{level} x", range: [0, 9], found: 1}',
         ["f:2:38: found the placeholder {level} in name; expected channel"]),
        ("{does: gain, channels: [red, blue], name: Gain, range: [0, 9], found: 1}",
         ["f:2:47: found a second control 'Gain' (the first on line 2); expected each name once"]),
        ("{does: preset, range: [0, 10], step: 1e-320, found: 0}",
         [("f:2:42: found 0 to 10 by steps of 9.99989e-321; "
          "expected 1 to 100,000 steps from lowest to highest")]),
        ("{does: preset, range: [0, 0.5], found: 0}",
         ["f:2:27: found 0 to 0.5 by steps of 1; expected 1 to 100,000 steps"]),
        ("x", ["f:2:5: found x; expected a control: a mapping with does"]),
    ],
)  # fmt: skip
def test_a_control_that_cannot_be_is_told_why_at_its_place(entry: str, wanted: list[str]):
    lines = told(entry)
    assert len(lines) == len(wanted)
    for line, start in zip(lines, wanted, strict=True):
        assert line.startswith(start)


def test_the_same_control_under_two_names_is_told():
    entry = "{does: gain, channel: red, name: %s, range: [0, 9], found: 1}"
    with pytest.raises(SequenceError) as raised:
        load_controls_text(f"controls:\n- {entry % 'a'}\n- {entry % 'b'}\n", "f")
    assert str(raised.value) == (
        "f:3:3: found red gain a second time (first on line 2); expected each control once"
    )


def test_more_controls_than_a_menu_can_have_are_told():
    levels = ", ".join(f"{number / 2} %" for number in range(2 * 36))
    entry = "{{does: point, levels: [{}], channels: [red, green, blue], range: [0, 9], found: 0}}"
    (line,) = told(entry.format(levels))
    assert line == f"f:2:5: found 216 controls; expected at most {MOST_CONTROLS}"
    assert MOST_CONTROLS == 200


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "f:1:1: found an empty file; expected a mapping with controls"),
        ("controls: []", "f:1:11: found controls: an empty list; expected 1 or more"),
        ("display: x", "f:1:1: found no controls in the file; expected a value for controls"),
        ("controls: [{does: preset, range: [0, 3], found: 1}]\nmenu: x",
         "f:2:1: found unknown key 'menu' in the file; expected display or controls"),
        ("x" * 262_145, "f: found 262,145 bytes; expected a control list of at most 262,144"),
    ],
)  # fmt: skip
def test_a_file_without_controls_is_told_so(text: str, wanted: str):
    with pytest.raises(SequenceError) as raised:
        load_controls_text(text, "f")
    assert str(raised.value) == wanted


def test_the_schema_takes_what_is_read_and_refuses_what_it_can():
    from sequences.events import read_tree
    from sequences.problems import Collector
    from sequences.tree import plain

    def read(text: str) -> object:
        return plain(read_tree(text, Collector("f")))

    made = schema()
    assert fits(read(WALL), made, made)
    for right, wrong in (
        ("does: gain", "does: gains"),
        ("range: [0, 100]", "range: 100"),
        ("display", "name"),
    ):
        assert not fits(read(WALL.replace(right, wrong)), made, made)
