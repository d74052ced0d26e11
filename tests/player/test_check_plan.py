"""``litfield check`` of a plan: what it takes, what has to be at hand, what will not do."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import sequences
from player.cli import run
from sequences.plans import shipped_plans

SMALL = ("--size", "640x360")
PLAN = """\
title: Lobby wall, short
minutes: 30
aim: {curve: power 2.4}
tasks:
  - tell: Switch local dimming off.
    importance: first
  - ask: Does the display take HDR?
    name: hdr
    choices: [HDR, SDR only]
    importance: first
  - play: greys.yaml
    condition: local dimming off
    minutes: 10
    importance: first
  - play: tone-pq
    only_if: {hdr: HDR}
    instrument: reference
    minutes: 9
  - play: geometry
    only_if: {hdr: SDR only}
    minutes: 4
    importance: last
  - note: What strikes you?
    importance: last
"""
GREYS = """\
title: Greys
signal: sdr10
cautions: [static]
steps:
  - each: {level: [20 %, 50 %]}
    show: {window: {area: 10 %}}
    label: Grey {level}
    read: luminance
"""


@pytest.fixture(autouse=True)
def _wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """No line is broken where a path happens to be long."""
    monkeypatch.setenv("COLUMNS", "500")


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    (tmp_path / "greys.yaml").write_text(GREYS)
    path = tmp_path / "plan.yaml"
    path.write_text(PLAN)
    return path


def facts(capfd: pytest.CaptureFixture[str], *arguments: str | Path) -> dict[str, Any]:
    """What check says of one plan to a machine."""
    assert run(["check", *map(str, arguments), *SMALL, "--json"]) == 0
    (found,) = json.loads(capfd.readouterr().out)
    return dict(found)


def told(capfd: pytest.CaptureFixture[str], *arguments: str | Path) -> str:
    """What check prints, on one line."""
    assert run(["check", *map(str, arguments), *SMALL]) == 0
    return " ".join(capfd.readouterr().out.split())


def test_a_plan_is_listed_with_its_tasks_and_what_has_to_be_at_hand(
    plan: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    shown = told(capfd, plan)
    assert shown.startswith(f"Lobby wall, short ({plan})")
    for part in (
        "6 tasks, at most about 22 min, which fits the 30 min that there are.",
        "Aim: curve power 2.4.",
        "At hand: a reference instrument: task 4 Cautions: Bright fields",
        "task what time condition by importance only if",
        "1 tell Switch local dimming off. 1 min first",
        "local dimming off first",
        "4 play tone-pq 9 min reference usual hdr: HDR",
        "5 play geometry 4 min last hdr: SDR only",
        "6 note What strikes you? 1 min last",
    ):
        assert part in shown


def test_the_time_is_that_of_the_answers_with_which_it_takes_longest(
    plan: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    # 1 + 1 + 10 + 9 + 1: with HDR, the geometry of 4 minutes is not there
    found = facts(capfd, plan)
    assert (found["minutes"], found["fits"], found["left_out"]) == (22, True, [])


@pytest.mark.parametrize(
    ("minutes", "left_out"),
    [("22", []), ("21.5", [6]), ("21", [6]), ("20.5", [4]), ("12", [4, 6]), ("11", [3, 6])],
)
def test_what_does_not_fit_is_left_out_by_importance_and_is_no_error(
    plan: Path, capfd: pytest.CaptureFixture[str], minutes: str, left_out: list[int]
) -> None:
    found = facts(capfd, plan, "--minutes", minutes)
    assert (found["left_out"], found["fits"]) == (left_out, not left_out)


def test_what_does_not_fit_is_named(plan: Path, capfd: pytest.CaptureFixture[str]) -> None:
    shown = told(capfd, plan, "--minutes", "12")
    assert "which does not fit the 12 min that there are." in shown
    assert "Left out, by importance: 4 (tone-pq), 6 (What strikes you?)." in shown


def test_what_eight_bits_cannot_show_exactly_is_told_with_its_largest_error(
    plan: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    by_name = {each["sequence"]: each for each in facts(capfd, plan)["screen"]}
    greys = by_name[str(plan.with_name("greys.yaml"))]
    assert not greys["exact"]
    # 20 % and 50 % as codes 51 and 128 of 255: the second is 0.2 % of signal too bright, and by
    # BT.1886 with a black of 0 light is its power of 2.4: (128 / 127.5) ** 2.4 = 1.00944
    assert greys["largest_error"]["label"] == "Grey 50 %"
    assert greys["largest_error"]["relative"] == pytest.approx(0.00944, abs=2e-4)
    assert not by_name["tone-pq"]["exact"]
    assert by_name["geometry"]["exact"]
    shown = told(capfd, plan)
    assert (
        "Not exact at 8 bits, full range: tone-pq (pq10); the largest error of a level: " in shown
    )
    assert "The window shows tone-pq (pq10): the link has to say so to the display" in shown
    # PQ of 10 bits at 10 bits, and SDR of 8 bits at 8, are what they are meant to be
    ten = facts(capfd, plan, "--bits", "10", "--range", "narrow")["screen"]
    assert [each["exact"] for each in ten] == [True, True, True]


def test_what_the_depth_or_the_canvas_refuses_is_told_at_its_line_and_is_no_error(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "wide.yaml").write_text(
        "title: x\nsignal: sdr8\n"
        "steps: [{show: {window: {size: {width: 800 px, height: 10 px}}}}]\n"
    )
    path = tmp_path / "plan.yaml"
    path.write_text("title: x\ntasks: [{play: bars-pq}, {play: wide.yaml}]\n")
    bars, wide = facts(capfd, path)["screen"]
    assert bars["refused"][0].startswith("bars-pq:11:5: found step 1: ")
    assert wide["undrawable"][0].startswith(f"{tmp_path / 'wide.yaml'}:3:")
    shown = told(capfd, path)
    assert "Cannot be shown at 8 bits, full range: bars-pq:11:5: found step 1: " in shown
    assert "Cannot be drawn at 640x360: " in shown
    assert facts(capfd, path, "--bits", "10")["screen"][0]["refused"] == []


STICK = "title: x\ntasks: [{play: geometry, output: files}, {play: line-up-sdr, output: files}]\n"


@pytest.fixture
def stick(tmp_path: Path) -> tuple[Path, Path]:
    """A plan that needs a stick, and the folder that it was exported to."""
    path, folder = tmp_path / "stick.yaml", tmp_path / "stick"
    path.write_text(STICK)
    assert run(["export", str(path), "--to", str(folder), *SMALL]) == 0
    return path, folder


def test_without_a_folder_of_sets_it_says_how_to_make_one(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "stick.yaml"
    path.write_text(STICK)
    found = facts(capfd, path)
    assert (found["no_set_named_for"], found["sets"]) == (["geometry", "line-up-sdr"], [])
    assert found["needs"] == {"stick": [1, 2]}
    assert (
        "No exported set was named, and a media player shows geometry, line-up-sdr: litfield "
        f"export {path} --to DIR, then check with --files DIR."
    ) in told(capfd, path)


def test_exported_sets_are_looked_for_and_are_good(
    stick: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    path, folder = stick
    capfd.readouterr()
    found = facts(capfd, path, "--files", folder)
    assert [(each["sequence"], each["good"]) for each in found["sets"]] == [
        ("geometry", True),
        ("line-up-sdr", True),
    ]
    assert found["no_set_named_for"] == []
    assert f"{folder / 'geometry'} holds all pictures of geometry." in told(
        capfd, path, "--files", folder
    )


def test_a_set_that_is_missing_cut_or_of_another_sequence_is_told_and_is_no_error(
    stick: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    path, folder = stick
    picture = next(each for each in (folder / "geometry").iterdir() if each.name[:3] == "004")
    picture.unlink()
    capfd.readouterr()
    geometry, _ = facts(capfd, path, "--files", folder)["sets"]
    assert (geometry["good"], geometry["absent_files"]) == (False, [picture.name])
    assert f"geometry lacks 1 file: {picture.name}." in told(capfd, path, "--files", folder)

    (folder / "geometry").rename(folder / "away")
    (folder / "line-up-sdr").rename(folder / "geometry")
    other, gone = facts(capfd, path, "--files", folder)["sets"]
    assert "exported as sdr10" in other["amiss"]
    assert gone["amiss"] == "It is not there."
    shown = told(capfd, path, "--files", folder)
    assert (
        f"The set {folder / 'line-up-sdr'} of line-up-sdr cannot be used: It is not there." in shown
    )


def test_a_set_of_another_size_than_the_display_is_told(
    stick: tuple[Path, Path], capfd: pytest.CaptureFixture[str]
) -> None:
    path, folder = stick
    capfd.readouterr()
    assert run(["check", str(path), "--files", str(folder), "--size", "1280x720"]) == 0
    shown = capfd.readouterr().out
    assert f"{folder / 'geometry'} holds pictures of 640x360, and the display is taken" in shown
    assert "for one of 1280x720 (--size): what is scaled is not exact." in shown


def test_a_picture_that_no_file_shows_is_told_by_its_step(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    sequence, path = tmp_path / "greys.yaml", tmp_path / "plan.yaml"
    sequence.write_text(GREYS)
    path.write_text("title: x\ntasks: [{play: greys.yaml, output: files}]\n")
    assert run(["export", str(path), "--to", str(tmp_path / "stick"), *SMALL]) == 0
    sequence.write_text(GREYS.replace("50 %", "60 %"))
    capfd.readouterr()
    (found,) = facts(capfd, path, "--files", tmp_path / "stick")["sets"]
    assert (found["missing_steps"], found["good"]) == ([2], False)


def test_a_plan_that_cannot_be_used_ends_with_code_2_and_every_problem(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plan.yaml"
    path.write_text("title: x\nminute: 4\ntasks:\n  - play: tone-qp\n")
    assert run(["check", "half-day", str(path), *SMALL]) == 2
    shown = capfd.readouterr()
    first, second = shown.err.splitlines()
    assert first.startswith(f"{path}:2:1: found unknown key 'minute'")
    assert second.startswith(f"{path}:4:11: found play: tone-qp")
    assert "Half a day on a zoned HDR display" in shown.out


def test_a_slip_in_the_name_of_a_plan_is_guessed(capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "haf-day"]) == 2
    assert capfd.readouterr().err.endswith("Did you mean the plan half-day?\n")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ["geometry", "--files", "x"],
            "--files and --minutes are about a plan, and none was named.",
        ),
        (["geometry", "--minutes", "5"], "--files and --minutes are about a plan"),
        (["half-day", "--signal", "pq10"], "--signal is about a sequence"),
    ],
)
def test_options_that_do_not_go_with_what_is_named_are_refused(
    arguments: list[str], told: str, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", *arguments]) == 2
    assert capfd.readouterr().err.startswith(told)


def test_a_sequence_is_tried_at_a_depth_where_one_is_named(
    capfd: pytest.CaptureFixture[str],
) -> None:
    assert "Not exact" not in told(capfd, "line-up-sdr")
    assert "Not exact at 8 bits, full range: line-up-sdr (sdr10)" in told(
        capfd, "line-up-sdr", "--bits", "8"
    )
    assert facts(capfd, "geometry", "--bits", "8")["screen"]["exact"] is True


def test_the_shipped_plans_stand_beside_the_shipped_sequences(
    capfd: pytest.CaptureFixture[str],
) -> None:
    assert run(["check"]) == 0
    shown = capfd.readouterr().out.splitlines()
    first = [line.split()[0] for line in shown if line.strip() and line[0] != " "]
    assert first == ["sequence", *sequences.shipped(), "plan", *shipped_plans()]
    assert run(["check", "--json"]) == 0
    listed = json.loads(capfd.readouterr().out)
    assert [each["source"] for each in listed if "tasks" in each] == [*shipped_plans()]
