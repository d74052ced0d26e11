"""On what a display can be adjusted: one patch, that can be put up at other levels."""

from __future__ import annotations

from patterns.kinds import Pattern
from patterns.signal.measures import Measure
from sequences.model import Read
from sequences.problems import Collector
from sequences.tree import Node

KINDS = ("window", "field", "patch")
"""Kinds with one level that the meter looks at."""


def require_adjustable(pattern: Pattern, read: Read, at: Node, collector: Collector) -> None:
    """Note why a pattern cannot be put up at other levels while a display is adjusted.

    Args:
        pattern: what ``show`` asks for.
        read: what the step reads, with the menus that it adjusts.
        at: where the kind stands in the file.
        collector: for the problem.
    """
    # a kind's file is loaded when it is first shown
    from patterns.kinds.patch import Patch
    from patterns.kinds.window import Field, Window

    if isinstance(pattern, Patch):
        if pattern.chromaticity is not None or pattern.luminance is not None:
            named = "chromaticity" if pattern.chromaticity is not None else "luminance"
            collector.add(at, f"a patch with {named} in a step that adjusts", "a level alone")
        elif pattern.colour not in (None, "white"):
            collector.add(at, f"a {pattern.colour} patch in a step that adjusts", "a white one")
    elif not isinstance(pattern, Window | Field):
        found = f"{pattern.kind} in a step that adjusts"
        expected = f"what can be put up at other levels: {', '.join(KINDS[:-1])} or {KINDS[-1]}"
        collector.add(at, found, expected)
    elif not isinstance(pattern.level, Measure):
        collector.add(at, f"a coloured {pattern.kind} in a step that adjusts", "a grey one")
    elif "six-colour" in read.adjusts:
        found = f"six-colour controls on a {pattern.kind}"
        collector.add(at, found, "a patch, whose colour can be changed")
