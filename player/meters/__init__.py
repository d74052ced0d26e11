"""Instruments that measure light: one file each, one line each in METERS."""

from __future__ import annotations

from collections.abc import Callable

from player.meters.base import Meter, MeterError, MeterReading
from player.outputs.base import Output


def _command(argument: str, _output: Output | None, _seed: int) -> Meter:
    from player.meters.command import CommandMeter

    return CommandMeter(argument)


def _simulated(argument: str, output: Output | None, seed: int) -> Meter:
    from player.meters.simulated import TRAITS, SimulatedMeter
    from player.outputs.simulated import SimulatedOutput

    traits = TRAITS.get(argument.strip() or "spot meter")
    if traits is None:
        raise MeterError(
            f"There is no simulated meter {argument.strip()!r}; there are {', '.join(TRAITS)}."
        )
    if not isinstance(output, SimulatedOutput):
        raise MeterError("The simulated meter sees nothing but a simulated display.")
    return SimulatedMeter(output.display, traits, seed)


METERS: dict[str, Callable[[str, Output | None, int], Meter]] = {
    "command": _command,
    "simulated": _simulated,
}


def open_meter(text: str, output: Output | None = None, seed: int = 0) -> Meter:
    """A meter as the command line names it: `command:PROGRAM ARGUMENTS`, `simulated`.

    `simulated:reference` is the other simulated instrument, and `seed` that of its errors; it
    looks at the display behind `output`. Raises MeterError, one sentence.
    """
    name, _, argument = text.partition(":")
    maker = METERS.get(name.strip())
    if maker is None:
        raise MeterError(f"There is no meter {name.strip()!r}; there are {', '.join(METERS)}.")
    return maker(argument, output, seed)


__all__ = ["METERS", "Meter", "MeterError", "MeterReading", "open_meter"]
