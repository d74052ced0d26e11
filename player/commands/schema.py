"""``litfield schema``: JSON Schema of a sequence."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.option("--to", "target", metavar="FILE", help="write it there instead of printing it")
def command(target: str | None) -> None:
    """JSON Schema of a sequence, for editors that complete and check YAML."""
    import json

    import sequences
    from patterns.files.atomic import atomic_write

    text = json.dumps(sequences.schema(), indent=2) + "\n"
    if target is None:
        click.echo(text, nl=False)
        return
    with atomic_write(Path(target)) as file:
        file.write(text.encode())
