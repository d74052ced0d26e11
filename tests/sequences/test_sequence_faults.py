"""Which answers are faults: said by a sequence, checked as all else is, and kept by each step."""

import pytest

import sequences
from patterns.faults import Faults, FaultsByRange
from sequences import SequenceError
from sequences.json_schema import schema

HEAD = "title: x\nsignal: sdr8\nsteps:\n  - show: {field: {}}\n"
CHOICE = "    read: {choice: [steady, flickers, tinted]}\n"


def step(text: str):
    (one,) = sequences.load_text(HEAD + text, "f.yaml").steps
    return one


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceError) as raised:
        sequences.load_text(HEAD + text, "f.yaml")
    return [str(problem) for problem in raised.value.problems]


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        (CHOICE + "    faults: [flickers, tinted]\n", Faults(("flickers", "tinted"))),
        (CHOICE + "    faults: none\n", Faults()),
        ("    read: {count: dead pixels}\n    faults: {above: 2}\n", Faults(above=2)),
        ("    read: text\n    faults: none\n", Faults()),
        ("    faults: [tinted]\n    read: {choice: [steady, tinted]}\n", Faults(("tinted",))),
        (
            "    read: {count: first patch}\n    faults: {full: {above: 4}, narrow: {above: 7}}\n",
            FaultsByRange(Faults(above=4), Faults(above=7)),
        ),
        (CHOICE + "    faults: {full: [tinted]}\n", FaultsByRange(Faults(("tinted",)))),
        (CHOICE + "    faults: {narrow: none}\n", FaultsByRange(None, Faults())),
        (CHOICE, None),
    ],
)
def test_a_step_says_which_answers_are_faults(text: str, faults: Faults | None):
    assert step(text).faults == faults


def test_what_is_said_by_the_range_of_the_link_is_that_of_the_link():
    said = FaultsByRange(Faults(above=4), None)
    assert (said.on("full"), said.on("narrow")) == (Faults(above=4), None)
    assert Faults(above=4).on("narrow") == Faults(above=4)


def test_what_each_fills_in_is_filled_in_in_faults_too():
    first, second = sequences.load_text(
        "title: x\nsignal: sdr8\nsteps:\n  - show: {field: {}}\n    each: {side: [left, right]}\n"
        '    read: {choice: ["{side} is even", "{side} is tinted"]}\n'
        '    faults: ["{side} is tinted"]\n',
        "f.yaml",
    ).steps
    assert (first.faults, second.faults) == (
        Faults(("left is tinted",)), Faults(("right is tinted",)),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (
            CHOICE + "    faults: [flicker]\n",
            (
                "f.yaml:6:14: found the fault flicker; expected steady, flickers or tinted (did "
                "you mean flickers?)"
            ),
        ),
        (
            CHOICE + "    faults: [tinted, tinted]\n",
            "f.yaml:6:22: found the fault 'tinted' a second time; expected each fault once",
        ),
        (
            CHOICE + "    faults: [steady, flickers, tinted]\n",
            "f.yaml:6:13: found every choice as a fault; expected at least one choice that is none",
        ),
        (
            CHOICE + "    faults: []\n",
            (
                "f.yaml:6:13: found faults: an empty list; expected a list of choices that are "
                "faults, or none"
            ),
        ),
        (
            CHOICE + "    faults: {above: 0}\n",
            (
                "f.yaml:6:13: found faults: a mapping; expected a list of choices that are faults, "
                "or none"
            ),
        ),
        (
            "    read: count\n    faults: {above: -1}\n",
            "f.yaml:6:21: found faults above: -1; expected a whole number from 0 to 99999",
        ),
        (
            "    read: count\n    faults: {above: 1.5}\n",
            "f.yaml:6:21: found faults above: 1.5; expected a whole number from 0 to 99999",
        ),
        (
            "    read: count\n    faults: [3]\n",
            (
                "f.yaml:6:13: found faults: a list; expected {above: 0}, or another number up to "
                "which a count is no fault, or none"
            ),
        ),
        (
            CHOICE + "    faults: {full: [flickers], narrow: [flicker]}\n",
            (
                "f.yaml:6:41: found the fault flicker; expected steady, flickers or tinted (did "
                "you mean flickers?)"
            ),
        ),
        (
            CHOICE + "    faults: {wide: [flickers]}\n",
            (
                "f.yaml:6:13: found faults: a mapping; expected a list of choices that are "
                "faults, or none"
            ),
        ),
        (
            "    read: luminance\n    faults: none\n",
            (
                "f.yaml:6:13: found faults of a reading of luminance; expected them with "
                "a choice, a count or a text"
            ),
        ),
        (
            "    faults: none\n",
            (
                "f.yaml:5:13: found faults of a step that reads nothing; expected them with "
                "a choice, a count or a text"
            ),
        ),
        (
            "    read: text\n    faults: [blurred]\n",
            "f.yaml:6:13: found faults: a list; expected none",
        ),
    ],
)
def test_what_cannot_be_a_fault_is_told_where_it_stands(text: str, problem: str):
    assert problems(text) == [problem]


def test_a_wrong_reading_is_told_alone():
    (problem,) = problems("    read: {choice: [one]}\n    faults: [two]\n")
    assert "read choice: 1 choices" in problem


def test_an_editor_is_told_what_faults_may_be():
    told = schema()["$defs"]["step"]["properties"]["faults"]
    assert [each.get("type", each.get("enum")) for each in told["anyOf"]] == [
        ["none"], "array", "object", "object",
    ]  # fmt: skip


def test_every_choice_of_a_shipped_sequence_has_its_faults_or_a_finding_of_its_own():
    without = {
        (sequence.title, step.role)
        for sequence in map(sequences.load, sequences.shipped())
        for step in sequence.steps
        if step.read is not None and step.read.quantity == "choice" and step.faults is None
    }
    assert without == set()


def test_dead_pixels_are_faults_from_the_first_one_on():
    counted = [
        step.faults
        for step in sequences.load("dead-pixels").steps
        if step.read is not None and step.read.quantity == "count"
    ]
    assert counted == [Faults(above=0)] * 5
