"""One writer a visit: a lock that the operating system itself releases when a player is killed."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from readings.visit_errors import VisitError, sentences


class WriterLock:
    """The right to write one visit, held on a small file beside it. Readers need none."""

    def __init__(self, visit: Path) -> None:
        """Take the lock for the visit at `visit`, or say at once who has it."""
        self._file = visit.with_name(visit.name + ".lock")
        while True:
            with sentences(visit):
                self._descriptor = os.open(self._file, os.O_RDWR | os.O_CREAT, 0o666)
            try:
                with sentences(visit):
                    if not _try_lock(self._descriptor):
                        raise VisitError(f"{visit} is open in another player; close it there first")
                    if self._is_current():
                        return
            except BaseException:
                os.close(self._descriptor)
                raise
            # The holder before us removed the file between our open and our lock.
            os.close(self._descriptor)

    def _is_current(self) -> bool:
        try:
            return os.path.samestat(os.fstat(self._descriptor), self._file.stat())
        except FileNotFoundError:
            return False

    def release(self) -> None:
        """Give the lock back. What is left behind is removed where the system allows it."""
        if self._descriptor < 0:
            return
        if sys.platform == "win32":
            # An open file cannot be removed there; another player's open one will refuse as well.
            os.close(self._descriptor)
            with suppress(OSError):
                self._file.unlink()
        else:
            # Removed while still locked: whoever waits then sees that its file is not current.
            with suppress(OSError):
                self._file.unlink()
            os.close(self._descriptor)
        self._descriptor = -1


if sys.platform == "win32":
    import msvcrt

    def _try_lock(descriptor: int) -> bool:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _try_lock(descriptor: int) -> bool:
        # flock, not lockf: it also keeps apart two visits opened in one process.
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
