"""The command line: bad input ends in plain sentences and an exit code, and nothing is touched."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from patterns.kinds import KINDS
from player.cli import COMMANDS, run
from readings.visit.visit import Visit
from tests.disks import needs_root, tiny_disk

HEAD = "title: Lobby wall\nsignal: sdr8\nsteps:\n"

BAD_SEQUENCES = {
    "unknown kind": HEAD + "  - show: {windo: {level: 50 %}}\n",
    "unknown parameter": HEAD + "  - show: {window: {aera: 10 %}}\n",
    "unknown unit": HEAD + "  - show: {field: {level: 50 lux}}\n",
    "no unit": HEAD + "  - show: {field: {level: 50}}\n",
    "level out of reach": HEAD + "  - show: {field: {level: 120 cd/m2}}\n",
    "code off the grid": HEAD + "  - show: {field: {level: code 256}}\n",
    "half a code": HEAD + "  - show: {field: {level: code 12.5}}\n",
    "colour out of gamut": HEAD
    + "  - show: {field: {level: {x: 0.17, y: 0.79, luminance: 10 cd/m2}}}\n",
    "area over 100 %": HEAD + "  - show: {window: {area: 101 %}}\n",
    "duplicate key": HEAD + "  - show: {field: {level: 1 %, level: 2 %}}\n",
    "alias": HEAD + "  - &a {show: {field: {}}}\n  - *a\n",
    "empty": "",
    "a list": "- 1\n- 2\n",
    "broken": HEAD + "  - show: {field: [\n",
    "two documents": HEAD + "  - show: {field: {}}\n---\n" + HEAD,
    "control character": "title: \x01\n",
}


@pytest.mark.parametrize("name", BAD_SEQUENCES)
@pytest.mark.parametrize("command", ["check", "export", "play"])
def test_a_bad_sequence_is_told_by_file_line_and_column(
    name: str, command: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "lobby.yaml"
    file.write_text(BAD_SEQUENCES[name])
    options = {
        "check": [],
        "export": ["--to", str(tmp_path / "out")],
        "play": ["--visit", str(tmp_path / "a.visit"), "--output", "simulated", "--unattended"],
    }[command]
    assert run([command, str(file), *options]) == 2
    error = capfd.readouterr().err
    assert error.startswith(f"{file}:")
    assert "Traceback" not in error
    assert not (tmp_path / "out").exists()
    assert not (tmp_path / "a.visit").exists()


def test_all_problems_of_a_file_come_at_once(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "lobby.yaml"
    file.write_text(
        HEAD
        + "  - show: {windo: {}}\n"
        + "  - show: {field: {level: 50}}\n"
        + "  - show: {window: {area: 0 %}}\n"
    )
    assert run(["check", str(file)]) == 2
    lines = capfd.readouterr().err.splitlines()
    assert [line.split(":")[1] for line in lines] == ["4", "5", "6"]


def test_ten_megabytes_of_yaml_are_refused_at_once(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "large.yaml"
    file.write_text(HEAD + "  - show: {field: {}}\n" * 500_000)
    assert file.stat().st_size > 10_000_000
    assert run(["check", str(file)]) == 2
    assert len(capfd.readouterr().err.splitlines()) == 1


@pytest.mark.parametrize("size", ["1921x1080", "0x0", "-1x5", "axb", "99999x99999", "", "1920"])
def test_an_odd_canvas_is_refused(size: str, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["check", "near-black", "--size", size]) == 2
    assert len(capfd.readouterr().err.splitlines()) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["chek"],
        ["check", "no-such-sequence"],
        ["check", "."],
        ["patterns", "windo"],
        ["check", "near-black", "--signal", "pq9"],
        ["check", "near-black", "--no-such-option"],
        ["export", "near-black"],
        ["export", "near-black", "--to", "x", "--as", "gif"],
        ["play", "near-black"],
        ["play", "near-black", "--visit", "x.visit", "--output", "simulated"],
        ["play", "near-black", "--visit", "x.visit", "--unattended"],
        ["play", "near-black", "--visit", "x.visit", "--meter", "crystal ball"],
        ["report", "--to", "x"],
        ["demo", "--to", "x", "--display", "no-such-display"],
        ["demo", "--to", "x", "--seed", "one"],
    ],
)
def test_a_wrong_command_line_is_one_sentence_and_exit_code_2(
    arguments: list[str],
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(arguments) == 2
    error = capfd.readouterr().err
    assert len(error.splitlines()) == 1, error
    assert "Traceback" not in error
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("signal", ["pq10", "sdr10", "hlg10"])
def test_levels_in_codes_are_refused_in_a_signal_that_has_other_codes(
    signal: str, capfd: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", "near-white", "--signal", signal]) == 2
    assert capfd.readouterr().err == (
        "near-white: step 3 asks for code 255 of sdr8, and codes mean something else in "
        f"{signal}: write its levels in % or cd/m2 to play it so.\n"
    )


def test_levels_in_codes_are_played_in_a_signal_with_the_same_codes(
    capfd: pytest.CaptureFixture[str],
) -> None:
    assert run(["check", "near-white", "--signal", "hlg8"]) == 0
    assert "signal hlg8, 17 steps" in capfd.readouterr().out


def other_database(path: Path) -> None:
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE boats (name TEXT)")
    connection.commit()
    connection.close()


def newer_visit(path: Path) -> None:
    Visit.create(path, display="lobby wall").close()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 99")
    connection.close()


def truncated_visit(path: Path) -> None:
    Visit.create(path, display="lobby wall").close()
    path.write_bytes(path.read_bytes()[:5000])


WRONG_VISITS = {
    "text": lambda path: path.write_text("not a visit\n" * 500),
    "another database": other_database,
    "of a newer version": newer_visit,
    "cut short": truncated_visit,
    "a folder": lambda path: path.mkdir(),
}


@pytest.mark.parametrize("name", WRONG_VISITS)
@pytest.mark.parametrize("command", ["readings", "report", "play"])
def test_a_visit_of_something_else_is_left_as_it_is(
    name: str, command: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "lobby.visit"
    WRONG_VISITS[name](path)
    before = path.read_bytes() if path.is_file() else None
    arguments = {
        "readings": ["readings", str(path), "--to", str(tmp_path / "x.csv")],
        "report": ["report", str(path), "--to", str(tmp_path / "out")],
        "play": [
            *("play", "near-black", "--visit", str(path)),
            *("--output", "simulated", "--unattended"),
        ],
    }[command]
    assert run(arguments) in (1, 2)
    captured = capfd.readouterr()
    assert "Traceback" not in captured.err
    assert str(path) in captured.err
    assert (path.read_bytes() if path.is_file() else None) == before
    assert not (tmp_path / "x.csv").exists()
    assert not (tmp_path / "out").exists()


def test_a_wrong_visit_is_refused_before_the_cautions(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("measured on the lobby wall")
    assert run(["play", "greyscale-11", "--visit", str(path)]) == 2
    assert capfd.readouterr().err == f"{path} is not a visit file.\n"


def test_a_visit_that_may_not_be_written_is_told_from_a_folder_that_may_not(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "lobby.visit"
    Visit.create(path, display="lobby wall").close()
    # whoever is root may do everything, so the answer of the system is made up
    refused = (path, os.W_OK)
    monkeypatch.setattr(
        "readings.visit.errors._may", lambda asked, how: (Path(asked), how) != refused
    )
    play = ["play", "greyscale-11", "--visit", str(path)]
    assert run(play) == 1
    assert capfd.readouterr().err.startswith(f"{path} is read-only for this user, so nothing can")
    refused = (path, os.R_OK)
    assert run(play) == 1
    assert capfd.readouterr().err.startswith(f"{path} may not be read by this user:")
    refused = (tmp_path, os.W_OK)
    assert run(play) == 1
    told = (
        f"The folder {tmp_path} may not be written by this user, and lobby.visit keeps its journal"
    )
    assert capfd.readouterr().err.startswith(told)


def test_a_sequence_file_of_almost_the_same_name_is_suggested(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lobby.yaml").write_text(HEAD + "  - show: {field: {}}\n")
    assert run(["check", str(tmp_path / "lobby.yml")]) == 2
    assert capfd.readouterr().err.endswith(f"\nDid you mean {tmp_path / 'lobby.yaml'}?\n")
    assert run(["check", str(tmp_path / "museum.yaml")]) == 2
    assert "Did you mean" not in capfd.readouterr().err


def test_a_visit_that_is_being_played_is_not_played_twice_but_may_be_read(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "lobby.visit"
    with Visit.create(path, display="lobby wall"):
        again = ["play", "near-black", "--visit", str(path), "--output", "simulated"]
        assert run([*again, "--unattended"]) == 1
        assert run(["readings", str(path), "--to", str(tmp_path / "x.csv")]) == 0
    assert "lobby.visit" in capfd.readouterr().err


def test_a_target_that_cannot_be_written_is_told(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("here")
    into = str(tmp_path / "file")
    below = str(tmp_path / "file" / "below")
    for target in (into, below):
        for arguments in (["export", "near-black", "--to", target], ["demo", "--to", target]):
            assert run(arguments) in (1, 2)
            error = capfd.readouterr().err.splitlines()[-1]
            assert "Traceback" not in error
            assert "file" in error
    assert (tmp_path / "file").read_text() == "here"


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    with tiny_disk(tmp_path / "tiny", "360k") as disk:
        yield disk


@needs_root
def test_a_disk_that_fills_up_during_a_run_loses_nothing_that_was_kept(
    small_disk: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    sequence = tmp_path / "many.yaml"
    sequence.write_text(
        HEAD
        + "  - each: {level: {from: 0 %, to: 100 %, step: 0.2 %}}\n"
        + "    show: {field: {}}\n    read: luminance\n"
    )
    path = small_disk / "lobby.visit"
    arguments = ["play", str(sequence), "--visit", str(path), "--output", "simulated"]
    arguments += ["--unattended", "--size", "640x360"]
    (small_disk / "ballast").write_bytes(b"\0" * 60_000)
    assert run(arguments) == 1
    last = capfd.readouterr().err.splitlines()[-1]
    assert "full" in last
    kept = 0
    if path.exists():
        with Visit.open(path, write=False) as visit:
            runs = visit.runs()
            kept = len(visit.readings(runs[0].id)) if runs else 0
    (small_disk / "ballast").unlink()
    assert run(arguments) == 1, "501 readings do not fit on this disk either"
    with Visit.open(path, write=False) as visit:
        assert len(visit.readings(1)) > kept


@needs_root
def test_a_disk_that_is_full_stops_an_export_with_nothing_half_written(
    small_disk: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    (small_disk / "ballast").write_bytes(b"\0" * 250_000)
    assert run(["export", "greyscale-21", "--to", str(small_disk / "set")]) == 1
    assert len(capfd.readouterr().err.splitlines()[-1:]) == 1
    left = [path.name for path in (small_disk / "set").rglob("*")] if small_disk.exists() else []
    assert [name for name in left if name.startswith(".part")] == []


def test_every_command_has_help_without_heavy_imports() -> None:
    script = (
        "import sys\nfrom player.cli import run\n"
        "code = run(['--help'])\n"
        "heavy = {'numpy', 'pydantic', 'rich', 'PIL', 'pyglet', 'ruamel', 'jinja2'}\n"
        "found = sorted(heavy & set(sys.modules))\n"
        "sys.exit(f'{code} {found}' if code or found else 0)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    for name in COMMANDS:
        assert name in done.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_explains_itself(name: str, capfd: pytest.CaptureFixture[str]) -> None:
    assert run([name, "--help"]) == 0
    assert "Usage: litfield" in capfd.readouterr().out


def test_the_catalogue_lists_every_kind_and_every_parameter(
    capfd: pytest.CaptureFixture[str],
) -> None:
    assert run(["patterns", "--json"]) == 0
    told = json.loads(capfd.readouterr().out)
    assert sorted(told) == sorted(KINDS)
    for name, kind in told.items():
        assert kind["summary"]
        written = {info.alias or field for field, info in KINDS[name].model_fields.items()}
        assert set(kind["parameters"]) == written
        assert all(each["meaning"] for each in kind["parameters"].values())


def test_the_schema_is_json(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert run(["schema", "--to", str(tmp_path / "schema.json")]) == 0
    assert run(["schema"]) == 0
    printed = json.loads(capfd.readouterr().out)
    assert printed == json.loads((tmp_path / "schema.json").read_text())


def test_the_demo_makes_files_a_visit_and_findings_and_never_writes_over_a_visit(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    target = str(tmp_path / "results")
    assert run(["demo", "--to", target]) == 0
    capfd.readouterr()
    folder = tmp_path / "results"
    findings = json.loads((folder / "report" / "findings.json").read_text())
    assert findings
    with Visit.open(folder / "lobby.visit", write=False) as visit:
        runs = visit.runs()
        assert [run_.ended for run_ in runs] == ["finished"] * 10
        assert visit.adjusted(runs[-2].id) == {1, 2}
        assert visit.turns(runs[-2].id)
        assert len(visit.corrections()) == 1
    assert (folder / "files" / "SHA256SUMS").is_file()
    before = (folder / "lobby.visit").read_bytes()
    assert run(["demo", "--to", target]) == 2
    assert (folder / "lobby.visit").read_bytes() == before
    assert len(capfd.readouterr().err.splitlines()) == 1


FLASHING = (
    HEAD + "  - show: {flash: {period: 200 ms, on: 100 ms, fast: true}}\n    read: {text: delay}\n"
)


def test_flashing_is_refused_until_the_operator_confirms_and_that_is_kept(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "fast.yaml"
    file.write_text(FLASHING)
    path = tmp_path / "lobby.visit"
    play = ["play", str(file), "--visit", str(path), "--output", "simulated", "--unattended"]
    assert run(play) == 2
    told = capfd.readouterr().err
    assert "step 1" in told
    assert "5 flashes a second" in told
    assert "epilepsy" in told
    assert not path.exists()
    assert run([*play, "--flashing-confirmed"]) == 1  # played, and nobody there to answer
    with Visit.open(path, write=False) as visit:
        (kept,) = visit.runs()
    assert "5 flashes a second" in kept.overrides["flashing_confirmed"][0]


def test_check_says_which_steps_flash(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "fast.yaml"
    file.write_text(FLASHING)
    assert run(["check", str(file)]) == 0
    assert "Flashes too often: step 1" in capfd.readouterr().out.replace("\n", " ")


def test_check_lists_importance_and_warm_up_where_they_say_something(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    def told(*options: str) -> str:
        assert run(["check", str(path), *options]) == 0
        return capfd.readouterr().out

    path = tmp_path / "lobby.yaml"
    path.write_text(
        "title: Lobby wall\nsignal: sdr8\nsteps:\n"
        "  - {show: {field: {level: 100 %}}, read: luminance, importance: first, warm_up: 30 min}\n"
        "  - {show: {field: {level: 50 %}}, read: luminance}\n",
        "utf-8",
    )
    shown = told()
    assert "warm-up" in shown
    assert "30 min" in shown
    assert "first" in shown
    (step, other) = json.loads(told("--json"))[0]["steps"]
    assert (step["importance"], step["warm_up_s"]) == ("first", 1800.0)
    assert (other["importance"], other["warm_up_s"]) == ("usual", 0.0)
    path.write_text(
        "title: Lobby wall\nsignal: sdr8\nsteps:\n  - {show: {field: {}}, read: luminance}\n",
        "utf-8",
    )
    assert "settle  importance" not in told()
