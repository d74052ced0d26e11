"""A control of a display: what it does, to which channel or colour, how far it goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Does = Literal["gain", "offset", "point", "backlight", "preset", "hue", "saturation", "brightness"]
"""What a control moves. `gain` and `offset` are those of two-point controls, `point` one of a
multi-point control, `backlight` the light of the whole picture, `preset` the tone curve (gamma);
the last three those of six-colour controls."""
DOES: tuple[Does, ...] = get_args(Does)
Channel = Literal["red", "green", "blue", "cyan", "magenta", "yellow"]
CHANNELS: tuple[Channel, ...] = get_args(Channel)
PRIMARIES: tuple[Channel, ...] = CHANNELS[:3]
Menu = Literal["two-point", "multi-point", "backlight", "preset", "six-colour"]
"""Controls that belong together, as sequences name them."""
MENUS: tuple[Menu, ...] = get_args(Menu)
_MENU_OF: dict[Does, Menu] = {
    "gain": "two-point",
    "offset": "two-point",
    "point": "multi-point",
    "backlight": "backlight",
    "preset": "preset",
    "hue": "six-colour",
    "saturation": "six-colour",
    "brightness": "six-colour",
}
ADJUSTING = "adjusting"
"""The role of steps in which a display is adjusted by its controls; what is read in them is of
states on the way."""

WHOLE = 1e-6
"""By how much of a step a value may be off one, for numbers such as 0.1."""
MOST_CLICKS = 100_000
"""From the lowest to the highest that one control can have: a choice of our own."""


@dataclass(frozen=True, slots=True)
class Control:
    """One control as the menu has it. Raises ValueError where no menu has such a control.

    Args:
        name: as in the menu, or as one knows it: `Red gain`.
        does: what it moves.
        channel: the channel that it moves, or the colour of a six-colour control; None of
            `backlight` and `preset`.
        level: of a `point`, percent of the signal; None of the others.
        lowest: what the menu reads at its lowest.
        highest: and at its highest.
        step: by how much one click changes what the menu reads, more than 0.
        found: what the menu read before anybody turned it.
    """

    name: str
    does: Does
    channel: Channel | None
    level: float | None
    lowest: float
    highest: float
    step: float
    found: float

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError("a control needs a name")
        coloured = self.does not in ("backlight", "preset")
        if coloured != (self.channel is not None):
            needs = "needs a channel" if coloured else "has no channel"
            raise ValueError(f"{self.name}: a {self.does} {needs}")
        if self.menu != "six-colour" and self.channel not in (None, *PRIMARIES):
            raise ValueError(f"{self.name}: a {self.does} is of red, green or blue")
        if (self.does == "point") != (self.level is not None):
            needs = "needs its level" if self.does == "point" else "has no level"
            raise ValueError(f"{self.name}: a {self.does} {needs}")
        if self.level is not None and not 0 <= self.level <= 109:
            raise ValueError(f"{self.name}: a level is 0 to 109 %, not {self.level:g}")
        if not self.step > 0 or not self.lowest < self.highest:
            raise ValueError(f"{self.name}: it goes from lowest up to highest, by steps above 0")
        clicks = (self.highest - self.lowest) / self.step
        if not 0.999 <= clicks <= MOST_CLICKS + 0.001:  # such as 0.1 are not exact
            raise ValueError(
                f"{self.name}: it has 1 to {MOST_CLICKS:,} steps from lowest to highest"
            )
        if not self.lowest <= self.found <= self.highest:
            raise ValueError(
                f"{self.name}: found at {self.found:g}, outside {self.lowest:g} to {self.highest:g}"
            )

    @property
    def menu(self) -> Menu:
        """Which controls it belongs to."""
        return _MENU_OF[self.does]

    def can_read(self, value: float) -> bool:
        """Whether the menu stops at a value: at an end, or whole steps from one or from where it
        was found."""
        stops = (self.lowest, self.highest, self.found)
        inside = self.lowest <= value <= self.highest
        return inside and not all(off_step(value, stop, self.step) for stop in stops)

    def clicks(self, value: float) -> float:
        """Clicks from where it was found to a value."""
        return (value - self.found) / self.step

    def value(self, clicks: float) -> float:
        """What the menu reads that many clicks from where it was found, within its range."""
        return min(max(self.found + clicks * self.step, self.lowest), self.highest)


def off_step(value: float, begin: float, step: float) -> bool:
    """Whether a value lies between two steps from where they begin."""
    steps = (value - begin) / step
    return abs(steps - round(steps)) > WHOLE
