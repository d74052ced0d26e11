"""``litfield readings``: all readings as a table."""

from __future__ import annotations

import click


@click.command()
@click.argument("visit")
@click.option("--to", "target", metavar="FILE.csv", required=True, help="the table to write")
def command(visit: str, target: str) -> None:
    """All readings of VISIT as a table, replaced ones too."""
    from readings.table import write_table
    from readings.visit import Visit

    with Visit.open(visit, write=False) as opened:
        write_table(opened, target)
        count = len(opened.readings())
    click.echo(f"{count} readings written to {target}.")
