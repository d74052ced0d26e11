"""A program and all that it starts, as a job of Windows. Not tried on Windows: from its headers.

Structures and constants after winnt.h and jobapi2.h of the Windows SDK, from memory. The class
takes the library, so that a test can put another in its place.
"""

from __future__ import annotations

import ctypes
from typing import Any

u32, u64, size = ctypes.c_uint32, ctypes.c_uint64, ctypes.c_size_t
EXTENDED_LIMITS = 9
"""JobObjectExtendedLimitInformation."""
KILL_ON_JOB_CLOSE = 0x2000


class Limits(ctypes.Structure):
    """JOBOBJECT_EXTENDED_LIMIT_INFORMATION: 144 bytes on 64 bits."""

    _fields_ = (
        ("process_time", ctypes.c_int64),
        ("job_time", ctypes.c_int64),
        ("flags", u32),
        ("least_set", size),
        ("most_set", size),
        ("processes", u32),
        ("affinity", size),
        ("priority", u32),
        ("scheduling", u32),
        ("counters", u64 * 6),
        ("memory", size * 4),
    )


class Job:
    """A job that ends with its last handle, so also where the player itself is ended.

    Args:
        kernel32: the library.
        process: the handle of a process that was started just now. What it starts from now on
            belongs to the job too; it takes a process longer to load than us to come here.
    """

    def __init__(self, kernel32: Any, process: int) -> None:
        self._kernel32 = kernel32
        kernel32.CreateJobObjectW.restype = ctypes.c_void_p
        self._handle: int | None = kernel32.CreateJobObjectW(None, None)
        self.holds = bool(
            self._handle
            and self._limit(KILL_ON_JOB_CLOSE)
            and kernel32.AssignProcessToJobObject(
                ctypes.c_void_p(self._handle), ctypes.c_void_p(process)
            )
        )
        """Whether Windows took the process into it."""

    def _limit(self, flags: int) -> bool:
        limits = Limits(flags=flags)
        return bool(
            self._kernel32.SetInformationJobObject(
                ctypes.c_void_p(self._handle),
                EXTENDED_LIMITS,
                ctypes.byref(limits),
                ctypes.sizeof(limits),
            )
        )

    def end(self) -> None:
        """End every process in it."""
        if self._handle:
            self._kernel32.TerminateJobObject(ctypes.c_void_p(self._handle), 1)

    def leave(self) -> None:
        """Let go of it, and leave running what still runs."""
        if self._handle:
            self._limit(0)
            self._kernel32.CloseHandle(ctypes.c_void_p(self._handle))
            self._handle = None
