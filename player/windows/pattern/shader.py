"""One OpenGL program that puts a frame up from its distinct rows and their order.

Everything is an integer until the last step: texelFetch reads codes without filtering, and the
fragment is code / (2**bits - 1), which a framebuffer of that depth rounds back to the code.
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from player.windows.errors import WindowError

VERTEX = """#version 330 core
void main() {
    // one triangle that covers the picture
    vec2 corner = vec2((gl_VertexID << 1) & 2, gl_VertexID & 2);
    gl_Position = vec4(corner * 2.0 - 1.0, 0.0, 1.0);
}
"""

FRAGMENT = """#version 330 core
uniform usampler2D rows;
uniform usampler2D order;
uniform int height;
uniform int fold;
uniform float largest;
out vec4 colour;
void main() {
    ivec2 at = ivec2(gl_FragCoord.xy);
    int line = height - 1 - at.y;
    uint row = texelFetch(order, ivec2(line % fold, line / fold), 0).r;
    uvec3 code = texelFetch(rows, ivec2(at.x, int(row)), 0).rgb;
    colour = vec4(vec3(code) / largest, 1.0);
}
"""

FOLD = 1024
"""The order is folded into lines of this length, so that no picture is too high for a texture."""


@dataclass
class _Textures:
    """Where one frame lies on the graphics card."""

    rows: int
    order: int
    frame: Frame | None = None
    """What is in them; kept, so that no other frame can take its place in memory."""
    bits: int = 0

    def hold(self, frame: Frame, bits: int) -> bool:
        return self.frame is frame and self.bits == bits


class FrameProgram:
    """Textures and program of one OpenGL context; every method needs that context current.

    There are two sets of textures: one is drawn, the other takes the next frame ahead.

    Args:
        fragment: the fragment shader; another one only where a test wants to see it found out.
    """

    def __init__(self, fragment: str = FRAGMENT) -> None:
        from pyglet import gl

        self._gl = gl
        self._program = _program(VERTEX, fragment)
        limit = ctypes.c_int()
        gl.glGetIntegerv(gl.GL_MAX_TEXTURE_SIZE, limit)
        self._limit = limit.value
        names = (ctypes.c_uint * 4)()
        gl.glGenTextures(4, names)
        self._now, self._ahead = _Textures(names[0], names[1]), _Textures(names[2], names[3])
        array = ctypes.c_uint()
        gl.glGenVertexArrays(1, array)
        self._array = array.value
        self._places = {
            name: gl.glGetUniformLocation(self._program, ctypes.create_string_buffer(name.encode()))
            for name in ("rows", "order", "height", "fold", "largest")
        }

    def upload(self, frame: Frame, bits: int) -> None:
        """Take the frame's rows and order to the graphics card, unless they were taken ahead.

        Raises:
            WindowError: the frame has a code above 2**bits - 1, or is larger than a texture.
        """
        if self.holds_ahead(frame, bits):
            self._now, self._ahead = self._ahead, self._now
        else:
            self._fill(self._now, frame, bits)

    def holds_ahead(self, frame: Frame, bits: int) -> bool:
        """Whether this very frame was taken ahead and not drawn yet."""
        return self._ahead.hold(frame, bits)

    def prepare(self, frame: Frame, bits: int) -> None:
        """Take a frame ahead, which `upload` then finds; what is drawn meanwhile stays as it is.

        Raises:
            WindowError: as `upload`.
        """
        self._fill(self._ahead, frame, bits)
        self._gl.glFlush()  # the driver is to begin now, not at the next drawing

    def _fill(self, textures: _Textures, frame: Frame, bits: int) -> None:
        gl = self._gl
        largest = (1 << bits) - 1
        if int(frame.rows.max()) > largest:
            raise WindowError(
                f"The frame holds code {int(frame.rows.max())}, and {bits} bits end at {largest}."
            )
        if max(frame.rows.shape[:2]) > self._limit:
            raise WindowError(
                f"The picture is {frame.width}x{frame.height}, and this graphics driver holds "
                f"textures of at most {self._limit} pixels a side."
            )
        textures.frame = None
        # four components would be no faster: tried on an NVIDIA H100, 1 to 4320 rows
        rows = np.ascontiguousarray(frame.rows)
        self._upload(textures.rows, gl.GL_RGB16UI, gl.GL_RGB_INTEGER, rows)
        lines = -(-frame.height // FOLD)
        order = np.zeros((lines, FOLD), np.uint16)
        order.reshape(-1)[: frame.height] = frame.order
        self._upload(textures.order, gl.GL_R16UI, gl.GL_RED_INTEGER, order)
        textures.frame, textures.bits = frame, bits

    def _upload(self, name: int, inside: int, outside: int, texels: NDArray[np.uint16]) -> None:
        gl = self._gl
        gl.glBindTexture(gl.GL_TEXTURE_2D, name)
        # integers cannot be filtered, and a texture without mipmaps says so
        for setting in (gl.GL_TEXTURE_MIN_FILTER, gl.GL_TEXTURE_MAG_FILTER):
            gl.glTexParameteri(gl.GL_TEXTURE_2D, setting, gl.GL_NEAREST)
        gl.glPixelStorei(gl.GL_UNPACK_ALIGNMENT, 1)
        gl.glPixelStorei(gl.GL_UNPACK_ROW_LENGTH, 0)
        gl.glTexImage2D(
            gl.GL_TEXTURE_2D,
            0,
            inside,
            texels.shape[1],
            texels.shape[0],
            0,
            outside,
            gl.GL_UNSIGNED_SHORT,
            texels.ctypes.data_as(ctypes.c_void_p),
        )

    def draw(self, width: int) -> None:
        """Draw what was uploaded last into the current draw buffer, its bottom left at 0, 0."""
        gl, now = self._gl, self._now
        height = now.frame.height if now.frame is not None else 0
        for off in (
            gl.GL_BLEND,
            gl.GL_DITHER,
            gl.GL_MULTISAMPLE,
            gl.GL_FRAMEBUFFER_SRGB,
            gl.GL_SCISSOR_TEST,
            gl.GL_DEPTH_TEST,
            gl.GL_STENCIL_TEST,
            gl.GL_CULL_FACE,
            gl.GL_COLOR_LOGIC_OP,
        ):
            gl.glDisable(off)
        gl.glColorMask(True, True, True, True)
        gl.glViewport(0, 0, width, height)
        gl.glUseProgram(self._program)
        for unit, name in enumerate((now.rows, now.order)):
            gl.glActiveTexture(gl.GL_TEXTURE0 + unit)
            gl.glBindTexture(gl.GL_TEXTURE_2D, name)
        gl.glUniform1i(self._places["rows"], 0)
        gl.glUniform1i(self._places["order"], 1)
        gl.glUniform1i(self._places["height"], height)
        gl.glUniform1i(self._places["fold"], FOLD)
        gl.glUniform1f(self._places["largest"], float((1 << now.bits) - 1))
        gl.glBindVertexArray(self._array)
        gl.glDrawArrays(gl.GL_TRIANGLES, 0, 3)
        # the program and textures of the operator strip find their places as they left them
        gl.glBindVertexArray(0)
        gl.glBindTexture(gl.GL_TEXTURE_2D, 0)
        gl.glActiveTexture(gl.GL_TEXTURE0)
        gl.glBindTexture(gl.GL_TEXTURE_2D, 0)
        gl.glUseProgram(0)


def _program(vertex: str, fragment: str) -> int:
    from pyglet import gl

    program = int(gl.glCreateProgram())
    for kind, text in ((gl.GL_VERTEX_SHADER, vertex), (gl.GL_FRAGMENT_SHADER, fragment)):
        shader = gl.glCreateShader(kind)
        source = ctypes.c_char_p(text.encode())
        pointer = ctypes.cast(ctypes.pointer(source), ctypes.POINTER(ctypes.POINTER(ctypes.c_char)))
        gl.glShaderSource(shader, 1, pointer, None)
        gl.glCompileShader(shader)
        done = ctypes.c_int()
        gl.glGetShaderiv(shader, gl.GL_COMPILE_STATUS, done)
        if not done.value:
            log = ctypes.create_string_buffer(1000)
            gl.glGetShaderInfoLog(shader, 1000, None, log)
            said = " ".join(log.value.decode(errors="replace").split())
            raise WindowError(f"The graphics driver does not take the player's program: {said}")
        gl.glAttachShader(program, shader)
        gl.glDeleteShader(shader)
    gl.glLinkProgram(program)
    linked = ctypes.c_int()
    gl.glGetProgramiv(program, gl.GL_LINK_STATUS, linked)
    if not linked.value:
        raise WindowError("The graphics driver does not link the player's program.")
    return program
