"""The framebuffer: how it is asked for, and how many bits a channel it has.

Its configuration tells that, or itself, or a ramp.
What tells 0, as pyglet's configuration does on macOS, has not been told, and the next is asked.
Every function after `sizes_of` needs the window's OpenGL context to be current.
"""

from __future__ import annotations

import ctypes
from typing import Any

import numpy as np

Sizes = tuple[int, int, int]
"""Bits of red, green and blue."""
SIDE = 64
"""Pixels: the square of it holds a ramp of 12 bits, which tells 8, 10 and more from one another."""


def configuration(bits: int) -> Any:
    """A configuration of OpenGL 3.3 with ``bits`` a channel and nothing that changes pixels."""
    from pyglet import gl

    make: Any = gl.Config  # the class of this operating system, which its stub calls abstract
    return make(
        red_size=bits,
        green_size=bits,
        blue_size=bits,
        double_buffer=True,
        sample_buffers=0,
        samples=0,
        major_version=3,
        minor_version=3,
    )


def sizes_of(window: Any) -> Sizes | None:
    """The bits of a window's framebuffer; None where nothing tells them."""
    config = window.config
    told = (config.red_size, config.green_size, config.blue_size)
    if all(told):
        return told
    window.switch_to()
    return framebuffer_sizes() or ramp_sizes()


def framebuffer_sizes() -> Sizes | None:
    """What the default framebuffer says of its back buffer; None where it does not."""
    from pyglet import gl

    found = tuple(
        of_framebuffer(getattr(gl, f"GL_FRAMEBUFFER_ATTACHMENT_{name}_SIZE")) or 0
        for name in ("RED", "GREEN", "BLUE")
    )
    red, green, blue = found
    return (red, green, blue) if all(found) else None


def of_framebuffer(what: int) -> int | None:
    """One number that the default framebuffer tells of its back buffer; None where it does not."""
    from pyglet import gl

    found = ctypes.c_int(-1)
    try:
        gl.glGetFramebufferAttachmentParameteriv(
            gl.GL_DRAW_FRAMEBUFFER, gl.GL_BACK_LEFT, what, ctypes.byref(found)
        )
    except gl.lib.GLException:
        return None
    return found.value if found.value >= 0 else None


def ramp_sizes() -> Sizes | None:
    """What comes back of a fine ramp that is drawn into the back buffer, which is black after it.

    A channel of n bits holds 2^n of the ramp's levels; 12 stands for 12 and more.
    """
    from pyglet import gl

    count = SIDE * SIDE
    got = np.zeros((count, 3), np.uint16)
    try:
        gl.glDisable(gl.GL_DITHER)
        gl.glDisable(gl.GL_FRAMEBUFFER_SRGB)
        gl.glEnable(gl.GL_SCISSOR_TEST)
        for i in range(count):
            level = i / (count - 1)
            gl.glScissor(i % SIDE, i // SIDE, 1, 1)
            gl.glClearColor(level, level, level, 1.0)
            gl.glClear(gl.GL_COLOR_BUFFER_BIT)
        gl.glDisable(gl.GL_SCISSOR_TEST)
        gl.glReadBuffer(gl.GL_BACK)
        gl.glPixelStorei(gl.GL_PACK_ALIGNMENT, 1)
        where = got.ctypes.data_as(ctypes.c_void_p)
        gl.glReadPixels(0, 0, SIDE, SIDE, gl.GL_RGB, gl.GL_UNSIGNED_SHORT, where)
        gl.glClearColor(0.0, 0.0, 0.0, 1.0)
        gl.glClear(gl.GL_COLOR_BUFFER_BIT)
    except gl.lib.GLException:
        return None
    return bits_of(got)


def bits_of(ramp: np.ndarray[Any, np.dtype[np.uint16]]) -> Sizes | None:
    """The bits of each channel of a ramp that was read back, (n, 3); None where it is no ramp."""
    levels = [len(np.unique(channel)) for channel in ramp.T]
    bits = [level.bit_length() - 1 for level in levels]
    if any(level != 1 << bit or bit == 0 for level, bit in zip(levels, bits, strict=True)):
        return None
    red, green, blue = bits
    return red, green, blue
