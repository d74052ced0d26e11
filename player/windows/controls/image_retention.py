"""Against image retention: how long a bright picture has stood still, and rest from it."""

from __future__ import annotations

from dataclasses import dataclass

from patterns.picture.frame import Frame
from player.run.live import LiveRun

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
class BrightTime:
    """Follows one display. It is shown what is on it at every beat, and never shows anything."""

    limit: float
    """Seconds that a bright picture may stand once it has settled; 0 for no limit."""
    still: float = 0.0
    """Seconds that the bright picture on screen has stood, settling left out."""
    rest: float = 0.0
    """Seconds of rest that the bright pictures so far ask for, at most the limit."""
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
            self.still, self._picture = 0.0, ""
            self.rest = max(self.rest - passed, 0.0)
            return False
        picture = frame.sha256 if frame is not None else ""
        if picture != self._picture:
            self.still, self._picture = 0.0, picture
            passed = 0.0
        self.rest += passed
        if self.limit:
            self.rest = min(self.rest, self.limit)
        if not settling:
            self.still += passed
        return bool(self.limit) and self.still >= self.limit

    @property
    def left(self) -> float | None:
        """Seconds until the picture goes black, in its last minute; None before."""
        if not self.limit or not self.still or self.limit - self.still > LAST_MINUTE:
            return None
        return max(self.limit - self.still, 0.0)


BLACK = "Black by itself: a bright picture stood still for {}. F5 brings it back."
COMES_BACK = (
    "Black by itself: a bright picture stood still for {}. It comes back once the display has "
    "rested, or with F5."
)
TAKE_AWAY = "A bright picture stood still for {}: take it away on the media player, please."


class ImageRetention:
    """Takes a run's bright picture away once it has stood still too long.

    Args:
        run: what is on screen.
        limit: seconds that a bright picture may stand; 0 for any.
    """

    def __init__(self, run: LiveRun, limit: float) -> None:
        self._run = run
        self._bright = BrightTime(limit)
        self._rests = False
        """Whether the screen is black because a bright picture stood too long."""

    @property
    def rest(self) -> float:
        """Seconds of rest that the bright pictures so far ask for."""
        return self._bright.rest

    @property
    def left(self) -> float | None:
        """Seconds until the picture goes black, in its last minute; None before."""
        return self._bright.left

    def too_long(self, now: float) -> bool:
        """Take note of what is on screen; whether it has stood too long."""
        run, screen = self._run, self._run.screen
        self._rests = self._rests and screen.blacked_out
        black = run.finished or screen.blacked_out
        up = not (black or screen.waiting or screen.moving is not None)
        # a picture to warm up with is its author's choice, as settling is
        to_warm_up = run.agenda.warm_up_left > 0 and run.step is not None and run.step.read is None
        settling = screen.settle_left > 0 or to_warm_up
        return self._bright.look(now, screen.frame if up else None, settling=settling)

    def black_out(self) -> str:
        """Take the picture away; what the operator is told, nothing where it could not be."""
        limit, text = self._bright.limit, TAKE_AWAY if self._run.screen.elsewhere else BLACK
        if self._run.adjustment.here:
            text = COMES_BACK
        self._run.blackout()
        self._rests = self._run.screen.blacked_out
        span = f"{limit / 60:.3g} min" if limit >= 60 else f"{limit:.0f} s"
        return text.format(span) if self._rests else ""

    @property
    def rested(self) -> bool:
        """Whether a picture that was taken away may come back by itself: while a display is
        adjusted, where somebody may have the hands at its menu."""
        screen = self._run.screen
        waits = self._rests and screen.blacked_out and not screen.returning
        return waits and self._run.adjustment.here and self._bright.rest <= 0
