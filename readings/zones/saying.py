"""Counts of zones in plain words: how they are written, what is doubtful, what to do next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from readings.zones.claims import CLAIM, FEWEST
from readings.zones.lattice import most_zones

if TYPE_CHECKING:
    from readings.zones.combine import AxisCount, ZoneCount

WIDEST = 5
"""Counts in a 95 % set that are still told as a set; a wider one is told as unsure."""
NARROW_END = 0.5
"""Probability from which a narrower end zone is spoken of."""
FEW = 0.6
"""Presses for each edge below which the operator is told that hops went by without a press."""
FEW_ZONES = 12
"""Zones below which another pass takes less time than a comb, and tells more."""
MANY = 1.3
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
    said = list(_of_presses(found))
    if found.open:
        said.append(
            f"On {found.size} pixels no more than {most_zones(found.size)} zones are told apart: "
            "there may be more."
        )
    if found.contradicted:
        said.append("The meter trace and the presses contradict one another.")
    if found.uneven >= NARROW_END:
        said.append("A zone at an end seems narrower than the others.")
    elif found.count is None and found.sure < CLAIM <= found.chances[found.best]:
        said.append("A narrower zone at an end, and so another count, is not ruled out.")
    return tuple(said)


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
        if found.presses < FEWEST and found.count is None:
            yield f"A count is claimed from {FEWEST} presses on, not from {found.presses}."
        if found.presses < FEW * edges:
            yield f"{found.presses} presses for {edges} hops: many went by without a press."
        if found.presses > MANY * edges:
            yield f"{found.presses} presses for {edges} hops: many came without a hop."


def advice(found: AxisCount) -> str:
    """What to do next to be surer; empty where the count is claimed."""
    if found.count is not None:
        return ""
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
