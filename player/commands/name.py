"""``litfield name``: say afterwards with which instrument readings were typed."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import click

from player.commands.common import one_line, say
from player.outcome import CommandError

if TYPE_CHECKING:
    from player.commands.instruments import AskedInstrument
    from readings.visit.records import Instrument, Reading
    from readings.visit.visit import Visit


@click.command()
@click.argument("visit_path", metavar="VISIT")
@click.option(
    "--instrument",
    required=True,
    metavar="NAME|FILE.yaml",
    callback=one_line,
    help="a YAML file with the instrument's name and what its maker promises, or the name of one "
    "whose promises VISIT knows",
)
@click.option("--reference", is_flag=True, help="the instrument is a reference, not a spot meter")
@click.option("--run", "runs", type=int, multiple=True, metavar="N", help="this run; may be named "
              "several times; without it all runs")  # fmt: skip
@click.option(
    "--again", is_flag=True, help="also readings whose instrument was named afterwards before"
)
def command(
    visit_path: str, instrument: str, reference: bool, runs: tuple[int, ...], again: bool
) -> None:
    """Name the instrument of readings that were typed without one.

    It is kept in VISIT beside the readings, with the time when it was said; they stay as they were
    kept. From then on findings state their uncertainty. A reading that was taken with a named
    instrument keeps that one.
    """
    from player.commands.instruments import asked_instrument
    from readings.visit.visit import Visit, require_sound

    asked = asked_instrument(instrument, reference=reference)
    with Visit.open(visit_path, write=True) as visit:
        require_sound(visit.path, visit.soundness)
        for number in runs:
            visit.run(number)
        mine = [
            reading
            for reading in visit.readings(replaced=True)
            if reading.luminance is not None and (not runs or reading.run in runs)
        ]
        named = [reading for reading in mine if reading.named_at is not None]
        without = [reading for reading in mine if reading.instrument is None]
        if not without and not (again and named):
            more = " --again names another one where that was said afterwards." if named else ""
            say(f"Every reading of light there has its instrument; nothing was kept.{more}")
            return
        meter = _instrument(visit, asked)
        chosen = without + [each for each in named if again and each.instrument != meter.id]
        visit.name_instrument(meter.id, sorted(reading.id for reading in chosen))
    if not chosen:
        say(f"They are with {meter.name} already; nothing was kept.")
        return
    say(f"Kept in {visit_path}: {_told(chosen)} taken with {meter.name}.")


def _instrument(visit: Visit, asked: AskedInstrument) -> Instrument:
    """The visit's record of it, added where it is new."""
    from player.run.unattended import UNKNOWN, known_specification, typed_with

    promised = known_specification(visit, asked.name, asked.specification or UNKNOWN)
    if promised == UNKNOWN:
        raise CommandError(
            f"What the maker of {asked.name or 'the instrument'} promises is not known, so nothing "
            "was kept: name a YAML file with its specification."
        )
    return typed_with(visit, asked.name, asked.role or "spot meter", promised)


def _told(readings: list[Reading]) -> str:
    """`8 readings of run 1 and 1 reading of run 3 were`."""
    from patterns.words import count

    by_run = Counter(reading.run for reading in readings)
    parts = [f"{count(number, 'reading')} of run {run}" for run, number in sorted(by_run.items())]
    said = " and ".join(filter(None, [", ".join(parts[:-1]), parts[-1]]))
    return f"{said} {'was' if len(readings) == 1 else 'were'}"
