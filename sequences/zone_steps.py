"""Steps that count dimming zones: a box that crawls, and combs of boxes."""

from __future__ import annotations

from patterns.kinds.moving_box import Comb, MovingBox
from sequences.model import Step


def is_comb(step: Step | None) -> bool:
    """Whether a step asks for the groups in combs, again and again until the count is certain."""
    return (
        step is not None
        and isinstance(step.pattern, Comb)
        and step.read is not None
        and step.read.quantity == "count"
    )


def is_crawl(step: Step | None) -> bool:
    """Whether a step asks for a press at each hop of the light behind a crawling box."""
    return (
        step is not None
        and isinstance(step.pattern, MovingBox)
        and step.pattern.countable
        and step.read is not None
        and step.read.quantity == "tally"
    )
