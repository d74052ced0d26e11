"""``litfield zones``: a zone count from tallies and comb answers made elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from patterns.words import count
from player.commands.common import console, json_option, say
from player.outcome import CommandError

if TYPE_CHECKING:
    from readings.zones import AxisCount, ZoneCount


@click.command()
@click.option(
    "--tallies", metavar="FILE", required=True, help="CSV: axis,pass,direction,position_px"
)
@click.option("--combs", metavar="FILE", help="CSV: axis,n,spacing,groups")
@click.option("--size", metavar="WxH", required=True, help="canvas in pixels, as 3840x2160")
@json_option
def command(tallies: str, combs: str | None, size: str, as_json: bool) -> None:
    """Count dimming zones from presses at their edges: columns, rows, product, and how sure."""
    width, height = _size(size)
    from readings.zones import count_axis, zone_count
    from readings.zones.tables import TallyError, read_combs, read_tallies

    wrong = []
    passes, answers = {}, {}
    try:
        passes = read_tallies(tallies, width, height)
    except TallyError as error:
        wrong.append(str(error))
    try:
        answers = read_combs(combs) if combs else {}
    except TallyError as error:
        wrong.append(str(error))
    if wrong:
        raise CommandError("\n".join(wrong))

    def along(axis: str, pixels: int) -> AxisCount | None:
        if axis not in passes and axis not in answers:
            return None
        return count_axis(passes.get(axis, ()), pixels, answers.get(axis, ()))

    found = zone_count(along("columns", width), along("rows", height))
    if as_json:
        import json

        say(json.dumps(found.settled()))
    else:
        _print(found)


def _size(text: str) -> tuple[int, int]:
    """``--size`` in pixels."""
    from player.commands.common import canvas_of

    canvas = canvas_of(text)
    return canvas.width, canvas.height


def _print(found: ZoneCount) -> None:
    """A table, then what it is, what speaks against it, and what to do next."""
    from rich.table import Table

    axes = {"columns": found.columns, "rows": found.rows}
    table = Table("", "count", "95 % set", "rests on", box=None, pad_edge=False)
    for name, axis in axes.items():
        if axis:
            table.add_row(name, axis.written(), _listed(axis.set95), _rests_on(axis))
        else:
            table.add_row(name, "unknown", "", "nothing")
    table.add_row("zones", found.written(), _listed(found.set95 or ()), "columns × rows")
    screen = console()
    screen.print(table)
    screen.print()
    screen.print(found.kind())
    combs = False
    for name, axis in axes.items():
        if axis:
            sentences = [*axis.doubts(), axis.advice()]
            combs = combs or "the comb" in axis.advice()
            for sentence in filter(None, sentences):
                screen.print(f"{name.capitalize()}: {sentence}")
    if combs:
        screen.print("To show a comb, play zone-count: Up and Down change the supposed count.")


LISTED = 8
"""Counts of a 95 % set that are listed; of longer ones the ends are told."""


def _listed(counts: tuple[int, ...]) -> str:
    if len(counts) <= LISTED:
        return ", ".join(map(str, counts))
    return f"{len(counts)} counts from {counts[0]} to {counts[-1]}"


def _rests_on(axis: AxisCount) -> str:
    parts = [f"{_many(axis.presses, 'press')} in {_many(axis.passes, 'pass')}"]
    if axis.combs:
        parts.append(count(axis.combs, "comb"))
    return ", ".join(parts)


def _many(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}es"
