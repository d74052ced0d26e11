"""What a sequence may not hold: every problem of a file at once, each at its line and column."""

import re

import pytest

import sequences
from patterns.kinds import KINDS
from sequences import SequenceError
from sequences.grammar import Head, StepKeys
from sequences.messages import public_names
from sequences.steps import parameter_names

HEAD = "title: x\nsignal: sdr8\nsteps:\n"

BAD = """\
title: 5
signal: sdr9
cautions: [brihgt, static]
finds: [Window Peak]
settle: 5
stepz: 1
steps:
  - show: {windw: {}}
  - show: {window: {aera: 10 %, level: 50}}
  - show: {window: {area: 120 %, size: 3, at: {x: 5 q, z: 1}}}
  - show: {window: {area: 10 %, size: {width: 10 px, height: 10 px}}}
  - each: {area: [1 %, 0 %], foo: [1], level: {from: 0 %, to: 98 %, step: 5 %}}
    show: {window: {level: 5 %}}
    label: "{areas} and { x"
    read: luminence
  - show: {window: {level: {r: 5 %, g: 3 pct, q: 1}}}
    read: {choice: [a, a, 1]}
    role: 5
  - show: {checkerboard: {columns: 4.5, rows: 0, start: lid}}
    read: choice
  - show: window
  - show: {window: {}, field: {}}
  - show:
  - window
  - read: count
"""


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceError) as raised:
        sequences.load_text(text, "f")
    return str(raised.value).splitlines()


def step_problems(step: str) -> list[str]:
    """The problems of one step; its text begins at line 4, column 3."""
    return problems(f"{HEAD}- {step}")


def test_all_problems_of_a_file_come_at_once_in_its_order():
    told = problems(BAD)
    wanted = [
        "f:1:8: found title: 5; expected text",
        "f:2:9: found signal: sdr9; expected sdr8, sdr10",
        "f:3:12: found cautions: brihgt; expected one of bright, flashing, static, dark-room",
        "f:4:9: found finds: Window Peak; expected a name of small letters, digits and hyphens",
        "f:5:9: found settle: 5; expected a number with its unit, such as 5 s",
        "f:6:1: found unknown key 'stepz' in the file; expected title, signal, aim, cautions, f",
        "f:8:12: found unknown kind 'windw'; expected a kind such as window (litfield patterns",
        "f:9:21: found unknown parameter 'aera' of window; expected area, at, background,",
        "f:9:40: found level: 50; expected a number with its unit, such as 50 %, 120 cd/m2",
        "f:10:27: found area: 120 %; expected that an area is more than 0 % and at most 100 %",
        "f:10:40: found size: 3; expected a mapping with width or height",
        "f:10:51: found at.x: 5 q (unknown unit); expected px or %, such as 64 px or 10 %",
        "f:10:56: found unknown key 'z' in at; expected x or y",
        "f:11:12: found window with area, size; expected that a window has an area or a size",
        "f:12:24: found area: 0 %; expected that an area is more than 0 % and at most 100 %",
        "f:12:30: found 'foo' in each, which nothing uses; expected a parameter of window",
        "f:12:40: found 'level' in each, and in show on line 13; expected it in one of them",
        "f:12:63: found each level.to: 98 %, which steps of 5 % do not meet; expected 95 % or",
        "f:14:12: found a lone { in label; expected {name} with a key of each, or {{",
        "f:14:12: found the placeholder {areas} in label; expected area, foo or level",
        "f:15:11: found unknown quantity 'luminence'; expected luminance, colour, count,",
        "f:16:28: found no b in level; expected a value for b",
        "f:16:40: found level.g: 3 pct (unknown unit); expected %, cd/m2 or code",
        "f:16:47: found unknown key 'q' in level; expected r, g or b",
        "f:17:24: found the choice 'a' a second time; expected each choice once",
        "f:17:27: found a choice: 1; expected text, in quotes where it looks like a number",
        "f:18:11: found role: 5; expected text, in quotes where it looks like a number",
        "f:19:36: found columns: 4.5; expected a whole number",
        "f:19:47: found rows: 0; expected 1 or more",
        "f:19:57: found start: lid; expected lit or dark",
        "f:20:11: found read: choice without choices; expected the choices too",
        "f:21:11: found show: window; expected a mapping with one key, the kind",
        "f:22:11: found 2 kinds in show (window, field); expected one kind",
        "f:23:5: found show: nothing; expected a mapping with one key, the kind",
        "f:24:5: found window; expected a step: a mapping with show",
        "f:25:5: found no show in this step; expected a value for show",
    ]
    assert [line[: len(start)] for line, start in zip(told, wanted, strict=True)] == wanted


@pytest.mark.parametrize(
    ("wrong", "meant"),
    [("aera", "area"), ("levle", "level"), ("backgroud", "background"), ("Size", "size")],
)
def test_a_slip_in_a_parameter_is_guessed(wrong: str, meant: str):
    (problem,) = step_problems(f"show: {{window: {{{wrong}: 5 %}}}}")
    assert problem == (
        f"f:4:19: found unknown parameter '{wrong}' of window; expected area, at, background, "
        f"clip, level, mean, place, shape or size (did you mean {meant}?)"
    )


def test_a_parameter_goes_only_by_the_name_that_the_file_uses():
    (problem,) = step_problems("show: {ramp: {start: 5 %}}")
    assert problem.startswith("f:4:17: found unknown parameter 'start' of ramp; expected axis, ")


def test_a_missing_key_is_told_at_the_start_of_the_file():
    assert problems("title: x\n") == [
        "f:1:1: found no signal in the file; expected a value for signal",
        "f:1:1: found no steps in the file; expected a value for steps",
    ]


@pytest.mark.parametrize("nothing", ["", "~", "null"])
@pytest.mark.parametrize("key", sorted(public_names(Head)))
def test_a_key_of_the_file_with_nothing_after_it_is_refused(key: str, nothing: str):
    whole = {"title": "x", "signal": "sdr8", "steps": "[show: {field: {}}]", key: nothing}
    (told,) = problems("".join(f"{name}: {value}\n" for name, value in whole.items()))
    line = list(whole).index(key) + 1
    assert re.match(rf"f:{line}:\d+: found {key}: nothing; expected [^;]+$", told), told


@pytest.mark.parametrize("key", sorted(public_names(StepKeys)))
def test_a_key_of_a_step_with_nothing_after_it_is_refused(key: str):
    whole = {"show": "{field: }", key: ""}
    (told,) = step_problems(
        ", ".join(f"{name}: {value}" for name, value in whole.items()).join("{}")
    )
    assert re.match(rf"f:4:\d+: found {key}: nothing; expected [^;]+$", told), told


@pytest.mark.parametrize("kind", KINDS)
def test_a_parameter_with_nothing_after_it_is_refused(kind: str):
    names = parameter_names(KINDS[kind])
    written = ", ".join(f"{name}: " for name in names)
    told = step_problems(f"show: {{{kind}: {{{written}}}}}")
    assert len(told) == len(names)
    for name in names:
        assert any(f": found {name}: nothing; expected " in each for each in told), name


def test_an_empty_list_of_steps_is_no_sequence():
    assert problems("title: x\nsignal: sdr8\nsteps: []\n") == [
        "f:3:8: found steps: an empty list; expected 1 or more"
    ]


@pytest.mark.parametrize(
    ("signal", "problem"),
    [
        (
            "{transfer: bt1887, primaries: bt709, bits: 8, range: full}",
            "2:20: found transfer: bt1887; expected one of bt1886, pq, hlg",
        ),
        (
            "{transfer: pq, primaries: bt2021, bits: 8, range: full}",
            "2:35: found primaries: bt2021; expected one of bt709, p3-d65, bt2020",
        ),
        (
            "{transfer: pq, primaries: bt709, bits: 9, range: full}",
            "2:48: found bits: 9; expected one of 8, 10, 12, 16",
        ),
        (
            "{transfer: pq, primaries: bt709, bits: 8, range: wide}",
            "2:58: found range: wide; expected one of narrow, full",
        ),
        (
            "{transfer: pq, primaries: bt709, bits: 8}",
            "2:9: found no range in signal; expected a value for range",
        ),
        (
            "{transfer: pq, primaries: bt709, bits: 8, range: full, peak: 500 cd/m2}",
            "2:9: found signal; expected that peak goes with hlg",
        ),
        (
            "{transfer: bt1886, primaries: bt709, bits: 8, range: full, black: 100 cd/m2}",
            "2:9: found signal; expected that black is less than 100 cd/m2",
        ),
        (
            "{transfer: bt1886, primaries: bt709, bits: 8, range: full, white: 120}",
            "2:75: found white: 120; expected a number with its unit, such as 100 cd/m2",
        ),
        (
            "{transfer: hlg, primaries: bt2020, bits: 10, range: full, peak: 10001 cd/m2}",
            "2:73: found peak: 10001 cd/m2; expected 1 cd/m2 to 10000 cd/m2",
        ),
    ],
)
def test_a_signal_that_cannot_be(signal: str, problem: str):
    text = f"title: x\nsignal: {signal}\nsteps: [show: {{field: }}]\n"
    assert problems(text) == [f"f:{problem}"]


@pytest.mark.parametrize(
    ("each", "problem"),
    [
        ("[level]", "4:9: found each: a list; expected a mapping of names to values"),
        ("{}", "4:9: found each: an empty mapping; expected a mapping of names to values"),
        (
            "{level: 5 %}",
            "4:17: found each level: 5 %; expected a list of values, or {from:, to:, step:}",
        ),
        ("{level: []}", "4:17: found each level: an empty list; expected one value or more"),
        ("{level: [~]}", "4:18: found each level: nothing; expected a value"),
        (
            "{level: {from: 0 %, to: 5 %}}",
            "4:17: found no step in each level; expected from, to and step",
        ),
        (
            "{level: {from: 0 %, to: 5 cd/m2, step: 1 %}}",
            "4:33: found each level.to: 5 cd/m2; expected the unit of from: 0 %",
        ),
        (
            "{level: {from: 0 %, to: 5 %, step: 0 %}}",
            "4:44: found each level.step: 0 %; expected more than 0: whether it goes up or down",
        ),
        (
            "{level: {from: 0 %, to: 5 %, step: x}}",
            "4:44: found each level.step: x; expected a number with its unit, such as 5 %",
        ),
        (
            "{level: {from: 0 %, to: 5 %, step: 1 %, by: 2}}",
            "4:49: found unknown key in each level 'by'; expected from, to or step",
        ),
        (
            "{level: {from: 0 %, to: 100 %, step: 0.001 %}}",
            "4:17: found each level: more than 5000 values; expected fewer",
        ),
        (
            "{level: {from: 0.1 %, to: 1 %, step: 0.2 %}}",
            "4:35: found each level.to: 1 %, which steps of 0.2 % do not meet; expected 0.9 %",
        ),
    ],
)
def test_values_that_each_cannot_go_through(each: str, problem: str):
    (told,) = step_problems(f"each: {each}\n  show: {{field: {{}}}}\n")
    assert told.startswith(f"f:{problem}")


def test_a_bad_step_is_told_once_however_many_steps_it_stands_for():
    told = step_problems("each: {at: [{x: 5 %}, {x: 6 %}]}\n  show: {window: {level: 50}}\n")
    assert len(told) == 1
    assert told[0].startswith("f:5:26: found level: 50;")


def test_a_range_of_bad_values_is_told_by_its_first():
    told = step_problems("each: {area: {from: 99 %, to: 200 %, step: 1 %}}\n  show: {window: {}}\n")
    assert told == [
        "f:4:16: found area: 101 %; expected that an area is more than 0 % and at most 100 %"
    ]


def test_what_follows_from_another_problem_is_not_told():
    told = step_problems("show: {moving-box: {along: row, plaec: 50 %}}\n  read: {lum: '{a}'}")
    assert [line.partition(";")[0] for line in told] == [
        "f:4:35: found unknown parameter 'plaec' of moving-box",
        "f:5:10: found unknown quantity 'lum'",
    ]


def test_a_rule_between_parameters_is_told_at_the_kind():
    (problem,) = step_problems("show: {moving-box: {along: row}}")
    assert problem == (
        "f:4:10: found moving-box with along; expected that a box along a row needs its place, "
        "such as place: 50 %"
    )


@pytest.mark.parametrize("colour", ["99", "0", "rde", "true", "1.0"])
def test_a_number_or_a_name_is_asked_for_in_one_sentence(colour: str):
    assert step_problems(f"show: {{ebu-colour: {{colour: {colour}}}}}") == [
        f"f:4:31: found colour: {colour}; expected 1 to 15, red, green or blue"
    ]


def test_a_list_that_is_too_long_is_told_in_plain_words():
    distances = ", ".join(["1 %"] * 21)
    assert step_problems(f"show: {{halo: {{distances: [{distances}]}}}}") == [
        "f:4:28: found distances: a list; expected 20 or fewer"
    ]


@pytest.mark.parametrize(
    ("extra", "problem"),
    [
        ("settle: 25000 min", "5:11: found settle: 25000 min; expected at most 24 hours"),
        ("settle: -1 s", "5:11: found settle: -1 s; expected 0 or more"),
        ("settle: 5", "5:11: found settle: 5; expected a number with its unit, such as 5 s"),
        ("hold: 0 s", "5:9: found hold: 0 s; expected more than 0 s, and at most 24 hours"),
        ("hold: 2 days", "5:9: found hold: 2 days (unknown unit); expected s, min or ms"),
        ("label: ''", "5:10: found label: an empty text; expected a text of 1 to 200 characters"),
        (
            "read: {luminance: a, colour: b}",
            "5:9: found read: 2 quantities; expected one quantity: luminance, colour, count,",
        ),
        (
            "read: {choice: [one]}",
            "5:18: found read choice: 1 choices; expected a list of 2 to 50 choices",
        ),
        ("read: {text: 5}", "5:16: found read text: 5; expected what it is read of, as text"),
        (
            "label: '{area}'",
            "5:10: found the placeholder {area} in label; expected no placeholder without each",
        ),
        (
            "laebl: x",
            "5:3: found unknown key 'laebl' in this step; expected show, each, read, faults, role",
        ),
    ],
)
def test_the_other_keys_of_a_step(extra: str, problem: str):
    (told,) = step_problems(f"show: {{field: }}\n  {extra}\n")
    assert told.startswith(f"f:{problem}")


def test_more_than_five_thousand_steps_are_too_many():
    hundred = ", ".join(f"{n} %" for n in range(1, 101))
    step = f"each: {{area: [{hundred}], level: [{hundred}]}}\n  show: {{window: {{}}}}\n"
    assert step_problems(step) == ["f:4:3: found more than 5000 steps; expected fewer"]


def test_no_more_than_a_hundred_problems_are_spelt_out():
    told = problems(HEAD + "- x\n" * 130)
    assert len(told) == 101
    assert told[-1] == "f: found 30 more problems; expected none"
