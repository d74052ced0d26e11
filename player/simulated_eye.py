"""A simulated operator before the simulated display: presses at hops, and answers to combs.

What it goes by is the light of the display alone, as it would be for an eye; how late it presses
and what it misses are those of `SimulatedOperator`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.kinds.moving_box import Comb, MovingBox
from player.run.entry import CANNOT_TELL
from player.run.live import LiveRun
from player.simulated import SimulatedDisplay, SimulatedError
from readings.visit.records import Value
from sequences.zone_steps import is_comb, is_crawl

Floats = NDArray[np.float64]
LOOKS = 10
"""Looks a second that the eye takes at a moving box."""
FULL = 0.35
"""Half a turn from box to box is 0.5; beyond this nobody tells which way the boxes drift."""
UNSEEN = 1e-6
"""Drive of a zone that counts as dark."""
AGAIN = (0.1, 0.3)
"""Seconds after a press in which a second one may slip."""


@dataclass(frozen=True, slots=True)
class SimulatedOperator:
    """How an operator reacts; the defaults are a good one at about a zone a second."""

    reaction: float = 0.4
    """Mean reaction time, s."""
    spread: float = 0.2
    """Standard deviation of the reaction time, s."""
    missed: float = 0.1
    """Share of hops without a press."""
    doubled: float = 0.05
    """Share of presses that come twice."""
    wrong: float = 0.02
    """Share of comb answers that are one group off."""
    unsure: float = 0.05
    """Share of combs where the operator can't tell."""


class SimulatedEye:
    """Plays the steps of a run that count zones.

    Args:
        run: the run, on an output that shows its frames on the display.
        display: the simulated display.
        wait: lets seconds pass.
        operator: how the operator reacts.
        seed: of the operator's chances.
    """

    def __init__(
        self,
        run: LiveRun,
        display: SimulatedDisplay,
        wait: Callable[[float], None],
        operator: SimulatedOperator,
        seed: int,
    ) -> None:
        self._run = run
        self._display = display
        self._wait = wait
        self._operator = operator
        self._chance = np.random.default_rng(seed)

    def answers(self) -> bool:
        """Do what the step on screen asks; False where it counts no zones, or none are there."""
        step = self._run.step
        try:
            self._display.zone_light()
        except SimulatedError:
            return False
        if is_crawl(step):
            self._crawl()
        elif is_comb(step):
            self._look_at_comb()
        else:
            return False
        return True

    def _crawl(self) -> None:
        """Follow the box to its end, and press when another zone becomes the brightest."""
        run, box = self._run, self._run.screen.pattern
        if not isinstance(box, MovingBox):
            return
        canvas, axis = run.output.canvas, int(box.across)
        refreshes = max(round(float(canvas.refresh) / LOOKS), 1)
        seconds = float(box.seconds_to_end(canvas))
        lit: int | None = None
        due: list[float] = []
        now = 0.0
        while now < seconds:
            frame = run.screen.tick(refreshes)
            if frame is None:
                return
            run.output.show(frame)
            self._wait(refreshes / float(canvas.refresh))
            now += refreshes / float(canvas.refresh)
            seen = brightest(self._display.zone_light(), axis)
            if seen != lit and lit is not None and seen is not None:
                due += self._presses(now)
            lit = seen if seen is not None else lit
            for _ in [at for at in due if at <= now]:
                run.tally()
            due = [at for at in due if at > now]
        run.take(
            Value(quantity="tally", raw=str(run.counting.tallies), number=run.counting.tallies)
        )

    def _presses(self, hop: float) -> list[float]:
        """When the operator presses for a hop that was seen at `hop` s: not at all, once, twice."""
        who = self._operator
        if self._chance.random() < who.missed:
            return []
        press = hop + max(float(self._chance.normal(who.reaction, who.spread)), 0.0)
        if self._chance.random() < who.doubled:
            return [press, press + float(self._chance.uniform(*AGAIN))]
        return [press]

    def _look_at_comb(self) -> None:
        run, comb = self._run, self._run.screen.pattern
        if not isinstance(comb, Comb):
            return
        groups = None
        if self._chance.random() >= self._operator.unsure:
            across = comb.along == "columns"
            boxes = comb.boxes(run.output.canvas)
            length = run.output.canvas.width if across else run.output.canvas.height
            middles = [(box.x if across else box.y) + box.width / 2 for box in boxes]
            profile = self._display.zone_light().max(axis=0 if across else 1)
            groups = groups_seen(np.array(middles) / length, profile, comb.spacing, comb.zones)
        if groups is not None and self._chance.random() < self._operator.wrong:
            groups = max(groups + int(self._chance.choice([-1, 1])), 0)
        if groups is None:
            run.take(Value(quantity="count", raw="?", text=CANNOT_TELL))
        else:
            run.take(Value(quantity="count", raw=str(groups), number=groups))


def brightest(light: Floats, axis: int) -> int | None:
    """Index along an axis (1: columns) of the brightest zone; None where all are dark."""
    profile = light.max(axis=1 - axis)
    return int(profile.argmax()) if profile.max() > UNSEEN else None


def groups_seen(places: Floats, profile: Floats, spacing: int, zones: int) -> int | None:
    """How often, from the first box to the last, boxes go through all places of their zone.

    Args:
        places: (k,) middles of the boxes, shares of the axis.
        profile: (n,) light of the zones along the axis.
        spacing: zones from box to box that the comb is made for.
        zones: count that the comb is made for.

    Returns:
        The groups of doubled boxes; None where the boxes drift too fast, or are too few, to tell.
    """
    if len(places) < 3:
        return None
    n = len(profile)
    centres = (np.arange(n) + 0.5) / n
    # the zone that lights up most for each box, of those within reach; where it lies in that zone
    near = np.abs(places[:, np.newaxis] - centres) < 1.01 / n
    seen = near * profile
    if (seen.max(axis=1) <= UNSEEN).any():
        return None
    offsets = (places - centres[seen.argmax(axis=1)]) * n
    steps = np.diff(offsets)
    steps -= np.rint(steps)
    if np.abs(steps).max() > FULL:
        return None
    full = zones / spacing
    return round(abs(float(steps.sum())) * full / (len(places) - 1))
