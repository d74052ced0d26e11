"""Measuring places: where a meter is pointed on a pattern."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from patterns.sheet import Box


@dataclass(frozen=True)
class Spot:
    """The middle of a measuring place, in pixels from the top left corner of the canvas.

    It is where to point a meter; on the display there is nothing to see of it.
    """

    x: Fraction
    y: Fraction

    @classmethod
    def middle_of(cls, box: Box) -> Spot:
        """The middle of a box."""
        return cls(box.x + Fraction(box.width, 2), box.y + Fraction(box.height, 2))


def named_in(text: str, names: Iterable[str]) -> str | None:
    """The measuring place that a text names, such as ``box 5`` in "luminance of box 5".

    Where it names several, the one that says most: ``top left`` rather than ``left``.
    """
    found = [name for name in names if re.search(rf"\b{re.escape(name)}\b", text, re.IGNORECASE)]
    return max(found, key=len, default=None)
