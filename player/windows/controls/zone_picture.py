"""The zone count as it stands, for the operator window: worked out beside the event loop."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

from player.run.live import LiveRun

if TYPE_CHECKING:
    from readings.zones.combine import AxisCount
    from readings.zones.gather import Way

SEEN = 0.02
"""Chance, of the likeliest, below which a count outside the 95 % set has no bar to be seen."""
FEWEST_BARS = 11


@dataclass(frozen=True)
class ZonePicture:
    """What is drawn of a count: bars, how they are named, and what to do next."""

    title: str
    """`Columns: 40 to 42`."""
    bars: tuple[tuple[int, float], ...]
    """Counts side by side, rising, each with its probability."""
    held: tuple[int, ...]
    """The counts of the 95 % set."""
    advice: str
    """What to do next to be surer."""


class ZonePictures:
    """Follows the count of the axis that the step on screen serves.

    The likelihoods take a tenth of a second or two: too long between two refreshes of a moving
    box, so they are worked out on another thread. Only this thread asks the visit.
    """

    def __init__(self, run: LiveRun) -> None:
        self._run = run
        self._pool = ThreadPoolExecutor(1, "zone count")
        self._job: Future[AxisCount] | None = None
        self._of: tuple[object, ...] = ()
        self._way: Way | None = None
        self.picture: ZonePicture | None = None

    def look(self) -> None:
        """Take up what has become ready, and begin anew where something was added.

        Raises VisitError where the visit cannot be read.
        """
        run = self._run
        if self._job is not None and self._job.done():
            job, self._job = self._job, None
            if self._way is not None:
                self.picture = picture_of(self._way, job.result())
        state = (
            run.counting.way,
            run.number,
            run.counting.presses,
            len(run.keeping.kept),
            run.keeping.current(run.number),
        )
        if self._job is not None or state == self._of:
            return
        self._of = state
        if run.counting.way != self._way:
            self._way, self.picture = run.counting.way, None
        if self._way is not None:
            gathered = run.counting.zones.gather(
                self._way, run.counting.presses, run.screen.pattern
            )
            self._job = self._pool.submit(gathered.count)

    def close(self) -> None:
        """Let the thread end."""
        self._pool.shutdown(cancel_futures=True)


def picture_of(way: Way, count: AxisCount) -> ZonePicture:
    """The picture of a count: the bars that can be seen, and some on either side."""
    visible = SEEN * count.chances.max()
    shown = [n for n, chance in enumerate(count.chances) if chance >= visible]
    low, high = min(*shown, *count.set95), max(*shown, *count.set95)
    more = max(FEWEST_BARS - (high - low + 1), 0)
    low = max(low - more // 2, 1)
    high = min(max(high, low + FEWEST_BARS - 1), len(count.chances) - 1)
    seen = count.presses or count.combs or count.traced
    advice = count.advice() or "The count is certain."
    return ZonePicture(
        title=f"{way.capitalize()}: {count.written() if seen else 'nothing pressed yet'}",
        bars=tuple((n, float(count.chances[n])) for n in range(low, high + 1)),
        held=count.set95,
        advice=advice,
    )
