"""A meter read by any program that prints a reading: `command:PROGRAM ARGUMENTS`."""

from __future__ import annotations

import os
import re
import shlex
import signal
import subprocess
import sys
import time
from contextlib import suppress
from threading import Thread
from typing import IO

from player.meters.base import MeterError, MeterReading
from player.meters.text import ORDERS, Order, parse_reading
from readings.records import Specification

TIMEOUT = 60.0
"""Seconds; dark readings of a spectral meter take half a minute."""
MOST_OUTPUT = 65_536
"""Bytes."""


class CommandMeter:
    """Runs a program for each reading; no shell, nothing on its standard input.

    Args:
        command: the program and its arguments, quoted as on a POSIX command line; on Windows as
            Windows has it. `XYZ:`, `Yxy:` or `xyY:` before it says in which order it prints bare
            numbers; otherwise the first reading that can be only one of X Y Z and Y x y settles
            it (see `player.meters.text`).
        timeout: seconds after which the program is ended.
    """

    def __init__(self, command: str, timeout: float = TIMEOUT) -> None:
        self.name = "command"
        self.specification = Specification()
        self._order: Order | None = None
        command = command.strip()
        for order in ORDERS:
            if command.startswith(f"{order}:"):
                self._order = order
                command = command[len(order) + 1 :].strip()
        self._arguments = _arguments(command)
        self._timeout = timeout

    def measure(self) -> MeterReading:
        """Run the program and read what it printed. Raises MeterError, one sentence."""
        output = _run(self._arguments, self._timeout)
        reading, self._order = parse_reading(output, self._order)
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


def _run(arguments: str | list[str], timeout: float) -> str:
    """What the program prints on standard output. Raises MeterError."""
    program = arguments if isinstance(arguments, str) else arguments[0]
    try:
        process = subprocess.Popen(
            arguments,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            bufsize=0,  # what there is, at once
            # a group of its own, so that what the program starts ends with it
            start_new_session=sys.platform != "win32",
        )
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise MeterError(f"The meter's program {program} did not start: {reason}.") from error
    printed, complained = bytearray(), bytearray()
    readers = [
        Thread(target=_read, args=(process.stdout, printed), daemon=True),
        Thread(target=_read_last, args=(process.stderr, complained), daemon=True),
    ]
    for reader in readers:
        reader.start()
    try:
        deadline = time.monotonic() + timeout
        readers[0].join(timeout)
        if len(printed) > MOST_OUTPUT:
            raise MeterError(
                f"The meter's program {program} printed more than {MOST_OUTPUT} bytes: no reading."
            )
        process.wait(max(deadline - time.monotonic(), 0.0))
    except subprocess.TimeoutExpired as error:
        raise MeterError(
            f"The meter's program {program} gave no reading within {timeout:g} s."
        ) from error
    finally:
        _end(process)
        for reader, pipe in zip(readers, (process.stdout, process.stderr), strict=True):
            reader.join(1.0)
            # what the program left running may hold the pipe: its reader then waits on, alone
            if pipe is not None and not reader.is_alive():
                pipe.close()
    if process.returncode != 0:
        raise MeterError(_failure(program, process.returncode, bytes(complained)))
    text = bytes(printed).decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n")
    return re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", " ", text)


def _failure(program: str, code: int, complained: bytes) -> str:
    """Say how the program ended, with the last line that it wrote to standard error."""
    last = complained.decode("utf-8", "replace").strip().splitlines()[-1:]
    said = f", saying {last[0].strip()[:120]!r}" if last else ""
    ended = f"with exit code {code}" if code > 0 else f"by signal {-code}"
    return f"The meter's program {program} ended {ended}{said}."


def _read(pipe: IO[bytes], into: bytearray) -> None:
    """Keep the first bytes, a few more than allowed, and stop there: the rest is not wanted."""
    with suppress(OSError, ValueError):
        while len(into) <= MOST_OUTPUT and (block := pipe.read(4096)):
            into += block


def _read_last(pipe: IO[bytes], into: bytearray) -> None:
    """Read to the end, so that the program never waits, and keep the last few thousand bytes."""
    with suppress(OSError, ValueError):
        while block := pipe.read(4096):
            into += block
            del into[:-4096]


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the program, and on POSIX whatever it started, unless it has ended by itself."""
    if process.poll() is not None:
        return
    if sys.platform == "win32":
        process.kill()
    else:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
    process.wait()
