"""The count of zones along an axis, and of the whole backlight, from all that was seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from patterns.kinds.moving_box import MOST_ZONES
from readings.zones.claims import CLAIM, CONTRADICTED, FEWEST_PRESSES, SHARE, SPARSE, SUSPECT
from readings.zones.comb import AGAIN, CombAnswer, next_comb, with_combs
from readings.zones.crawl import Belief, Pass, crawl_belief
from readings.zones.lattice import Floats, most_zones
from readings.zones.trace import Trace, trace_likelihood


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisCount:
    """What is known of the number of zones along one axis."""

    size: int
    """Pixels along the axis."""
    chances: Floats
    """(MOST_ZONES + 1,) probability of each count from 0 on; they sum to 1, and 0 has none."""
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
        return written(self.count, self.set95, at_least=self.open)

    def doubts(self) -> tuple[str, ...]:
        """What speaks against the count, in plain sentences; empty where nothing does."""
        return doubts(self)

    def advice(self) -> str:
        """What to do next to be surer; empty where nothing needs doing."""
        return advice(self)


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
        chances = np.zeros(MOST_ZONES * MOST_ZONES + 1)
        counts = np.arange(MOST_ZONES + 1)
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
        return written(self.count, self.set95, at_least=self.open)

    def kind(self) -> str:
        """What kind of backlight that is, in a plain sentence."""
        return kind(self)

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
    seen = bool(traces) or presses >= max(FEWEST_PRESSES, SPARSE * (best - 1) * len(passes))
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
        if not 1 <= comb.zones <= MOST_ZONES or comb.spacing < 1:
            raise ValueError(
                f"A comb is for 1 to {MOST_ZONES} zones and a spacing of 1 or more, "
                f"not {comb.zones} and {comb.spacing}."
            )


WIDEST = 5
"""Counts in a 95 % set that are still told as a set; a wider one is told as unsure."""
NARROW_END = 0.5
"""Probability from which a narrower end zone is spoken of."""
FEW_PRESSES = 0.6
"""Presses for each edge below which the operator is told that hops went by without a press."""
FEW_ZONES = 12
"""Zones below which another pass takes less time than a comb, and tells more."""
MANY_PRESSES = 1.3
"""Presses for each edge above which they are told that presses came without a hop."""


def written(count: int | None, set95: Sequence[int], *, at_least: bool = False) -> str:
    """A count and its 95 % set: "41", "40 to 42", "40, 42 or 44", "unsure: 12 to 90".

    "at least 499" where there may be more than the set can hold.
    """
    if count is not None:
        return str(count)
    low, high = set95[0], set95[-1]
    if at_least:
        return f"at least {low}" if len(set95) <= WIDEST else f"unsure: at least {low}"
    if len(set95) == 1:
        return f"{low}, not certain"
    if len(set95) > WIDEST:
        return f"unsure: {low} to {high}"
    if len(set95) > 2 and high - low == len(set95) - 1:
        return f"{low} to {high}"
    return f"{', '.join(map(str, set95[:-1]))} or {high}"


def doubts(found: AxisCount) -> tuple[str, ...]:
    """What speaks against a count, in plain sentences."""
    sentences = list(_of_presses(found))
    if found.open:
        sentences.append(
            f"On {found.size} pixels no more than {most_zones(found.size)} zones are told apart: "
            "there may be more."
        )
    if found.contradicted:
        sentences.append("The meter trace and the presses contradict one another.")
    if found.uneven >= NARROW_END:
        sentences.append("A zone at an end seems narrower than the others.")
    elif found.count is None and found.sure < CLAIM <= found.chances[found.best]:
        sentences.append("A narrower zone at an end, and so another count, is not ruled out.")
    return tuple(sentences)


def _of_presses(found: AxisCount) -> Iterator[str]:
    edges = (found.best - 1) * found.passes
    if not found.passes:
        if not found.traced:
            yield "Nobody went along this axis."
    elif not found.presses:
        yield (
            "No hop was pressed. That is one zone along this axis, or no dimming, or hops that "
            "nobody saw: what was not pressed proves nothing."
        )
    else:
        if found.passes == 1:
            yield "There was one pass only, and nothing to compare it with."
        if found.presses < FEWEST_PRESSES and found.count is None:
            yield f"A count is claimed from {FEWEST_PRESSES} presses on, not from {found.presses}."
        if found.presses < FEW_PRESSES * edges:
            yield f"{found.presses} presses for {edges} hops: many went by without a press."
        if found.presses > MANY_PRESSES * edges:
            yield f"{found.presses} presses for {edges} hops: many came without a hop."


def advice(found: AxisCount) -> str:
    """What to do next to be surer; empty where the count is claimed."""
    if found.count is not None:
        return ""
    if found.open and found.presses and found.set95[-1] == most_zones(found.size):
        return "More passes, and combs, tell no more of so many zones."
    if not found.passes and not found.traced:
        return "Let the box go along this axis once in each direction, and press at each hop."
    if not found.presses and not found.traced:
        return (
            "Go along again more slowly, with a smaller box, in a darker room. If the light still "
            "never hops, look whether the whole screen dims together."
        )
    return _next_step(found)


def _next_step(found: AxisCount) -> str:
    """Another pass, or the comb that would tell most."""
    if found.contradicted:
        return "Go along the axis again, and take the meter trace again."
    if found.next_comb is None:
        return "Go along the axis once more in each direction."
    if found.best < FEW_ZONES and found.passes and not found.traced:
        return "Go along once more in each direction: with so few zones that beats a comb."
    zones, spacing = found.next_comb
    comb = (
        f"the comb for {zones} zones, a box every {spacing}, and tell how many groups of "
        "brighter, doubled boxes there are."
    )
    if found.passes == 1 and not found.traced:
        return f"Go along once more, the other way. Then show {comb}"
    return f"Show {comb}"


def kind(found: ZoneCount) -> str:
    """What kind of backlight that is, in a plain sentence."""
    columns, rows = found.columns, found.rows
    if not columns or not rows:
        missing = [name for name, axis in (("columns", columns), ("rows", rows)) if not axis]
        return f"Nothing was seen along the {' and the '.join(missing)}."
    if columns.best == rows.best == 1:
        return "No dimming was seen: no light hopped along either axis."
    if rows.best == 1:
        return f"It looks edge-lit: one row, columns {columns.written()}."
    if columns.best == 1:
        return f"It looks edge-lit: one column, rows {rows.written()}."
    return "It has zones in columns and rows."
