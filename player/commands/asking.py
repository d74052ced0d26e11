"""What is asked before a run begins: whether its condition is meant as an earlier one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from patterns.plain import plain
from player.commands.common import say

if TYPE_CHECKING:
    from patterns.picture.canvas import Canvas
    from sequences.model import Sequence


def confirmed_condition(
    path: Path, sequence: Sequence, condition: str, output: str, canvas: Canvas | None
) -> str:
    """The condition that a run is to be under: the one that was typed, or an earlier one.

    Args:
        path: the visit; it may not be there yet.
        sequence: what is to be played.
        condition: as it was typed.
        output: what shows it: `window`, `files` or `simulated`.
        canvas: on which; None where only the window will tell.
    """
    from player.run.alike import questions
    from player.run.record import earlier_runs
    from readings.visit.visit import Visit

    if not path.exists():
        return condition
    with Visit.open(path, write=False) as visit:
        asked = questions(condition, earlier_runs(visit, sequence, output, canvas))
    if not asked:
        return condition
    if not sys.stdin.isatty():
        under = f"under '{condition}', as typed" if condition else "without a condition, as typed"
        say(f"{asked[0].found[:-1]}; this is a run {under}.", err=True)
        return condition
    for question in asked:
        if click.confirm(plain(str(question)), default=None, err=True):
            return question.condition
    return condition
