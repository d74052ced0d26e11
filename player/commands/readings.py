"""``litfield readings``: all readings as a table."""

from __future__ import annotations

import click

from player.commands.common import count, require_file, say


@click.command()
@click.argument("visit")
@click.option(
    "--to", "target", metavar="FILE.csv|FILE.xlsx", required=True, help="the table to write"
)
def command(visit: str, target: str) -> None:
    """All readings of VISIT as a table, replaced ones too."""
    from pathlib import Path

    from readings.table import write_table
    from readings.visit import Visit

    require_file(Path(target))
    with Visit.open(visit, write=False) as opened:
        write_table(opened, target)
        number = len(opened.readings(replaced=True))
    say(f"{count(number, 'reading')} written to {target}.")
