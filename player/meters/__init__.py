"""Instruments that measure light: one file each, one line each in METERS."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from player.meters.base import Meter, MeterError, MeterReading, Moves, close
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
    moves: Moves | None = None
    """Whether it comes to the place that is read; None leaves it to the meter."""


def _command(argument: str, around: Circumstances) -> Meter:
    from player.meters.command import TIMEOUT, CommandMeter

    timeout = TIMEOUT if around.timeout is None else around.timeout
    return CommandMeter(argument, timeout, moves=around.moves or "no")


def _line(argument: str, around: Circumstances) -> Meter:
    from player.meters.line import LineMeter
    from player.meters.line_file import load_line_meter

    described = load_line_meter(argument.strip())
    if around.timeout is not None:
        described = described.model_copy(update={"timeout": around.timeout})
    if around.moves is not None:
        described = described.model_copy(update={"moves": around.moves})
    return LineMeter(described)


def _simulated(argument: str, around: Circumstances) -> Meter:
    from player.meters.simulated import SimulatedMeter, traits_of
    from player.outputs.simulated import SimulatedOutput

    traits = traits_of(argument)
    if not isinstance(around.output, SimulatedOutput):
        raise MeterError("The simulated meter sees nothing but a simulated display.")
    return SimulatedMeter(around.output.display, traits, around.seed, moves=around.moves or "yes")


METERS: dict[str, Callable[[str, Circumstances], Meter]] = {
    "command": _command,
    "line": _line,
    "simulated": _simulated,
}


def open_meter(
    text: str,
    output: Output | None = None,
    seed: int = 0,
    timeout: float | None = None,
    moves: Moves | None = None,
) -> Meter:
    """A meter as the command line names it: `command:PROGRAM ARGUMENTS`, `line:FILE`, `simulated`.

    `simulated:reference` is the other simulated instrument, and `seed` that of its errors; it
    looks at the display behind `output`. `timeout` is in seconds, for one reading. `moves` says
    whether it comes to the place that is read; otherwise its file does, or it does not, but for
    the simulated one. Raises MeterError, one sentence.
    """
    name, _, argument = text.partition(":")
    maker = METERS.get(name.strip())
    if maker is None:
        raise MeterError(f"There is no meter {name.strip()!r}; there are {', '.join(METERS)}.")
    return maker(argument, Circumstances(output=output, seed=seed, timeout=timeout, moves=moves))


__all__ = ["METERS", "Meter", "MeterError", "MeterReading", "Moves", "close", "open_meter"]
