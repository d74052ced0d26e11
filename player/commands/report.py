"""``litfield report``: what the readings mean."""

from __future__ import annotations

import click

from player.commands.common import console, folder_to_write
from player.outcome import CommandError


@click.command()
@click.argument("visits", metavar="VISIT...", nargs=-1)
@click.option("--to", "target", metavar="DIR", required=True, help="the folder to write into")
def command(visits: tuple[str, ...], target: str) -> None:
    """Findings of VISIT with their uncertainty: report.html and findings.json."""
    if not visits:
        raise CommandError("Name the visit file to report on.")
    from pathlib import Path

    from readings.findings import findings_of
    from readings.report import print_findings, write_report
    from readings.visit import Visit

    for visit in visits:
        with Visit.open(visit, write=False):
            pass
    folder = folder_to_write(target)
    written = write_report([Path(visit) for visit in visits], folder)
    for visit in visits:
        with Visit.open(visit, write=False) as opened:
            print_findings(findings_of(opened), console())
    for path in written:
        click.echo(f"Written: {path}")
