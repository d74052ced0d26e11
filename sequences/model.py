"""What a sequence is, once read: its steps, each with the pattern to show and what to read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal, get_args

from patterns.aim import NOT_STATED, Aim
from patterns.control import Menu
from patterns.faults import Faults, FaultsByRange
from patterns.kinds import Pattern
from patterns.quantity import LIGHT, Quantity
from patterns.signal.signal import Signal
from sequences.problems import Problem, SequenceError

ADJUSTED_AT: tuple[float, ...] = (0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100)
"""Greys that a display is adjusted at where a sequence says nothing, percent of the signal."""
Importance = Literal["first", "usual", "last"]
IMPORTANCES: tuple[Importance, ...] = get_args(Importance)
"""From what is played before all else where time runs short, to what is played at the end."""

SETTLE = Fraction(3)
"""Seconds that a picture stands before a meter reads it, where a sequence says nothing: those of
most shipped sequences, a choice of our own."""

READING_TAKES = 10
"""Seconds that a reading is assumed to take, for telling how long a sequence lasts."""

CAUTIONS = {
    "bright": "Bright fields: in a dark room, look away from the display.",
    "flashing": "Flashing patterns: they can cause seizures in people with photosensitive "
    "epilepsy; nobody at risk may see the display.",
    "static": "Still bright pictures: on some displays they leave an image behind when they "
    "stand for long.",
    "dark-room": "A dark room: stray light adds to every low reading.",
}
"""Every caution that a sequence may name, and what the operator is told."""

Position = tuple[int, int]
"""Line and column in the file, both from 1."""


@dataclass(frozen=True)
class Read:
    """What to read at a step: the quantity, what it is read of, and the choices of a choice."""

    quantity: Quantity
    of: str = ""
    choices: tuple[str, ...] = ()
    adjusts: tuple[Menu, ...] = ()
    """The menus of controls that the display is adjusted by here; none where it is only read."""
    levels: tuple[float, ...] = ()
    """Of such a step: the greys that may be put up, percent of the signal, rising. With six-colour
    controls the colours come up at the level of `show`."""

    @property
    def of_light(self) -> bool:
        """Whether it is light that is read, as a meter can."""
        return self.quantity in LIGHT


@dataclass(frozen=True)
class Step:
    """One pattern to show.

    Args:
        number: place in the sequence, from 1.
        label: what the operator calls it.
        pattern: what is shown.
        read: what is read there; None where it is only shown.
        role: what findings know it by; empty where none.
        faults: which answers are faults of the display; None where the sequence does not say.
        settle: seconds to wait before reading.
        hold: seconds that it lasts in an exported clip; None where the sequence leaves it open.
        importance: when it is played where time runs short.
        warm_up: seconds that the display has to have been on before it is read.
        variables: the values of ``each`` that made this step, as text.
        line, column: where the step begins in the file, from 1.
        places: where the values of the pattern's parameters stand in the file.
    """

    number: int
    label: str
    pattern: Pattern
    read: Read | None
    role: str
    settle: Fraction
    variables: dict[str, str]
    line: int
    column: int = 1
    places: Mapping[tuple[str, ...], Position] = field(
        default_factory=dict, compare=False, repr=False
    )
    hold: Fraction | None = None
    importance: Importance = "usual"
    warm_up: Fraction = Fraction(0)
    faults: Faults | FaultsByRange | None = None


@dataclass(frozen=True)
class Sequence:
    """A whole sequence; ``sha256`` is that of ``text`` in UTF-8."""

    title: str
    signal: Signal
    cautions: tuple[str, ...]
    finds: tuple[str, ...]
    steps: tuple[Step, ...]
    text: str
    sha256: str
    source: str
    aim: Aim = NOT_STATED
    """What it says that the display is meant to do."""
    at_the_screen: tuple[str, ...] = ()
    """What a person needs to know at the screen, in sentences of one line each."""


__all__ = [
    "ADJUSTED_AT",
    "CAUTIONS",
    "IMPORTANCES",
    "READING_TAKES",
    "SETTLE",
    "Importance",
    "Position",
    "Problem",
    "Quantity",
    "Read",
    "Sequence",
    "SequenceError",
    "Step",
]
