"""What both windows ask of OpenGL."""

from __future__ import annotations

from typing import Any

from player.windows.board import Tone


def framebuffer(bits: int) -> Any:
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


def clear(tone: Tone) -> None:
    """Fill the current context's back buffer, or its scissor box, with one tone."""
    from pyglet import gl

    red, green, blue = (part / 255 for part in tone)
    gl.glDisable(gl.GL_FRAMEBUFFER_SRGB)
    gl.glClearColor(red, green, blue, 1.0)
    gl.glClear(gl.GL_COLOR_BUFFER_BIT)
