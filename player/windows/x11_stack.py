"""What X11 tells of the way to the screen: windows on top, and the driver's dithering."""
# ruff: noqa: SLF001 - pyglet keeps to itself what Xlib knows its windows by

from __future__ import annotations

import ctypes
import os
from dataclasses import dataclass
from typing import Any

from player.outputs.base import Guard


@dataclass(frozen=True)
class Above:
    """A window over another one, in pixels of the X screen."""

    x: int
    y: int
    width: int
    height: int
    unmanaged: bool
    """Whether it told the window manager to leave it alone, as a compositor's own do."""


def top_guard(
    above: list[Above] | None, screen: tuple[int, int], *, composited: bool, wayland: bool
) -> Guard:
    """Whether something lies over the pattern window.

    Args:
        above: the windows that overlap it, higher in the stack; None where they are not known.
        screen: size of the whole X screen; a compositor's own window covers all of it.
        composited: whether a compositor runs.
        wayland: whether the X server is only a guest of a Wayland desktop.
    """
    if above is None:
        return Guard("unknown", "windows over the pattern cannot be seen here")
    whole = [w for w in above if w.unmanaged and (w.width, w.height) == screen]
    others = [w for w in above if not (composited and w in whole)]
    if others:
        top = others[-1]
        return Guard(
            "altered",
            f"another window of {top.width}x{top.height} pixels at {top.x}, {top.y} lies over the "
            "pattern: close it",
        )
    if above:
        return Guard("unknown", "a window as large as the desktop lies on top: the compositor's?")
    if wayland:
        return Guard("unknown", "windows of a Wayland desktop cannot be seen from here")
    return Guard("verified", "no other window lies over the pattern")


def look_on_top(window: Any) -> Guard:
    """The guard `on top` of a pyglet window of an X server."""
    from pyglet.libs.x11 import xlib

    display, root = window._x_display, xlib.XDefaultRootWindow(window._x_display)
    screen = _attributes(display, root)
    size = (screen.width, screen.height) if screen is not None else (0, 0)
    atom = xlib.XInternAtom(display, f"_NET_WM_CM_S{window.display.x_screen}".encode(), 0)
    composited = bool(xlib.XGetSelectionOwner(display, atom))
    above = _above(display, root, window._window)
    wayland = bool(os.environ.get("WAYLAND_DISPLAY"))
    return top_guard(above, size, composited=composited, wayland=wayland)


def _above(display: Any, root: int, window: int) -> list[Above] | None:
    """Viewable windows that overlap one, from the lowest to the topmost; None where unknown."""
    # a window manager puts windows into frames: what is stacked is the frame
    frame = window
    while True:
        found = _tree(display, frame)
        if found is None:
            return None
        if found[0] in (root, 0):
            break
        frame = found[0]
    mine, stack = _attributes(display, frame), _tree(display, root)
    if mine is None or stack is None or frame not in stack[1]:
        return None
    above = []
    for other in stack[1][stack[1].index(frame) + 1 :]:
        there = _attributes(display, other)
        if there is not None and _seen(there) and _overlap(there, mine):
            above.append(
                Above(there.x, there.y, there.width, there.height, bool(there.override_redirect))
            )
    return above


def _seen(window: Any) -> bool:
    from pyglet.libs.x11 import xlib

    kind = getattr(window, "class")
    return bool(window.map_state == xlib.IsViewable and kind != xlib.InputOnly)


def _overlap(one: Any, other: Any) -> bool:
    return bool(
        one.x < other.x + other.width
        and other.x < one.x + one.width
        and one.y < other.y + other.height
        and other.y < one.y + one.height
    )


def _attributes(display: Any, window: int) -> Any:
    """None for a window that is gone: pyglet lets such errors pass."""
    from pyglet.libs.x11 import xlib

    found = xlib.XWindowAttributes()
    there = xlib.XGetWindowAttributes(display, window, ctypes.byref(found))
    return found if there else None


def _tree(display: Any, window: int) -> tuple[int, list[int]] | None:
    """A window's parent, 0 for the root, and its children from the lowest to the topmost."""
    from pyglet.libs.x11 import xlib

    root, parent, count = xlib.Window(), xlib.Window(), ctypes.c_uint()
    children = ctypes.POINTER(xlib.Window)()
    where = (root, parent, children, count)
    if not xlib.XQueryTree(display, window, *map(ctypes.byref, where)):
        return None
    try:
        return int(parent.value or 0), [int(children[i]) for i in range(count.value)]
    finally:
        if count.value:
            xlib.XFree(children)


DITHERING = {"dither", "dithering", "dithering mode"}
"""Names of the drivers' output properties, from memory of those in the Linux kernel."""
OFF = {"off", "none", "disabled", "0"}


def driver_dither_guard(found: dict[str, str] | None) -> Guard:
    """The guard `driver dither` from output properties by name, in lower case."""
    told = {name: value for name, value in (found or {}).items() if name in DITHERING}
    if not told:
        return Guard("unknown", "the driver does not tell whether it dithers on the link")
    name, value = next(iter(told.items()))
    if value in OFF:
        return Guard("verified", f"the driver's {name} is {value}")
    if value == "auto":
        return Guard("unknown", f"the driver's {name} is left to the driver (auto)")
    return Guard("altered", f"the driver's {name} is {value}: set it to off")


def output_properties(window: Any) -> dict[str, str] | None:
    """Properties of the window's output as RandR keeps them, in lower case; nothing is probed."""
    output = getattr(window.screen, "output_id", None)
    if output is None:
        return None
    import pyglet
    from pyglet.libs.x11 import xlib

    library: Any = pyglet.lib.load_library("Xrandr")
    display = ctypes.cast(window._x_display, ctypes.c_void_p)
    library.XRRListOutputProperties.restype = ctypes.POINTER(ctypes.c_ulong)
    library.XRRListOutputProperties.argtypes = (
        ctypes.c_void_p,
        ctypes.c_ulong,
        ctypes.POINTER(ctypes.c_int),
    )
    count = ctypes.c_int()
    atoms = library.XRRListOutputProperties(display, output, ctypes.byref(count))
    found = {}
    for index in range(count.value):
        name = _atom(window._x_display, atoms[index])
        if name in DITHERING:
            found[name] = _property(library, window, output, atoms[index])
    if atoms:
        xlib.XFree(atoms)
    return found


def _atom(display: Any, atom: int) -> str:
    from pyglet.libs.x11 import xlib

    return str((xlib.XGetAtomName(display, atom) or b"").decode(errors="replace")).lower()


def _property(library: Any, window: Any, output: int, atom: int) -> str:
    """The first value of a property: an atom's name, or a number."""
    kind, bits = ctypes.c_ulong(), ctypes.c_int()
    count, left = ctypes.c_ulong(), ctypes.c_ulong()
    data = ctypes.c_void_p()
    get = library.XRRGetOutputProperty
    get.restype = ctypes.c_int
    wide, flag, out = ctypes.c_ulong, ctypes.c_int, ctypes.c_void_p
    get.argtypes = (out, wide, wide, ctypes.c_long, ctypes.c_long, flag, flag, wide, *[out] * 5)
    display = ctypes.cast(window._x_display, ctypes.c_void_p)
    told = tuple(map(ctypes.byref, (kind, bits, count, left, data)))
    failed = get(display, output, atom, 0, 1, 0, 0, 0, *told)
    if failed or not data.value or not count.value:
        return ""
    from pyglet.libs.x11 import xlib

    try:
        # Xlib hands 32-bit items over as longs
        width = {8: ctypes.c_uint8, 16: ctypes.c_uint16}.get(bits.value, ctypes.c_ulong)
        value = int(ctypes.cast(data, ctypes.POINTER(width))[0])
    finally:
        xlib.XFree(data)
    named = kind.value == 4  # XA_ATOM
    return _atom(window._x_display, value) if named else str(value)
