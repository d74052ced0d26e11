"""The instrument of `litfield play`: its name, or a file that describes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import click

from player.commands.common import one_line
from player.outcome import CommandError

if TYPE_CHECKING:
    from player.meters import Moves
    from readings.visit.records import InstrumentRole, Specification
    from readings.visit.visit import Visit

_OPTIONS = (
    click.option(
        "--instrument",
        default="",
        metavar="NAME|FILE.yaml",
        callback=one_line,
        help="the instrument as the visit keeps it, also where its readings are typed: its name, "
        "or a YAML file with its name and what its maker promises",
    ),
    click.option(
        "--reference", is_flag=True, help="the instrument is a reference, not a spot meter"
    ),
)


def instrument_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options about the instrument to a command."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


@dataclass(frozen=True)
class AskedInstrument:
    """The instrument as the operator has it."""

    name: str = ""
    """Empty where it keeps its own."""
    role: InstrumentRole | None = None
    """None where it keeps its own."""
    specification: Specification | None = None
    """What its maker promises; None where the operator does not say."""
    moves: Moves | None = None
    """Whether it comes to the place that is read; None where the operator does not say."""

    def keep_in(self, visit: Visit) -> None:
        """Keep what is said of an instrument whose readings are typed."""
        from player.run.unattended import typed_with

        if self.specification is not None:
            typed_with(visit, self.name, self.role or "spot meter", self.specification)


def asked_instrument(text: str, *, reference: bool) -> AskedInstrument:
    """The instrument of `--instrument` and `--reference`.

    Raises:
        CommandError: the name is empty, or the file does not describe an instrument.
    """
    from player.meters.base import MeterError
    from player.meters.instrument_file import is_description, load_instrument
    from player.run.unattended import UNKNOWN

    role: InstrumentRole | None = "reference" if reference else None
    if text and not text.strip():
        raise CommandError("--instrument names an instrument; it was given nothing but spaces.")
    if not is_description(text):
        return AskedInstrument(text, role)
    try:
        described = load_instrument(text.strip())
    except MeterError as error:
        raise CommandError(f"--instrument: {error}") from error
    promised = described.promised
    specification = promised if promised != UNKNOWN else None
    return AskedInstrument(described.name, role or described.role, specification, described.moves)
