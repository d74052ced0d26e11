"""Steps that a canvas or a signal cannot show, told at the parameter that they come from."""

import sequences
from patterns.canvas import Canvas
from patterns.signal import named_signal

SMALL = Canvas(640, 360)


def told(steps: str, signal: str = "sdr8", canvas: Canvas = SMALL) -> list[str]:
    sequence = sequences.load_text(f"title: x\nsignal: {signal}\nsteps:\n{steps}", "f")
    return [str(problem) for problem in sequences.drawable(sequence, canvas)]


def test_a_sequence_that_can_be_shown_has_no_problems():
    assert told("- show: {window: {level: code 255}}\n") == []


def test_a_level_out_of_reach_is_told_at_its_value():
    (problem,) = told("- show: {window: {level: 101 cd/m2}}\n")
    assert problem == (
        "f:4:26: found step 1: 101 cd/m2 is out of reach: sdr8 goes from 0 to 100 cd/m2; "
        "expected what 640x360 in sdr8 can show"
    )


def test_a_code_out_of_reach_is_told_at_the_channel():
    (problem,) = told("- show: {field: {level: {r: 50 %, g: code 256, b: 50 %}}}\n")
    assert problem.startswith("f:4:38: found step 1: code 256 is out of reach: 8-bit full range")


def test_steps_that_fail_at_the_same_place_are_told_once():
    steps = (
        "- each: {area: [1 %, 2 %, 3 %], level: [50 %, 200 %, code 300]}\n  show: {window: {}}\n"
    )
    first, second = told(steps)
    assert first.startswith("f:4:47: found step 2 and 2 more: 200 % is out of reach")
    assert second.startswith("f:4:54: found step 3 and 2 more: code 300 is out of reach")


def test_a_range_is_told_once_with_the_number_of_its_bad_values():
    steps = "- each: {level: {from: code 250, to: code 260, step: code 1}}\n  show: {field: {}}\n"
    (problem,) = told(steps)
    assert problem.startswith("f:4:17: found step 7 and 4 more: code 256 is out of reach")


def test_a_figure_that_does_not_fit_is_told_at_the_step():
    (problem,) = told("- show: {window: {size: {width: 700 px, height: 10 px}}}\n")
    assert problem == (
        "f:4:3: found step 1: A window of 700x10 at -30,175 does not lie on a canvas of 640x360; "
        "expected what 640x360 in sdr8 can show"
    )


def test_a_code_without_a_place_of_its_own_in_the_shown_depth_is_refused():
    text = "title: x\nsignal: pq10\nsteps:\n- show: {field: {level: code 502}}\n"
    sequence = sequences.load_text(text, "f")
    shown = named_signal("pq10").shown_at(8, "full")
    (problem,) = sequences.drawable(sequence, SMALL, shown)
    assert (problem.line, problem.column) == (4, 25)
    assert "code 502 of 10-bit narrow range has no code of its own in 8-bit full" in problem.found
    assert sequences.drawable(sequence, SMALL) == []
