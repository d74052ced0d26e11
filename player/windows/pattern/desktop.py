"""What the operating system tells of the way from the window to the screen."""

from __future__ import annotations

import sys
import time
from typing import Any

from player.outputs.base import Guard
from player.windows.pattern.guards import mode_guard
from player.windows.pattern.on_x11 import (
    driver_dither_guard,
    is_x11,
    look_on_top,
    output_properties,
    ramps_of,
)
from player.windows.pattern.ramps import Ramps, night_guard, ramp_guard

SLOW_EVERY = 3.0
"""Seconds between two looks at what takes long to ask for."""


class Desktop:
    """Asks for one pattern window; what cannot be asked here is unknown, never clean.

    Args:
        window: the pyglet window.
        canvas: width and height of the picture, pixels.
    """

    def __init__(self, window: Any, canvas: tuple[int, int]) -> None:
        self._window = window
        self._canvas = canvas
        self._slow: dict[str, Guard] = {}
        self._looked_at = float("-inf")

    def look(self) -> dict[str, Guard]:
        """The guards of the desktop now; the slow ones are at most `SLOW_EVERY` seconds old."""
        now = time.monotonic()
        if now - self._looked_at >= SLOW_EVERY:
            self._slow, self._looked_at = self._look_slowly(), now
        found = dict(self._slow)
        if is_x11(self._window):
            found |= _of_ramps(ramps_of(self._window))
            found["on top"] = look_on_top(self._window)
        return found

    def _look_slowly(self) -> dict[str, Guard]:
        window = self._window
        ramps: Ramps | None = None
        found = {
            "hdr": Guard("unknown", "an HDR or wide-colour desktop cannot be seen here"),
            "on top": Guard("unknown", "windows over the pattern cannot be seen here"),
            "driver dither": driver_dither_guard(
                output_properties(window) if is_x11(window) else {}
            ),
        }
        if sys.platform == "win32":
            from player.windows.pattern import on_windows

            ramps, found["hdr"] = on_windows.look(window)
        elif sys.platform == "darwin":
            from player.windows.pattern import on_macos

            ramps = on_macos.look(window)
        scaled = mode_guard(self._canvas, _mode(window.screen))
        if scaled is not None:
            found["size"] = scaled
        return found | _of_ramps(ramps)


def _of_ramps(ramps: Ramps | None) -> dict[str, Guard]:
    return {"gamma ramp": ramp_guard(ramps), "night light": night_guard(ramps)}


def _mode(screen: Any) -> tuple[int, int] | None:
    """The screen's mode; None where it does not tell, as while it is unplugged."""
    try:
        mode = screen.get_mode()
    except (AttributeError, ValueError, OSError):
        return None
    return None if mode is None else (int(mode.width), int(mode.height))
