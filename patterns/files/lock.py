"""A lock on an open file, which the operating system itself releases when a program is killed."""

from __future__ import annotations

import errno
import importlib
import os
import sys
from typing import Any

HELD = {errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK, errno.EDEADLK}
"""What a system says where somebody else has the lock; all else is trouble of its own."""
FAR = 0x7FFF_0000
"""Bytes: Windows keeps others from reading what is locked, so it locks where nothing is."""


def taken(descriptor: int) -> bool:
    """Whether the lock was free, and is ours until the file is closed.

    Raises:
        OSError: it cannot be asked for; some network disks have no locks.
    """
    try:
        _lock(descriptor)
    except OSError as error:
        if error.errno in HELD:
            return False
        raise
    return True


def _by_flock(descriptor: int) -> None:
    """As POSIX systems do; two openings in one process are kept apart too."""
    fcntl: Any = importlib.import_module("fcntl")
    fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _by_msvcrt(descriptor: int) -> None:
    """As Windows does (not tried there), from where the file stands; it stands at its end after."""
    msvcrt: Any = importlib.import_module("msvcrt")
    os.lseek(descriptor, FAR, os.SEEK_SET)
    try:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
    finally:
        os.lseek(descriptor, 0, os.SEEK_END)


_lock = _by_msvcrt if sys.platform == "win32" else _by_flock
