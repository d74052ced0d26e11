"""A meter read by any program that prints a reading: `command:PROGRAM ARGUMENTS`."""

from __future__ import annotations

import os
import re
import shlex
import sys
import time
from contextlib import suppress
from threading import Lock, Thread
from typing import IO

from patterns.place import Place
from player.meters.base import MeterError, MeterReading, Moves, place_fields, room_for
from player.meters.program import Program, start
from player.meters.text import ORDERS, Order, parse_reading
from readings.visit.records import Specification

TIMEOUT = 60.0
"""Seconds; dark readings of a spectral meter take half a minute."""
MOST_OUTPUT = 65_536
"""Bytes."""
LOOK = 0.25
"""Seconds between two looks at whether a program has ended that prints nothing."""
GRACE = 1.0
"""Seconds for what an ended program has printed to be read."""
OF_PLACE = "LITFIELD_PLACE"
"""What the names of a program's environment begin with that tell it the place to read."""


class CommandMeter:
    """Runs a program for each reading; no shell, nothing on its standard input.

    Args:
        command: the program and its arguments, quoted as on a POSIX command line; on Windows as
            Windows has it. `XYZ:`, `Yxy:` or `xyY:` before it says in which order it prints bare
            numbers; otherwise the first reading that can be only one of X Y Z and Y x y settles
            it (see `player.meters.text`).
        timeout: seconds after which the program is ended.
        moves: whether the program brings the meter to the place that it is told.
    """

    def __init__(self, command: str, timeout: float = TIMEOUT, *, moves: Moves = "no") -> None:
        self.name = "command"
        self.moves = moves
        self.specification = Specification()
        self._order: Order | None = None
        command = command.strip()
        for order in ORDERS:
            if command.startswith(f"{order}:"):
                self._order = order
                command = command[len(order) + 1 :].strip()
        self._arguments = _arguments(command)
        self._timeout = timeout
        self._running: set[Program] = set()
        self._lock = Lock()
        self._place: Place | None = None

    def aim(self, place: Place | None) -> None:
        """Tell the program the place of its next readings; None where it is not known."""
        self._place = place

    def give_up(self) -> None:
        """End the program that is under way: its measurement fails."""
        for program in list(self._running):
            program.give_up()

    close = give_up

    def measure(self) -> MeterReading:
        """Run the program and read what it printed. Raises MeterError, one sentence."""
        with self._lock:  # what is given up still ends first: an instrument answers one at a time
            output = _run(self._arguments, self._timeout, self._running, _around(self._place))
        reading, self._order = parse_reading(output, self._order, room_for(self))
        return reading


def _arguments(command: str) -> str | list[str]:
    """As `subprocess` takes it: a list on POSIX, the command line itself on Windows."""
    if not command or "\0" in command:
        raise MeterError("A meter by command is written command:PROGRAM ARGUMENTS.")
    if sys.platform == "win32":
        return command
    try:
        arguments = shlex.split(command)
    except ValueError as error:
        raise MeterError(f"The meter's command {command!r} has a quotation without end.") from error
    if not arguments or not arguments[0]:
        raise MeterError("A meter by command is written command:PROGRAM ARGUMENTS.")
    return arguments


def _around(place: Place | None) -> dict[str, str]:
    """The program's environment: the player's own, and the place where it is known."""
    around = {name: text for name, text in os.environ.items() if not name.startswith(OF_PLACE)}
    if place is None:
        return around
    for name, text in place_fields(place).items():
        around[OF_PLACE if name == "place" else f"{OF_PLACE}_{name.upper()}"] = text
    return around


def _run(
    arguments: str | list[str], timeout: float, running: set[Program], around: dict[str, str]
) -> str:
    """What the program prints on standard output; it is in `running` meanwhile.

    Raises MeterError.
    """
    name = arguments if isinstance(arguments, str) else arguments[0]
    try:
        program = start(arguments, around)
    except (OSError, ValueError) as error:
        raise _not_started(name, error) from error
    running.add(program)
    printed, complained = bytearray(), bytearray()
    readers = [
        Thread(target=_read, args=(program.stdout, printed), daemon=True),
        Thread(target=_read_last, args=(program.stderr, complained), daemon=True),
    ]
    for reader in readers:
        reader.start()
    try:
        deadline = time.monotonic() + timeout
        # what the program leaves running may hold its output open long after it has ended
        while readers[0].is_alive() and not program.ended() and time.monotonic() < deadline:
            readers[0].join(min(LOOK, max(deadline - time.monotonic(), 0.0)))
        if program.ended():
            readers[0].join(GRACE)
        if len(printed) > MOST_OUTPUT:
            raise MeterError(
                f"The meter's program {name} printed more than {MOST_OUTPUT} bytes: no reading."
            )
        if not program.wait(max(deadline - time.monotonic(), 0.0)):
            raise MeterError(f"The meter's program {name} gave no reading within {timeout:g} s.")
        code = program.end()
    except OSError as error:
        raise _not_started(name, error) from error
    finally:
        with suppress(OSError):
            program.end()
        running.discard(program)
        # what the program left running may hold a pipe: its reader then waits on, alone
        readers[1].join(GRACE)
    if code != 0:
        raise MeterError(_failure(name, code, bytes(complained)))
    if readers[0].is_alive() and not printed.endswith(b"\n"):
        raise MeterError(f"The meter's program {name} ended without ending its last line.")
    text = bytes(printed).decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", " ", text)


def _not_started(name: str, error: Exception) -> MeterError:
    reason = getattr(error, "strerror", None) or str(error)
    return MeterError(f"The meter's program {name} did not start: {reason}.")


def _failure(program: str, code: int, complained: bytes) -> str:
    """Say how the program ended, with the last line that it wrote to standard error."""
    last = complained.decode("utf-8", "replace").strip().splitlines()[-1:]
    last_words = f", saying {last[0].strip()[:120]!r}" if last else ""
    ended = f"with exit code {code}" if code > 0 else f"by signal {-code}"
    return f"The meter's program {program} ended {ended}{last_words}."


def _read(pipe: IO[bytes], into: bytearray) -> None:
    """Keep the first bytes, a few more than allowed, and stop there: the rest is not wanted."""
    with pipe, suppress(OSError, ValueError):
        while len(into) <= MOST_OUTPUT and (block := pipe.read(4096)):
            into += block


def _read_last(pipe: IO[bytes], into: bytearray) -> None:
    """Read to the end, so that the program never waits, and keep the last few thousand bytes."""
    with pipe, suppress(OSError, ValueError):
        while block := pipe.read(4096):
            into += block
            del into[:-4096]
