"""The clock on the command line: warming up, the time there is, how long bright may stand."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import click

from player.commands.common import Number
from player.outcome import CommandError

Command = TypeVar("Command", bound=Callable[..., Any])
SECONDS = {"s": 1.0, "m": 60.0, "min": 60.0, "h": 3600.0}
LONGEST_TIME = 24 * 3600.0
"""Seconds above which a time is a slip."""


def duration(_: click.Context, parameter: click.Parameter, value: str | None) -> float | None:
    """A time such as `30m`, `90 s` or `1.5h`, in seconds; None where none was given."""
    if value is None:
        return None
    found = re.fullmatch(r"\s*(\d{1,6}(?:[.,]\d{1,3})?)\s*(s|m|min|h)\s*|\s*0\s*", value)
    if found is None:
        raise CommandError(f"{parameter.opts[0]} takes a time such as 30m or 90s, not {value!r}.")
    if found[1] is None:
        return 0.0
    seconds = float(found[1].replace(",", ".")) * SECONDS[found[2]]
    if seconds > LONGEST_TIME:
        raise CommandError(f"{parameter.opts[0]} takes at most a day, not {value!r}.")
    return seconds


def time_options(command: Command) -> Command:
    """Add the options of this page."""
    for option in reversed(
        (
            click.option(
                "--warm-up",
                metavar="TIME",
                callback=duration,
                help="such as 30m: the window shows how far the display has warmed up since the "
                "visit began",
            ),
            click.option(
                "--minutes",
                type=Number(0, 24 * 60, min_open=True),
                metavar="N",
                help="how much time there is: steps are played by importance, and the window says "
                "what will not fit",
            ),
            click.option(
                "--longest-bright",
                metavar="TIME",
                callback=duration,
                help="how long a bright picture may stand still before it goes black by itself; 0 "
                "for any  [default: 10m, or 5m with the caution static]",
            ),
        )
    ):
        command = option(command)
    return command
