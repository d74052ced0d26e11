"""``read: adjust``: which menus a display is adjusted by, at which levels, and on what."""

from __future__ import annotations

import pytest

import sequences
from patterns.picture.canvas import Canvas
from sequences import Sequence, SequenceError
from sequences.duration import sequence_seconds
from sequences.model import ADJUSTED_AT, Read
from sequences.roles import remarks

HEAD = "title: x\nsignal: sdr8\nsteps:\n"


def load(step: str) -> Sequence:
    return sequences.load_text(f"{HEAD}  - {step}\n", "f")


def told(step: str) -> list[str]:
    """Problems of a step whose text begins at line 4, column 5."""
    with pytest.raises(SequenceError) as raised:
        load(step)
    return str(raised.value).splitlines()


def test_a_step_that_adjusts_reads_colours_and_has_its_role():
    (step,) = load("{show: {window: {}}, read: {adjust: [two-point, multi-point]}}").steps
    assert step.read == Read("colour", adjusts=("two-point", "multi-point"), levels=ADJUSTED_AT)
    assert (step.role, step.settle) == ("adjusting", 3)
    assert ADJUSTED_AT == (0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100)


def test_its_levels_may_be_stated_and_come_in_their_order():
    levels = "levels: [100 %, 0 %, 2.5 %]"
    (step,) = load(
        f"{{show: {{field: {{}}}}, read: {{adjust: {{controls: [preset], {levels}}}}}}}"
    ).steps
    assert step.read == Read("colour", adjusts=("preset",), levels=(0, 2.5, 100))


def test_its_role_may_be_written_down_and_each_makes_several():
    text = (
        "{each: {area: [5 %, 10 %]}, show: {window: {}}, role: adjusting, read: {adjust: [preset]}}"
    )
    steps = load(text).steps
    assert [step.role for step in steps] == ["adjusting", "adjusting"]
    assert steps[0].read == steps[1].read


@pytest.mark.parametrize(
    ("step", "wanted"),
    [
        ("{show: {window: {}}, read: adjust}",
         "f:4:32: found read: adjust without controls; expected a list of the menus, as in read:"),
        ("{show: {window: {}}, read: {adjust: two-point}}",
         "f:4:41: found read adjust: two-point; expected a list of the menus"),
        ("{show: {window: {}}, read: {adjust: []}}", "f:4:41: found read adjust: an empty list"),
        ("{show: {window: {}}, read: {adjust: [two-points]}}",
         "f:4:42: found read adjust: two-points; expected two-point, multi-point, backlight"),
        ("{show: {window: {}}, read: {adjust: [preset, preset]}}",
         "f:4:50: found the menu preset a second time; expected each menu once"),
        ("{show: {window: {}}, read: {adjust: {levels: [0 %, 9 %]}}}",
         "f:4:41: found no controls in read adjust; expected"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], level: [0 %, 9 %]}}}",
         "f:4:62: found unknown key 'level' in read adjust; expected controls or levels (did you"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], levels: [0 %]}}}",
         "f:4:70: found levels of read adjust: 1 levels; expected a list of 2 to 64 levels"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], levels: [0 %, 110 %]}}}",
         "f:4:76: found a level: 110 %; expected 0 % to 109 %, as in 50 %"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], levels: [0 %, 20 cd/m2]}}}",
         "f:4:76: found a level: 20 cd/m2; expected 0 % to 109 %"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], levels: [5 %, 0 %, 5 %]}}}",
         "f:4:81: found the level 5 % a second time; expected each level once"),
        ("{show: {window: {}}, read: {adjust: {controls: [preset], levels: [5 %, 9 %]}}}",
         "f:4:70: found levels of read adjust without 0 %; expected black among them"),
        ("{show: {ramp: {}}, read: {adjust: [preset]}}",
         "f:4:13: found ramp in a step that adjusts; expected what can be put up"),
        ("{show: {window: {level: {r: 9 %, g: 0 %, b: 0 %}}}, read: {adjust: [preset]}}",
         "f:4:13: found a coloured window in a step that adjusts; expected a grey one"),
        ("{show: {patch: {colour: red}}, read: {adjust: [six-colour]}}",
         "f:4:13: found a red patch in a step that adjusts; expected a white one"),
        ("{show: {patch: {luminance: 9 cd/m2}}, read: {adjust: [six-colour]}}",
         "f:4:13: found a patch with luminance in a step that adjusts; expected a level alone"),
        ("{show: {window: {}}, read: {adjust: [six-colour]}}",
         "f:4:13: found six-colour controls on a window; expected a patch, whose colour can be"),
        ("{show: {window: {}}, role: grey, read: {adjust: [preset]}}",
         "f:4:32: found the role grey of a step that adjusts; expected none, or adjusting"),
        ("{show: {window: {}}, role: adjusting, read: colour}",
         "f:4:32: found the role adjusting of a step that does not adjust; expected another role"),
        ("{show: {window: {}}, read: {adjst: [preset]}}",
         "f:4:33: found unknown quantity 'adjst'; expected luminance, colour, count, milliseconds"),
    ],
)  # fmt: skip
def test_a_step_that_cannot_adjust_is_told_why_at_its_place(step: str, wanted: str):
    (line,) = told(step)
    assert line.startswith(wanted)


def test_no_finding_has_to_look_for_its_role():
    assert remarks(load("{show: {window: {}}, read: {adjust: [preset]}}").steps, {}) == []


def test_few_controls_take_less_time_than_many():
    few, many = (
        sequence_seconds(
            load(f"{{show: {{window: {{}}}}, read: {{adjust: [{menu}]}}}}"), Canvas(1920, 1080)
        )
        for menu in ("two-point", "multi-point")
    )
    assert (few, many) == (363, 903)


@pytest.mark.parametrize(
    ("levels", "wanted"),
    [
        ("0 %, 109 %", "step 1: 109 % is out of reach: sdr8 holds 0 % to 100 %"),
        ("0 %, 0.01 %, 100 %", "step 1: The levels 0 % and 0.01 % are one picture"),
    ],
)
def test_levels_that_no_picture_of_the_signal_has_cannot_be_drawn(levels: str, wanted: str):
    adjust = f"{{controls: [preset], levels: [{levels}]}}"
    made = load(f"{{show: {{window: {{}}}}, read: {{adjust: {adjust}}}}}")
    (problem,) = sequences.drawable(made, Canvas(64, 64))
    assert problem.found == wanted
