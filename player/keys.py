"""Which key does what. One keyboard serves both windows, and a presenter's clicker works.

Names of keys are those of pyglet, as text, so that this knows no window.
"""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum, auto

from player.run.by_hand import Change


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
    PUT_BACK = auto()
    STRIP = auto()
    STEPS = auto()
    PHOTO = auto()
    TIME = auto()
    DARK = auto()
    HELP = auto()
    LEAVE = auto()
    PAUSE = auto()
    WATCH = auto()
    UNTURN = auto()
    HOLD = auto()
    READ_AGAIN = auto()
    FINISH = auto()


class Look(Enum):
    """What a key asks of the operator window alone: nothing that is told or asked goes by it."""

    LARGE = auto()
    DIMMER = auto()
    BRIGHTER = auto()
    FULL = auto()


LOOKS: dict[str, Look] = {"F11": Look.LARGE}
"""Keys of the window's look."""
LOOKS_WITH_CTRL: dict[str, Look] = {
    "MINUS": Look.DIMMER,
    "UNDERSCORE": Look.DIMMER,
    "NUM_SUBTRACT": Look.DIMMER,
    "PLUS": Look.BRIGHTER,
    "EQUAL": Look.BRIGHTER,
    "NUM_ADD": Look.BRIGHTER,
    "F": Look.FULL,
}
"""The same with Ctrl, or the command key: on some keyboards the plus is on the key of =."""


def look_of(key: str, *, ctrl: bool) -> Look | None:
    """What a key of this name asks of the window's look; None for all other keys."""
    return (LOOKS_WITH_CTRL if ctrl else LOOKS).get(key)


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
    "F4": Action.STEPS,
    "F5": Action.BLACKOUT,
    "F6": Action.MEASURE,
    "F7": Action.PHOTO,
    "F8": Action.PUT_BACK,
    "F9": Action.TIME,
    "F10": Action.DARK,
    "F12": Action.WATCH,
    "ESCAPE": Action.LEAVE,
}
"""Keys that mean the same at every step. Backspace repeats while held, so the windows send it
as ERASE themselves."""

COUNTING_KEYS: dict[str, Change] = {
    "UP": Change.UP,
    "DOWN": Change.DOWN,
    "HOME": Change.BACK,
    "END": Change.ON,
}
"""Keys that change the picture by hand while zones are counted."""
COUNTING_LETTERS: dict[str, Change] = {
    "+": Change.LARGER,
    "-": Change.SMALLER,
    "r": Change.TURN,
    "s": Change.SPACING,
}
"""The same as typed on an empty line."""
PAUSE_LETTER = "p"

ADJUSTING_KEYS: dict[str, Action] = {
    "F2": Action.UNTURN,
    "F6": Action.READ_AGAIN,
    "SPACE": Action.HOLD,
    "END": Action.FINISH,
}
"""Keys that mean something of their own while a display is adjusted; the space bar on an empty line
alone."""

BLACKOUT_LETTER = "b"
CLICKER_POINT = "."
"""What many clickers send for blackout. A decimal may begin with it too, so on an empty line it
counts as blackout only when nothing follows it for POINT_WAITS seconds. It stays on the line, so
that digits which come later follow it."""
POINT_WAITS = 0.8
PHOTO = "Photo: "
"""What a note begins with that names a photo's file."""

LONGEST_LINE = 2000
"""Characters that a line takes."""

LOOK_HELP: tuple[tuple[str, str], ...] = (
    ("F11", "large letters, read from two metres, and back"),
    ("Ctrl+minus, Ctrl+plus", "this window dimmer, brighter"),
    ("Ctrl+F", "this window over the whole of its screen, and back"),
)

HELP: tuple[tuple[str, str], ...] = (
    ("Enter", "keep what is typed and go on; measure, where nothing is"),
    ("Right, Page Down", "go on; a step without a reading is skipped"),
    ("Left, Page Up", "go back one step"),
    ("F4", "list of the steps: arrows or a number, Enter or a click goes there"),
    ("F2", "take the last reading again; once more the one before, and so on"),
    ("Space", "tally, where a box moves"),
    ("Tab", "write a note; Tab again returns to the reading"),
    ("F7", "write down a photo's file name"),
    ("Ctrl+V", "paste: several lines are readings of as many steps"),
    ("Backspace, Delete", "erase one character, the line; then what was not kept"),
    ("F5, B on an empty line", "blackout, and back"),
    ("F6", "measure with the meter"),
    ("F12", "watch the light as the meter reads on and on; nothing is kept"),
    ("F8", "put a pattern window that was moved back over its screen"),
    ("F9", "say how many minutes there are: important steps come first"),
    ("F10", "read the meter's dark offset again, with --dark-offset"),
    ("F3", "operator strip, with one screen only"),
    *LOOK_HELP,
    ("F1", "this list"),
    ("Escape, twice", "leave; the run can be resumed"),
)
"""What the operator window lists on F1."""


CRAWL_HELP: tuple[tuple[str, str], ...] = (
    ("Space", "press at each hop of the light to the next zone"),
    ("Delete on an empty line", "take the last press back"),
    ("P", "pause the box, and let it go on"),
    ("Up, Down", "faster, slower"),
    ("Home, End", "stop, and go one pixel left or right, up or down"),
    ("R", "turn round"),
    ("+, -", "larger, smaller box"),
    ("Enter", "keep the pass once the box is at its end; before that it asks"),
)
"""What comes first in the list while a box crawls."""
COMB_HELP: tuple[tuple[str, str], ...] = (
    ("a number, Enter", "groups of brighter, doubled boxes; 0 where all look alike"),
    ("?, Enter", "you can't tell"),
    ("Up, Down", "one zone more, one zone fewer"),
    ("Home, End", "boxes a sixteenth of a zone to one side, to the other"),
    ("S", "boxes further apart; after 6 zones, at each zone"),
    ("+, -", "larger, smaller boxes"),
    ("F2", "answer the last comb again"),
)
"""What comes first in the list while combs are shown."""
ADJUSTING_HELP: tuple[tuple[str, str], ...] = (
    ("Enter", "done as told; or keep what is typed"),
    ("a number, Enter", "what the menu reads now; of a page one number, or all of them"),
    ("Right", "leave this control as it is"),
    ("F2", "put the last one back; once more the one before, and so on"),
    ("F6", "read what is on screen again"),
    ("Space on an empty line", "watch without advice, and back; at the end, go on all the same"),
    ("F9", "say how many minutes there are: fewer end it sooner"),
    ("End", "end it here; while controls are asked for, the rest is as it stands there"),
)
"""What comes first in the list while a display is adjusted."""
OF_ADJUSTING = ("Enter", "Right, Page Down", "F2", "Space", "F6", "F9")
"""Lines of the usual list that these stand for."""
OF_COUNTING = ("Enter", "Space", "F2", "F6", "Backspace, Delete")
"""Lines of the usual list that these stand for."""


def help_for(
    special: tuple[tuple[str, str], ...], useless: Collection[str] = ()
) -> tuple[tuple[str, str], ...]:
    """The list of keys on a step with keys of its own: those first.

    Args:
        special: the step's own keys.
        useless: keys of the usual list that do nothing here, such as F6 without a meter.
    """
    usual = tuple(line for line in HELP if line[0] not in useless)
    if not special:
        return usual
    stood_for = OF_ADJUSTING if special is ADJUSTING_HELP else OF_COUNTING
    return special + tuple(line for line in usual if line[0] not in stood_for)


def action_of(key: str) -> Action | None:
    """What a key of this name asks for at any step; None for keys that only type."""
    return KEYS.get(key)


def typed(text: str) -> str:
    """What of a text event goes into a line: printable characters, a hard space as a space."""
    plain = text.replace("\u00a0", " ").replace("\u202f", " ")
    return "".join(each for each in plain if each.isprintable())
