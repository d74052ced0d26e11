"""Where a window stands among the screens, and how it is brought over its own."""

from __future__ import annotations

import sys
from typing import Any

from player.windows import x11


def place_of(window: Any) -> tuple[int, int]:
    """The window's upper left corner, in the coordinates that pyglet has its screens in.

    Their origin is the first screen's upper left corner, and y counts downwards.
    """
    if sys.platform == "darwin":
        from player.windows import on_macos

        return on_macos.place_of(window, _cocoa())
    x, y = window.get_location()
    return int(x), int(y)


def move(window: Any, x: int, y: int) -> None:
    """Put the window's upper left corner there, in the same coordinates."""
    if sys.platform == "darwin":
        from player.windows import on_macos

        on_macos.move(window, x, y, _cocoa())
        return
    window.set_location(x, y)


def cover_screen(window: Any) -> bool:
    """Ask to have a window over its screen again; False where nobody can be asked."""
    if sys.platform == "darwin":
        move(window, window.screen.x, window.screen.y)
        return True
    return x11.cover_screen(window)


def _cocoa() -> Any:
    from pyglet.libs.darwin import cocoapy

    return cocoapy
