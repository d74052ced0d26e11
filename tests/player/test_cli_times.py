"""Times on the command line: read as meant, or refused in a sentence."""

from __future__ import annotations

from pathlib import Path

import click
import pytest

from player.cli import run as litfield
from player.commands.play import command
from player.commands.timing import duration
from player.outcome import CommandError
from readings.visit.visit import Visit

CONTEXT = click.Context(command)
PARAMETER = next(each for each in command.params if each.name == "warm_up")


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("30m", 1800), ("30 min", 1800), ("90s", 90), ("1,5h", 5400), ("0", 0), (None, None)],
)
def test_a_time_is_read_with_its_unit(text: str | None, seconds: float | None) -> None:
    assert duration(CONTEXT, PARAMETER, text) == seconds


@pytest.mark.parametrize("text", ["30", "m", "-5m", "5 fortnights", "25h", "1e9s", ""])
def test_a_time_without_a_unit_or_sense_is_refused(text: str) -> None:
    with pytest.raises(CommandError, match="--warm-up takes"):
        duration(CONTEXT, PARAMETER, text)


def test_a_wrong_time_ends_with_one_sentence(capfd: pytest.CaptureFixture[str]) -> None:
    asked = ["play", "peak-by-area", "--visit", "no.visit", "--longest-bright", "soon"]
    assert litfield(asked) == 2
    assert "--longest-bright takes a time such as 30m or 90s, not 'soon'." in capfd.readouterr().err


@pytest.mark.parametrize("minutes", ["0", "-5", "soon", "1441"])
def test_minutes_are_a_time_that_there_can_be(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], minutes: str
) -> None:
    visit = tmp_path / "no.visit"
    assert litfield(["play", "peak-by-area", "--visit", str(visit), "--minutes", minutes]) == 2
    said = capfd.readouterr().err
    assert "--minutes" in said
    assert len(said.splitlines()) == 1
    assert not visit.exists()


def test_with_minutes_an_unattended_run_reads_what_is_important_first(tmp_path: Path) -> None:
    sequence, visit = tmp_path / "lobby.yaml", tmp_path / "lobby.visit"
    sequence.write_text(
        "title: Lobby wall\nsignal: sdr8\nwarm_up: 20 min\nsteps:\n"
        "  - {show: {field: {level: 20 %}}, read: luminance, importance: last}\n"
        "  - {show: {field: {level: 40 %}}, read: luminance}\n"
        "  - {show: {field: {level: 100 %}}, read: luminance, importance: first}\n",
        encoding="utf-8",
    )
    asked = ["play", str(sequence), "--visit", str(visit), "--name", "lobby wall", "--unattended"]
    asked += ["--output", "simulated", "--size", "640x360", "--minutes", "2.5"]
    assert litfield(asked) == 0
    with Visit.open(visit, write=False) as kept:
        assert [showing.step for showing in sorted(kept.showings(), key=lambda s: s.id)] == [
            3,
            2,
            1,
        ]
        assert [reading.step for reading in kept.readings()] == [1, 2, 3]
        (run,) = kept.runs()
        assert (run.overrides["minutes"], run.ended) == (2.5, "finished")
        assert kept.notes() == [], "the warm-up was waited for"


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--size", "1920x1080"], "--size goes with --output simulated: windows have the size of"),
        (["--seed", "4"], "--seed goes with --output simulated."),
        (["--display", "wall.yaml"], "--display goes with --output simulated."),
    ],
)
def test_what_means_nothing_in_a_window_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], options: list[str], said: str
) -> None:
    visit = tmp_path / "lobby.visit"
    assert litfield(["play", "greyscale-11", "--visit", str(visit), *options]) == 2
    assert capsys.readouterr().err.startswith(said)
    assert not visit.exists()
