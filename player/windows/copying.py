"""A copy of the picture that is about to be shown, asked for before the swap, looked at after it.

The graphics card makes the copy between the drawing and the swap, so it is of the very buffer that
is swapped; nobody waits for it. The front buffer could not serve: under a compositor what is read
from it is undefined. A second drawing after the swap would be another picture, and would hold up
the next frame of a moving one.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from player.windows.errors import WindowError
from player.windows.readback import Packed


class Copy:
    """Memory for one picture, which the graphics card fills; its OpenGL context has to be current.

    Args:
        width: pixels.
        height: pixels.
        bits: 8 or 10 a channel; both take 4 bytes a pixel.
    """

    def __init__(self, width: int, height: int, bits: int) -> None:
        from pyglet import gl

        self._gl = gl
        self._shape = (height, width)
        self._bytes = 4 * width * height
        # the codes themselves, packed as the framebuffer keeps them: nothing is converted
        ten, eight = gl.GL_UNSIGNED_INT_2_10_10_10_REV, gl.GL_UNSIGNED_INT_8_8_8_8_REV
        self._kind = ten if bits == 10 else eight
        name = ctypes.c_uint()
        gl.glGenBuffers(1, name)
        self._name = name.value
        gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, self._name)
        gl.glBufferData(gl.GL_PIXEL_PACK_BUFFER, self._bytes, None, gl.GL_STREAM_READ)
        gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, 0)

    def ask(self, source: int) -> None:
        """Ask for a copy of what was drawn; ``source`` is the buffer, such as GL_BACK."""
        gl = self._gl
        height, width = self._shape
        gl.glReadBuffer(source)
        gl.glPixelStorei(gl.GL_PACK_ALIGNMENT, 4)
        gl.glPixelStorei(gl.GL_PACK_ROW_LENGTH, 0)
        gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, self._name)
        try:
            gl.glReadPixels(0, 0, width, height, gl.GL_RGBA, self._kind, None)
        finally:
            gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, 0)

    @contextmanager
    def pixels(self) -> Iterator[Packed]:
        """Wait for the copy and give it, (height, width), top row first, as long as the block runs.

        Raises:
            WindowError: the driver does not give it, or lost it meanwhile.
        """
        gl = self._gl
        gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, self._name)
        try:
            asked = gl.GL_PIXEL_PACK_BUFFER, 0, self._bytes, gl.GL_MAP_READ_BIT
            address = gl.glMapBufferRange(*asked)
            if not address:
                raise WindowError("the graphics driver does not give the copy")
            kept = (ctypes.c_uint32 * (self._bytes // 4)).from_address(int(address))
            try:
                yield np.ctypeslib.as_array(kept).reshape(self._shape)[::-1]
            finally:
                whole = gl.glUnmapBuffer(gl.GL_PIXEL_PACK_BUFFER)
            if not whole:
                raise WindowError("the graphics driver lost the copy")
        finally:
            gl.glBindBuffer(gl.GL_PIXEL_PACK_BUFFER, 0)

    def close(self) -> None:
        """Give the memory back."""
        self._gl.glDeleteBuffers(1, ctypes.c_uint(self._name))
