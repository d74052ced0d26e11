"""Times on the command line: read as meant, or refused in a sentence."""

from __future__ import annotations

import click
import pytest

from player.cli import run as litfield
from player.commands.play import command
from player.commands.timing import duration
from player.outcome import CommandError

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
