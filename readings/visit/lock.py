"""One writer a visit: a lock that the operating system itself releases when a player is killed."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

from patterns.files.lock import taken
from readings.visit.errors import VisitError, sentences

_TRIES = 100
"""One more for each player that gives the lock back at that very moment."""


class WriterLock:
    """The right to write one visit, held on a small file beside it. Readers need none."""

    def __init__(self, visit: Path) -> None:
        """Take the lock for the visit at `visit`, or say at once who has it."""
        self._file = visit.with_name(visit.name + ".lock")
        for _ in range(_TRIES):
            if self._file.is_symlink():
                raise VisitError(f"{self._file} is a link; remove it first")
            with sentences(visit):
                flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0)
                self._descriptor = os.open(self._file, flags, 0o666)
            try:
                with sentences(visit):
                    if not taken(self._descriptor):
                        raise VisitError(f"{visit} is open in another player; close it there first")
                    if self._is_current():
                        return
            except BaseException:
                os.close(self._descriptor)
                raise
            # The holder before us removed the file between our open and our lock.
            os.close(self._descriptor)
        raise VisitError(
            f"{self._file} is another file each time it is opened, so {visit.name} cannot be kept "
            "from a second player; copy the visit to this computer's own disk"
        )

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
