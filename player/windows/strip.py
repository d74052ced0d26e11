"""The operator strip: a band over the bottom of the pattern, where there is one screen only."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from player.windows.appearance import Appearance, dimmed
from player.windows.board import EDGE, FAINT, GROUND, STRONG, TEXT, Board, clear, font_name
from player.windows.controls.panels import Panels
from player.windows.controls.step_list import ROWS
from player.windows.focus import LOST
from player.windows.view import WORDS, View

HEIGHT = 260
"""Units, of 900 in the height of the picture."""
SMALL = 23
"""Height of the texts that may be long."""
HELP_HEIGHT = 770
NOTICE, NOTICE_SIZES = 100, (SMALL, 20, 17, 15, 13)
"""Height of what is told beside the line, and the sizes that it may have."""
ASKED = 92
"""Height of what is told of an adjustment above the line."""
WHERE, WHERE_SIZES = 42, (30, 27, 24, 21, 18, 16)
"""Height of the step, and the sizes that it may have."""


Page = str
"""What the strip covers the picture with; empty where it is not called."""
CHOICE = 34
"""Units a choice takes."""


def page_of(view: View | None) -> Page:
    """What a view covers the picture with: another page is a change of the picture itself."""
    if view is None:
        return ""
    if view.helping:
        return "help"
    if view.steps:
        return "steps"
    if view.live is not None:
        return "live"
    return f"line and {len(view.choices)} choices" if view.choices else "line"


class Strip:
    """Draws the strip into the pattern window's context, over the frame.

    Args:
        window: the pattern window.
        panels: whether the strip was called by its key, and so stays.
        changed: called where it has come over the picture, or gone: that settles anew.
        appearance: how bright it is.
    """

    def __init__(
        self,
        window: Any,
        panels: Panels,
        changed: Callable[[], object] = lambda: None,
        appearance: Appearance | None = None,
    ) -> None:
        self.appearance = appearance or Appearance()
        self._level = self.appearance.level
        self._changed = changed
        self._window = window
        self._panels = panels
        self._boards: dict[int, Board] = {}
        self._view: View | None = None
        self._drawn: View | None = None
        self._rows = 0

    @property
    def drawn(self) -> View | None:
        """What it said when the picture was drawn last; None where it did not lie over it."""
        return self._drawn

    @property
    def as_bright(self) -> bool:
        """Whether it was drawn as bright as it is wanted now."""
        return self._level == self.appearance.level

    @property
    def rows(self) -> int:
        """Rows covered when it was drawn last."""
        return self._rows

    def call(self, view: View | None) -> None:
        """Say this from the next drawing on; None to lie over nothing."""
        self._view = view

    def hide(self) -> None:
        """Lie over nothing from the next drawing on."""
        self._view = None

    def stay(self) -> None:
        """Go on with what was drawn last."""
        self._view = self._drawn

    def covers_for_now(self) -> bool:
        """Whether it lies over the picture, and will not stay while a meter reads it."""
        return self._drawn is not None and not self._panels.strip

    def draw(self) -> int:
        """Draw what it is called to say; the number of rows covered, 0 where it is not called."""
        before, view = self._drawn, self._view
        self._drawn = view
        if page_of(before) != page_of(view):
            self._changed()
        self._level = self.appearance.level
        if view is None:
            self._rows = 0
            return 0
        from pyglet import gl

        width, height = (int(side) for side in self._window.get_framebuffer_size())
        units = HELP_HEIGHT if view.helping or view.steps else HEIGHT + CHOICE * len(view.choices)
        scale = min(height / 900, width / 1200)
        rows = self._rows = min(height, round(units * scale))
        board = self._boards.get(rows)
        if board is None:
            board = self._boards[rows] = Board(width / scale, scale, rows, font_name())
        gl.glViewport(0, 0, width, height)
        gl.glEnable(gl.GL_SCISSOR_TEST)
        gl.glScissor(0, 0, width, rows)
        board.level = self._level
        clear(dimmed(GROUND, board.level))
        board.begin()
        _write(board, view)
        board.draw()
        gl.glDisable(gl.GL_SCISSOR_TEST)
        return rows


def _steps(board: Board, view: View, room: float, top: float) -> float:
    apart = (HELP_HEIGHT - HEIGHT - 10) / ROWS
    for row, line in enumerate(view.steps):
        y = top + row * apart
        tone = STRONG if line.chosen or line.state == "now" else TEXT
        if line.chosen:
            board.box(12, y, 8, apart - 4, STRONG)
        board.text(f"{line.number} · {line.label}", 30, y, 24, tone, width=room * 0.6)
        board.text(line.state, 30 + room * 0.62, y, 24, tone, width=room * 0.2)
        board.text(line.text, 30 + room, y, 24, tone, width=room * 0.16, right=True)
    return HELP_HEIGHT - HEIGHT + 14.0


def _help(board: Board, view: View, room: float, top: float) -> float:
    apart = min(35.0, (HELP_HEIGHT - HEIGHT - 10) / len(view.help))
    for key, does in view.help:
        board.text(key, 30, top, apart * 0.72, STRONG, width=320)
        board.text(does, 370, top, apart * 0.72, TEXT, width=room - 340)
        top += apart
    return HELP_HEIGHT - HEIGHT + 14.0


def _lost(board: Board, view: View) -> None:
    if view.keys_lost:
        board.box(0, 20, board.width, 110, GROUND, STRONG, over=True)
        board.text(LOST, 30, 44, 50, STRONG, bold=True, over=True)


def _write(board: Board, view: View) -> None:
    _lost(board, view)
    if view.live is not None and not view.helping and not view.pressing:
        from player.windows.watched import write_live_strip

        where = " · ".join(filter(None, (view.place, view.label, view.countdown)))
        board.text(where, 30, 10, 26, TEXT, width=board.width - 60)
        write_live_strip(board, view, view.live, 30, 46, board.width - 60)
    else:
        _write_step(board, view)


def _where(board: Board, view: View, room: float, top: float) -> None:
    """The step; while the display is adjusted what is to be turned, a page of it whole."""
    page = view.adjusting is not None and len(view.adjusting.head) > 1
    said = ("" if page else view.place, view.label, view.countdown)
    where = " · ".join(filter(None, said))
    size, lines = board.fitting(where, WHERE_SIZES, room * 0.7, WHERE)
    tone = TEXT if view.adjusting is None else STRONG
    board.text(where, 30, top, size, tone, width=room * 0.7, lines=lines)


def _asked(board: Board, view: View, name: str, room: float, top: float) -> float:
    """What is asked for, whole while the display is adjusted; y below it."""
    size, lines = float(SMALL), 2
    if view.adjusting is not None:
        high = ASKED if view.guard in ("", WORDS["verified"]) else ASKED - 1.3 * SMALL
        size, lines = board.fitting(name, NOTICE_SIZES, room * 0.7 - 20, high)
    return board.text(name, 30, top + 44, size, FAINT, width=room * 0.7 - 20, lines=lines)


def _told(board: Board, view: View, room: float, y: float, foot: float) -> None:
    """Where nothing is typed: which keys answer an adjustment, and what is told."""
    size, lines = 28.0, 3
    if view.adjusting is not None:
        y = board.text(view.adjusting.prompt, 30, y + 6, 28, STRONG, width=room)
        sizes = (28, *NOTICE_SIZES)
        size, lines = board.fitting(view.notice, sizes, room, foot - y - 24)
    board.text(view.notice, 30, y + 6, size, TEXT, width=room, lines=lines)


def _write_step(board: Board, view: View) -> None:
    room = board.width - 60
    top = 14.0
    if view.steps and not view.helping:
        top = _steps(board, view, room, top)
    if view.helping:
        top = _help(board, view, room, top)
    _where(board, view, room, top)
    # the guard speaks of the picture as it was read; the strip lies over it now
    covered = view.guard and view.guard != WORDS["altered"]
    guard = f"{view.guard}, now covered" if covered else view.guard
    board.text(guard, 30 + room, top, 24, FAINT, width=room * 0.3, right=True)
    count = view.zones.title if view.zones is not None else ""
    asked = filter(None, (count, view.ask, view.unit, view.expect, view.held))
    name = view.special or " · ".join(asked)
    time = " · ".join(filter(None, (view.receives, view.left, view.warm)))
    board.text(time, 30 + room, top + 44, SMALL, TEXT, width=room * 0.3, right=True)
    y = _asked(board, view, name, room, top)
    for each in () if view.helping or view.steps else view.choices:
        board.text(each, 30, y + 4, 26, STRONG, width=room)
        y, top = y + CHOICE, top + CHOICE
    if view.entry and view.guard and view.guard != WORDS["verified"]:
        y = board.text(view.why, 30, y, SMALL, TEXT, width=room, lines=3 if y < top + 60 else 1)
    if not view.entry:
        _told(board, view, room, y, top + HEIGHT)
        return
    top += HEIGHT - 112
    half = room * 0.4
    board.box(30, top, half, 84, GROUND, STRONG if view.special else EDGE)
    beside = 0.0
    if view.beside:
        refused = f"not kept: {view.beside}"
        beside = min(board.measure(refused, 26) / board.scale, half * 0.55) + 24
        board.text(refused, 18 + half, top + 26, 26, TEXT, width=half * 0.55, right=True)
    line = board.tail(view.line or view.selected, 44, half - 40 - beside).replace(" ", "\u00a0")
    wide = board.measure(line, 44) / board.scale
    if view.selected:
        board.box(38, top + 12, wide + 12, 60, EDGE, STRONG, inside=True)
    else:
        board.box(44 + wide + 3, top + 16, 5, 52, STRONG)
    board.text(line, 44, top + 14, 44, STRONG, width=half)
    tone = STRONG if view.pressing else TEXT
    if view.pressing:  # a bar, so that it does not rest on brightness alone
        board.box(42 + half, top, 8, 84, STRONG)
    wide = room - half - 30
    size, lines = board.fitting(view.notice, NOTICE_SIZES, wide, NOTICE)
    board.text(view.notice, 60 + half, top, size, tone, width=wide, lines=lines)
