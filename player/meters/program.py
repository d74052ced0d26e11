"""A meter's program under way, with everything that it starts: it ends as a whole."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import IO, Any, Protocol

from player.meters.on_windows import Job

KEEPER = Path(__file__).with_name("keeper.py")
PATIENCE = 5.0
"""Seconds that the keeper has to end everything, before it is ended itself."""
LOST = -9
"""The code of a program that was ended, and whose own nobody learnt."""


class Program(Protocol):
    """One run of a program; its output is read from its pipes."""

    stdout: IO[bytes]
    stderr: IO[bytes]

    def ended(self) -> bool:
        """Whether it has ended."""
        ...

    def wait(self, seconds: float) -> bool:
        """Wait for its end; whether it came in time."""
        ...

    def give_up(self) -> None:
        """Have it ended with all that it started, soon; from any thread."""
        ...

    def end(self) -> int:
        """End it with all that it started, unless it ended by itself; its exit code, -N by signal.

        What a program that ended by itself has left running is left alone. Raises OSError where
        it did not start.
        """
        ...


class KeptProgram:
    """A program under a keeper: see `player.meters.keeper`. POSIX."""

    def __init__(self, arguments: list[str], around: Mapping[str, str] | None = None) -> None:
        self._status, status = os.pipe()
        try:
            self._keeper = _started(
                # isolated, and without the site's packages: it is there in an instant
                [sys.executable, "-I", "-S", str(KEEPER), str(status), *arguments],
                stdin=subprocess.PIPE,
                env=around,
                pass_fds=(status,),
                # out of reach of the terminal's keys: the player decides what ends
                start_new_session=True,
            )
        except BaseException:
            os.close(self._status)
            raise
        finally:
            os.close(status)
        self.stdout, self.stderr = _pipes(self._keeper)
        self._code: int | None = None

    def ended(self) -> bool:
        return self._keeper.poll() is not None

    def wait(self, seconds: float) -> bool:
        return _waited(self._keeper, seconds)

    def give_up(self) -> None:
        if self._keeper.stdin is not None:
            self._keeper.stdin.close()

    def end(self) -> int:
        if self._code is None:
            self.give_up()
            if not self.wait(PATIENCE):
                self._keeper.kill()
                self._keeper.wait()
            self._code = LOST
            self._code = self._code_kept()
        return self._code

    def _code_kept(self) -> int:
        """What the keeper has said of the end."""
        with os.fdopen(self._status, "rb") as file:
            what, _, number = file.readline().decode("ascii").partition(" ")
        if what == "errno":
            raise OSError(int(number), os.strerror(int(number)))
        return int(number) if what == "code" else LOST


class JobProgram:
    """A program in a job: see `player.meters.on_windows`. Windows."""

    def __init__(
        self,
        arguments: str | list[str],
        kernel32: Any = None,
        around: Mapping[str, str] | None = None,
    ) -> None:
        if kernel32 is None:
            library: Any = getattr(ctypes, "windll")  # noqa: B009 - there is none elsewhere
            kernel32 = library.kernel32
        self._process = _started(arguments, stdin=subprocess.DEVNULL, env=around)
        self._job = Job(kernel32, int(getattr(self._process, "_handle", 0)))
        self.stdout, self.stderr = _pipes(self._process)

    def ended(self) -> bool:
        return self._process.poll() is not None

    def wait(self, seconds: float) -> bool:
        return _waited(self._process, seconds)

    def give_up(self) -> None:
        if not self.ended():
            self._job.end()
            with suppress(OSError):
                self._process.kill()  # also where there could be no job

    def end(self) -> int:
        self.give_up()
        self._process.wait()
        self._job.leave()
        return self._process.returncode


def start(arguments: str | list[str], around: Mapping[str, str] | None = None) -> Program:
    """Start a program, in the environment `around` it, or the player's own.

    Raises OSError, or ValueError, where that fails at once.
    """
    if sys.platform == "win32":
        return JobProgram(arguments, around=around)
    assert isinstance(arguments, list)  # noqa: S101 - POSIX has no other
    return KeptProgram(arguments, around)


def _started(arguments: str | list[str], **options: Any) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        arguments,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        bufsize=0,  # what there is, at once
        **options,
    )


def _pipes(process: subprocess.Popen[bytes]) -> tuple[IO[bytes], IO[bytes]]:
    assert process.stdout is not None  # noqa: S101 - asked for above
    assert process.stderr is not None  # noqa: S101
    return process.stdout, process.stderr


def _waited(process: subprocess.Popen[bytes], seconds: float) -> bool:
    try:
        process.wait(seconds)
    except subprocess.TimeoutExpired:
        return False
    return True
