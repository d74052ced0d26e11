"""What a plan may not hold: every problem of a file at once, each at its line and column."""

from pathlib import Path

import pytest

from sequences import SequenceError
from sequences.plans import load_plan, load_plan_text

HEAD = "title: x\ntasks:\n"
HDR = "- {ask: HDR?, name: hdr, choices: [HDR, SDR only]}\n"

BAD = """\
title: 5
minutes: -3
aim: {curve: power 9}
task: 1
tasks:
  - play: black-and-contrst
    condtion: x
  - tell: a
    ask: b
  - ask: Does it?
    name: hdr
    choices: [1, HDR]
  - tell: x
    needs: [masks]
    condition: off
    minutes: 0
  - play: tone-pq
    output: file
    instrument: meter
    importance: frist
  - adjust: Two Point
  - just text
  - minutes: 4
"""


def problems(text: str) -> list[str]:
    with pytest.raises(SequenceError) as raised:
        load_plan_text(text, "f")
    return str(raised.value).splitlines()


def task_problems(task: str) -> list[str]:
    """The problems of one task after a question; its text begins at line 4, column 3."""
    return problems(f"{HEAD}{HDR}- {task}")


def test_all_problems_of_a_plan_come_at_once_in_its_order():
    told = problems(BAD)
    wanted = [
        "f:1:8: found title: 5; expected text",
        "f:2:10: found minutes: -3; expected more than 0",
        "f:3:14: found curve: power 9; expected bt1886, srgb",
        "f:4:1: found unknown key 'task' in the file; expected title, minutes, aim or tasks (did",
        "f:6:11: found play: black-and-contrst, and no file of this name; expected a path from the",
        "f:7:5: found unknown key 'condtion' in this task; expected play, adjust, tell",
        "f:9:5: found ask beside tell in this task; expected a task of its own for each",
        "f:12:15: found a choice: 1; expected text, in quotes",
        "f:14:13: found needs: masks; expected mask, reference or stick (did you mean mask?)",
        "f:15:5: found condition beside tell in this task; expected condition beside play or adj",
        "f:16:14: found minutes: 0; expected more than 0",
        "f:18:13: found output: file; expected window or files (did you mean files?)",
        "f:19:17: found instrument: meter; expected spot meter or reference (did you mean spot",
        "f:20:17: found importance: frist; expected first, usual or last (did you mean first?)",
        "f:21:13: found adjust: Two Point; expected a name of small letters, digits and hyphens",
        "f:22:5: found just text; expected a task: a mapping with play, adjust, tell, ask or note",
        "f:23:5: found a task without play, adjust, tell, ask or note; expected one of them",
    ]
    assert len(told) == len(wanted)
    for line, start in zip(told, wanted, strict=True):
        assert line.startswith(start)


@pytest.mark.parametrize(
    ("task", "told"),
    [
        ("{tell: x, only_if: {hdr: hdr}}", "f:4:28: found only_if hdr: hdr; expected HDR or SDR only (did you mean HDR?)"),  # noqa: E501
        ("{tell: x, only_if: {hrd: HDR}}", "f:4:23: found only_if: hrd, which no task asks before this one; expected hdr (did you mean hdr?)"),  # noqa: E501
        ("{tell: x, only_if: {hdr: []}}", "f:4:28: found only_if hdr: an empty list; expected HDR or SDR only"),  # noqa: E501
        ("{tell: x, only_if: {}}", "f:4:22: found only_if: an empty mapping; expected a mapping of a question's name to its answers, as in {hdr: HDR}"),  # noqa: E501
        ("{tell: x, only_if: hdr}", "f:4:22: found only_if: hdr; expected a mapping of a question's name to its answers, as in {hdr: HDR}"),  # noqa: E501
        ("{ask: x}", "f:4:4: found a question without name; expected a name of small letters, digits and hyphens, by which the answer is kept"),  # noqa: E501
        ("{ask: x, name: hdr}", "f:4:18: found the name hdr a second time (first on line 3); expected each name once"),  # noqa: E501
        ("{ask: x, name: a, choices: [one]}", "f:4:30: found choices: 1 choices; expected a list of 2 to 50 choices"),  # noqa: E501
        ("{tell: x, choices: [a, b]}", "f:4:13: found choices beside tell in this task; expected choices beside ask only"),  # noqa: E501
        ("{tell: x, minutes: 1441}", "f:4:22: found minutes: 1441; expected 1440 or less"),
        ("{adjust: ten-points}", "f:4:12: found adjust: ten-points; expected backlight-first, backlight-first-pq, six-colour, six-colour-pq, ten-point, ten-point-pq, two-point, two-point-pq, two-then-ten or two-then-ten-pq (did you mean ten-point?)"),  # noqa: E501
        ("{play: adjust-two-point, output: files}", "f:4:36: found output: files of adjust-two-point, which adjusts the display; expected window: an adjustment puts up pictures as it goes"),  # noqa: E501
        ("{adjust: ten-point, output: files}", "f:4:23: found output beside adjust in this task; expected output beside play only"),  # noqa: E501
        ("{tell: x, condition: a}", "f:4:13: found condition beside tell in this task; expected condition beside play or adjust only"),  # noqa: E501
        ("{play: tone-pq, tell: x}", "f:4:19: found tell beside play in this task; expected a task of its own for each"),  # noqa: E501
    ],
)  # fmt: skip
def test_a_task_is_told_what_is_wrong_with_it(task: str, told: str):
    assert task_problems(task) == [told]


def test_a_question_has_to_stand_before_the_task_that_hangs_on_it():
    later = (
        "- {tell: x, only_if: {zones: many}}\n- {ask: Zones?, name: zones, choices: [many, few]}"
    )
    assert problems(HEAD + HDR + later) == [
        "f:4:23: found only_if: zones, which no task asks before this one; expected hdr"
    ]


def test_a_task_cannot_hang_on_an_answer_that_is_free():
    lux = "- {ask: Lux?, name: lux}\n- {tell: x, only_if: {lux: dark}}"
    assert problems(HEAD + lux) == [
        "f:4:23: found only_if: lux, whose answer is free; expected a question with choices"
    ]


def test_a_task_cannot_hang_on_answers_that_never_come_together():
    asked = "- {ask: Link?, name: link, choices: [ten bits, eight bits], only_if: {hdr: HDR}}\n"
    task = "- {tell: x, only_if: {hdr: SDR only, link: ten bits}}"
    (told,) = problems(HEAD + HDR + asked + task)
    assert told == (
        "f:5:38: found only_if with answers to hdr that never come together; expected answers "
        "that can be given in one sitting"
    )


def test_nothing_is_told_of_a_question_that_could_not_be_read():
    assert problems(HEAD + "- {ask: 5, name: hdr}\n- {tell: x, only_if: {hdr: HDR}}") == [
        "f:3:9: found ask: 5; expected text, in quotes where it looks like a number"
    ]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "f:1:1: found an empty file; expected a mapping with title and tasks"),
        ("- a", "f:1:1: found a list; expected a mapping with title and tasks"),
        ("title: x", "f:1:1: found no tasks in the file; expected a value for tasks"),
        ("title: x\ntasks: []", "f:2:8: found tasks: an empty list; expected 1 or more"),
        ("title: x\ntasks: {}", "f:2:8: found tasks: an empty mapping; expected a list"),
        (f"{HEAD}- tell: x\n---\n", "f:4:1: found a second document; expected one plan in a file"),
        ("x" * 262_145, "f: found 262,145 bytes; expected a plan of at most 262,144"),
    ],
)
def test_a_file_that_is_no_plan_is_told_so(text: str, told: str):
    assert problems(text) == [told]


def test_the_problems_of_a_plans_sequences_come_with_its_own(tmp_path: Path):
    (tmp_path / "wall.yaml").write_text("title: x\nsignal: sdr9\nsteps: [{show: {field: {}}}]\n")
    plan = tmp_path / "plan.yaml"
    plan.write_text(f"{HEAD}- play: wall.yaml\n- play: wall.yaml\n- ask: x\n")
    with pytest.raises(SequenceError) as raised:
        load_plan(plan)
    places = [(each.source, each.line) for each in raised.value.problems]
    assert places == [(str(plan), 5), (str(tmp_path / "wall.yaml"), 2)]


def test_a_plan_that_is_not_there_is_told_which_are_shipped():
    with pytest.raises(SequenceError) as raised:
        load_plan("haf-day")
    assert str(raised.value) == (
        "haf-day: found no file of this name; expected a plan file, or the name of a shipped one: "
        "first-look, half-day, hdr-only, two-hours or zones-only (did you mean half-day?)"
    )


@pytest.mark.parametrize("name", ["x" * 200, "漢" * 180, ".", "nowhere/wall.yaml"])
def test_a_name_that_no_file_can_have_is_a_problem_like_any_other(name: str):
    assert problems(f"{HEAD}- play: {name}\n")[0].startswith(("f:3:9: found play: ", "."))
