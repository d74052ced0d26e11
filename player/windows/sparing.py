"""A bright picture that has stood still too long is taken away, to spare the display."""

from __future__ import annotations

from player.run.live import LiveRun
from player.standing import Standing, limit_for

SPARED = "Black by itself: a bright picture stood still for {}. F5 brings it back."
SPARED_ELSEWHERE = "A bright picture stood still for {}: take it away on the media player, please."


class Sparing:
    """Watches what a run has on screen."""

    def __init__(self, run: LiveRun) -> None:
        self._run = run
        self.standing = Standing(limit_for(run.sequence.cautions))
        """How long a bright picture has stood; a limit of 0 lets it stand."""

    def too_long(self, now: float) -> bool:
        """Take note of what is on screen; whether it has stood too long."""
        run = self._run
        up = not (
            run.screen.blacked_out
            or run.finished
            or run.screen.waiting
            or run.screen.moving is not None
        )
        # a picture to warm up with is its author's choice, as settling is
        to_warm_up = run.agenda.warm_up_left > 0 and run.step is not None and run.step.read is None
        settling = run.screen.settle_left > 0 or to_warm_up
        return self.standing.look(now, run.screen.frame if up else None, settling=settling)

    def spare(self) -> str:
        """Take the picture away; what the operator is told, nothing where it could not be."""
        said = SPARED_ELSEWHERE if self._run.screen.elsewhere else SPARED
        limit = self.standing.limit
        told = said.format(f"{limit / 60:.3g} min" if limit >= 60 else f"{limit:.0f} s")
        self._run.blackout()
        return told if self._run.screen.blacked_out else ""
