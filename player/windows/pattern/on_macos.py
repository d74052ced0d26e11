"""What macOS tells of the way to the screen. Not tried on macOS: written from its headers.

CGGetDisplayTransferByTable after CGDirectDisplay.h, NSWindow and NSScreen after AppKit, from
memory. Functions take the library, so that a test can put another in its place.

Two systems of coordinates meet here. CoreGraphics, and so pyglet's screens, count y downwards
from the upper edge of the first screen; Cocoa counts it upwards from the lower edge of the same
screen. pyglet centres a full-screen window as if both were one, and tells its place from the lower
edge of the window's own screen; with screens of unequal height the two slips can hide each other.
"""
# ruff: noqa: SLF001 - pyglet keeps to itself what Cocoa knows its windows by

from __future__ import annotations

import ctypes
import ctypes.util
from typing import Any

_MOST = 4096


def ramps_of(graphics: Any, display: int) -> list[list[int]] | None:
    """The gamma tables of a display as values of 16 bits; None where it does not tell."""
    tables = [(ctypes.c_float * _MOST)() for _ in range(3)]
    count = ctypes.c_uint32()
    failed = graphics.CGGetDisplayTransferByTable(
        ctypes.c_uint32(display), ctypes.c_uint32(_MOST), *tables, ctypes.byref(count)
    )
    if failed or count.value < 2:
        return None
    return [[round(65535 * value) for value in table[: count.value]] for table in tables]


def place_of(window: Any, cocoa: Any) -> tuple[int, int]:
    """The upper left corner of a pyglet window, as CoreGraphics counts."""
    nswindow = window._nswindow
    frame = nswindow.contentRectForFrameRect_(nswindow.frame())
    upper = frame.origin.y + frame.size.height
    return round(frame.origin.x), round(_first_height(cocoa) - upper)


def move(window: Any, x: int, y: int, cocoa: Any) -> None:
    """Put the upper left corner of a pyglet window there, as CoreGraphics counts."""
    nswindow = window._nswindow
    frame = nswindow.contentRectForFrameRect_(nswindow.frame())
    lower = _first_height(cocoa) - (y + frame.size.height)
    nswindow.setFrameOrigin_(cocoa.NSPoint(x, lower))


def _first_height(cocoa: Any) -> float:
    """The height of the first screen, which has Cocoa's origin at its lower left corner."""
    return float(cocoa.ObjCClass("NSScreen").screens().objectAtIndex_(0).frame().size.height)


def look(window: Any) -> list[list[int]] | None:
    """The ramps of the screen of a pyglet window."""
    library = ctypes.CDLL(ctypes.util.find_library("CoreGraphics"))
    return ramps_of(library, int(window.screen.get_display_id()))
