"""The screens: which one shows what, how fast it refreshes, how a window covers it, its absence."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from patterns.plain import plain
from player.windows.errors import ScreenError, WindowError
from player.windows.pattern import on_macos, on_x11

USUAL_REFRESH = Fraction(60)
GONE = (
    "The screen of the patterns is gone or has changed. Nothing is shown or kept until it is "
    "back as it was: plug it in again, or leave with Escape twice; the run can be resumed."
)
BACK = "The screen is back: the step is shown again."
SCALED = "Set the display to its own resolution and the desktop's scale to 100 %, then try again."


@dataclass(frozen=True)
class Places:
    """The screens chosen; ``operator`` is None where the only screen shows the pattern."""

    pattern: Any
    operator: Any | None
    number: int
    """The pattern's screen, counted from 1."""


def choose(screens: Sequence[Any], number: int | None) -> Places:
    """The pattern on screen ``number`` (from 1; the last one by default), the operator elsewhere.

    Raises:
        WindowError: there is no such screen.
    """
    if not screens:
        raise WindowError("No screen is connected.")
    if number is None:
        number = len(screens)
    if not 1 <= number <= len(screens):
        listed = "; ".join(f"screen {n}, {named(each)}" for n, each in enumerate(screens, 1))
        only = "is only" if len(screens) == 1 else "are"
        raise ScreenError(f"There is no screen {number}. There {only} {listed}.")
    pattern = screens[number - 1]
    mirrored = [
        each for each in screens if each is not pattern and _corner(each) != _corner(pattern)
    ]
    return Places(pattern, mirrored[0] if mirrored else None, number)


def named(screen: Any) -> str:
    """A screen by its name, where the desktop tells one, and its size: `DP-1, 3840x2160`."""
    try:
        name = str(screen.get_monitor_name())
    except (AttributeError, OSError):  # an older pyglet tells none
        name = ""
    known = [plain(name, lines=False)] if name not in ("", "Unknown") else []
    return ", ".join([*known, f"{screen.width}x{screen.height}"])


def _corner(screen: Any) -> tuple[int, int]:
    return int(screen.x), int(screen.y)


def refresh_of(screen: Any) -> tuple[Fraction, bool]:
    """Refresh rate in Hz, and whether the screen told it; 60 where it does not."""
    mode = screen.get_mode()
    rate = float(mode.rate) if mode is not None and mode.rate else 0.0
    if not 1 <= rate <= 1000:
        return USUAL_REFRESH, False
    # 59.94 and its kin are whole numbers over 1001
    return Fraction(rate).limit_denominator(1001), True


def require_whole(screen: Any, size: tuple[int, int], place: tuple[int, int]) -> None:
    """Refuse a full-screen window whose framebuffer is not the screen's pixels, one for one.

    Raises:
        WindowError: with the sizes and what to do.
    """
    mode = screen.get_mode()
    sizes = {(int(screen.width), int(screen.height))}
    if mode is not None:
        # a screen that is turned on its side has the mode's sides exchanged
        sizes &= {(mode.width, mode.height), (mode.height, mode.width)}
    if size not in sizes:
        real = (
            f"{mode.width}x{mode.height}" if mode is not None else f"{screen.width}x{screen.height}"
        )
        raise WindowError(
            f"The pattern window has {size[0]}x{size[1]} pixels where the screen has {real}, so "
            f"nothing it shows would be exact. {SCALED}"
        )
    if place != _corner(screen):
        raise WindowError(
            f"The pattern window stands at {place[0]}, {place[1]} and its screen at {screen.x}, "
            f"{screen.y}, so it covers another screen. Name the screen with --screen."
        )


def place_of(window: Any) -> tuple[int, int]:
    """The window's upper left corner, in the coordinates that pyglet has its screens in.

    Their origin is the first screen's upper left corner, and y counts downwards.
    """
    if sys.platform == "darwin":
        return on_macos.place_of(window, _cocoa())
    x, y = window.get_location()
    return int(x), int(y)


def move(window: Any, x: int, y: int) -> None:
    """Put the window's upper left corner there, in the same coordinates."""
    if sys.platform == "darwin":
        on_macos.move(window, x, y, _cocoa())
        return
    window.set_location(x, y)


def cover_screen(window: Any) -> bool:
    """Ask to have a window over its screen again; False where nobody can be asked."""
    if sys.platform == "darwin":
        move(window, window.screen.x, window.screen.y)
        return True
    return on_x11.cover_screen(window)


def _cocoa() -> Any:
    from pyglet.libs.darwin import cocoapy

    return cocoapy


def screen_there(window: Any) -> bool | None:
    """Whether the window's screen has still its place and size; None where nothing tells."""
    try:
        return on_x11.crtc_there(window) if on_x11.is_x11(window) else _listed(window)
    except (AttributeError, OSError, ValueError):
        return None


def _listed(window: Any) -> bool:
    """Where the desktop lists its screens anew at each question: Windows and macOS."""
    wanted = _place(window.screen)
    return any(_place(screen) == wanted for screen in window.display.get_screens())


def _place(screen: Any) -> tuple[int, int, int, int]:
    return int(screen.x), int(screen.y), int(screen.width), int(screen.height)
