"""What was shown, read back: a copy of the swapped buffer, every pixel compared with the frame.

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
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from player.outputs.base import Guard
from player.windows.errors import WindowError

Packed = NDArray[np.uint32]
"""One pixel a number: red in the lowest bits, then green, then blue."""

_BLOCK = 128  # picture rows compared at a time: small enough to stay in a processor's cache


def packed_rows(frame: Frame, bits: int) -> Packed:
    """The frame's distinct rows (k, width) as one number a pixel, at 8 or 10 bits a channel."""
    rows = frame.rows.astype(np.uint32)
    packed: Packed = (
        rows[..., 0] | rows[..., 1] << np.uint32(bits) | rows[..., 2] << np.uint32(2 * bits)
    )
    return packed


def compare(got: Packed, frame: Frame, bits: int, covered: int = 0) -> Guard:
    """Compare what was read back with the frame.

    Args:
        got: (height, width) as read from the back buffer, top row first; bits above the three
            channels are ignored.
        frame: what should be there.
        bits: 8 or 10 a channel.
        covered: rows at the bottom that the operator strip covers; they are not compared, and
            the guard says `altered` for them.
    """
    if got.shape != (frame.height, frame.width):
        height, width = got.shape
        return Guard(
            "altered",
            f"the back buffer has {width}x{height} pixels, the frame {frame.width}x{frame.height}",
        )
    rows = packed_rows(frame, bits)
    used = np.uint32((1 << (3 * bits)) - 1)
    seen = frame.height - covered
    if not _alike(got, rows | (got[0, 0] & ~used), frame, seen):
        wrong, first = _differences(got, rows, frame, seen, used)
        if first is not None:
            return _altered(got, frame, bits, wrong, first)
    if covered:
        return Guard(
            "altered",
            f"the operator strip covers the bottom {covered} of {frame.height} rows; "
            "all pixels above it are right",
        )
    return Guard(
        "verified", f"all {frame.width * frame.height} pixels of the back buffer are right"
    )


def _alike(got: Packed, rows: Packed, frame: Frame, seen: int) -> bool:
    """Whether all is as it should be, spare bits too: the usual case, and the quickest way."""
    for start, length, row in frame.runs():
        if not (got[start : min(start + length, seen)] == rows[row]).all():
            return False
    return True


def _differences(
    got: Packed, rows: Packed, frame: Frame, seen: int, used: np.uint32
) -> tuple[int, tuple[int, int] | None]:
    """Number of wrong pixels, and x and y of the first."""
    wrong = 0
    first: tuple[int, int] | None = None
    for top in range(0, seen, _BLOCK):
        end = min(top + _BLOCK, seen)
        differ = (got[top:end] & used) != rows[frame.order[top:end]]
        count = int(np.count_nonzero(differ))
        if count and first is None:
            y, x = (int(each) for each in np.unravel_index(int(differ.argmax()), differ.shape))
            first = (x, top + y)
        wrong += count
    return wrong, first


def _altered(got: Packed, frame: Frame, bits: int, wrong: int, first: tuple[int, int]) -> Guard:
    x, y = first
    there = tuple((int(got[y, x]) >> (bits * channel)) & ((1 << bits) - 1) for channel in range(3))
    meant = tuple(int(code) for code in frame.rows[frame.order[y], x])
    return Guard(
        "altered",
        f"{wrong} of {frame.width * frame.height} pixels are wrong; the first is at x {x}, y {y}: "
        f"code {there} instead of {meant}",
    )


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
