"""Entries to steps: products in order, ranges without rounding, labels, reads and times."""

import pytest

import sequences
from patterns.signal.signal import named_signal
from sequences import Read

HEAD = "title: x\nsignal: sdr8\nsettle: 2 s\nsteps:\n"


def steps(text: str) -> tuple[sequences.Step, ...]:
    return sequences.load_text(HEAD + text, "f").steps


def labels(each: str, show: str = "{window: {}}", label: str = "{level}") -> list[str]:
    text = f"- each: {each}\n  show: {show}\n  label: '{label}'\n"
    return [step.label for step in steps(text)]


def test_several_keys_are_combined_the_last_fastest():
    made = labels("{area: [1 %, 10 %], level: [50 %, code 3]}", label="{area} at {level}")
    assert made == ["1 % at 50 %", "1 % at code 3", "10 % at 50 %", "10 % at code 3"]


@pytest.mark.parametrize(
    ("span", "values"),
    [
        ("from: 0 %, to: 100 %, step: 25 %", ["0 %", "25 %", "50 %", "75 %", "100 %"]),
        ("from: 0 %, to: 0.3 %, step: 0.1 %", ["0 %", "0.1 %", "0.2 %", "0.3 %"]),
        ("from: 100 %, to: 90 %, step: 5 %", ["100 %", "95 %", "90 %"]),
        ("from: code 1, to: code 4, step: code 1", ["code 1", "code 2", "code 3", "code 4"]),
        ("from: 1cd/m2, to: 2.0 cd/m2, step: 0.50 cd/m2", ["1 cd/m2", "1.5 cd/m2", "2 cd/m2"]),
        ("from: 5 %, to: 5 %, step: 1 %", ["5 %"]),
        ("from: -5 %, to: 5 %, step: 5 %", ["-5 %", "0 %", "5 %"]),
    ],
)
def test_a_range_meets_both_ends_in_exact_decimals(span: str, values: list[str]):
    assert labels(f"{{level: {{{span}}}}}") == values


def test_a_range_without_unit_gives_whole_numbers_to_the_pattern():
    made = steps(
        "- each: {columns: {from: 2, to: 6, step: 2}}\n  show: {checkerboard: {rows: 1}}\n"
    )
    assert [step.pattern.parameters()["columns"] for step in made] == [2, 4, 6]


def test_five_thousand_steps_are_enough_and_allowed():
    made = steps("- each: {level: {from: 0 %, to: 49.99 %, step: 0.01 %}}\n  show: {field: {}}\n")
    assert (len(made), made[-1].variables) == (5000, {"level": "49.99 %"})


def test_a_key_that_no_parameter_has_serves_placeholders_only():
    text = """\
- each: {spot: [left, right], area: [5 %]}
  show: {window: {}}
  role: "{spot} side"
  read: {luminance: "the {spot} edge"}
"""
    first, second = steps(text)
    assert first.pattern == second.pattern
    assert (first.role, second.role) == ("left side", "right side")
    assert second.read == Read("luminance", "the right edge")
    assert second.variables == {"spot": "right", "area": "5 %"}


def test_a_parameter_may_be_a_mapping():
    text = "- each: {level: [{r: 50 %, g: 0 %, b: code 7}]}\n  show: {field: {}}\n"
    (step,) = steps(text)
    assert step.variables == {"level": "r 50 %, g 0 %, b code 7"}
    assert step.pattern.parameters()["level"] == {"r": "50 %", "g": "0 %", "b": "code 7"}


def test_without_a_label_a_step_is_called_by_its_kind_and_values():
    made = steps("- each: {level: [5 %]}\n  show: {window: {area: 10 %}}\n- show: {field: }\n")
    assert [step.label for step in made] == ["window, area 10 %, level 5 %", "field"]


def test_doubled_braces_stand_for_themselves():
    assert labels("{level: [5 %]}", label="{{level}} is {level}") == ["{level} is 5 %"]


def test_steps_are_numbered_through_and_know_their_line():
    made = steps("- each: {level: [1 %, 2 %]}\n  show: {field: {}}\n\n- show: {field: }\n")
    assert [(step.number, step.line, step.column) for step in made] == [
        (1, 5, 3),
        (2, 5, 3),
        (3, 8, 3),
    ]


@pytest.mark.parametrize("kind", ["luminance", "colour", "count", "milliseconds", "text", "tally"])
def test_a_quantity_is_read_with_or_without_what_it_is_of(kind: str):
    text = f"- {{show: {{field: }}, read: {kind}}}\n- {{show: {{field: }}, read: {{{kind}: it}}}}\n"
    assert [step.read for step in steps(text)] == [Read(kind), Read(kind, "it")]


def test_a_choice_lists_its_choices():
    text = "- {show: {field: }, read: {choice: [even, blotchy, '2']}}\n"
    assert steps(text)[0].read == Read("choice", choices=("even", "blotchy", "2"))


def test_a_step_without_read_is_only_shown():
    assert steps("- show: {field: }\n")[0].read is None


def test_settling_is_the_files_unless_the_step_says_otherwise():
    made = steps("- show: {field: }\n- {show: {field: }, settle: 1.5 min}\n")
    assert [step.settle for step in made] == [2, 90]


def test_holding_is_open_unless_the_file_or_the_step_says_how_long():
    text = "- show: {field: }\n- {show: {field: }, hold: 1.5 min}\n"
    assert [step.hold for step in steps(text)] == [None, 90]
    held = sequences.load_text(HEAD.replace("settle: 2 s", "hold: 20 s") + text, "f")
    assert [step.hold for step in held.steps] == [20, 90]


def test_a_named_signal_is_that_signal():
    assert sequences.load_text(HEAD + "- show: {field: }\n", "f").signal == named_signal("sdr8")


@pytest.mark.parametrize(
    "parts",
    [
        {"transfer": "bt1886", "primaries": "bt709", "bits": 10, "range": "full"},
        {"transfer": "bt1886", "primaries": "p3-d65", "bits": 8, "range": "narrow"},
        {"transfer": "pq", "primaries": "bt2020", "bits": 12, "range": "full"},
        {"transfer": "hlg", "primaries": "bt2020", "bits": 10, "range": "narrow"},
    ],
)
def test_a_signal_spelt_out_is_that_signal(parts: dict[str, object]):
    levels = {"bt1886": {"white": 120, "black": 0.05}, "hlg": {"peak": 600, "black": 0.01}}
    extra = levels.get(str(parts["transfer"]), {})
    written = {**parts, **{name: f"{number} cd/m2" for name, number in extra.items()}}
    inside = ", ".join(f"{key}: {value}" for key, value in written.items())
    text = f"title: x\nsignal: {{{inside}}}\nsteps: [show: {{field: }}]\n"
    assert sequences.load_text(text, "f").signal.describe() == parts | extra


@pytest.mark.parametrize(
    ("step", "settles"),
    [
        ("show: {field: {}}, read: luminance", 3),
        ("show: {field: {}}, read: {colour: box 1}", 3),
        ("show: {field: {}}, read: luminance, settle: 0 s", 0),
        ("show: {field: {}}, read: count", 0),  # an eye sees for itself
        ("show: {field: {}}", 0),
        ("show: {pulse: {}}, read: luminance", 0),  # never stands still
        ("show: {moving-box: {}}, read: tally", 0),
    ],
)
def test_what_a_meter_reads_settles_where_the_file_does_not_say_otherwise(step: str, settles: int):
    text = "title: x\nsignal: sdr8\n{head}steps: [{{{step}}}]\n"
    (made,) = sequences.load_text(text.format(head="", step=step), "f").steps
    assert made.settle == settles
    (made,) = sequences.load_text(text.format(head="settle: 0 s\n", step=step), "f").steps
    assert made.settle == 0
    (made,) = sequences.load_text(text.format(head="settle: 7 s\n", step=step), "f").steps
    assert made.settle == (0 if "settle" in step else 7)


def test_cautions_and_finds_are_kept_once_each():
    text = "title: x\nsignal: pq10\ncautions: [static, bright, static]\nfinds: [plausibility]\n"
    sequence = sequences.load_text(f"{text}steps: [show: {{field: }}]\n", "f")
    assert (sequence.cautions, sequence.finds) == (("static", "bright"), ("plausibility",))
    assert set(sequence.cautions) <= set(sequences.CAUTIONS)
