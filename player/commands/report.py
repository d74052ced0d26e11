"""``litfield report``: what the readings mean."""

from __future__ import annotations

import click

from player.commands.common import console, folder_to_write, say
from player.outcome import NOT_FINISHED, CommandError


@click.command()
@click.argument("visits", metavar="VISIT...", nargs=-1)
@click.option("--to", "target", metavar="DIR", required=True, help="the folder to write into")
def command(visits: tuple[str, ...], target: str) -> None:
    """Findings of VISIT, as report.html, report.pdf, findings.json and readings.xlsx.

    Several visits stand side by side: `litfield report before.visit after.visit --to DIR`.
    """
    if not visits:
        raise CommandError("Name the visit file to report on.")
    from pathlib import Path

    from player.visits import damage_text
    from readings.report import gather_all, named_twice, print_findings, write_contents

    paths = [Path(visit) for visit in visits]
    if twice := named_twice(paths):
        raise CommandError(twice)
    contents = gather_all(paths)
    written = write_contents(contents, folder_to_write(target))
    for each in contents:
        if each.findings or not each.not_worked_out:
            print_findings(each.findings, console())
    for path in written:
        say(f"Written: {path}")
    for each in contents:
        if unseen := each.soundness.unseen():
            say(f"{each.file}: {unseen}")
    amiss = [damage_text(each.file, each.soundness, "the report") for each in contents]
    failed = [
        f"{failed.finding} of {each.file} ({failed.why})"
        for each in contents
        for failed in each.not_worked_out
    ]
    if failed:
        amiss.append(
            f"Not worked out, for an error of this program: {'; '.join(failed)}. "
            "All else of the report is written."
        )
    if any(amiss):
        raise CommandError("\n".join(filter(None, amiss)), NOT_FINISHED)
