"""An operator before a simulated display that shows what the X screen shows, pressing real keys."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from patterns.kinds.moving_box import Comb
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.simulated import SimulatedDisplay
from player.simulated_eye import brightest, groups_seen
from readings.visit.records import Showing
from readings.visit.visit import Visit
from tests.player.playing import PATIENCE, Playing, until

SDR = named_signal("sdr8")
STILL = 3.0
"""Seconds without a change after which a box has come to its end, on a busy machine too."""


class Watcher:
    """Looks at a part of the X screen through a simulated backlight, and presses keys.

    It knows nothing of where the box is but what is on the screen; which comb was shown it reads
    from the visit, as an operator does from the operator window.
    """

    def __init__(
        self,
        player: Playing,
        visit: Path,
        display: SimulatedDisplay,
        place: tuple[int, int, int, int],
    ) -> None:
        self._player = player
        self._visit = visit
        self._display = display
        self._place = place
        self._answered = 0
        """The id of the showing that was answered last."""

    def step(self) -> str | None:
        """The kind of the step on screen; None when the screen is black, since all are read."""
        end, lit = time.monotonic() + PATIENCE, time.monotonic()
        while time.monotonic() - lit < STILL:
            assert time.monotonic() < end, f"nothing new came up within {PATIENCE} s"
            if not self._player.see(*self._place).any():
                continue
            lit, shown = time.monotonic(), self._showing()
            # a picture is up before it is kept, and what was answered may be up still
            if shown.id != self._answered:
                self._answered = shown.id
                with Visit.open(self._visit, write=False) as visit:
                    return next(each.kind for each in visit.steps(1) if each.number == shown.step)
        return None

    def look(self) -> np.ndarray:
        """Light of the zones behind what is on the screen now."""
        pixels = self._player.see(*self._place)
        new = np.concatenate([[True], (pixels[1:] != pixels[:-1]).any(axis=(1, 2))])
        order = (np.cumsum(new) - 1).astype(np.uint16)
        self._display.show(Frame(np.ascontiguousarray(pixels[new]), order, SDR))
        self._display.wait(1.0)
        return self._display.zone_light()

    def crawl(self) -> None:
        """Press space at each hop until the box stands still, then end the pass."""
        self._player.running()
        parameters = self._parameters()
        across = parameters["along"] in ("row", "top", "bottom")
        lit = None
        first = self._player.see(*self._place)
        until(lambda: bool((self._player.see(*self._place) != first).any()), "the box moves")
        before, since = None, time.monotonic()
        while time.monotonic() - since < STILL:
            picture = self._player.see(*self._place)
            if before is None or (picture != before).any():
                before, since = picture, time.monotonic()
            seen = brightest(self.look(), int(across))
            if lit is not None and seen != lit:
                self._player.key("space")
            lit = seen
        self._player.key("Return")

    def comb(self) -> None:
        """Type how many groups there are, for the comb that is on screen."""
        facts = self._showing().facts
        across = facts["along"] == "columns"
        comb = Comb.model_validate(
            self._parameters() | {name: facts[name] for name in ("zones", "spacing", "phase")}
        )
        width, height = self._place[2:]
        boxes = comb.boxes(Canvas(width, height))
        length = width if across else height
        middles = [(box.x if across else box.y) + box.width / 2 for box in boxes]
        profile = self.look().max(axis=0 if across else 1)
        groups = groups_seen(np.array(middles) / length, profile, comb.spacing, comb.zones)
        before = self._player.see(*self._place)
        self._player.type("?" if groups is None else str(groups))
        self._player.key("Return")
        until(lambda: bool((self._player.see(*self._place) != before).any()), "the comb is gone")

    def _showing(self) -> Showing:
        with Visit.open(self._visit, write=False) as visit:
            return visit.showings()[-1]

    def _parameters(self) -> dict[str, object]:
        number = self._showing().step
        with Visit.open(self._visit, write=False) as visit:
            found = next(step for step in visit.steps(1) if step.number == number).parameters
        return {name: value for name, value in found.items() if value is not None}
