"""``litfield schema``: JSON Schema of a sequence or a plan."""

from __future__ import annotations

from pathlib import Path

import click

from player.commands.common import require_file, say
from player.outcome import NOT_FINISHED, CommandError


@click.command()
@click.option("--to", "target", metavar="FILE", help="write it there instead of printing it")
@click.option("--plan", "of_plan", is_flag=True, help="of a plan instead of a sequence")
def command(target: str | None, *, of_plan: bool) -> None:
    """JSON Schema of a sequence or a plan, for editors that complete and check YAML."""
    import json

    import sequences
    from patterns.atomic import atomic_write, why
    from sequences import plans

    if target is not None:
        require_file(Path(target))
    schema = plans.schema() if of_plan else sequences.schema()
    text = json.dumps(schema, indent=2) + "\n"
    if target is None:
        say(text, nl=False)
        return
    try:
        with atomic_write(Path(target), follow=True) as file:
            file.write(text.encode())
    except OSError as error:
        raise CommandError(f"{target} cannot be written: {why(error)}.", NOT_FINISHED) from error
