"""What only X11 needs: its server's end, a pointer that is let go, the ramp of the card."""
# ruff: noqa: SLF001 - pyglet keeps to itself what Xlib knows its windows by

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from player.windows.errors import WindowError

SERVER_GONE = "The X server has gone, and the windows with it; what was kept is kept."
_handlers: list[object] = []
"""What Xlib was given to call, which nothing else keeps."""


def end_with_server(ending: Callable[[], object]) -> None:
    """Have this process end in a sentence and with code 1 where its X server goes. Linux only.

    Xlib calls it from within whatever asked something of the server, and ends the process itself
    where it comes back, so nothing on the way here is undone. So `ending` does what may not be
    left undone; it may not touch a window.
    """
    if not sys.platform.startswith("linux"):
        return
    from pyglet.libs.x11 import xlib

    def gone(_: object) -> int:
        with suppress(Exception):  # whatever it fails at, the sentence is to come
            ending()
        with suppress(Exception):
            sys.stdout.flush()
            sys.stderr.write(f"{SERVER_GONE}\n")
            sys.stderr.flush()
        os._exit(1)

    _handlers[:] = [xlib.XIOErrorHandler(gone)]
    xlib.XSetIOErrorHandler(_handlers[0])


def is_x11(window: Any) -> bool:
    """Whether this is a window of an X server."""
    return sys.platform.startswith("linux") and hasattr(window, "_x_display")


def release_pointer(window: Any) -> None:
    """Let the pointer leave a full-screen window: pyglet grabs it and confines it there."""
    if is_x11(window):
        from pyglet.libs.x11 import xlib

        xlib.XUngrabPointer(window._x_display, xlib.CurrentTime)
        xlib.XFlush(window._x_display)


def require_depth(screen: Any) -> None:
    """Refuse an X server of fewer than 8 bits a channel, on which no window of 8 ever comes up.

    Raises:
        WindowError: with the depth there is.
    """
    display = getattr(screen.display, "_display", None)
    if not sys.platform.startswith("linux") or display is None:
        return
    from pyglet.libs.x11 import xlib

    depth = int(xlib.XDefaultDepth(display, screen.display.x_screen))
    if depth < 24:
        raise WindowError(
            f"The X server runs at depth {depth}, so its framebuffer has fewer than 8 bits a "
            "channel; the player needs depth 24 or 30."
        )


def size_of(window: Any) -> tuple[int, int]:
    """Pixels of a window as the server has it: pyglet heeds no change while it is full screen."""
    if is_x11(window):
        from pyglet.libs.x11 import xlib

        found = xlib.XWindowAttributes()
        asked = window._x_display, window._window
        if xlib.XGetWindowAttributes(*asked, ctypes.byref(found)):
            return int(found.width), int(found.height)
    width, height = window.get_framebuffer_size()
    return int(width), int(height)


def cover_screen(window: Any) -> bool:
    """Ask the server and the window manager to have a window full screen again; False elsewhere."""
    if not is_x11(window):
        return False
    from pyglet.libs.x11 import xlib

    screen, display = window.screen, window._x_display
    place = (int(each) for each in (screen.x, screen.y, screen.width, screen.height))
    window._set_wm_state("_NET_WM_STATE_FULLSCREEN")
    xlib.XMoveResizeWindow(display, window._window, *place)
    xlib.XSync(display, 0)
    return True


class _Gamma(ctypes.Structure):
    _fields_ = (
        ("size", ctypes.c_int),
        *((channel, ctypes.POINTER(ctypes.c_ushort)) for channel in ("red", "green", "blue")),
    )


def ramps_of(window: Any) -> list[list[int]] | None:
    """The gamma ramp of the graphics card, red, green and blue; None where it cannot be known.

    A ramp is only one of the places where a desktop changes codes: a straight one proves no clean
    path. The ramp is read, never set.
    """
    crtc = getattr(window.screen, "crtc_id", None)
    if not is_x11(window) or crtc is None:
        return None
    try:
        import pyglet

        library: Any = pyglet.lib.load_library("Xrandr")
        read = library.XRRGetCrtcGamma
        read.restype = ctypes.POINTER(_Gamma)
        read.argtypes = (ctypes.c_void_p, ctypes.c_ulong)
        free = library.XRRFreeGamma
        free.restype = None
        free.argtypes = (ctypes.POINTER(_Gamma),)
    except (ImportError, AttributeError):
        return None
    display = ctypes.cast(window._x_display, ctypes.c_void_p)
    found = read(display, crtc)
    if not found:
        return None
    try:
        size = found.contents.size
        ramps = [
            [int(getattr(found.contents, channel)[i]) for i in range(size)]
            for channel in ("red", "green", "blue")
        ]
        return ramps if size >= 2 else None
    finally:
        free(found)
