"""``litfield patterns``: the catalogue."""

from __future__ import annotations

import click

from player.commands.common import console, json_option, say
from player.outcome import CommandError


@click.command()
@click.argument("kind", required=False)
@json_option
def command(kind: str | None, as_json: bool) -> None:
    """The catalogue of pattern kinds; with KIND, its parameters, units and defaults."""
    from patterns.kinds import KINDS

    if kind is not None and kind not in KINDS:
        raise CommandError(f"There is no kind {kind!r}; there are {', '.join(KINDS)}.")
    if as_json:
        _print_json(kind)
        return
    from rich.table import Table

    screen = console()
    if kind is None:
        families = dict.fromkeys(model.family for model in KINDS.values())
        table = Table("kind", "what it shows", box=None, pad_edge=False)
        for family in families:
            table.add_row("", "")
            table.add_row(f"[bold]{family}[/bold]", "")
            for name, model in KINDS.items():
                if model.family == family:
                    table.add_row(f"  {name}", model.summary)
        screen.print(table)
        screen.print("\nlitfield patterns KIND lists the parameters of one.")
        return
    screen.print(f"{kind}: {KINDS[kind].summary}\n")
    table = Table("parameter", "default", "meaning", box=None, pad_edge=False)
    for name, default, meaning in parameters(kind):
        table.add_row(name, default, meaning)
    screen.print(table)


def parameters(kind: str) -> list[tuple[str, str, str]]:
    """Name, default and meaning of each parameter of a kind, as a sequence writes them."""
    from patterns.kinds import KINDS

    rows = []
    for name, info in KINDS[kind].model_fields.items():
        written = info.alias or name
        default = "needed" if info.is_required() else _plain(info.default)
        rows.append((written, default, info.description or ""))
    return sorted(rows, key=lambda row: row[0] == "clip")


def _plain(default: object) -> str:
    from pydantic import BaseModel

    if default is None:
        return "-"
    if isinstance(default, bool):
        return "true" if default else "false"  # the words of YAML 1.2: what is shown can be written
    if isinstance(default, list | tuple):
        return ", ".join(_plain(each) for each in default) or "none"
    if isinstance(default, BaseModel):
        inside = ", ".join(f"{name}: {_plain(value)}" for name, value in default)
        return "{" + inside + "}"
    return str(default)


def _print_json(kind: str | None) -> None:
    import json

    from patterns.kinds import KINDS

    names = [kind] if kind else list(KINDS)
    data = {
        name: {
            "summary": KINDS[name].summary,
            "family": KINDS[name].family,
            "parameters": {
                parameter: {"default": default, "meaning": meaning}
                for parameter, default, meaning in parameters(name)
            },
        }
        for name in names
    }
    say(json.dumps(data, indent=2))
