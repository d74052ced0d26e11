"""What a sequence says of the order where time runs short, and of warming up."""

from __future__ import annotations

import pytest

import sequences
from sequences import SequenceError

HEAD = "title: Lobby wall\nsignal: sdr8\n"


def load(steps: str, head: str = HEAD) -> list[tuple[str, int]]:
    loaded = sequences.load_text(f"{head}steps:\n{steps}", "f.yaml")
    return [(step.importance, int(step.warm_up)) for step in loaded.steps]


def test_a_step_is_as_important_as_any_other_and_needs_no_warm_up_unless_it_says_so() -> None:
    assert load("  - show: {field: {}}\n") == [("usual", 0)]


def test_the_file_says_a_warm_up_for_all_steps_and_a_step_another_for_itself() -> None:
    steps = "  - show: {field: {}}\n  - {show: {field: {}}, warm_up: 0 s, importance: last}\n"
    assert load(steps, f"{HEAD}warm_up: 30 min\n") == [("usual", 1800), ("last", 0)]


def test_all_steps_of_one_entry_are_equally_important() -> None:
    steps = "  - {each: {level: [0 %, 9 %]}, show: {field: {}}, importance: first}\n"
    assert load(steps) == [("first", 0), ("first", 0)]


@pytest.mark.parametrize(
    ("keys", "problem"),
    [
        (
            "importance: frist",
            "found importance: frist; expected first, usual or last (did you mean first?)",
        ),
        ("importance: 1", "found importance: 1; expected first, usual or last"),
        ("warm_up: 10", "found warm_up: 10; expected a number with its unit, such as 5 s"),
        ("warm_up: -1 s", "found warm_up: -1 s; expected 0 or more"),
        ("warm_up: 1441 min", "found warm_up: 1441 min; expected at most 24 hours"),
    ],
)
def test_what_makes_no_sense_is_told_with_its_place(keys: str, problem: str) -> None:
    with pytest.raises(SequenceError) as raised:
        load(f"  - {{show: {{field: {{}}}}, {keys}}}\n")
    (told,) = raised.value.problems
    assert str(told).partition(": ")[2] == problem
