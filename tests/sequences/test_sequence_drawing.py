"""Steps that a canvas or a signal cannot show, told at the parameter that they come from."""

import sequences
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal

SMALL = Canvas(640, 360)
SMALLER = Canvas(320, 180)


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


def test_a_figure_that_does_not_fit_is_told_at_its_side_that_is_too_long():
    (problem,) = told("- show: {window: {size: {width: 700 px, height: 10 px}}}\n")
    assert problem == (
        "f:4:33: found step 1: A window of 700x10 at -30,175 does not lie on a canvas of 640x360; "
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


def place(steps: str, canvas: Canvas = SMALLER) -> str:
    (problem,) = told(steps, canvas=canvas)
    _, line, column, _ = problem.split(":", 3)
    return f"{line}:{column}"


def test_columns_too_many_for_the_canvas_are_told_at_their_number_not_at_the_count():
    steps = "- show:\n    near-black:\n      count: 20\n      columns: 100\n"
    (problem,) = told(steps, canvas=SMALLER)
    assert problem == (
        "f:7:16: found step 1: 20 patches do not fit on a canvas of 320x180; "
        "expected what 320x180 in sdr8 can show"
    )


def test_a_window_off_the_canvas_is_told_at_its_place():
    steps = "- show:\n    window:\n      area: 10 %\n      at: {x: 50 %, y: 0 %}\n"
    assert place(steps) == "7:24"
    assert place(steps.replace("50 %", "99 %").replace("y: 0 %", "y: 50 %")) == "7:15"


def test_of_two_numbers_that_are_told_the_one_out_of_proportion_is_blamed():
    assert place("- show: {checkerboard: {rows: 180, columns: 321}}\n") == "4:45"
    assert place("- show: {checkerboard: {rows: 181, columns: 320}}\n") == "4:31"


def test_a_level_of_one_channel_that_comes_from_each_is_told_there():
    steps = (
        "- each:\n    level:\n      - {r: 50 %, g: 50 %, b: 50 %}\n"
        "      - {r: 50 %, g: 50 %, b: 101 %}\n  show: {field: {}}\n"
    )
    (problem,) = told(steps)
    assert problem.startswith("f:7:31: found step 2: 101 % is out of reach: sdr8 holds 0 % to 100")


def test_a_place_that_comes_from_each_is_told_there():
    steps = (
        "- each:\n    at:\n      - {x: 50 %, y: 50 %}\n      - {x: 0 %, y: 50 %}\n"
        "  show: {window: {area: 10 %}}\n"
    )
    assert place(steps) == "7:13"


def test_a_range_of_numbers_is_told_once_and_its_fixed_neighbour_not_at_all():
    steps = "- each: {columns: {from: 60, to: 100, step: 10}}\n  show: {near-black: {count: 20}}\n"
    (problem,) = told(steps, canvas=SMALLER)
    assert problem.startswith("f:4:19: found step 4 and 1 more: 20 patches do not fit")


def test_a_parameter_under_another_name_in_the_code_is_told_as_it_is_written():
    assert place("- show: {ladder: {steps: 5, from: 0 %, to: 101 %}}\n") == "4:44"
    assert place("- show: {code-ramp: {from: code 256}}\n") == "4:28"


def test_an_item_of_a_list_is_told_at_its_own_place():
    assert place("- show: {halo: {distances: [2 %, 5 %, 0.1 %]}}\n") == "4:39"


def test_of_several_that_are_to_blame_the_first_that_was_written_is_told():
    assert place("- show: {halo: {distances: [2 %, 12 %], ring: 11 %}}\n") == "4:34"
    assert place("- show: {halo: {ring: 11 %}}\n") == "4:23"
    assert place("- show: {near-black: {count: 400}}\n") == "4:30"


def test_where_no_parameter_was_written_it_is_told_at_the_step():
    assert place("- show: {highlights: {}}\n", Canvas(64, 2048)) == "4:3"
    assert place("- show: {bars-bt2111: {}}\n") == "4:3"


def code_in(steps: str) -> tuple[int, str] | None:
    found = sequences.code_in(sequences.load_text(f"title: x\nsignal: sdr8\nsteps:\n{steps}", "f"))
    return found and (found[0].number, str(found[1]))


def test_the_first_level_that_is_a_code_is_found_wherever_it_stands():
    plain = "- show: {field: {level: 50 %}}\n  label: code 7\n"
    assert code_in(plain) is None
    assert code_in(f"{plain}- show: {{field: {{level: code 5}}}}\n") == (2, "code 5")
    channel = "{r: 1 %, g: 1 %, b: code 5}"
    assert code_in(f"- show: {{window: {{background: {channel}}}}}\n") == (1, "code 5")
    assert code_in("- show: {highlights: {step: code 2}}\n") == (1, "code 2")
    assert code_in("- each: {level: [1 %, code -3]}\n  show: {field: {}}\n") == (2, "code -3")
