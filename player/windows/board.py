"""A dim board to write on: text in lines that fit, frames, and one small picture.

Places count from the top left in units of the board, which grow with the window: a board is
`width` x `height` units whatever the window's pixels are.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from player.windows.appearance import dimmed, dimmed_picture

Tone = tuple[int, int, int]

# Long wavelengths leave eyes that have adapted to the dark as they are; nothing is near white.
GROUND: Tone = (7, 6, 5)
SUNK: Tone = (18, 14, 9)
EDGE: Tone = (74, 54, 34)
FAINT: Tone = (150, 110, 70)
TEXT: Tone = (190, 138, 84)
STRONG: Tone = (236, 172, 104)

INSIDE, WRITTEN, OVER = 2, 4, 5
"""In which group what lies inside a box is drawn, what is written, and what lies over all else:
within one group nothing is sure to be drawn before something else."""

POINTS = 0.75
"""Points a pixel at the 96 dots to the inch that all text is asked for."""

FONTS = ("DejaVu Sans", "Segoe UI", "Helvetica Neue", "Noto Sans", "Arial")


def clear(tone: Tone) -> None:
    """Fill the current context's back buffer, or its scissor box, with one tone."""
    from pyglet import gl

    red, green, blue = (part / 255 for part in tone)
    gl.glDisable(gl.GL_FRAMEBUFFER_SRGB)
    gl.glClearColor(red, green, blue, 1.0)
    gl.glClear(gl.GL_COLOR_BUFFER_BIT)


@cache
def font_name() -> str | None:
    """The first of the known fonts that the system has; None lets the system choose."""
    from pyglet import font

    return next((name for name in FONTS if font.have_font(name)), None)


class Board:
    """Text and boxes of one window, whose context must be current.

    Everything is written between `begin` and `draw`; what was there before in the same place and
    words is kept as it is, so that a countdown costs one line of text and not the whole window.
    """

    level = 0
    """How dim everything is, of `player.windows.appearance.SHARES`."""

    def __init__(self, width: float, scale: float, top: int, font: str | None) -> None:
        """Make an empty board.

        Args:
            width: width in units.
            scale: pixels a unit.
            top: pixels from the bottom of the window to the top of the board.
            font: a font's name.
        """
        import pyglet

        self.width = width
        self.scale = scale
        self._top = top
        self._font = font
        self._batch = pyglet.graphics.Batch()
        # later groups are drawn over earlier ones
        self._groups = [pyglet.graphics.Group(order=order) for order in range(OVER + 3)]
        self._before: dict[Any, Any] = {}
        self._now: dict[Any, Any] = {}

    def begin(self) -> None:
        """Begin to write."""
        self._before, self._now = self._now, {}

    def _item(self, key: Any, make: Callable[[], Any]) -> None:
        self._now[key] = self._before.pop(key) if key in self._before else make()

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        fill: Tone,
        edge: Tone | None = None,
        *,
        over: bool = False,
        inside: bool = False,
    ) -> None:
        """A filled box to write in, with an edge of two units; a mere bar where it has no edge.

        With ``over`` it hides what is written below it, with ``inside`` it lies in another box.
        """
        if edge is None:
            self._rectangle(x, y, width, height, fill, OVER + 2 if over else WRITTEN)
            return
        above = OVER if over else INSIDE if inside else 0
        self._rectangle(x, y, width, height, edge, above)
        self._rectangle(x + 2, y + 2, width - 4, height - 4, fill, above + 1)

    def _rectangle(
        self, x: float, y: float, width: float, height: float, tone: Tone, order: int
    ) -> None:
        from pyglet import shapes

        tone = dimmed(tone, self.level)
        left, right = round(x * self.scale), round((x + width) * self.scale)
        top, bottom = round(y * self.scale), round((y + height) * self.scale)
        place = (left, self._top - bottom, right - left, bottom - top)
        self._item(
            ("box", place, tone, order),
            lambda: shapes.Rectangle(
                *place, color=tone, batch=self._batch, group=self._groups[order]
            ),
        )

    def text(  # noqa: PLR0913 - a place, a size and a look, each by its name
        self,
        text: str,
        x: float,
        y: float,
        size: float,
        tone: Tone = TEXT,
        *,
        width: float | None = None,
        lines: int = 1,
        bold: bool = False,
        right: bool = False,
        over: bool = False,
        pitch: float = 1.3,
    ) -> float:
        """Write text below y in at most ``lines`` lines; what does not fit ends in an ellipsis.

        With ``over`` it lies over boxes that do. Lines are ``pitch`` times the size apart.

        Returns:
            y below the last line.
        """
        room = (self.width - x if width is None else width) * self.scale
        for line in self.broken(text, size, room, lines, bold=bold):
            self._label(line, x, y, size, tone, bold=bold, right=right, over=over)
            y += size * pitch
        return y

    def _label(
        self,
        line: str,
        x: float,
        y: float,
        size: float,
        tone: Tone,
        *,
        bold: bool,
        right: bool,
        over: bool,
    ) -> None:
        import pyglet

        tone = dimmed(tone, self.level)
        left, base = round(x * self.scale), round(self._top - (y + size) * self.scale)
        self._item(
            ("text", line, left, base, size, tone, bold, right, over),
            lambda: pyglet.text.Label(
                line,
                font_name=self._font,
                font_size=size * self.scale * POINTS,
                weight="bold" if bold else "normal",
                dpi=96,
                color=(*tone, 255),
                x=left,
                y=base,
                anchor_x="right" if right else "left",
                anchor_y="baseline",
                batch=self._batch,
                group=self._groups[OVER + 2 if over else WRITTEN],
            ),
        )

    def fitting(
        self, text: str, sizes: tuple[float, ...], width: float, height: float
    ) -> tuple[float, int]:
        """The largest of these sizes in which a text is whole on so much room, and its lines.

        Where it is whole in none, the smallest. Widths and heights are in units.
        """
        for size in sizes:
            lines = max(int(height / (size * 1.3)), 1)
            if len(self.broken(text, size, width * self.scale, lines + 1)) <= lines:
                break
        return size, lines

    def broken(
        self, text: str, size: float, room: float, lines: int, *, bold: bool = False
    ) -> list[str]:
        """Text in lines of at most ``room`` pixels; the last one ends in an ellipsis if cut."""
        words = text.split()
        done: list[str] = []
        while words and len(done) < lines:
            last = len(done) == lines - 1
            line, words = self._line(words, size, room, bold=bold)
            if last and words:
                line = self._cut(line + " " + words[0], size, room, bold=bold)
            done.append(line)
        return done

    def _line(
        self, words: list[str], size: float, room: float, *, bold: bool
    ) -> tuple[str, list[str]]:
        count = 1
        while (
            count < len(words)
            and self.measure(" ".join(words[: count + 1]), size, bold=bold) <= room
        ):
            count += 1
        line = " ".join(words[:count])
        if self.measure(line, size, bold=bold) > room:
            line = self._cut(line, size, room, bold=bold)
        return line, words[count:]

    def _cut(self, text: str, size: float, room: float, *, bold: bool) -> str:
        while text and self.measure(text + "…", size, bold=bold) > room:
            text = text[:-1]
        return text.rstrip() + "…"

    def tail(self, text: str, size: float, room: float) -> str:
        """The end of a text that fits into ``room`` units: what is typed is seen being typed."""
        start = 0
        while self.measure(text[start:], size) > room * self.scale:
            start += 1
        return text[start:]

    def measure(self, text: str, size: float, *, bold: bool = False) -> float:
        """Width of a text in pixels."""
        from pyglet import font

        face = font.load(
            self._font, size * self.scale * POINTS, weight="bold" if bold else "normal", dpi=96
        )
        return float(sum(glyph.advance for glyph in _glyphs(face, text)))

    def picture(self, pixels: NDArray[np.uint8], x: float, y: float) -> None:
        """A picture (height, width, 3), one of its pixels to one of the window's."""
        import pyglet

        height, width = pixels.shape[:2]
        pixels = dimmed_picture(pixels, self.level)
        data = np.ascontiguousarray(pixels).tobytes()
        left, bottom = round(x * self.scale), round(self._top - y * self.scale) - height
        self._item(
            ("picture", left, bottom, width, height, data),
            lambda: pyglet.sprite.Sprite(
                pyglet.image.ImageData(width, height, "RGB", data, pitch=-3 * width),
                left,
                bottom,
                batch=self._batch,
                group=self._groups[WRITTEN],
            ),
        )

    def draw(self) -> None:
        """Put it all on the current context's back buffer."""
        for gone in self._before.values():
            gone.delete()
        self._before = {}
        self._batch.draw()


def _glyphs(face: Any, text: str) -> list[Any]:
    found = face.get_glyphs(text)
    # newer pyglet gives the glyphs together with their offsets
    return list(found[0] if isinstance(found, tuple) else found)
