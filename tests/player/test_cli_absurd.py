"""Options that mean nothing are bad input, and nothing is touched for them."""

from __future__ import annotations

from pathlib import Path

import pytest

from player.cli import run
from readings.visit.visit import Visit
from tests.disks import needs_root, tiny_disk


@pytest.mark.parametrize(
    "option", ["--minutes", "--meter-timeout", "--repeat-below", "--warm-up", "--longest-bright"]
)
def test_a_number_that_is_none_is_refused_before_the_visit_is_made(
    option: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    visit = tmp_path / "lobby.visit"
    arguments = ["play", "near-black", "--visit", str(visit), "--output", "simulated"]
    assert run([*arguments, "--unattended", option, "nan"]) == 2
    error = capfd.readouterr().err
    assert len(error.splitlines()) == 1, error
    assert option in error
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["report", "export", "demo"])
@pytest.mark.parametrize("target", ["", " "])
def test_an_empty_target_is_not_the_folder_where_one_stands(
    command: str,
    target: str,
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    Visit.create("lobby.visit", display="Lobby wall").close()
    what = {"report": ["lobby.visit"], "export": ["near-black"], "demo": []}[command]
    assert run([command, *what, "--to", target]) == 2
    assert len(capfd.readouterr().err.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["lobby.visit"]


@pytest.mark.parametrize(
    ("command", "target"),
    [
        ("readings", "other.visit"),
        ("readings", "table.csv"),
        ("readings", "table.xlsx"),
        ("readings", "lobby.visit"),
        ("schema", "other.visit"),
    ],
)
def test_nothing_is_written_over_a_visit_whatever_its_name(
    command: str,
    target: str,
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in {"lobby.visit", target}:
        Visit.create(name, display="Lobby wall").close()
    before = Path(target).read_bytes()
    what = {"readings": ["lobby.visit"], "schema": []}[command]
    assert run([command, *what, "--to", target]) == 2
    assert capfd.readouterr().err == f"{target} is a visit; --to names another file.\n"
    assert Path(target).read_bytes() == before


@needs_root
def test_a_table_for_which_the_disk_has_no_room_could_not_be_finished(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    visit = str(tmp_path / "lobby.visit")
    Visit.create(visit, display="Lobby wall").close()
    with tiny_disk(tmp_path / "tiny", "8k") as disk:
        for name in ("t.csv", "t.xlsx"):
            (disk / "ballast").write_bytes(b"\0" * 8192)
            assert run(["readings", visit, "--to", str(disk / name)]) == 1
            assert "disk is full" in capfd.readouterr().err.lower()
        assert [path.name for path in disk.iterdir()] == ["ballast"]
    assert run(["readings", visit, "--to", str(tmp_path / "none" / "t.csv")]) == 2
