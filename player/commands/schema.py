"""``litfield schema``: JSON Schema of a sequence."""

from __future__ import annotations

from pathlib import Path

import click

from player.commands.common import require_file, say
from player.outcome import NOT_FINISHED, CommandError


@click.command()
@click.option("--to", "target", metavar="FILE", help="write it there instead of printing it")
def command(target: str | None) -> None:
    """JSON Schema of a sequence, for editors that complete and check YAML."""
    import json

    import sequences
    from patterns.atomic import atomic_write, why

    if target is not None:
        require_file(Path(target))
    text = json.dumps(sequences.schema(), indent=2) + "\n"
    if target is None:
        say(text, nl=False)
        return
    try:
        with atomic_write(Path(target), follow=True) as file:
            file.write(text.encode())
    except OSError as error:
        raise CommandError(f"{target} cannot be written: {why(error)}.", NOT_FINISHED) from error
