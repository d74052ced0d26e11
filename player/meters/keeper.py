"""Runs a meter's program and sees to it that it does not outlive the player. POSIX.

A small process between the two, started as `python -I -S keeper.py STATUS PROGRAM ARGUMENTS`, so
that it loads nothing but the standard library. Its standard input is a pipe that the player holds
open and never writes to. Once that closes, because a measurement took too long, was given up, or
because the player itself is gone, however it went, the program ends with everything that it has
started. STATUS is the number of a file that takes `code N`, how the program ended (-N is signal
N), or `errno N`, why it did not start. A program that ends by itself may leave others running.

On Linux the keeper takes in every orphan among its program's children (PR_SET_CHILD_SUBREAPER of
prctl(2)), so none gets away by a session of its own. Elsewhere it finds those whose parents are
still there, and those in the program's own group.
"""

from __future__ import annotations

import ctypes
import os
import signal
import sys
import time
from _thread import LockType, allocate_lock, start_new_thread
from collections.abc import Iterator
from contextlib import suppress

SET_PDEATHSIG, SET_CHILD_SUBREAPER = 1, 36
"""From linux/prctl.h."""
PATIENCE = 3.0
"""Seconds in which what is killed has to be gone; one that waits for a device may take longer."""
NOTHING = os.devnull


def main() -> None:
    """Run the program that the command line names, to its end or to the player's."""
    status, program, arguments = int(sys.argv[1]), sys.argv[2], sys.argv[2:]
    os.set_inheritable(status, False)
    _prctl(SET_CHILD_SUBREAPER, 1)
    keeper = os.getpid()
    child = os.fork()
    if child == 0:
        _become(program, arguments, keeper, status)
    # its output ends with the program, and not with the keeper
    nothing = os.open(NOTHING, os.O_RDWR)
    for output in (1, 2):
        os.dup2(nothing, output)
    ending = allocate_lock()
    start_new_thread(_wait_for_player, (child, ending))
    ended = None
    with suppress(ChildProcessError):  # ended below
        ended = os.waitpid(child, 0)[1]
    with ending:  # where the player wants an end, all of it comes first
        if ended is not None:
            os.write(status, f"code {os.waitstatus_to_exitcode(ended)}\n".encode())
        os._exit(0)


def _become(program: str, arguments: list[str], keeper: int, status: int) -> None:
    """Turn this process into the program; never returns."""
    try:
        os.setsid()
        _prctl(SET_PDEATHSIG, signal.SIGKILL)
        if os.getppid() != keeper:  # it was gone before that was asked
            os._exit(1)
        os.dup2(os.open(NOTHING, os.O_RDONLY), 0)
        for name in ("SIGPIPE", "SIGXFSZ"):  # which Python ignores, and programs do not expect
            signal.signal(getattr(signal, name), signal.SIG_DFL)
        os.execvp(program, arguments)  # noqa: S606 - there is to be no shell
    except OSError as error:
        os.write(status, f"errno {error.errno}\n".encode())
    finally:
        os._exit(127)


def _wait_for_player(child: int, ending: LockType) -> None:
    """Wait until the player lets go; then end everything."""
    while os.read(0, 4096):
        pass
    with ending:
        end_all(child)
        os._exit(1)


def end_all(child: int) -> None:
    """Kill a child and all that descends from this process, for as long as there is any."""
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        for kill, pid in ((os.killpg, child), *((os.kill, pid) for pid in descendants())):
            try:
                kill(pid, signal.SIGKILL)
            except OSError:  # gone, or another user's
                continue
        try:
            while os.waitpid(-1, os.WNOHANG)[0]:
                pass
        except ChildProcessError:
            return
        time.sleep(0.005)


def descendants() -> list[int]:
    """The processes that descend from this one, as far as their parents are still there."""
    parents = dict(_parents())
    found: list[int] = []
    last = {os.getpid()}
    while last:
        last = {pid for pid, parent in parents.items() if parent in last}
        found += last
    return found


def _parents() -> Iterator[tuple[int, int]]:
    """Every process and its parent."""
    if not sys.platform.startswith("linux"):
        with os.popen("ps -axo pid=,ppid=") as listed:  # noqa: S605 - a text of our own
            for line in listed:
                pid, parent = line.split()
                yield int(pid), int(parent)
        return
    for name in os.listdir("/proc"):  # noqa: PTH208 - pathlib takes long to load
        if name.isdecimal():
            try:
                with open(f"/proc/{name}/stat", "rb") as file:  # noqa: PTH123 - as above
                    # its name stands in brackets, and may hold anything
                    rest = file.read().rpartition(b")")[2].split()
            except OSError:
                continue
            yield int(name), int(rest[1])


def _prctl(what: int, value: int) -> None:
    """Ask Linux for something; nothing elsewhere, and nothing where it refuses."""
    if sys.platform.startswith("linux"):
        ctypes.CDLL(None).prctl(what, ctypes.c_ulong(value), 0, 0, 0)


if __name__ == "__main__":
    main()
