"""Whether the screen that a window was opened on is still connected, where it was."""
# ruff: noqa: SLF001 - pyglet keeps to itself what Xlib knows its windows by

from __future__ import annotations

from typing import Any

from player.windows.x11 import is_x11

GONE = (
    "The screen of the patterns is gone or has changed. Nothing is shown or kept until it is "
    "back as it was: plug it in again, or leave with Escape twice; the run can be resumed."
)
BACK = "The screen is back: the step is shown again."


def screen_there(window: Any) -> bool | None:
    """Whether the window's screen has still its place and size; None where nothing tells."""
    try:
        return _crtc_there(window) if is_x11(window) else _listed(window)
    except (AttributeError, OSError, ValueError):
        return None


def _listed(window: Any) -> bool:
    """Where the desktop lists its screens anew at each question: Windows and macOS."""
    wanted = _place(window.screen)
    return any(_place(screen) == wanted for screen in window.display.get_screens())


def _crtc_there(window: Any) -> bool | None:
    """X11: what RandR says of the screen now; pyglet has only the list of the start."""
    crtc = getattr(window.screen, "crtc_id", None)
    if crtc is None:
        return None
    from pyglet.libs.x11 import xlib, xrandr

    display = window._x_display
    root = xlib.XDefaultRootWindow(display)
    resources = xrandr.XRRGetScreenResourcesCurrent(display, root)
    if not resources:
        return None
    try:
        found = xrandr.XRRGetCrtcInfo(display, resources, crtc)
        if not found:
            return False
        try:
            now = found.contents
            if not now.mode:
                return False
            return (now.x, now.y, now.width, now.height) == _place(window.screen)
        finally:
            xrandr.XRRFreeCrtcInfo(found)
    finally:
        xrandr.XRRFreeScreenResources(resources)


def _place(screen: Any) -> tuple[int, int, int, int]:
    return int(screen.x), int(screen.y), int(screen.width), int(screen.height)
