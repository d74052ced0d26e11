"""Whether keys come to the player's windows, or go to another program."""

from __future__ import annotations

from collections.abc import Callable

LOST = "Keys go elsewhere: click here"
LOST_AFTER = 0.3
"""Seconds without the keyboard after which it is told: it goes from window to window quicker."""


class Focus:
    """Follows which of the player's windows has the keyboard.

    A desktop that tells nothing, and a key that comes all the same, count as having it.

    Args:
        clock: seconds that never go back.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lost_at: float | None = None
        self._holder: object = None

    def came(self, window: object) -> None:
        """A window was given the keyboard."""
        self._holder, self._lost_at = window, None

    def went(self, window: object) -> None:
        """A window lost the keyboard; another may have been given it already."""
        if self._holder in (None, window):
            self._holder, self._lost_at = None, self._clock()

    def key_came(self) -> None:
        """A key came, so the keyboard is here whatever was told."""
        self._lost_at = None

    @property
    def lost(self) -> bool:
        """Whether keys go to another program."""
        return self._lost_at is not None and self._clock() - self._lost_at >= LOST_AFTER
