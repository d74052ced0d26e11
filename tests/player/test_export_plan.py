"""``litfield export`` of a plan: a set for each sequence that a media player shows."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import player.commands.export as export_command
from patterns.files.journal import JOURNAL
from player.cli import run

SIZE = ("--size", "128x72@50")
GREYS = """\
title: {title}
signal: sdr10
steps:
  - each: {{level: [20 %, 50 %]}}
    show: {{field: {{}}}}
    label: Grey {{level}}
"""


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    for name in ("wall", "desk"):
        (tmp_path / f"{name}.yaml").write_text(GREYS.format(title=name))
    path = tmp_path / "plan.yaml"
    path.write_text(
        "title: x\ntasks:\n"
        "  - {play: wall.yaml, output: files}\n"
        "  - {play: geometry}\n"
        "  - {play: desk.yaml, output: files, condition: as left}\n"
        "  - {play: wall.yaml, output: files, condition: as left}\n"
    )
    return path


def contents(folder: Path) -> dict[str, bytes]:
    files = (each for each in folder.rglob("*") if each.is_file() and each.name != JOURNAL)
    return {str(each.relative_to(folder)): each.read_bytes() for each in files}


def test_each_sequence_that_a_media_player_shows_gets_a_set_of_its_own(
    plan: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "stick"
    assert run(["export", str(plan), "--to", str(folder), *SIZE]) == 0
    assert {each.name for each in folder.iterdir()} == {"wall", "desk"}
    assert {each.name for each in (folder / "wall").glob("0*.png")} == {
        "001-grey-20-percent.png",
        "002-grey-50-percent.png",
    }
    assert f"2 files written to {folder / 'desk'}." in capfd.readouterr().out


def test_an_export_that_was_cut_off_goes_on_at_the_set_that_is_not_whole(
    plan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole, folder = tmp_path / "whole", tmp_path / "stick"
    assert run(["export", str(plan), "--to", str(whole), *SIZE]) == 0
    write = export_command._write
    with monkeypatch.context() as patch:

        def cut(sequence: object, target: Path, wanted: object) -> None:
            if target.name == "desk":
                raise KeyboardInterrupt
            write(sequence, target, wanted)  # type: ignore[arg-type]

        patch.setattr(export_command, "_write", cut)
        assert run(["export", str(plan), "--to", str(folder), *SIZE]) == 1
    assert [each.name for each in folder.iterdir()] == ["wall"]
    assert run(["export", str(plan), "--to", str(folder), *SIZE]) == 0
    assert contents(folder) == contents(whole)


def test_the_sets_of_a_folder_are_read_again_one_by_one(
    plan: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "stick"
    assert run(["export", str(plan), "--to", str(folder), *SIZE]) == 0
    capfd.readouterr()
    assert run(["export", "--verify", str(folder)]) == 0
    whole = "All 5 files are as they were written."
    assert capfd.readouterr().out.splitlines() == ["desk:", whole, "wall:", whole]
    (folder / "desk" / "001-grey-20-percent.png").unlink()
    (folder / "wall" / "SHA256SUMS").rename(folder / "wall" / JOURNAL)
    assert run(["export", "--verify", str(folder)]) == 1
    shown = capfd.readouterr().out.splitlines()
    assert shown[:3] == [
        "desk:",
        "missing: 001-grey-20-percent.png",
        "4 files are as they were written; 1 are not.",
    ]
    assert shown[3] == "wall:"
    assert shown[4].startswith(f"{folder / 'wall'} has no SHA256SUMS, so it is no whole set.")
    assert run(["export", "--verify", str(folder), "--json"]) == 1
    listed = json.loads(capfd.readouterr().out)
    assert [Path(each["folder"]).name for each in listed] == ["desk", "wall"]
    assert [each["good"] for each in listed] == [False, False]


def test_a_plan_that_needs_no_files_says_so_and_writes_nothing(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "stick"
    assert run(["export", "first-look", "--to", str(folder), *SIZE]) == 0
    assert capfd.readouterr().out == (
        "Nothing was written: no task of first-look has output: files, so no stick is needed.\n"
    )
    assert not folder.exists()


def test_two_sequences_that_would_share_a_folder_are_refused_before_anything_is_written(
    plan: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "old").mkdir()
    (tmp_path / "old" / "WALL.yaml").write_text(GREYS.format(title="other"))
    plan.write_text(f"{plan.read_text()}  - {{play: old/WALL.yaml, output: files}}\n")
    assert run(["export", str(plan), "--to", str(tmp_path / "stick"), *SIZE]) == 2
    assert "would be written into one folder, WALL" in capfd.readouterr().err
    assert not (tmp_path / "stick").exists()


def test_what_cannot_be_drawn_is_told_before_the_first_set_is_written(
    plan: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "desk.yaml").write_text(
        "title: x\nsignal: sdr8\nsteps: [{show: {window: {size: {width: 500 px, height: 1 px}}}}]\n"
    )
    assert run(["export", str(plan), "--to", str(tmp_path / "stick"), *SIZE]) == 2
    assert capfd.readouterr().err.startswith(f"{tmp_path / 'desk.yaml'}:3:")
    assert not (tmp_path / "stick").exists()


def test_the_sequences_of_a_plan_keep_their_own_signal(
    plan: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["export", str(plan), "--to", str(tmp_path / "s"), "--signal", "pq10"]) == 2
    assert capfd.readouterr().err.startswith("--signal is about a sequence")
