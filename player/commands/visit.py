"""``litfield visit``: a whole sitting; or what is in a visit, and what was kept wrongly."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import click

from player.commands.common import console, one_line, say
from player.commands.sitting import AskedSitting, sit, sitting_options
from player.commands.stating import Asked
from player.outcome import NOT_FINISHED, CommandError


def _line(context: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    return None if value is None else one_line(context, parameter, value)


@click.command()
@click.argument("visit_path", metavar="VISIT")
@click.option("--display", metavar="TEXT", callback=_line, help="the display's name")
@click.option("--settings", metavar="TEXT", callback=_line, help="how the display was set")
@click.option("--place", metavar="TEXT", callback=_line, help="where the display hangs")
@click.option("--run", "runs", type=int, multiple=True, metavar="N", help="the run that the "
              "following is said of; may be named several times")  # fmt: skip
@click.option("--condition", metavar="TEXT", callback=_line, help="what the run was taken under")
@click.option("--set-aside", is_flag=True, help="the run is kept, and is in no finding")
@click.option("--count-again", is_flag=True, help="a run that was set aside counts again")
@click.option("--why", metavar="TEXT", callback=_line, help="the reason, kept as a note of the run")
@click.option("--by", metavar="NAME", callback=_line, help="who says so; VISIT remembers it")
@sitting_options
def command(visit_path: str, set_aside: bool, count_again: bool, **said: Any) -> None:
    """What is in VISIT, and what is missing; with options of a run or the display, what was wrong;
    with --plan, a whole sitting in one pair of windows, taken up where it was left.

    What is said is kept in VISIT beside what it corrects, with who said it and when. Nothing that
    was kept is changed; what was said last counts.
    """
    sitting = AskedSitting(**{each.name: said.pop(each.name) for each in fields(AskedSitting)})
    if sitting.plan_source:
        about = {what: said.pop(what) or "" for what in ("settings", "place")}
        name = said.pop("display") or ""
        if set_aside or count_again or any(said.values()):
            raise CommandError("Say what was wrong without --plan, before the sitting or after it.")
        sit(visit_path, sitting, name=name, **about)
        return
    sitting.require_none()
    if set_aside and count_again:
        raise CommandError("A run is either set aside or counts again: leave one of them out.")
    asked = Asked(counted=count_again if set_aside or count_again else None, **said)
    if asked:
        _correct(visit_path, asked)
    else:
        _show(visit_path)


def _correct(path: str, asked: Asked) -> None:
    from player.commands.stating import keep, nearly
    from readings.visit.visit import Visit, require_sound

    asked.require_whole()
    with Visit.open(path, write=True) as visit:
        require_sound(visit.path, visit.soundness)
        told = keep(visit, asked)
        near = nearly(visit, asked)
    if told:
        say(f"Kept in {path}: {'; '.join(told)}.")
        if near:
            say(near, err=True)
    else:
        say("That is what counts already; nothing was kept.")


def _show(path: str) -> None:
    from player.commands.overview import print_overview
    from player.visits import damage_text
    from readings.visit.visit import Visit

    with Visit.open(path, write=False) as visit:
        print_overview(visit, console())
        if unseen := visit.soundness.unseen():
            say(f"{path}: {unseen}")
        if damage := damage_text(path, visit.soundness, "the list above"):
            raise CommandError(damage, NOT_FINISHED)
