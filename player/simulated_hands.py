"""Simulated hands at the menu of the simulated display: they turn what they are told to turn."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from player.run.live import LiveRun
from player.simulated import SimulatedDisplay, SimulatedError
from readings.visit.visit import Visit

FINDS, NEXT, CLICKS = 8.0, 3.0, 0.15
"""Seconds to find a control and to turn it, for each further one of its page, and for each click:
those that an adviser supposes."""


class SimulatedHands:
    """Does what an adjusting step asks for beside its readings.

    Args:
        run: the run, on an output that shows its frames on the display.
        display: the simulated display.
        wait: lets seconds pass.
    """

    def __init__(
        self, run: LiveRun, display: SimulatedDisplay, wait: Callable[[float], None]
    ) -> None:
        self._run = run
        self._display = display
        self._wait = wait

    def act(self) -> bool:
        """Turn as told, or end what is at its end; False where hands cannot do it."""
        adjustment = self._run.adjustment
        state, advised = adjustment.state, adjustment.advised
        if state == "stop":
            return self._run.enter("")
        if state != "turn" or advised is None:
            return False
        takes = FINDS - NEXT
        for move in adjustment.moves:
            control = advised.controls[move.control]
            try:
                self._display.turn(control.name, move.to)
            except SimulatedError:
                return False
            takes += NEXT + CLICKS * abs(control.clicks(move.to) - control.clicks(move.now))
        self._wait(takes)
        return self._run.enter("")


def bring_menu(display: SimulatedDisplay, visit: Visit) -> None:
    """Bring a display's menu to what a visit says it reads: one just made is as found."""
    values: dict[str, float] = {}
    for run in visit.runs():
        names = {each.id: each.control.name for each in visit.controls(run.id)}
        for turn in visit.turns(run.id):
            if turn.value is not None:
                values[names[turn.control]] = turn.value
    for name, value in values.items():
        with suppress(SimulatedError):  # the visit is of a display with another menu
            display.turn(name, value)
