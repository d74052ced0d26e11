"""``litfield readings``: all readings as a table."""

from __future__ import annotations

import click

from patterns.words import count
from player.commands.common import require_file, say
from player.outcome import NOT_FINISHED, CommandError


@click.command()
@click.argument("visit")
@click.option(
    "--to", "target", metavar="FILE.csv|FILE.xlsx", required=True, help="the table to write"
)
def command(visit: str, target: str) -> None:
    """All readings of VISIT as a table, replaced ones too, and each step that was not read.

    Of a damaged visit, the table holds what is whole, and says what is left out.
    """
    from pathlib import Path

    from player.visits import damage_text
    from readings.visit.table import rows, write_table
    from readings.visit.visit import Visit

    require_file(Path(target))
    with Visit.open(visit, write=False) as opened:
        write_table(opened, target)
        number = len(opened.readings(replaced=True))
        unread = sum(row["unread"] is not None for row in rows(opened))
    without = f", and {count(unread, 'step')} without one, with the reason" if unread else ""
    say(f"{count(number, 'reading')} written to {target}{without}.")
    if unseen := opened.soundness.unseen():
        say(f"{visit}: {unseen}")
    if damage := damage_text(visit, opened.soundness, target):
        raise CommandError(damage, NOT_FINISHED)
