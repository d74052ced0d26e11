"""Instruments that measure light: one file each, one line each in METERS."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from player.meters.base import Meter, MeterError, MeterReading, close
from player.outputs.base import Output


@dataclass(frozen=True, kw_only=True)
class Circumstances:
    """What a meter may want to know beside its own argument."""

    output: Output | None = None
    """What it looks at; a simulated meter needs to know it."""
    seed: int = 0
    """Of the errors of a simulated meter."""
    timeout: float | None = None
    """Seconds for one reading; None leaves it to the meter."""


def _command(argument: str, around: Circumstances) -> Meter:
    from player.meters.command import TIMEOUT, CommandMeter

    return CommandMeter(argument, TIMEOUT if around.timeout is None else around.timeout)


def _line(argument: str, around: Circumstances) -> Meter:
    from player.meters.line import LineMeter
    from player.meters.line_file import load_line_meter

    described = load_line_meter(argument.strip())
    if around.timeout is not None:
        described = described.model_copy(update={"timeout": around.timeout})
    return LineMeter(described)


def _simulated(argument: str, around: Circumstances) -> Meter:
    from player.meters.simulated import SimulatedMeter, traits_of
    from player.outputs.simulated import SimulatedOutput

    traits = traits_of(argument)
    if not isinstance(around.output, SimulatedOutput):
        raise MeterError("The simulated meter sees nothing but a simulated display.")
    return SimulatedMeter(around.output.display, traits, around.seed)


METERS: dict[str, Callable[[str, Circumstances], Meter]] = {
    "command": _command,
    "line": _line,
    "simulated": _simulated,
}


def open_meter(
    text: str, output: Output | None = None, seed: int = 0, timeout: float | None = None
) -> Meter:
    """A meter as the command line names it: `command:PROGRAM ARGUMENTS`, `line:FILE`, `simulated`.

    `simulated:reference` is the other simulated instrument, and `seed` that of its errors; it
    looks at the display behind `output`. `timeout` is in seconds, for one reading. Raises
    MeterError, one sentence.
    """
    name, _, argument = text.partition(":")
    maker = METERS.get(name.strip())
    if maker is None:
        raise MeterError(f"There is no meter {name.strip()!r}; there are {', '.join(METERS)}.")
    return maker(argument, Circumstances(output=output, seed=seed, timeout=timeout))


__all__ = ["METERS", "Meter", "MeterError", "MeterReading", "close", "open_meter"]
