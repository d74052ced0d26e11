"""A picture of an X screen taken from outside the program under test, with every bit it has."""

from __future__ import annotations

import ctypes
import ctypes.util

import numpy as np
from numpy.typing import NDArray

ALL_PLANES = ctypes.c_ulong(-1)
Z_PIXMAP = 2


class _Image(ctypes.Structure):
    """The beginning of Xlib's XImage, as X11/Xlib.h declares it."""

    _fields_ = (
        *((name, ctypes.c_int) for name in ("width", "height", "xoffset", "format")),
        ("data", ctypes.c_void_p),
        *(
            (name, ctypes.c_int)
            for name in (
                "byte_order",
                "bitmap_unit",
                "bitmap_bit_order",
                "bitmap_pad",
                "depth",
                "bytes_per_line",
                "bits_per_pixel",
            )
        ),
        *((name, ctypes.c_ulong) for name in ("red_mask", "green_mask", "blue_mask")),
    )


def picture(display: str, x: int, y: int, width: int, height: int) -> NDArray[np.uint16]:
    """Codes (height, width, 3) of a part of the screen, as the X server holds them."""
    xlib = ctypes.CDLL(ctypes.util.find_library("X11"))
    xlib.XOpenDisplay.restype = ctypes.c_void_p
    xlib.XOpenDisplay.argtypes = (ctypes.c_char_p,)
    xlib.XDefaultRootWindow.restype = ctypes.c_ulong
    xlib.XDefaultRootWindow.argtypes = (ctypes.c_void_p,)
    xlib.XCloseDisplay.argtypes = (ctypes.c_void_p,)
    xlib.XDestroyImage.argtypes = (ctypes.POINTER(_Image),)
    xlib.XGetImage.restype = ctypes.POINTER(_Image)
    xlib.XGetImage.argtypes = (
        ctypes.c_void_p,
        ctypes.c_ulong,
        ctypes.c_int,
        ctypes.c_int,
        ctypes.c_uint,
        ctypes.c_uint,
        ctypes.c_ulong,
        ctypes.c_int,
    )
    connection = xlib.XOpenDisplay(display.encode())
    assert connection, f"{display} cannot be opened"
    root = xlib.XDefaultRootWindow(connection)
    found = xlib.XGetImage(connection, root, x, y, width, height, ALL_PLANES, Z_PIXMAP)
    assert found, "the X server gave no picture"
    image = found.contents
    assert image.bits_per_pixel == 32, image.bits_per_pixel
    raw = ctypes.string_at(image.data, image.bytes_per_line * height)
    pixels = np.frombuffer(raw, "<u4" if image.byte_order == 0 else ">u4")
    pixels = pixels.reshape(height, image.bytes_per_line // 4)[:, :width]
    channels = []
    # the visual's masks: those of the image are empty for a root window at depth 30
    for mask in _masks(image.depth):
        shift = (mask & -mask).bit_length() - 1
        channels.append(((pixels & np.uint32(mask)) >> np.uint32(shift)).astype(np.uint16))
    xlib.XDestroyImage(found)
    xlib.XCloseDisplay(connection)
    return np.stack(channels, axis=-1)


def _masks(depth: int) -> tuple[int, int, int]:
    return {24: (0xFF0000, 0xFF00, 0xFF), 30: (0x3FF00000, 0xFFC00, 0x3FF)}[depth]


class _ClientMessage(ctypes.Structure):
    """Xlib's XClientMessageEvent, padded to the size of an XEvent."""

    _fields_ = (
        ("type", ctypes.c_int),
        ("serial", ctypes.c_ulong),
        ("send_event", ctypes.c_int),
        ("display", ctypes.c_void_p),
        ("window", ctypes.c_ulong),
        ("message_type", ctypes.c_ulong),
        ("format", ctypes.c_int),
        ("data", ctypes.c_long * 5),
        ("rest", ctypes.c_long * 24),
    )


def ask_to_close(display: str, window: int) -> None:
    """Tell a window what a desktop's close button tells it (ICCCM, WM_DELETE_WINDOW)."""
    xlib = ctypes.CDLL(ctypes.util.find_library("X11"))
    xlib.XOpenDisplay.restype = ctypes.c_void_p
    xlib.XOpenDisplay.argtypes = (ctypes.c_char_p,)
    xlib.XInternAtom.restype = ctypes.c_ulong
    xlib.XInternAtom.argtypes = (ctypes.c_void_p, ctypes.c_char_p, ctypes.c_int)
    xlib.XSendEvent.argtypes = (
        ctypes.c_void_p,
        ctypes.c_ulong,
        ctypes.c_int,
        ctypes.c_long,
        ctypes.POINTER(_ClientMessage),
    )
    xlib.XCloseDisplay.argtypes = (ctypes.c_void_p,)
    connection = xlib.XOpenDisplay(display.encode())
    assert connection, f"{display} cannot be opened"
    message = _ClientMessage(type=33, window=window, format=32)
    message.message_type = xlib.XInternAtom(connection, b"WM_PROTOCOLS", 0)
    message.data[0] = xlib.XInternAtom(connection, b"WM_DELETE_WINDOW", 0)
    assert xlib.XSendEvent(connection, window, 0, 0, ctypes.byref(message))
    xlib.XCloseDisplay(connection)
