"""Watching what is on screen between two steps: the desktop, and refreshes that were skipped."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from player.outputs.base import Guard
from player.run.live import LiveRun
from player.windows.pattern.guards import late_guard
from player.windows.pattern.output import WindowOutput

LOOK_EVERY = 2.0
"""Seconds between two looks at the desktop while a step is on screen."""

Attempt = Callable[[Callable[[], object]], object]


@dataclass
class Moving:
    """Draws of one showing of a moving pattern."""

    shown: int
    """Which picture of the window it is."""
    showing: int | None
    """The showing's id, where it was kept."""
    since: float
    drawn: int = 0
    """Refreshes up to the last draw."""
    skipped: int = 0
    """Refreshes that had no draw of their own."""

    def draw(self, due: int) -> int:
        """Count a draw at the refresh that is due, and say by how many it goes on."""
        steps = due - self.drawn
        self.skipped += steps - 1
        self.drawn = due
        return steps


class GuardWatch:
    """Keeps the guard of what is on screen true after it was first shown.

    A guard that changes makes a new showing of the same picture, so that each reading refers to
    the guards as they were when it was taken.

    Args:
        run: the run.
        window: the pattern window.
        attempt: does something that may fail to be kept, and tells the operator.
    """

    def __init__(self, run: LiveRun, window: WindowOutput, attempt: Attempt) -> None:
        self._run = run
        self._window = window
        self._attempt = attempt
        self._looked_at = 0.0
        self._moving: Moving | None = None

    def look(self, *, now: bool = False) -> None:
        """Look at the desktop again where it is time to, or at once."""
        run = self._run
        passed = time.monotonic() - self._looked_at
        if run.screen.showing is None or self._still or (passed < LOOK_EVERY and not now):
            return
        self._looked_at = time.monotonic()
        self._take(self._window.look())

    def covered(self, guard: Guard) -> None:
        """Take the guard of a picture over which the strip is held now, or no longer."""
        if self._run.screen.showing is not None and not self._still:
            self._take(guard)

    def moved(self, guard: Guard) -> None:
        """Take the guard of a frame that was compared while the pattern moved."""
        if self._take(guard) and guard.state == "altered":
            run, showing = self._run, self._run.screen.showing
            self._attempt(
                lambda: run.visit.keep_note(
                    f"While it moved: {guard.why}.",
                    run=run.id,
                    showing=None if showing is None else showing.id,
                )
            )

    @property
    def _still(self) -> bool:
        return (
            self._run.screen.blacked_out
            or bool(self._run.screen.halted)
            or self._run.screen.frame is None
        )

    def _take(self, guard: Guard) -> bool:
        """Give what is on screen a showing of its own where a check says something else now."""
        run = self._run
        if _states(guard) == _states(run.screen.guard):
            return False
        run.screen.guard = guard
        run.screen.showing = None
        self._attempt(run.screen.kept_showing)
        return True

    def due(self, now: float) -> int:
        """Refreshes by which the moving pattern on screen has to go on now; 0 for none yet."""
        moving = self._moving
        if moving is None or moving.shown != self._window.shown:
            self.showing_changed()
            showing = self._run.screen.showing
            self._moving = Moving(self._window.shown, None if showing is None else showing.id, now)
            return 0
        # half a refresh is added: flips come at whole ones, a little early or late
        due = int((now - moving.since) * float(self._window.canvas.refresh) + 0.5)
        return moving.draw(due) if due > moving.drawn else 0

    def showing_changed(self) -> None:
        """Where another picture is up, note how many refreshes the one before skipped."""
        moving = self._moving
        if moving is None or moving.shown == self._window.shown:
            return
        self._moving = None
        if moving.skipped:
            said, run = late_guard(moving.skipped, moving.drawn).why, self._run
            self._attempt(
                lambda: run.visit.keep_note(
                    f"{said[:1].upper()}{said[1:]}.", run=run.id, showing=moving.showing
                )
            )


def _states(guard: Guard) -> tuple[str, dict[str, str]]:
    return guard.state, {name: state for name, (state, _) in guard.checks.items()}
