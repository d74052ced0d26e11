"""Counts of zones in plain words: how they are written, what is doubtful, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from readings.zones.combine import AxisCount, ZoneCount

WIDEST = 5
"""Counts in a 95 % set that are still told as a set; a wider one is told as unsure."""
NARROW_END = 0.5
"""Probability from which a narrower end zone is spoken of."""
FEW = 0.6
"""Presses for each edge below which the operator is told that hops went by without a press."""
MANY = 1.3
"""Presses for each edge above which they are told that presses came without a hop."""


def written(count: int | None, set95: Sequence[int]) -> str:
    """A count and its 95 % set: "41", "40 to 42", "40, 42 or 44", "unsure: 12 to 90"."""
    if count is not None:
        return str(count)
    low, high = set95[0], set95[-1]
    if len(set95) == 1:
        return f"{low}, not certain"
    if len(set95) > WIDEST:
        return f"unsure: {low} to {high}"
    if len(set95) > 2 and high - low == len(set95) - 1:
        return f"{low} to {high}"
    return f"{', '.join(map(str, set95[:-1]))} or {high}"


def doubts(found: AxisCount) -> tuple[str, ...]:
    """What speaks against a count, in plain sentences."""
    said = []
    if not found.presses and not found.traced:
        if not found.passes:
            said.append("Nobody went along this axis.")
        else:
            said.append(
                "No hop was pressed. That is one zone along this axis, or no dimming, "
                "or hops that nobody saw: no press proves nothing."
            )
    elif not found.traced:
        edges = (found.best - 1) * found.passes
        if found.passes == 1:
            said.append("There was one pass only: nothing shows whether it can be repeated.")
        if edges and found.presses < FEW * edges:
            said.append(f"{found.presses} presses for {edges} hops: many went by without a press.")
        if found.presses > MANY * max(edges, 1):
            said.append(f"{found.presses} presses for {edges} hops: many came without a hop.")
    if found.uneven >= NARROW_END:
        said.append("A zone at an end seems narrower than the others.")
    return tuple(said)


def advice(found: AxisCount) -> str:
    """What to do next to be surer; empty where the count is claimed."""
    if found.count is not None:
        return ""
    if not found.passes and not found.traced:
        return "Let the box go along this axis once in each direction, and press at each hop."
    if not found.presses and not found.traced:
        return (
            "Go along again with a smaller box, more slowly, in a darker room. If the light still "
            "never hops, look whether the whole screen dims together."
        )
    if found.next_comb is None:
        return "Go along the axis once more in each direction."
    zones, spacing = found.next_comb
    again = (
        "" if found.passes > 1 or found.traced else "Go along once more, the other way. Then show"
    )
    return (
        f"{again or 'Show'} the comb for {zones} zones, a box every {spacing}, and tell how many "
        "groups of brighter, doubled boxes there are."
    )


def kind(found: ZoneCount) -> str:
    """What kind of backlight that is, in a plain sentence."""
    columns, rows = found.columns, found.rows
    if not columns or not rows:
        missing = "columns" if not columns else "rows"
        if not columns and not rows:
            missing = "columns and rows"
        return f"Nobody went along the {missing} yet."
    still = {name for name, axis in (("columns", columns), ("rows", rows)) if _still(axis)}
    if still == {"columns", "rows"}:
        return "No dimming was seen: no hop was pressed along either axis."
    if still or columns.best == 1 or rows.best == 1:
        one, other = ("column", "rows") if columns.best == 1 else ("row", "columns")
        return f"It looks edge-lit: one {one}, with zones along the {other} only."
    return "Zones in columns and rows."


def _still(axis: AxisCount) -> bool:
    return axis.best == 1 and not axis.presses and not axis.traced
