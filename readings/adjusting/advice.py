"""What an adviser says: turn, read, or stop, in figures and not in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from patterns.control import Control

Floats3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Move:
    """One control, and what its menu should read."""

    control: int
    """Its place in the adviser's list of controls."""
    now: float
    """What the menu reads now, as far as is known."""
    to: float


@dataclass(frozen=True, slots=True)
class Off:
    """What is wrong now, that a move is to mend: the reason in figures."""

    point: int
    """The place in the goal's list of points that the move helps most."""
    red: float
    green: float
    blue: float
    """Light of the channels less what is wanted, share of that: 0.03 is 3 % too much."""


@dataclass(frozen=True, slots=True)
class Turn:
    """Turn controls of one page of the menu."""

    moves: tuple[Move, ...]
    """One, or several of one page."""
    off: Off
    trial: bool
    """Whether it is to find out what the control does, more than to come nearer."""
    detour: bool
    """Whether the error is expected to rise first."""
    look_at: int
    """The point to be on screen meanwhile, and read after."""
    before: float
    """Largest error over the points as believed now, delta E."""
    after: float
    """The same after the whole plan, as expected."""
    seconds: float
    """What this takes, as expected, with the reading."""
    seconds_to_go: float
    """What the whole plan takes."""
    changes_to_go: int
    """Changes of the whole plan, this one among them."""
    expected: tuple[tuple[int, Floats3], ...]
    """Points that this moves, each with light of red, green, blue (share of the wanted: 1 is on the
    mark) where this should bring it."""


@dataclass(frozen=True, slots=True)
class Look:
    """Read a point."""

    point: int
    why: Literal["first", "after", "late", "unsure", "again", "closing"]
    """Nothing is known of it; a control was turned; the same, where the menu acts late; knowing it
    would help; what was read contradicts what was expected; before it is called done."""


Ending = Literal["reached", "within the meter", "not worth the time", "nothing left"]
"""All errors are believed below the limit; what is left is less than the meter can tell; a plan
exists that is not worth its time; no control is known to help."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Nothing more is advised."""

    why: Ending
    largest: float
    """Largest error over the points as believed, delta E."""
    spread: float
    """Its k = 2."""
    more: float | None = None
    """What the largest error might come to if one went on, where a plan exists."""
    seconds: float | None = None
    """What that takes."""


Advice = Turn | Look | Stop


What = Literal["no effect seen", "reversed", "dead zone", "at its ceiling"]
"""What may be found out about a control."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """What was found out about a control."""

    control: Control
    what: What
    point: int | None
    """Where it was seen; None where everywhere."""


@dataclass(frozen=True, slots=True)
class Believed:
    """What is believed of one point."""

    point: int
    error: float
    """Delta E, the middle of what is believed; of black, what being lifted counts."""
    spread: float
    """How far the true one may be from that, k = 2."""
    light: Floats3
    """Light of red, green, blue, share of the wanted."""
    read: float | None
    """Delta E of the last reading of it, before any turn since; None where none is."""
