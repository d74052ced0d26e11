"""An adviser on one step of a run, and what it was told: the same again tells it the same again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

import numpy as np
from numpy.typing import NDArray

from patterns.aim import NOT_STATED, Aim
from patterns.control import Control
from patterns.signal.signal import Signal
from readings.adjusting.advice import Advice, Believed, Look, Noticed, Turn
from readings.adjusting.adviser import Adviser, Pace
from readings.adjusting.goal import Goal, Point
from readings.evidence.repeatability import Repeatability

Floats = NDArray[np.float64]
USUAL_PRICE = 0.03
"""What a second is worth, delta E squared."""
USUAL_MINUTES = 10.0
"""What that price is meant for, a choice of our own; trials take 15 by the median."""
CHEAPEST, DEAREST = 0.003, 3.0
"""Bounds of the price: an hour and a half, and six seconds."""
LEAST = 1e-6
"""Share of white's light below which none is wanted of a channel."""
FEWEST, MOST = 3, 9
"""Turns, or readings, from which their pace is taken, and how many of the last ones count."""
QUICKEST, SLOWEST = 0.5, 60.0
"""Seconds that a turn or a reading is taken to last: a break is no pace."""


def price_of(minutes: float | None) -> float:
    """What a second is worth where there are so many minutes; None for the usual."""
    if minutes is None:
        return USUAL_PRICE
    return min(max(USUAL_PRICE * USUAL_MINUTES / max(minutes, 1e-3), CHEAPEST), DEAREST)


@dataclass(frozen=True, slots=True)
class Turned:
    """A control that was turned."""

    control: int
    before: float
    after: float


class Advised:
    """Makes the goal of the first readings, tells the adviser everything, and asks it what next.

    Times are those of the visit: an adviser of another start that is told the same says the same.

    Args:
        controls: those that may be turned.
        points: what may be read; black and the brightest grey among them.
        signal: of the pattern.
        aim: what was stated.
        meter: how its readings scatter; the usual where nobody knows.
        price: what a second is worth, delta E squared.
    """

    def __init__(
        self,
        controls: Sequence[Control],
        points: Sequence[Point],
        signal: Signal,
        aim: Aim = NOT_STATED,
        meter: Repeatability | None = None,
        price: float = USUAL_PRICE,
    ) -> None:
        self.controls = tuple(controls)
        self.points = tuple(points)
        self.goal: Goal | None = None
        """None before the first readings."""
        self.adviser: Adviser | None = None
        self.now = [control.found for control in self.controls]
        """What each menu reads, as it was said."""
        self.left_out: set[int] = set()
        self.turns: list[Turned] = []
        """What can be put back, the latest last; what was put back is not among it."""
        self.told = 0
        """How often it was told something."""
        self.out_last: int | None = None
        """The control that was left out last, where nothing was turned since."""
        self._signal, self._aim, self._meter, self._price = signal, aim, meter, price
        greys = [place for place, point in enumerate(self.points) if point.grey]
        self.black = next(place for place in greys if self.points[place].black)
        self.white = max(greys, key=lambda place: self.points[place].signal[0])
        self._first: dict[int, tuple[Floats, float]] = {}
        self._began: datetime | None = None
        self._at = 0.0
        self._pace = Pace()
        self._turn_took: list[float] = []
        self._read_took: list[float] = []
        self._advice: Advice | None = None
        self._believed: dict[int, Believed] | None = None

    # ---- what it is told

    def read(self, point: int, xyz: Floats, when: datetime) -> str:
        """A point was read; what stands against it, in a sentence, where it cannot be used.

        Args:
            point: its place in `points`.
            xyz: (3,), cd/m2.
            when: it was read.
        """
        passed = self._goes_on(when)
        self._forget_advice()
        if self.adviser is not None:
            self._read_took.append(passed)
            place = self._place(point)
            if place is not None:
                self.adviser.read(place, xyz, self._at)
            return ""
        if point not in (self.black, self.white):
            return ""
        self._first.setdefault(point, (xyz, self._at))
        return self._begin() if len(self._first) == 2 else ""

    def expects(self, point: int, xyz: Floats) -> bool:
        """Whether a reading (3,) of a point after a turn is what it was expected to do."""
        place = self._place(point)
        return self.adviser is not None and place is not None and self.adviser.expects(place, xyz)

    def _begin(self) -> str:
        (white, _), (black, _) = self._first[self.white], self._first[self.black]
        try:
            self.goal = Goal.of(self.points, self._signal, white, black, self._aim)
        except ValueError as error:
            self._first.clear()
            said = str(error)
            return f"{said[:1].upper()}{said[1:]}; black and white are read again."
        self.adviser = Adviser(self.controls, self.goal, self._meter, self._pace, self._price)
        for each, (xyz, at) in self._first.items():
            place = self._place(each)
            if place is not None:
                self.adviser.read(place, xyz, at)
        return ""

    def turned(self, control: int, value: float, when: datetime) -> None:
        """The menu of a control reads a value now."""
        passed = self._goes_on(when)
        before, self.now[control] = self.now[control], value
        last = self.turns[-1] if self.turns else None
        if last is not None and (last.control, last.before) == (control, value):
            self.turns.pop()
        else:
            self.turns.append(Turned(control, before, value))
        self.out_last = None
        click = self._pace.click * abs(value - before) / self.controls[control].step
        self._turn_took.append(passed - click)
        self._forget_advice()
        if self.adviser is not None:
            self.adviser.turned(control, value, self._at)

    def leave_out(self, control: int, when: datetime, *, out: bool = True) -> None:
        """A control stays as it is from now on, or is taken in again."""
        self._goes_on(when)
        (self.left_out.add if out else self.left_out.discard)(control)
        self.out_last = control if out else None
        self._forget_advice()
        if self.adviser is not None:
            self.adviser.leave_out(control, out=out)

    def go_on(self) -> None:
        """Somebody wants the rest too."""
        self._forget_advice()
        if self.adviser is not None:
            self.adviser.go_on()

    def _forget_advice(self) -> None:
        """It was told something: what it says may be another now."""
        self._advice = self._believed = None
        self.told += 1

    def _goes_on(self, when: datetime) -> float:
        """Note the time; the seconds since anything was told."""
        if self._began is None:
            self._began = when
        before, self._at = self._at, max((when - self._began).total_seconds(), self._at)
        return self._at - before

    # ---- what it says

    @property
    def advice(self) -> Advice:
        """What to do now; points are those of `points_of_advice`."""
        if self._advice is None:
            if self.adviser is None:
                missing = self.black if self.black not in self._first else self.white
                self._advice = Look(missing, "first")
            else:
                self._learn_pace()
                self._advice = self.adviser.advice
        return self._advice

    @property
    def points_of_advice(self) -> tuple[Point, ...]:
        """What the numbers of points in the advice stand for."""
        return self.points if self.goal is None else self.goal.points

    @property
    def up(self) -> int | None:
        """The point that is to be on screen, its place in `points`; None where any may be."""
        advice = self.advice
        if isinstance(advice, Turn):
            return self.place_of(advice.look_at)
        if isinstance(advice, Look):
            return self.place_of(advice.point)
        return None

    @property
    def believed(self) -> dict[int, Believed]:
        """What is believed of each point, by its place in `points`."""
        if self.adviser is None or self.goal is None:
            return {}
        if self._believed is None:
            known = self.adviser.believed
            self._believed = {self.place_of(each.point): each for each in known}
        return self._believed

    @property
    def worst(self) -> Believed | None:
        """The point with the largest error as believed."""
        return max(self.believed.values(), key=lambda each: each.error, default=None)

    @property
    def noticed(self) -> list[Noticed]:
        """What was found out about controls."""
        return [] if self.adviser is None else list(self.adviser.noticed)

    def lights(self, point: int, xyz: Floats) -> tuple[float, float, float] | None:
        """Light of red, green, blue that was read of a point, share of the wanted; None of black,
        and before there is a goal."""
        place = self._place(point)
        if self.goal is None or place is None:
            return None
        wanted = self.goal.channels(self.goal.xyz[place])
        if not self.has_bars(point):
            return None
        red, green, blue = (float(each) for each in self.goal.channels(xyz) / wanted)
        return red, green, blue

    def wanted(self, point: int) -> Floats | None:
        """XYZ (3,) wanted of a point, cd/m2; None before there is a goal."""
        place = self._place(point)
        return None if self.goal is None or place is None else self.goal.xyz[place]

    def place_of(self, number: int) -> int:
        """The point of `points` that a number in the advice stands for."""
        return self.points.index(self.points_of_advice[number])

    def has_bars(self, point: int) -> bool:
        """Whether light of all channels is wanted of a point, so that there are shares of it."""
        place = self._place(point)
        if place is None or self.goal is None:
            return False
        return bool((self.goal.channels(self.goal.xyz[place]) > LEAST).all())

    def error(self, point: int, xyz: Floats) -> float | None:
        """Delta E of what was read of a point; None before there is a goal."""
        place = self._place(point)
        return None if self.goal is None or place is None else self.goal.error(place, xyz)

    def _place(self, point: int) -> int | None:
        """Where the goal has a point; None where it was left out."""
        if self.goal is None:
            return None
        try:
            return self.goal.points.index(self.points[point])
        except ValueError:
            return None

    def _learn_pace(self) -> None:
        """What turns and readings really take, once there are some."""
        assert self.adviser is not None  # noqa: S101 - only it is asked
        self._pace = Pace(
            turn=_taken(self._turn_took, Pace().turn), read=_taken(self._read_took, Pace().read)
        )
        self.adviser.pace = self._pace


def _taken(seconds: Sequence[float], usual: float) -> float:
    if len(seconds) < FEWEST:
        return usual
    return min(max(median(seconds[-MOST:]), QUICKEST), SLOWEST)
