"""Where the meter of a run points: what it is told, and what nobody has to read for it to be so."""

from __future__ import annotations

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.place import Place, in_the_middle, place_read
from player.meters.base import Meter, Moves, aim, moves_of
from sequences.model import Step

ELSEWHERE = "read elsewhere than in the middle of the screen, where the meter stays"
"""Why a step is passed over that a meter which stays where it is cannot read."""
FROM_ASIDE = "read from another side of the screen than the meter stands on"
"""Why a step is passed over that is read at an angle."""
NOBODY = "read elsewhere than the meter points, and nobody has pointed it there"
"""Why a step is passed over that somebody was asked to point the meter for, and did not."""
Side = tuple[str, str]
"""The angle, and the direction that it is counted in."""
STRAIGHT: Side = ("", "")
ANGLE = "angle"
"""What a sequence calls the angle that a step is read at, in degrees; 0 is straight on."""


def passed_over(step: Step, moves: Moves, canvas: Canvas) -> str:
    """Why a step cannot be read without a person; empty where it can, or a person is asked.

    Args:
        step: one that a meter can read.
        moves: whether the meter comes to the place that is read.
        canvas: what the patterns are shown on.
    """
    try:
        place = _place(step, canvas)
    except PatternError as error:
        return str(error).rstrip(".")
    if moves == "ask":
        return ""
    if _side_of(step) != STRAIGHT:
        return FROM_ASIDE
    return "" if moves == "yes" or place.central else ELSEWHERE


class Pointing:
    """Where a meter points while a run goes on without a key, beginning in the middle.

    Args:
        meter: is told every place before it is read, where it wants to know.
        canvas: what the patterns are shown on.
    """

    def __init__(self, meter: Meter, canvas: Canvas) -> None:
        self._meter = meter
        self._moves = moves_of(meter)
        self._canvas = canvas
        self._at: Place | None = in_the_middle(canvas)
        self._side = STRAIGHT

    def passed_over(self, step: Step) -> str:
        """Why a step cannot be read without a person; empty where it can, or a person is asked."""
        return passed_over(step, self._moves, self._canvas)

    def asked(self, step: Step) -> str:
        """What somebody has to do before a step is read that is not passed over; empty where
        nothing, or where nobody is asked."""
        if self._moves != "ask":
            return ""
        place, side = _place(step, self._canvas), _side_of(step)
        if self._at is not None and place.near(self._at) and side == self._side:
            return ""
        across, down = (round(100 * share) for share in place.shares)
        at = f"{place.label}, {across} % from the left and {down} % from the top"
        return f"Point the meter at {at}{_told(side)}."

    def point(self, step: Step) -> None:
        """The step is read now: the meter is told its place, and points there from now on.

        Raises MeterError where the place can never be read.
        """
        self._side = _side_of(step)
        try:
            self._at = _place(step, self._canvas)
        except PatternError:
            self._at = None
        aim(self._meter, self._at)


def _place(step: Step, canvas: Canvas) -> Place:
    return place_read(step.read.of if step.read else "", step.pattern, canvas)


def _side_of(step: Step) -> Side:
    angle = step.variables.get(ANGLE, "").replace("°", "").strip()
    return (angle, step.variables.get("direction", "")) if angle.strip("+-0.") else STRAIGHT


def _told(side: Side) -> str:
    angle, direction = side
    return f", from {angle}° {direction}".rstrip() if angle else ""
