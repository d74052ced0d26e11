"""What a plan says: its tasks, how long they take, what has to be at hand, what hangs on what."""

from pathlib import Path

import pytest

from patterns.aim import Aim
from patterns.picture.canvas import Canvas
from readings.findings.light import veils
from sequences import load
from sequences.duration import sequence_seconds
from sequences.plans import is_plan, load_plan, load_plan_text
from sequences.plans.model import Adjust, Ask, Note, Play, Task, Tell
from sequences.roles import MASKED

PLAN = """\
title: Lobby wall, short
minutes: 45
aim: {curve: power 2.4}
tasks:
  - tell: Switch the display on.
    minutes: 2.5
  - ask: Does the display take HDR?
    name: hdr
    choices: [HDR, SDR only]
  - ask: Room light at the screen, in lux
    name: room-light
  - play: black-and-contrast
    condition: local dimming off
    importance: first
  - play: tone-pq
    only_if: {hdr: HDR}
    output: files
    label: The tone curve
  - adjust: two-point
    needs: [reference]
  - note: What strikes you?
    importance: last
"""


def task(text: str) -> Task:
    """The last task of a short plan."""
    return load_plan_text(f"title: x\ntasks:\n{text}", "f").tasks[-1]


def test_a_plan_is_read_with_all_that_it_says():
    plan = load_plan_text(PLAN, "f")
    assert (plan.title, plan.minutes, plan.aim) == ("Lobby wall, short", 45, Aim("power 2.4"))
    assert [each.what for each in plan.tasks] == [
        Tell("Switch the display on."),
        Ask("Does the display take HDR?", "hdr", ("HDR", "SDR only")),
        Ask("Room light at the screen, in lux", "room-light"),
        Play(load("black-and-contrast"), "local dimming off"),
        Play(load("tone-pq"), output="files"),
        Adjust("two-point", load("adjust-two-point")),
        Note("What strikes you?"),
    ]
    assert [each.number for each in plan.tasks] == [1, 2, 3, 4, 5, 6, 7]
    assert [each.line for each in plan.tasks] == [5, 7, 10, 12, 15, 19, 21]
    assert [each.importance for each in plan.tasks][3:] == ["first", "usual", "usual", "last"]
    assert plan.text == PLAN
    assert [each.label for each in plan.tasks][3:] == [
        "Black, white and contrast, local dimming off",
        "The tone curve",
        "Adjust: two-point",
        "What strikes you?",
    ]


def test_a_sequence_takes_what_its_steps_take_and_all_else_a_minute_unless_the_plan_says():
    minutes = [each.minutes for each in load_plan_text(PLAN, "f").tasks]
    # tone-pq: 20 steps of 5 s and two of 15 s to settle, 10 s each to read
    assert minutes == [2.5, 1, 1, pytest.approx(335 / 60), pytest.approx(350 / 60), 15, 1]
    usual = sequence_seconds(load("black-and-contrast"), Canvas(1920, 1080))
    assert minutes[3] == pytest.approx(usual / 60)


def test_a_warm_up_goes_on_while_earlier_tasks_are_done(tmp_path: Path):
    wall = tmp_path / "wall.yaml"
    wall.write_text(
        "title: x\nsignal: sdr8\nwarm_up: 30 min\n"
        "steps: [{show: {field: {}}, read: luminance, settle: 5 s}]\n"
    )
    plan = tmp_path / "plan.yaml"
    plan.write_text(
        "title: x\ntasks: [{play: wall.yaml}, {tell: a, minutes: 5}, {play: wall.yaml}]\n"
    )
    assert [each.minutes for each in load_plan(plan).tasks] == [
        pytest.approx(30 + 10 / 60),
        5,
        pytest.approx(15 / 60),
    ]


@pytest.mark.parametrize(
    ("text", "needs"),
    [
        ("- play: tone-pq", ()),
        ("- {play: tone-pq, output: files}", ("stick",)),
        ("- {play: tone-pq, instrument: reference}", ("reference",)),
        ("- play: black-and-contrast", ("mask",)),
        ("- {play: black-and-contrast, output: files, needs: [reference, mask]}",
         ("mask", "reference", "stick")),
        ("- {tell: x, needs: [stick, stick]}", ("stick",)),
    ],
)  # fmt: skip
def test_what_has_to_be_at_hand_is_stated_or_follows_from_what_is_played(
    text: str, needs: tuple[str, ...]
):
    assert task(text).needs == needs


def test_the_role_that_needs_a_mask_is_the_one_that_findings_read():
    assert MASKED == veils.MASKED


def test_a_task_hangs_on_what_its_question_hangs_on():
    text = (
        "- {ask: HDR?, name: hdr, choices: [HDR, SDR only]}\n"
        "- {ask: Link?, name: link, choices: [ten, eight], only_if: {hdr: HDR}}\n"
        "- {tell: x, only_if: {link: [ten, eight]}}\n"
    )
    found = task(text)
    assert found.only_if == {"hdr": ("HDR",), "link": ("ten", "eight")}
    # the question is never put where the display takes no HDR, so nothing waits for its answer
    assert found.wanted({"hdr": "SDR only"}) is False
    assert found.wanted({"hdr": "HDR"}) is None
    assert found.wanted({"hdr": "HDR", "link": "ten"}) is True


def test_a_sequence_is_found_from_the_plans_folder_and_read_once(tmp_path: Path):
    (tmp_path / "mine").mkdir()
    wall = tmp_path / "mine" / "wall.yaml"
    wall.write_text("title: Wall\nsignal: sdr8\nsteps: [{show: {field: {}}}]\n")
    plan = tmp_path / "plan.yaml"
    plan.write_text(
        "title: x\ntasks: [{play: mine/wall.yaml}, {play: geometry}, {play: mine/wall.yaml}]\n"
    )
    read = load_plan(plan)
    assert [each.title for each in read.sequences()] == ["Wall", "Geometry and sharpness"]
    assert read.sequences()[0].source == str(wall)


def test_a_plan_is_known_by_its_name_or_by_its_tasks(tmp_path: Path):
    plan, sequence, broken = (tmp_path / name for name in ("plan", "sequence", "broken"))
    plan.write_text(PLAN)
    sequence.write_text("title: x\nsignal: sdr8\nsteps: [{show: {field: {}}}]\n")
    broken.write_text("title: x\ntasks: [{tell: [}\n")
    named = ["half-day", str(plan), str(broken)]
    others = ["tone-pq", str(sequence), str(tmp_path), str(tmp_path / "none"), "\0"]
    assert [is_plan(each) for each in named] == [True, True, True]
    assert [is_plan(each) for each in others] == [False] * 5
