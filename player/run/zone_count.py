"""The zone count of a run as it grows: which axis a step serves, and which comb tells most next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from patterns.kinds import Pattern
from patterns.kinds.moving_box import Comb, MovingBox
from patterns.picture.canvas import Canvas
from readings.evidence.measured import Press, evidence
from readings.visit.visit import Visit
from sequences.model import Step
from sequences.zone_steps import is_comb, is_crawl

if TYPE_CHECKING:
    from readings.zones.gather import AxisEvidence, Way

USUAL_SPACING = 3
"""Zones from box to box that keep most halos apart."""
MOST_COMBS = 6
"""Answers after which a comb step goes on by itself; whoever goes back may give more."""


def way_of_step(step: Step | None) -> Way | None:
    """Which count a step serves; None for steps that count no zones."""
    if step is None or not (is_comb(step) or is_crawl(step)):
        return None
    pattern = step.pattern
    if isinstance(pattern, Comb):
        return pattern.along
    return "columns" if isinstance(pattern, MovingBox) and pattern.across else "rows"


@dataclass(frozen=True)
class ZoneCounter:
    """Gathers what one run holds of its zones, with the presses of a step that is not ended."""

    visit: Visit
    run: int
    canvas: Canvas

    def gather(
        self, way: Way, presses: tuple[Press, ...] = (), pattern: Pattern | None = None
    ) -> AxisEvidence:
        """All that was seen along an axis, and the presses on the way now.

        Raises VisitError where the visit cannot be read.
        """
        # the mathematics of counts: no picture of another sequence waits for it
        from readings.zones.gather import AxisEvidence, gathered, passes_of

        size = self.canvas.width if way == "columns" else self.canvas.height
        found = gathered(evidence(self.visit, self.run)).get(way) or AxisEvidence(size)
        if presses:
            planned = pattern.direction if isinstance(pattern, MovingBox) else "forward"
            found.passes += passes_of(presses, planned)
        return found

    def first_comb(self, way: Way) -> tuple[int, int] | None:
        """Supposed count and spacing of the comb to begin with.

        Of a count that is certain already it is the comb that confirms it. None where nothing was
        pressed yet, so that nothing points to a comb.
        """
        count = self.gather(way).count()
        if count.count is not None:
            return count.count, USUAL_SPACING
        return count.next_comb
