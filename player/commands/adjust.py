"""``litfield adjust``: adjust a display by its own controls."""

from __future__ import annotations

from typing import Any

import click

from player.commands.play import asked_options, play, play_options
from player.outcome import CommandError

USUAL = "two-then-ten"


@click.command()
@click.argument("what", metavar="[NAME]", default=USUAL)
@play_options
def command(what: str, **options: Any) -> None:
    """Adjust the display by its own controls: what to turn how far, and when to stop.

    NAME is a shipped adjustment, such as two-point, ten-point, six-colour or backlight-first, each
    also for PQ (two-point-pq); two-then-ten where none is named. One that was left is taken up
    where it was.
    """
    from sequences.plans.tasks import ADJUSTMENT, adjustments

    known = adjustments()
    if what not in known:
        raise CommandError(f"There is no adjustment {what!r}; there are {', '.join(known)}.")
    play(asked_options(source=f"{ADJUSTMENT}{what}", **options))
