"""Where a meter is pointed for a step, from what is read there and the picture."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.spots import named_in

NUMBERED = r"\b(box|point|patch|place)\s+\d+\b"
MIDDLE = "middle"
"""What a place is called that has no name of its own: the middle of the screen."""
NEAR = Fraction(1, 100)
"""Share of the width and of the height by which a place may lie off the middle of the screen and
still be read there: patterns lie on whole pixels. Our own."""


@dataclass(frozen=True, slots=True)
class Place:
    """A measuring place on a canvas."""

    label: str
    """Its name on the pattern, such as `box 5`; `middle` where it has none."""
    number: int | None
    """Which of the pattern's places it is, 1 for the first; None where it is none of them."""
    x: Fraction
    """Pixels from the left edge."""
    y: Fraction
    """Pixels from the top."""
    canvas: Canvas

    @property
    def shares(self) -> tuple[float, float]:
        """Shares of the width and of the height, from the top left."""
        return float(self.x / self.canvas.width), float(self.y / self.canvas.height)

    @property
    def central(self) -> bool:
        """Whether a meter that points at the middle of the screen reads it."""
        return self.near(in_the_middle(self.canvas))

    def near(self, other: Place) -> bool:
        """Whether a meter that points at the other place reads this one, on the same canvas."""
        return (
            abs(self.x - other.x) <= NEAR * self.canvas.width
            and abs(self.y - other.y) <= NEAR * self.canvas.height
        )


def in_the_middle(canvas: Canvas) -> Place:
    """The middle of the screen, which is no place of a pattern."""
    return Place(MIDDLE, None, Fraction(canvas.width, 2), Fraction(canvas.height, 2), canvas)


def place_read(of: str, pattern: Pattern, canvas: Canvas) -> Place:
    """Where the meter is pointed for a step.

    Args:
        of: what the step is read of: the name of one of the pattern's measuring places, such as
            `box 5` of a checkerboard. A pattern with one place is read there, anything else in
            the middle of the screen.
        pattern: what is shown.
        canvas: what it is shown on.

    Raises:
        PatternError: the pattern has no place of that number, or does not fit on the canvas.
    """
    spots = pattern.spots(canvas)
    named = named_in(of, spots)
    if named is None and len(spots) > 1 and (asked := re.search(NUMBERED, of, re.IGNORECASE)):
        first, *_, last = spots
        raise PatternError(f"There is no {asked[0]} on this pattern, which has {first} to {last}.")
    chosen = next(iter(spots)) if named is None and len(spots) == 1 else named
    if chosen is None:
        return in_the_middle(canvas)
    spot = spots[chosen]
    return Place(chosen, list(spots).index(chosen) + 1, spot.x, spot.y, canvas)
