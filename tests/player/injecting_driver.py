"""Shows one grey, alters one thing on the way, and prints what the guards say.

Usage: injecting_driver.py NAME, where NAME is one of `INJECTIONS`; the answer is JSON.
"""

from __future__ import annotations

import ctypes
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import pyglet

from patterns.kinds import KINDS
from patterns.signal.signal import named_signal
from player.windows import loop
from player.windows.pattern import guards
from player.windows.pattern.window import PatternWindow

name = sys.argv[1]
(screen,) = loop.screens_here()
if name == "refresh":
    # a screen of 75 Hz that tells 60, or none: there is no screen here that swaps wait for
    guards._swaps = lambda window, *_: [1 / 75] * 8 if window.vsync else [0.0005]
window = PatternWindow(screen, 8)
running: list[subprocess.Popen[bytes]] = []


def leave_on(switch: str) -> Callable[[], None]:
    """A driver that does not heed the player where it switches something off."""

    def inject() -> None:
        gl = pyglet.gl
        wanted, real = getattr(gl, switch), gl.glDisable
        gl.glEnable(wanted)
        gl.glDisable = lambda what: None if what == wanted else real(what)

    return inject


def dot() -> None:
    """One pixel of another colour, drawn into the picture that is swapped next."""
    gl = pyglet.gl
    gl.glEnable(gl.GL_SCISSOR_TEST)
    gl.glScissor(320, 180, 1, 1)
    gl.glClearColor(1.0, 0.0, 0.0, 1.0)
    gl.glClear(gl.GL_COLOR_BUFFER_BIT)
    gl.glDisable(gl.GL_SCISSOR_TEST)


def over() -> None:
    """Something draws into the picture after the player has, and before the swap."""

    def draw() -> int:
        dot()
        return 0

    window.lay_over(draw)


def later() -> None:
    """Something draws into the next picture, before the player has looked at this one."""
    real = window.window.flip

    def flip() -> None:
        real()
        dot()

    window.window.flip = flip


def resize() -> None:
    """Another program makes the pattern window smaller."""
    from pyglet.libs.x11 import xlib

    xlib.XResizeWindow.argtypes = (ctypes.c_void_p, ctypes.c_ulong, ctypes.c_uint, ctypes.c_uint)
    pointer = ctypes.cast(window.window._x_display, ctypes.c_void_p)
    xlib.XResizeWindow(pointer, window.window._window, 400, 300)
    xlib.XSync(window.window._x_display, 0)


def scale() -> None:
    """The screen is said to be in another mode than the picture."""
    screen.get_mode = lambda: SimpleNamespace(width=1280, height=720, rate=60.0)


def deeper() -> None:
    """The player takes the framebuffer for one of 10 bits."""
    window.bits = 10


def ramp(value: str) -> Callable[[], None]:
    """A gamma ramp, set as people set it."""

    def inject() -> None:
        subprocess.run(["xrandr", "--output", "screen", "--gamma", value], check=True, timeout=30)

    return inject


def tint() -> None:
    """A ramp as night light sets it: green and blue are held back."""
    from player.windows.pattern import on_x11

    xrandr = pyglet.lib.load_library("Xrandr")
    number, pointer = ctypes.c_ulong, ctypes.c_void_p
    display = ctypes.cast(window.window._x_display, pointer)
    make, change = xrandr.XRRAllocGamma, xrandr.XRRSetCrtcGamma
    make.restype = ctypes.POINTER(on_x11._Gamma)
    change.argtypes = (pointer, number, ctypes.POINTER(on_x11._Gamma))
    kept = make(256)
    for channel, share in (("red", 1.0), ("green", 0.85), ("blue", 0.6)):
        for index in range(256):
            getattr(kept.contents, channel)[index] = int(257 * index * share)
    change(display, screen.crtc_id, kept)


def overlay() -> None:
    """A window of another program."""
    command = [sys.executable, str(Path(__file__).with_name("overlay.py")), "600", "20", "90", "60"]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    running.append(process)
    assert process.stdout is not None
    assert process.stdout.readline() == b"up\n"


def driver_dithers() -> None:
    """The output gets a property, as a driver's that dithers has it."""
    from pyglet.libs.x11 import xlib

    display = window.window._x_display
    xrandr = pyglet.lib.load_library("Xrandr")
    change = xrandr.XRRChangeOutputProperty
    number, word, pointer = ctypes.c_ulong, ctypes.c_int, ctypes.c_void_p
    change.argtypes = (pointer, number, number, number, word, word, pointer, word)
    dither, on = (xlib.XInternAtom(display, text, 0) for text in (b"dither", b"on"))
    value = ctypes.c_ulong(on)
    address = ctypes.cast(display, pointer)
    change(address, screen.output_id, dither, 4, 32, 0, ctypes.byref(value), 1)
    xlib.XSync(display, 0)
    undo.append(lambda: _forget(xrandr, address, dither))


def _forget(xrandr: ctypes.CDLL, display: ctypes.c_void_p, atom: int) -> None:
    from pyglet.libs.x11 import xlib

    delete = xrandr.XRRDeleteOutputProperty
    delete.argtypes = (ctypes.c_void_p, ctypes.c_ulong, ctypes.c_ulong)
    delete(display, screen.output_id, atom)
    xlib.XSync(window.window._x_display, 0)


undo: list[Callable[[], None]] = []
INJECTIONS: dict[str, Callable[[], None]] = {
    "nothing": lambda: None,
    "size": resize,
    "mode": scale,
    "depth": deeper,
    "srgb": leave_on("GL_FRAMEBUFFER_SRGB"),
    "dither": leave_on("GL_DITHER"),
    "driver dither": driver_dithers,
    "drawn over": over,
    "drawn later": later,
    "refresh": lambda: None,
    "gamma ramp": ramp("1.2:1.2:1.2"),
    "night light": tint,
    "on top": overlay,
}

ramp("1:1:1")()
try:
    INJECTIONS[name]()
    frame = KINDS["field"].model_validate({"level": "50 %"})
    signal = named_signal("sdr8").shown_at(window.bits, "full")
    guard = window.put(frame.frame(window.canvas, signal), verify=True)
finally:
    ramp("1:1:1")()
    for process in running:
        process.communicate(b"")
    for step in undo:
        step()
assert guard is not None
sys.stdout.write(json.dumps({"state": guard.state, "why": guard.why, "checks": guard.checks}))
