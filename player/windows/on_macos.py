"""What macOS tells of the way to the screen. Not tried on macOS: written from its headers.

CGGetDisplayTransferByTable after CGDirectDisplay.h, from memory. The function takes the library,
so that a test can put another in its place.
"""

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


def look(window: Any) -> list[list[int]] | None:
    """The ramps of the screen of a pyglet window."""
    library = ctypes.CDLL(ctypes.util.find_library("CoreGraphics"))
    return ramps_of(library, int(window.screen.get_display_id()))
