"""How long a bright picture has stood still, and how long the display should rest from it."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.picture.frame import Frame

USUAL = 600.0
"""Seconds that a bright picture may stand still."""
CAREFUL = 300.0
"""The same where the sequence has the caution `static`."""
BRIGHT = 0.5
"""Share of the signal in any channel from which a place of the picture counts as bright. It is the
project's own; in PQ it is 92 cd/m2."""
WORTH_TELLING = 30.0
"""Seconds of rest below which nothing is said."""
LAST_MINUTE = 60.0


def bright(frame: Frame | None) -> bool:
    """Whether any place of a picture is bright enough to leave an image behind."""
    if frame is None:
        return False
    quantiser = frame.signal.quantiser
    limit = quantiser.black + BRIGHT * (quantiser.white - quantiser.black)
    return bool(frame.rows.max() >= limit)


def limit_for(cautions: tuple[str, ...], asked: float | None = None) -> float:
    """Seconds that a bright picture may stand: as asked, or by the sequence's cautions."""
    if asked is not None:
        return asked
    return CAREFUL if "static" in cautions else USUAL


@dataclass
class Standing:
    """Follows one display. Told what is on it at every beat; it never shows anything itself."""

    limit: float
    """Seconds that a bright picture may stand once it has settled; 0 for no limit."""
    stood: float = 0.0
    """Seconds that the bright picture on screen has stood, settling left out."""
    owed: float = 0.0
    """Seconds of rest for the bright pictures so far, at most the limit."""
    _at: float | None = None
    _picture: str = ""
    _seen: tuple[Frame | None, bool] = (None, False)

    def look(self, now: float, frame: Frame | None, *, settling: bool = False) -> bool:
        """Take note of what is on screen; True where it has stood too long.

        Args:
            now: seconds of a clock that never goes back.
            frame: the still picture that is shown; None for black, and for what moves.
            settling: whether the sequence asks to wait still: that time is its author's choice.
        """
        passed = 0.0 if self._at is None else max(now - self._at, 0.0)
        self._at = now
        if self._seen[0] is not frame:
            self._seen = frame, bright(frame)  # a picture of thousands of rows is large
        if not self._seen[1]:
            self.stood, self._picture = 0.0, ""
            self.owed = max(self.owed - passed, 0.0)
            return False
        picture = frame.sha256 if frame is not None else ""
        if picture != self._picture:
            self.stood, self._picture = 0.0, picture
            passed = 0.0
        self.owed += passed
        if self.limit:
            self.owed = min(self.owed, self.limit)
        if not settling:
            self.stood += passed
        return bool(self.limit) and self.stood >= self.limit

    @property
    def left(self) -> float | None:
        """Seconds until the picture goes black, in its last minute; None before."""
        if not self.limit or not self.stood or self.limit - self.stood > LAST_MINUTE:
            return None
        return max(self.limit - self.stood, 0.0)
