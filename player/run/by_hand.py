"""Changes that the operator makes by hand to a picture while counting dimming zones.

A change gives another pattern of the same kind, checked like any other, so that what is on
screen can be drawn again from its parameters.
"""

from __future__ import annotations

from enum import Enum, auto
from fractions import Fraction
from math import ceil, floor
from typing import TypeVar

from patterns.errors import PatternError
from patterns.kinds import Pattern
from patterns.kinds.moving_box import MOST_ZONES, Comb, MovingBox
from patterns.picture.canvas import Canvas
from patterns.signal.exact import round_half_away

P = TypeVar("P", bound=Pattern)
STEP = Fraction(5, 4)
"""What a key makes a speed or a side larger by."""
FASTEST = 4
"""Seconds in which a box may cross the screen: faster, nobody counts."""
LARGEST = Fraction(1, 5)
"""Side of a box, share of the picture's height: a small lit area, whatever it does."""
PHASE_STEP = Fraction(1, 16)
SPACINGS = (1, 2, 3, 4, 5, 6)


class Change(Enum):
    """What can be changed by hand."""

    UP = auto()
    """A box goes faster; a comb has one zone more."""
    DOWN = auto()
    LARGER = auto()
    SMALLER = auto()
    BACK = auto()
    """A box goes one pixel left or up; a comb's boxes a sixteenth of a zone."""
    ON = auto()
    TURN = auto()
    """A box goes the other way."""
    SPACING = auto()
    """A comb has its boxes one zone further apart, and after six again at each zone."""
    HERE = auto()
    """A box goes on from where it is."""


def changeable(pattern: Pattern | None) -> bool:
    """Whether the operator may change this picture by hand."""
    return isinstance(pattern, Comb) or (isinstance(pattern, MovingBox) and pattern.countable)


def changed(pattern: Pattern, change: Change, canvas: Canvas, time: Fraction) -> Pattern:
    """The pattern after a change, to be shown from its own beginning.

    Args:
        pattern: what is on screen.
        change: what is asked for.
        canvas: the canvas it is on.
        time: how long it has been moving, s.

    Raises:
        PatternError: that is not possible; the text is one sentence for the operator.
    """
    if isinstance(pattern, Comb):
        return with_changes(pattern, _of_comb(pattern, change, canvas))
    if isinstance(pattern, MovingBox) and pattern.countable:
        return with_changes(pattern, _of_box(pattern, change, canvas, time))
    raise PatternError("This picture is not changed by hand.")


def with_comb(comb: Comb, zones: int, spacing: int, phase: float | None = None) -> Comb:
    """A comb for another supposed count. Raises PatternError where there is none."""
    given: dict[str, object] = {"zones": zones, "spacing": spacing}
    return with_changes(comb, given if phase is None else given | {"phase": phase})


def with_changes(pattern: P, changed: dict[str, object]) -> P:
    """The same picture with other parameters, as a sequence writes them. Raises PatternError."""
    given = {name: value for name, value in pattern.parameters().items() if value is not None}
    return type(pattern).model_validate(given | changed)


def changes(planned: Pattern, shown: Pattern) -> dict[str, object]:
    """The parameters in which what is shown differs from what was planned."""
    plan = planned.parameters()
    return {name: value for name, value in shown.parameters().items() if value != plan.get(name)}


def _of_comb(comb: Comb, change: Change, canvas: Canvas) -> dict[str, object]:
    if change in (Change.UP, Change.DOWN):
        zones = comb.zones + (1 if change is Change.UP else -1)
        if not 1 <= zones <= MOST_ZONES:
            raise PatternError(f"A comb is for 1 to {MOST_ZONES} zones.")
        return {"zones": zones}
    if change in (Change.BACK, Change.ON):
        shift = PHASE_STEP if change is Change.ON else -PHASE_STEP
        return {"phase": float((Fraction(str(comb.phase)) + shift) % 1)}
    if change is Change.SPACING:
        return {"spacing": comb.spacing % SPACINGS[-1] + 1}
    if change in (Change.LARGER, Change.SMALLER):
        side = comb.boxes(canvas)[0].width
        return {"side": f"{_resized(side, change, canvas)} px"}
    raise PatternError("A comb stands still.")


def _of_box(box: MovingBox, change: Change, canvas: Canvas, time: Fraction) -> dict[str, object]:
    across = box.across
    length = canvas.width if across else canvas.height
    side, place = box.box_side(canvas), box.at(canvas, time)[0 if across else 1]
    found: dict[str, object] = {"direction": box.heading(canvas, time), "start": f"{place} px"}
    if change is Change.TURN:
        found["direction"] = "backward" if found["direction"] == "forward" else "forward"
    elif change in (Change.UP, Change.DOWN):
        speed = _stepped(box.pixels_a_second(canvas), larger=change is Change.UP)
        found["speed"] = f"{min(speed, length // FASTEST)} px/s"
    elif change in (Change.BACK, Change.ON):
        moved = place + (1 if change is Change.ON else -1)
        found["start"] = f"{min(max(moved, 0), length - side)} px"
    elif change in (Change.LARGER, Change.SMALLER):
        size = _resized(side, change, canvas)
        # about its middle, as far as it stays on the canvas
        begin = place + (side - size) // 2
        found |= {"side": f"{size} px", "start": f"{min(max(begin, 0), length - size)} px"}
    elif change is not Change.HERE:
        raise PatternError("A moving box has no spacing.")
    return found


def _resized(side: int, change: Change, canvas: Canvas) -> int:
    size = _stepped(Fraction(side), larger=change is Change.LARGER)
    return min(size, round_half_away(canvas.height * LARGEST))


def _stepped(value: Fraction, *, larger: bool) -> int:
    """The next larger or smaller whole value, a quarter away or one at least; 1 is the smallest."""
    if larger:
        return max(round_half_away(value * STEP), floor(value) + 1)
    return max(min(round_half_away(value / STEP), ceil(value) - 1), 1)
