"""How long the display has been on since the visit began. It tells, and holds nobody up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from math import ceil

from patterns.words import duration


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True)
class WarmUp:
    """A warm-up that counts from the beginning of the visit."""

    began: datetime
    """When the visit was begun, UTC: the display was on from then on, as far as is known."""
    wanted: float = 0.0
    """Seconds that the display should be on before it is measured; 0 where nobody asked."""
    now: Callable[[], datetime] = _now

    @property
    def text(self) -> str:
        """How far it is, in whole minutes; empty where nobody asked."""
        if not self.wanted:
            return ""
        passed = max((self.now() - self.began).total_seconds(), 0.0)
        if passed >= self.wanted:
            return f"Warmed up: on {duration(passed)}"
        return f"Warm-up: {duration(60 * ceil((self.wanted - passed) / 60))} to go"
