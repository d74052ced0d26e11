"""``litfield schema``: JSON Schema of a sequence, a plan, or the controls of a display."""

from __future__ import annotations

from pathlib import Path

import click

from player.commands.common import require_file, say
from player.outcome import NOT_FINISHED, CommandError


@click.command()
@click.option("--to", "target", metavar="FILE", help="write it there instead of printing it")
@click.option("--plan", "of_plan", is_flag=True, help="of a plan instead of a sequence")
@click.option(
    "--controls", "of_controls", is_flag=True, help="of a file with the controls of a display"
)
def command(target: str | None, *, of_plan: bool, of_controls: bool) -> None:
    """JSON Schema of a sequence or a plan, for editors that complete and check YAML."""
    import json

    import sequences
    from patterns.atomic import atomic_write, why
    from sequences import controls, plans

    if of_plan and of_controls:
        raise CommandError("Say --plan or --controls, not both.")
    if target is not None:
        require_file(Path(target))
    of = controls if of_controls else plans if of_plan else sequences
    schema = of.schema()
    text = json.dumps(schema, indent=2) + "\n"
    if target is None:
        say(text, nl=False)
        return
    try:
        with atomic_write(Path(target), follow=True) as file:
            file.write(text.encode())
    except OSError as error:
        raise CommandError(f"{target} cannot be written: {why(error)}.", NOT_FINISHED) from error
