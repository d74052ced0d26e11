"""A window of another program over a part of the X screen, until this one is told to end.

Usage: overlay.py X Y WIDTH HEIGHT; it says `up` once it lies on top, and ends with its input.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import sys
import time

x, y, width, height = (int(each) for each in sys.argv[1:])
xlib = ctypes.CDLL(ctypes.util.find_library("X11"))
pointer, number = ctypes.c_void_p, ctypes.c_ulong
xlib.XOpenDisplay.restype = pointer
xlib.XDefaultRootWindow.restype = number
xlib.XDefaultRootWindow.argtypes = (pointer,)
xlib.XCreateSimpleWindow.restype = number
xlib.XCreateSimpleWindow.argtypes = (
    pointer,
    number,
    *[ctypes.c_int] * 2,
    *[ctypes.c_uint] * 3,
    *[number] * 2,
)
xlib.XMapRaised.argtypes = (pointer, number)
xlib.XSync.argtypes = (pointer, ctypes.c_int)
display = xlib.XOpenDisplay(None)
root = xlib.XDefaultRootWindow(display)
window = xlib.XCreateSimpleWindow(display, root, x, y, width, height, 0, 0, 0xFFFFFF)
xlib.XMapRaised(display, window)
xlib.XSync(display, 0)
time.sleep(0.1)
sys.stdout.write("up\n")
sys.stdout.flush()
sys.stdin.read()
