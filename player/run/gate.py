"""The gate that every change of the picture goes through, so that no key can make it flash."""

from __future__ import annotations

from collections.abc import Callable

CHANGE_GAP = 0.36
"""Seconds between two changes of the picture, however fast keys are pressed.

Rec. ITU-R BT.1702-3 has leading edges of flashes at least 360 ms apart at 50 Hz, 334 ms at 60 Hz;
WCAG 2.2, 2.3.1, has no more than three flashes in any second. A flash takes two changes, so that
changes this far apart stay below half of that.
"""

Change = Callable[[], object]
"""Puts another picture up."""


class Gate:
    """Lets one screen's picture change, one change at a time, each `CHANGE_GAP` after the last.

    It draws nothing: what it is given does. A change counts from when it has been made, also where
    it failed on the way, since the picture may be up by then.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._opens_at = self._fresh_until = float("-inf")
        self._next: Change | None = None

    @property
    def left(self) -> float:
        """Seconds until the picture may change, to a microsecond; 0 when it may."""
        return max(0.0, round(self._opens_at - self._clock(), 6))

    @property
    def fresh(self) -> bool:
        """Whether a change was asked for so shortly ago that another key may be a slip.

        What changed beside it, by `now`, is left out.
        """
        return round(self._fresh_until - self._clock(), 6) > 0

    @property
    def waits(self) -> bool:
        """Whether a change waits for its turn."""
        return self._next is not None

    def ask(self, change: Change) -> bool:
        """Make a change now where it may come, otherwise at a later `beat`; whether it was made.

        Only one waits: it takes the place of another that waits.
        """
        self._next = change
        self._fresh_until = self._clock() + CHANGE_GAP
        made = self.beat()
        if made:  # which may have taken a while
            self._fresh_until = self._clock() + CHANGE_GAP
        return made

    def beat(self) -> bool:
        """Make the change that waits, where it may come by now; whether there was one."""
        if self._next is None or self.left:
            return False
        change, self._next = self._next, None
        return self.now(change)

    def now(self, change: Change) -> bool:
        """Make a change now or not at all; whether it was made. What waits goes on waiting."""
        if self.left:
            return False
        try:
            change()
        finally:
            self._opens_at = self._clock() + CHANGE_GAP
        return True

    def black(self, change: Change) -> None:
        """Make the picture black at once; what waits goes on waiting.

        Black never waits, but what comes after it waits as if black had: a key that is hammered
        brings the light back no more often than if every change had kept its distance.
        """
        opens_at = self._opens_at
        try:
            change()
        finally:
            now = self._clock()
            self._opens_at = max(now, opens_at) + CHANGE_GAP
            self._fresh_until = now + CHANGE_GAP
