"""Before a run begins the command line asks about a condition that is nearly an earlier one."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

import sequences
from patterns.picture.canvas import Canvas
from player.cli import run
from player.outputs.simulated import SimulatedOutput
from player.run.record import begin_or_resume
from player.simulated_play import simulated_display
from readings.visit.visit import Visit

TEXT = """title: Black and white
signal: sdr8
steps:
  - show: {field: {level: 0 %}}
    read: luminance
  - show: {field: {level: 100 %}}
    read: luminance
"""
OFF, ON = "local dimming off", "local dimming on"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lobby.yaml").write_text(TEXT)
    return tmp_path


def play(condition: str, *more: str) -> int:
    asked = ["play", "lobby.yaml", "--visit", "lobby.visit", "--output", "simulated"]
    named = ["--condition", condition] if condition else []
    return run([*asked, "--unattended", *named, *more])


def conditions(folder: Path) -> list[str]:
    with Visit.open(folder / "lobby.visit", write=False) as visit:
        return [each.condition for each in visit.runs()]


def leave(folder: Path, condition: str) -> None:
    """Begin a run on the simulated display, and leave it before its first reading."""
    sequence = sequences.load(folder / "lobby.yaml")
    output = SimulatedOutput(Canvas(3840, 2160), 8, "full", simulated_display())
    path = folder / "lobby.visit"
    opened = (
        Visit.open(path, write=True) if path.exists() else Visit.create(path, display="lobby wall")
    )
    with opened as visit:
        begun = begin_or_resume(visit, sequence, output, condition, {"seed": 1})
        visit.end_run(begun.run, "left")


class Terminal(io.StringIO):
    """Keys that were typed at a terminal."""

    def isatty(self) -> bool:
        return True


def said(capfd: pytest.CaptureFixture[str]) -> list[str]:
    """Sentences on stderr, without the bar that goes on."""
    lines = capfd.readouterr().err.splitlines()
    return [line for line in lines if line and not line.startswith("Black and white")]


def typed(monkeypatch: pytest.MonkeyPatch, keys: str) -> None:
    monkeypatch.setattr("sys.stdin", Terminal(keys))


def test_without_a_terminal_one_sentence_says_so_and_it_goes_on_as_typed(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert play(OFF) == 0
    assert said(capfd) == []
    assert play("local dimming  off") == 0
    assert said(capfd) == [
        f"Earlier runs say '{OFF}'; this is a run under 'local dimming  off', as typed."
    ]
    assert play("") == 0
    (sentence,) = said(capfd)
    assert sentence == (
        "Earlier runs of this sequence say 'local dimming  off', and this one nothing; this is a "
        "run without a condition, as typed."
    )
    assert play(ON) == 0
    assert said(capfd) == []
    assert conditions(folder) == [OFF, "local dimming  off", "", ON]


@pytest.mark.parametrize(("keys", "kept"), [("y\n", OFF), ("n\n", "Local dimming off")])
def test_at_a_terminal_it_is_asked(
    folder: Path,
    keys: str,
    kept: str,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert play(OFF) == 0
    typed(monkeypatch, keys)
    assert play("Local dimming off") == 0
    told = capfd.readouterr().err
    assert f"Earlier runs say '{OFF}'. Is this the same? [y/n]: " in told
    assert conditions(folder) == [OFF, kept]


def test_whoever_answers_nothing_begins_no_run(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert play(OFF) == 0
    typed(monkeypatch, "")
    assert play("Local dimming off") == 1
    assert conditions(folder) == [OFF]


@pytest.mark.parametrize(("keys", "kept"), [("y\n", [OFF]), ("n\n", [OFF, ON])])
def test_a_run_that_was_left_under_another_condition_can_be_gone_on_with(
    folder: Path,
    keys: str,
    kept: list[str],
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    leave(folder, OFF)
    typed(monkeypatch, keys)
    assert play(ON) == 0
    told = capfd.readouterr().err
    assert f"Run 1 of this sequence was left at step 1 under '{OFF}'. Go on with it? [y/n]" in told
    assert conditions(folder) == kept


@pytest.mark.parametrize("more", [["--size", "1920x1080"], ["--signal", "sdr10"]])
def test_a_run_on_another_canvas_or_signal_is_not_offered(
    folder: Path, more: list[str], capfd: pytest.CaptureFixture[str]
) -> None:
    leave(folder, OFF)
    assert play(ON, *more) == 0
    assert "was left" not in capfd.readouterr().err


def test_a_run_that_is_set_aside_asks_nothing(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    leave(folder, OFF)
    with Visit.open(folder / "lobby.visit", write=True) as visit:
        visit.state("counted", "no", run=1)
    assert play("local dimming  off") == 0
    assert play(ON) == 0
    assert said(capfd) == []
