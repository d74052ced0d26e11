"""X11: its server's end, a pointer that is let go, and what it tells of the way to the screen."""
# ruff: noqa: SLF001 - pyglet keeps to itself what Xlib knows its windows by

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from player.outputs.base import Guard
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


def let_go(window: Any, symbol: int, _: int) -> None:
    """A key was let go: of two characters on one key, pyglet waits for the one that was pressed.

    Where Shift goes before the key, that one would count as held for good, and be heard no more.
    """
    from pyglet.window import key

    held = getattr(window, "pressed_keys", None)
    for pair in ({key.PLUS, key.EQUAL}, {key.MINUS, key.UNDERSCORE}):
        if held and symbol in pair:
            held -= pair


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


def crtc_there(window: Any) -> bool | None:
    """Whether RandR has the window's screen as it was; pyglet has only the list of the start.

    None where nothing tells.
    """
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
            screen = window.screen
            place = (int(screen.x), int(screen.y), int(screen.width), int(screen.height))
            return (int(now.x), int(now.y), int(now.width), int(now.height)) == place
        finally:
            xrandr.XRRFreeCrtcInfo(found)
    finally:
        xrandr.XRRFreeScreenResources(resources)


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
