"""How the operator's window looks: how bright, in which letters. One for as long as it runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from player.keys import Look, look_of

SHARES = (1.0, 0.75, 0.55, 0.4, 0.32, 0.25)
"""By level, the part of each tone's code values that is left; the first is the brightest."""
ONE_SCREEN = "There is one screen, and it is the pattern's: the operator strip keeps its size."
ONE_SCREEN_FULL = "There is one screen, and it is the pattern's: nothing else covers it."


class Covers(Protocol):
    """A window that can cover its screen."""

    def toggle_full_screen(self) -> None:
        """Cover the screen that it stands on, or go back to what it was."""


@dataclass
class Appearance:
    """What the operator chose; kept until the program ends, whatever page is up."""

    level: int = 0
    """From 0, the brightest, to the last of `SHARES`."""
    large: bool = False
    """Whether little is said, in letters that are read from two metres."""

    @property
    def state(self) -> tuple[int, bool]:
        """What a drawing depends on."""
        return self.level, self.large

    def change(self, look: Look, window: Covers | None, *, page: bool = False) -> str:
        """Do what a key asks for.

        Args:
            look: what is asked for.
            window: the operator window; None with one screen.
            page: whether what is up is a page of its own even then, not a strip.

        Returns:
            why it cannot be done; empty where it was.
        """
        if look is Look.DIMMER:
            self.level = min(self.level + 1, len(SHARES) - 1)
        elif look is Look.BRIGHTER:
            self.level = max(self.level - 1, 0)
        elif look is Look.LARGE:
            if window is None and not page:
                return ONE_SCREEN
            self.large = not self.large
        elif window is None:
            return ONE_SCREEN_FULL
        else:
            window.toggle_full_screen()
        return ""


def asked(symbol: int, modifiers: int) -> Look | None:
    """What a key press, as pyglet tells it, asks of the window's look; None for all other keys.

    With Alt it asks nothing: Ctrl and Alt together write a character on many keyboards.
    """
    from pyglet.window import key

    if modifiers & key.MOD_ALT:
        return None
    ctrl = bool(modifiers & (key.MOD_CTRL | key.MOD_COMMAND))
    return look_of(key.symbol_string(symbol), ctrl=ctrl)


def dimmed(tone: tuple[int, int, int], level: int) -> tuple[int, int, int]:
    """A tone at a level: all tones keep their hue and their order."""
    red, green, blue = (round(part * SHARES[level]) for part in tone)
    return red, green, blue


def dimmed_picture(pixels: NDArray[np.uint8], level: int) -> NDArray[np.uint8]:
    """A picture (height, width, 3) at a level."""
    if not level:
        return pixels
    shown: NDArray[np.uint8] = np.rint(pixels * SHARES[level]).astype(np.uint8)
    return shown
