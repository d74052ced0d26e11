"""Which key does what. One keyboard serves both windows, and a presenter's clicker works.

Names of keys are those of pyglet, as text, so that this knows no window.
"""

from __future__ import annotations

from enum import Enum, auto


class Action(Enum):
    """What a key asks for."""

    KEEP = auto()
    ON = auto()
    BACK = auto()
    AGAIN = auto()
    ERASE = auto()
    CLEAR = auto()
    NOTE = auto()
    BLACKOUT = auto()
    TALLY = auto()
    MEASURE = auto()
    STRIP = auto()
    HELP = auto()
    LEAVE = auto()


KEYS: dict[str, Action] = {
    "ENTER": Action.KEEP,
    "RETURN": Action.KEEP,
    "NUM_ENTER": Action.KEEP,
    "RIGHT": Action.ON,
    "PAGEDOWN": Action.ON,
    "LEFT": Action.BACK,
    "PAGEUP": Action.BACK,
    "DELETE": Action.CLEAR,
    "TAB": Action.NOTE,
    "F1": Action.HELP,
    "F2": Action.AGAIN,
    "F3": Action.STRIP,
    "F5": Action.BLACKOUT,
    "F6": Action.MEASURE,
    "ESCAPE": Action.LEAVE,
}
"""Keys that mean the same at every step. Backspace repeats while held, so the windows send it
as ERASE themselves."""

BLACKOUT_LETTER = "b"
CLICKER_POINT = "."
"""What many clickers send for blackout. A decimal may begin with it too, so on an empty line it
counts as blackout only when nothing follows it for POINT_WAITS seconds."""
POINT_WAITS = 0.8

LONGEST = 2000
"""Characters that a line takes."""

HELP: tuple[tuple[str, str], ...] = (
    ("Enter", "keep what is typed and go on; measure, where nothing is"),
    ("Right, Page Down", "go on; a step without a reading is skipped"),
    ("Left, Page Up", "go back one step"),
    ("F2", "take the last reading again"),
    ("Space", "tally, where a box moves"),
    ("Tab", "write a note; Tab again returns to the reading"),
    ("Backspace, Delete", "erase one character, erase the line"),
    ("F5, B on an empty line", "blackout, and back"),
    ("F6", "measure with the meter"),
    ("F3", "operator strip, with one screen only"),
    ("F1", "this list"),
    ("Escape, twice", "leave; the run can be resumed"),
)
"""What the operator window lists on F1."""


def action_of(key: str) -> Action | None:
    """What a key of this name asks for at any step; None for keys that only type."""
    return KEYS.get(key)


def typed(text: str) -> str:
    """What of a text event goes into a line: printable characters, a hard space as a space."""
    plain = text.replace("\u00a0", " ").replace("\u202f", " ")
    return "".join(each for each in plain if each.isprintable())
