"""The count of zones along an axis, and of the whole backlight, from all that was seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from readings.zones import saying
from readings.zones.claims import CLAIM, CONTRADICTED, FEWEST, SHARE, SPARSE, SUSPECT
from readings.zones.comb import AGAIN, CombAnswer, next_comb, with_combs
from readings.zones.crawl import Belief, Pass, crawl_belief
from readings.zones.lattice import MOST, Floats, most_zones
from readings.zones.trace import Trace, trace_likelihood


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisCount:
    """What is known of the number of zones along one axis."""

    size: int
    """Pixels along the axis."""
    chances: Floats
    """(MOST + 1,) probability of each count 0 .. MOST; they sum to 1, and 0 has none."""
    best: int
    """The likeliest count."""
    count: int | None
    """The likeliest count where it is claimed; None where it is unsure."""
    set95: tuple[int, ...]
    """The smallest set of counts that holds 95 %, rising."""
    presses: int
    passes: int
    combs: int
    traced: bool
    """Whether a meter trace was used."""
    contradicted: bool
    """Whether a trace speaks against what presses, or other traces, say."""
    uneven: float
    """Probability that an end zone is narrower than the others."""
    sure: float
    """Probability of the likeliest count if a narrower end zone were as common as SUSPECT says."""
    open: bool
    """Whether there may be more zones than are considered: the set is of those that are, and the
    count is at least its first."""
    next_comb: tuple[int, int] | None
    """Supposed count and spacing of the comb that would tell most; None where none would."""

    def written(self) -> str:
        """The count as it is told: "41", "40 to 42", "at least 499", "unsure: 12 to 90"."""
        return saying.written(self.count, self.set95, at_least=self.open)

    def doubts(self) -> tuple[str, ...]:
        """What speaks against the count, in plain sentences; empty where nothing does."""
        return saying.doubts(self)

    def advice(self) -> str:
        """What to do next to be surer; empty where nothing needs doing."""
        return saying.advice(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneCount:
    """What is known of the number of zones of a backlight; None for an axis nobody went along."""

    columns: AxisCount | None
    rows: AxisCount | None

    @property
    def count(self) -> int | None:
        """Columns times rows where both are claimed; None where either is unsure or missing."""
        if not self.columns or not self.rows:
            return None
        if self.columns.count is None or self.rows.count is None:
            return None
        return self.columns.count * self.rows.count

    @property
    def set95(self) -> tuple[int, ...] | None:
        """The smallest set of products that holds 95 %, rising; None where an axis is missing."""
        if not self.columns or not self.rows:
            return None
        chances = np.zeros(MOST * MOST + 1)
        counts = np.arange(MOST + 1)
        both = np.multiply.outer(self.columns.chances, self.rows.chances)
        np.add.at(chances, np.multiply.outer(counts, counts), both)
        return smallest_set(chances)

    @property
    def open(self) -> bool:
        """Whether there may be more columns or rows than are considered."""
        return any(axis.open for axis in (self.columns, self.rows) if axis)

    def written(self) -> str:
        """The number of zones as it is told, like that of an axis; "unknown" without both axes."""
        if self.set95 is None:
            return "unknown"
        return saying.written(self.count, self.set95, at_least=self.open)

    def kind(self) -> str:
        """What kind of backlight that is, in a plain sentence."""
        return saying.kind(self)

    def settled(self) -> dict[str, dict[str, int | list[int] | None]]:
        """Columns, rows and zones as plain values for JSON: a count or None, and its 95 % set.

        Where there may be more than are considered, `at_least` is the first of the set.
        """

        def plain(found: AxisCount | ZoneCount | None) -> dict[str, int | list[int] | None]:
            if found is None or found.set95 is None:
                return {"count": None, "set95": None}
            least = {"at_least": found.set95[0]} if found.open else {}
            return {"count": found.count, "set95": list(found.set95), **least}

        return {"columns": plain(self.columns), "rows": plain(self.rows), "zones": plain(self)}


def count_axis(
    passes: Sequence[Pass],
    size: int,
    combs: Sequence[CombAnswer] = (),
    traces: Sequence[Trace] = (),
) -> AxisCount:
    """Count the zones along an axis from everything that was seen along it.

    Args:
        passes: the ways of the crawling box, in any order; one without presses counts as seen.
        size: pixels along the axis, 1 or more.
        combs: answers to combs, in any order.
        traces: meter traces along the axis.

    Raises:
        ValueError: a size below 1, a press beyond the axis, a comb of no zones; one sentence.
    """
    _check(passes, size, combs)
    most = most_zones(size)
    belief = _crawl(tuple(passes), size)
    contradicted = False
    for times, trace in enumerate(traces):
        # what misleads one trace of a panel misleads the next one as well
        likelihood = trace_likelihood(trace, size)[belief.zones] ** (AGAIN**times)
        contradicted |= bool(belief.weights @ likelihood < CONTRADICTED / most)
        belief = belief.times(likelihood)
    belief = with_combs(belief, combs)
    chances = belief.counts()
    best = int(chances.argmax())
    presses = sum(len(each.positions) for each in passes)
    seen = bool(traces) or presses >= max(FEWEST, SPARSE * (best - 1) * len(passes))
    wary = belief.suspecting(SUSPECT)
    sure = min(float(chances[best]), float(wary.counts()[best]))
    set95 = smallest_set(chances)
    # more presses than the most zones have edges may fit some coarser lattice by chance
    many = any(len(each.positions) >= most for each in passes)
    beyond = many or most in set95 or belief.beyond > 1 - CLAIM
    claimed = seen and sure >= CLAIM and not contradicted and not beyond
    return AxisCount(
        size=size,
        chances=chances,
        best=best,
        count=best if claimed else None,
        set95=set95,
        presses=presses,
        passes=len(passes),
        combs=len(combs),
        traced=bool(traces),
        contradicted=contradicted,
        uneven=belief.uneven(),
        sure=sure,
        open=beyond,
        next_comb=next_comb(wary, combs) if presses or traces else None,
    )


def zone_count(columns: AxisCount | None, rows: AxisCount | None) -> ZoneCount:
    """Both axes together."""
    return ZoneCount(columns=columns, rows=rows)


def smallest_set(chances: Floats) -> tuple[int, ...]:
    """The smallest set of counts that holds SHARE of the probability (k,) of 0 .. k - 1, rising."""
    falling = np.argsort(-chances, kind="stable")
    needed = int(np.searchsorted(np.cumsum(chances[falling]), SHARE * chances.sum())) + 1
    return tuple(sorted(int(count) for count in falling[:needed]))


@lru_cache(maxsize=16)
def _crawl(passes: tuple[Pass, ...], size: int) -> Belief:
    """The belief of the crawl alone, kept while combs are answered one after the other."""
    return crawl_belief(passes, size)


def _check(passes: Sequence[Pass], size: int, combs: Sequence[CombAnswer]) -> None:
    if size < 1:
        raise ValueError(f"An axis has 1 pixel or more, not {size}.")
    for each in passes:
        for position in each.positions:
            if not 0 <= position <= size:
                raise ValueError(f"A press at {position:g} px is not on an axis of {size} px.")
    for comb in combs:
        if not 1 <= comb.zones <= MOST or comb.spacing < 1:
            raise ValueError(
                f"A comb is for 1 to {MOST} zones and a spacing of 1 or more, "
                f"not {comb.zones} and {comb.spacing}."
            )
