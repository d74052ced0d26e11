"""An adviser that says what it was told to say, one thing after each that it hears."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

import numpy as np

from patterns.control import Control
from readings.adjusting.advice import Advice, Believed, Look, Move, Noticed, Off, Stop, Turn
from readings.adjusting.goal import Goal

WHITE = 10
"""The point of 100 %, of the usual levels."""


def turn(*moves: tuple[int, float, float], look_at: int = WHITE, trial: bool = False) -> Turn:
    """Controls to be turned, each with what it reads and what it is to read."""
    return Turn(
        moves=tuple(Move(*each) for each in moves),
        off=Off(WHITE, 0.03, 0.0, 0.0),
        trial=trial,
        detour=False,
        look_at=look_at,
        before=2.9,
        after=1.2,
        seconds=12.0,
        seconds_to_go=20.0,
        changes_to_go=4,
        expected=((WHITE, (1.0, 1.0, 1.0)),),
    )


def look(point: int = WHITE) -> Look:
    return Look(point, "after")


def adjusting(settle: str = "2 s", menu: str = "two-point", then: str = "") -> str:
    """A sequence whose first step adjusts the wall by a menu.

    Args:
        settle: of each step.
        menu: by which it is adjusted.
        then: further steps, each a line.
    """
    return f"""
title: The lobby wall adjusted
signal: sdr8
settle: {settle}
steps:
  - show: {{window: {{area: 10 %, level: 100 %}}}}
    label: Two-point controls
    read: {{adjust: [{menu}]}}
{then}"""


GREY_AFTER = "  - {show: {field: {level: 50 %}}, label: Grey, read: luminance}"
REACHED = Stop("reached", 0.7, 0.3, 0.5, 120.0)


class ScriptedAdviser:
    """Says the next of ``script`` after each thing that it hears once the goal is known."""

    script: ClassVar[list[Advice]] = []
    made: ClassVar[list[ScriptedAdviser]] = []

    def __init__(
        self,
        controls: Sequence[Control],
        goal: Goal,
        meter: object = None,
        pace: object = None,
        price: float = 0.03,
    ) -> None:
        self.controls, self.goal, self.meter = tuple(controls), goal, meter
        self.pace, self.price = pace, price
        self.heard: list[tuple[object, ...]] = []
        self.noticed: list[Noticed] = []
        self.made.append(self)

    def read(self, point: int, xyz: np.ndarray, at: float) -> None:
        self.heard.append(("read", point, tuple(np.round(xyz, 6)), at))

    def turned(self, control: int, value: float, at: float) -> None:
        self.heard.append(("turned", control, value, at))

    def leave_out(self, control: int, *, out: bool = True) -> None:
        self.heard.append(("out" if out else "in", control))

    def expects(self, point: int, xyz: object) -> bool:
        return False

    def go_on(self) -> None:
        self.heard.append(("go on",))

    @property
    def advice(self) -> Advice:
        # black and white come first
        return self.script[min(len(self.heard) - 2, len(self.script) - 1)]

    @property
    def believed(self) -> list[Believed]:
        return [
            Believed(point, 1.0 + point / 10, 0.4, (1.03, 1.0, 0.99), None) for point in (5, 10)
        ]
