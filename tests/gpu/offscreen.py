"""The player's program without a window: frames go to a framebuffer in memory and come back.

EGL gives the context, on a graphics card or in software; no screen and no X server are needed.
"""

from __future__ import annotations

import ctypes
from types import TracebackType
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from player.windows.pattern.readback import Copy, compare
from player.windows.pattern.shader import FRAGMENT, FrameProgram

_LOOKED_UP = "texelFetch(order, ivec2(line % fold, line / fold), 0).r"
FULL = FRAGMENT.replace(_LOOKED_UP, "uint(line)")
"""The same for a whole image, to compare with: what a player without distinct rows would do."""


def context() -> Any:
    """Make an OpenGL context without a window the current one, and keep it alive."""
    import pyglet

    pyglet.options["headless"] = True
    pyglet.options["shadow_window"] = False
    import pyglet.window

    return pyglet.window.Window(16, 16, visible=False)


def driver(window: Any) -> str:
    """Which driver draws, and its version."""
    info = window.context.get_info()
    return f"{info.get_renderer()}, OpenGL {info.get_version_string()}"


class Offscreen:
    """A framebuffer of 8 or 10 bits a channel that the player's program draws into.

    Args:
        width: pixels.
        height: pixels.
        bits: 8 or 10.
        fragment: another fragment shader, for faults and for whole images.
    """

    def __init__(self, width: int, height: int, bits: int, fragment: str = FRAGMENT) -> None:
        from pyglet import gl

        self._gl = gl
        self.width, self.height, self.bits = width, height, bits
        self.program = FrameProgram(fragment)
        names = (ctypes.c_uint * 2)()
        gl.glGenFramebuffers(1, ctypes.cast(names, ctypes.POINTER(ctypes.c_uint)))
        self._framebuffer = names[0]
        one = ctypes.c_uint()
        gl.glGenRenderbuffers(1, one)
        self._store = one.value
        gl.glBindRenderbuffer(gl.GL_RENDERBUFFER, self._store)
        inside = gl.GL_RGB10_A2 if bits == 10 else gl.GL_RGBA8
        gl.glRenderbufferStorage(gl.GL_RENDERBUFFER, inside, width, height)
        self._copy = Copy(width, height, bits)
        self.use()
        gl.glFramebufferRenderbuffer(
            gl.GL_FRAMEBUFFER, gl.GL_COLOR_ATTACHMENT0, gl.GL_RENDERBUFFER, self._store
        )
        whole = gl.glCheckFramebufferStatus(gl.GL_FRAMEBUFFER)
        if whole != gl.GL_FRAMEBUFFER_COMPLETE:
            raise RuntimeError(f"no framebuffer of {width}x{height} at {bits} bits: {whole:#x}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        gl = self._gl
        self._copy.close()
        gl.glBindFramebuffer(gl.GL_FRAMEBUFFER, 0)
        gl.glDeleteFramebuffers(1, ctypes.c_uint(self._framebuffer))
        gl.glDeleteRenderbuffers(1, ctypes.c_uint(self._store))

    def use(self) -> None:
        """Draw and read here from now on."""
        self._gl.glBindFramebuffer(self._gl.GL_FRAMEBUFFER, self._framebuffer)

    def show(self, frame: Frame) -> None:
        """Upload and draw a frame, and wait until that is done."""
        self.draw(frame)

    def prepare(self, frame: Frame) -> None:
        """Take a frame to the graphics card ahead, and wait until that is done."""
        self.program.prepare(frame, self.bits)
        self._gl.glFinish()

    def draw(self, frame: Frame, *, copied: bool = False) -> None:
        """Draw a frame, taken ahead or uploaded now, and copy it where asked; wait until done."""
        self.use()
        self.program.upload(frame, self.bits)
        self.program.draw(self.width)
        if copied:
            self._copy.ask(self._gl.GL_COLOR_ATTACHMENT0)
        self._gl.glFinish()

    def wrong(self, frame: Frame) -> str:
        """What differs from the frame, in a sentence; nothing where every pixel is right."""
        self.use()
        self._copy.ask(self._gl.GL_COLOR_ATTACHMENT0)
        return self.wrong_copy(frame)

    def wrong_copy(self, frame: Frame) -> str:
        """The same of the copy that was made when the frame was drawn."""
        with self._copy.pixels() as got:
            guard = compare(got, frame, self.bits)
        return "" if guard.state == "verified" else guard.why


def whole_image(frame: Frame) -> Frame:
    """The frame with a row of its own for each line, as a player without distinct rows has it."""
    order: NDArray[np.uint16] = np.arange(frame.height, dtype=np.uint16)
    return Frame(np.ascontiguousarray(frame.pixels()), order, frame.signal)
