"""The controls of a display as somebody says them, one line each, where no file describes them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from patterns.control import PRIMARIES, Channel, Control, Does, Menu, off_step
from player.run.entry import EntryError, parse_without_groups

SIX: tuple[Channel, ...] = ("red", "yellow", "green", "cyan", "blue", "magenta")
"""The six colours in the order of their hue."""
USUAL: dict[Does, tuple[float, float, float, float]] = {
    "gain": (-50, 50, 1, 0),
    "offset": (-50, 50, 1, 0),
    "point": (-50, 50, 1, 0),
    "backlight": (0, 100, 1, 50),
    "preset": (1.8, 2.6, 0.1, 2.2),
    "hue": (-50, 50, 1, 0),
    "saturation": (-50, 50, 1, 0),
    "brightness": (-50, 50, 1, 0),
}
"""Lowest, highest, step and found that are supposed until somebody says otherwise: common practice,
no source."""
_NUMBER = re.compile(r"(?<![\w.,])[+\-\u2212]?\d+(?:[.,]\d+)?(?![\w]|[.,][\d.,])")
_EXAMPLE = "−50 to 50, now 0"
HOW = "lowest to highest, now"
"""What a line says; a step other than 1 comes last."""


def supposed(menus: Iterable[Menu], levels: Sequence[float]) -> tuple[Control, ...]:
    """The controls that displays have as a rule in these menus.

    Args:
        menus: which.
        levels: percent; a multi-point menu has a control at each above 0.
    """
    found: list[Control] = []
    for menu in menus:
        if menu == "two-point":
            found += [_usual("gain", channel) for channel in PRIMARIES]
            found += [_usual("offset", channel) for channel in PRIMARIES]
        elif menu == "multi-point":
            found += [
                _usual("point", channel, level)
                for level in sorted(set(levels), reverse=True)
                if level > 0
                for channel in PRIMARIES
            ]
        elif menu == "six-colour":
            does: tuple[Does, ...] = ("hue", "saturation", "brightness")
            found += [_usual(each, channel) for channel in SIX for each in does]
        else:
            found.append(_usual(menu))
    return tuple(found)


def _usual(does: Does, channel: Channel | None = None, level: float | None = None) -> Control:
    lowest, highest, step, now = USUAL[does]
    name = {"backlight": "Backlight", "preset": "Tone preset"}.get(does, f"{channel} {does}")
    if level is not None:
        name = f"{level:g} % {channel}"
    name = name[:1].upper() + name[1:]
    return Control(name, does, channel, level, lowest, highest, step, now)


class AskedControls:
    """Asks for one control after another.

    What is said of one is supposed of the next that does the same.

    Args:
        controls: as supposed.
    """

    def __init__(self, controls: Sequence[Control]) -> None:
        self._left = list(controls)
        self.said: list[Control] = []
        """Those that the display has."""

    @property
    def asked(self) -> Control | None:
        """The control that is asked for now, as supposed; None where all are said."""
        return self._left[0] if self._left else None

    @property
    def left(self) -> int:
        """How many have still to be said."""
        return len(self._left)

    def take(self, text: str) -> None:
        """Take a line: the range and what the menu reads now, what it reads now, or nothing.

        Raises:
            EntryError: it says something else.
        """
        asked = self._left[0]
        control = said_of(asked, text)
        self.said.append(control)
        self._left.pop(0)
        own = (control.lowest, control.highest, control.step)
        for place, each in enumerate(self._left):
            if each.does == control.does:
                lowest, highest, step = own
                found = _on_step(each.found, lowest, highest, step)
                self._left[place] = replace(
                    each, lowest=lowest, highest=highest, step=step, found=found
                )

    def without(self) -> None:
        """The display has no such control."""
        self._left.pop(0)

    def take_rest(self) -> None:
        """All that are left are as supposed."""
        while self._left:
            self.take("")


def line_of(control: Control) -> str:
    """A control as a line says it: `Red gain: −50 to 50, now 0`."""
    step = "" if control.step == 1 else f", step {control.step:g}"
    said = f"{control.lowest:g} to {control.highest:g}, now {control.found:g}{step}"
    return f"{control.name}: {said}".replace(" -", " −").replace(":-", ":−")


def said_of(asked: Control, text: str) -> Control:
    """A control by what was typed of it. Raises EntryError where that cannot be told."""
    from readings.adjusting.words import reads

    if not text.strip():
        return asked
    found = [parse_without_groups(each.replace("\u2212", "-")) for each in _NUMBER.findall(text)]
    # what looks like a number and is none would else be left out unsaid
    if not 1 <= len(found) <= 4 or re.search(r"\d", _NUMBER.sub("", text)):
        raise EntryError(
            f"Type what {asked.name} reads now, or its range too: {HOW}, such as {_EXAMPLE}."
        )
    lowest, highest, step = asked.lowest, asked.highest, asked.step
    now: float | None = found[0]
    if len(found) > 1:
        lowest, highest = found[:2]
        step = found[3] if len(found) > 3 else step
        now = found[2] if len(found) > 2 else None
    try:
        made = replace(asked, lowest=lowest, highest=highest, step=step, found=lowest)
        if now is None:
            now = _on_step(asked.found, lowest, highest, step)
        made = replace(made, found=now)
    except ValueError as error:
        said = str(error)
        raise EntryError(f"{said[:1].upper()}{said[1:]}.") from error
    for value in (highest, now):
        if off_step(value, lowest, step):
            raise EntryError(
                f"{asked.name} goes from {reads(lowest)} by steps of {step:g}, and never reads "
                f"{reads(value)}; another step comes last, as in {_EXAMPLE}, step 0.5."
            )
    return made


def _on_step(value: float, lowest: float, highest: float, step: float) -> float:
    """The value nearest to one that a menu can read."""
    inside = min(max(value, lowest), highest)
    if not off_step(inside, lowest, step):
        return inside
    return min(lowest + round((inside - lowest) / step) * step, highest)
