"""The operator window on the laptop: dim, in large type, drawn anew only where it changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from player.windows.adjusting_page import write_head, write_lights, write_tables
from player.windows.appearance import Appearance, dimmed
from player.windows.board import (
    EDGE,
    FAINT,
    GROUND,
    STRONG,
    SUNK,
    TEXT,
    Board,
    Tone,
    clear,
    font_name,
)
from player.windows.controls.adjusting_picture import AdjustingPicture
from player.windows.controls.step_list import ROW, ROWS, TOP
from player.windows.controls.zone_picture import ZonePicture
from player.windows.focus import LOST
from player.windows.pattern.framebuffer import configuration
from player.windows.pattern.on_x11 import release_pointer
from player.windows.pattern.screens import move
from player.windows.thumbnail import marked, marks_of, thumbnail
from player.windows.view import WORDS, View

WIDTH, HEIGHT = 1600, 900
"""Units of the board; the window's smaller side decides how many pixels one has."""
SIDE = 1090
"""Where the right-hand column begins."""
MARGIN = 50


class OperatorWindow:
    """A window of its own, beside the pattern window.

    Args:
        screen: the pyglet screen it stands on.
        appearance: how bright it is, and in which letters.
    """

    def __init__(self, screen: Any, appearance: Appearance | None = None) -> None:
        import pyglet

        self.appearance = appearance or Appearance()
        self._looked = self.appearance.state
        self._screen = screen
        self.window = pyglet.window.Window(
            width=int(screen.width * 0.94),
            height=int(screen.height * 0.88),
            screen=screen,
            config=configuration(8),
            resizable=True,
            vsync=False,
            caption="Litfield",
        )
        move(self.window, screen.x + int(screen.width * 0.03), screen.y + int(screen.height * 0.05))
        self._board: Board | None = None
        self._drawn: View | None = None
        self._frame: Frame | None = None
        self._thumbnail: NDArray[np.uint8] | None = None
        self.window.push_handlers(
            on_resize=self._resized,
            on_expose=self.forget,
            on_activate=lambda: release_pointer(self.window),
        )

    def toggle_full_screen(self) -> None:
        """Cover the screen that it was made for, never another, or go back to what it was."""
        if self.window.fullscreen:
            self.window.set_fullscreen(False)
        else:
            self.window.set_fullscreen(True, screen=self._screen)
        self._resized()
        release_pointer(self.window)
        self.window.activate()

    def forget(self, *_: object) -> None:
        """Draw at the next `show` even where nothing changed."""
        self._drawn = None

    def _resized(self, *_: object) -> None:
        self._board = None
        self._thumbnail = None
        self.forget()

    def show(self, view: View, frame: Frame | None) -> bool:
        """Show the view; True where something had to be drawn."""
        look = self.appearance.state
        if view == self._drawn and frame is self._frame and look == self._looked:
            return False
        board, width, height = self._ready()
        from pyglet import gl

        aimed = self._drawn is not None and view.aim == self._drawn.aim
        if frame is not self._frame or self._thumbnail is None or not aimed:
            self._thumbnail = _small(frame, view, board) if frame is not None else None
        gl.glViewport(0, 0, width, height)
        clear(dimmed(GROUND, board.level))
        board.begin()
        if self.appearance.large and not (view.helping or view.steps):
            from player.windows.large import write_run

            write_run(board, view)
        else:
            _write(board, view, self._thumbnail)
        board.draw()
        self.window.flip()
        self._drawn, self._frame, self._looked = view, frame, look
        return True

    def show_page(self, write: Callable[[Board], None]) -> None:
        """Show a page of another kind: what stands between two runs."""
        board, width, height = self._ready()
        from pyglet import gl

        gl.glViewport(0, 0, width, height)
        clear(dimmed(GROUND, board.level))
        board.begin()
        write(board)
        board.draw()
        self.window.flip()
        self.forget()

    def _ready(self) -> tuple[Board, int, int]:
        """The board to write on, with its window's context current, and the size in pixels."""
        self.window.switch_to()
        width, height = self.window.get_framebuffer_size()
        if self._board is None:
            scale = min(width / WIDTH, height / HEIGHT)
            self._board = Board(width / scale, scale, height, font_name())
        self._board.level = self.appearance.level
        return self._board, width, height

    def height_of(self, x: float, y: float) -> float | None:
        """How far down the board a click is, in its units; None beside the list of steps.

        ``x`` and ``y`` are as the window tells them, from its bottom left.
        """
        if self._board is None:
            return None
        ratio = self.window.get_pixel_ratio() / self._board.scale
        across, up = x * ratio, y * ratio
        _, height = self.window.get_framebuffer_size()
        return height / self._board.scale - up if MARGIN <= across < SIDE - MARGIN else None

    def close(self) -> None:
        """Close the window; a second call does nothing."""
        self.window.close()


def _small(frame: Frame, view: View, board: Board) -> NDArray[np.uint8]:
    """The picture of the frame, with its measuring places where a meter is asked."""
    picture = thumbnail(frame, int(440 * board.scale), int(248 * board.scale))
    if view.pattern is None:
        return picture
    return marked(picture, marks_of(view.pattern, view.aim or "", frame.width, frame.height))


def _write(board: Board, view: View, picture: NDArray[np.uint8] | None) -> None:
    if view.keys_lost:
        board.box(0, 330, board.width, 130, SUNK, STRONG, over=True)
        board.text(LOST, MARGIN, 356, 60, STRONG, bold=True, over=True)
    left = SIDE - 2 * MARGIN
    beside, below = (board.measure(said, 30) / board.scale + 30 for said in (view.left, view.warm))
    small = len(board.broken(view.title, 30, (left - beside) * board.scale, 2)) > 1
    board.text(view.title, MARGIN, 34, 24 if small else 30, FAINT, width=left - beside)
    y = 34 + 30 * 1.3
    condition = f"Condition: {view.condition or 'none named'}"
    receives = f"Display receives: {view.receives} · " if view.receives else ""
    said = f"{receives}{condition}"
    small = len(board.broken(said, 30, (left - below) * board.scale, 2)) > 1
    board.text(said, MARGIN, y, 24 if small else 30, FAINT, width=left - below)
    if view.helping:
        _help(board, view)
        return
    board.text(view.left, MARGIN + left, 34, 30, TEXT, width=left, right=True)
    board.text(view.warm, MARGIN + left, y, 30, TEXT, width=left, right=True)
    _side(board, view, picture)
    board.text(view.hint, MARGIN, HEIGHT - 44, 26, FAINT)
    if view.steps:
        _steps(board, view, left)
        return
    if view.live is not None:
        from player.windows.watched import ENDS_IT, write_live

        below = write_live(board, view, view.live, MARGIN, 134, left)
        _notice(board, replace(view, notice=view.notice or ENDS_IT), left, below + 6)
        return
    if view.adjusting is not None:
        _adjusting(board, view, view.adjusting, left)
        return
    below = _choices(board, view, left, _step(board, view, left))
    below = max(_entry(board, view, left, below) + 10, 738)
    size, lines = board.fitting(view.counting, (26, 22, 18), left, 856 - below)
    board.text(view.counting, MARGIN, below, size, TEXT, width=left, lines=lines)


LINE, HIGHER = 622, 520
"""Where the line that is typed begins while the display is adjusted; where no light is drawn."""


def _adjusting(board: Board, view: View, picture: AdjustingPicture, left: float) -> None:
    """What to turn or to read, why, the light of the levels, and the line that is typed."""
    board.text(view.countdown, MARGIN + left, 122, 30, TEXT, width=left / 2, right=True)
    where = " · ".join(filter(None, (view.place, picture.shown)))
    board.text(where, MARGIN, 122, 30, TEXT, width=left / 2)
    top = write_head(board, picture, MARGIN, 162, left) + 10
    line = LINE if picture.lights else max(HIGHER, top)
    write_lights(board, picture, MARGIN, top, left, line - 10 - top)
    below = float(line)
    if view.entry:
        below = _line(board, view, left, line, 76)
    # what was refused needs the room more than the keys, which F1 has too
    if not view.special and not (view.entry and view.pressing):
        # where nothing is typed keys are all there is to do
        sizes, tone = ((24, 21, 18, 16), FAINT) if view.entry else ((34, 30, 26), STRONG)
        size, _ = board.fitting(picture.prompt, sizes, left, 48)
        below = board.text(picture.prompt, MARGIN, below + 6, size, tone, width=left)
    _notice(board, view, left, below + 4)


def _step(board: Board, view: View, left: float) -> float:
    """The step and what to read there; below which height there is nothing of it."""
    board.text(view.countdown, MARGIN + left, 140, 46, TEXT, width=left / 2, right=True)
    y = board.text(view.place, MARGIN, 140, 46, TEXT, width=left / 2)
    label = FAINT if view.dark else STRONG
    sizes = (48, 40) if view.choices else (60, 44)
    y = _fitted(board, view.label, y + 2, sizes, left, label, bold=True)
    if view.file:
        y = _fitted(board, f"Put up {view.file}", y, (40, 32), left, STRONG)
    y = _fitted(board, view.ask, y + 12, (44, 34), left, FAINT if view.dark else TEXT)
    return board.text(view.held, MARGIN, y + 4, 28, TEXT, width=left)


CHOICE_SIZES = (32, 29, 26, 23, 20)
"""Sizes of the choices: the largest in which all of them are whole, above the line."""
LOWEST_LINE = 612
"""Where the line that is typed begins at the lowest, so that there is room for what is said."""


def _choices(board: Board, view: View, left: float, y: float) -> float:
    """What there is to choose from, one below the other; below which height there is nothing."""
    if not view.choices:
        return y
    y += 14
    for size in CHOICE_SIZES:
        widest = max(board.measure(each, size) for each in view.choices) / board.scale
        if widest <= left and y + len(view.choices) * size * 1.3 <= LOWEST_LINE + 44:
            break
    for each in view.choices:
        y = board.text(each, MARGIN, y, size, FAINT if view.dark else STRONG, width=left)
    return y


def _fitted(
    board: Board,
    text: str,
    y: float,
    sizes: tuple[float, float],
    width: float,
    tone: Tone,
    *,
    bold: bool = False,
) -> float:
    """Two lines in the larger size where they hold it all, otherwise three in the smaller."""
    large, small = sizes
    whole = board.broken(text, large, width * board.scale, 3, bold=bold)
    size, lines = (large, 2) if len(whole) <= 2 else (small, 3)
    return board.text(text, MARGIN, y, size, tone, width=width, lines=lines, bold=bold)


def _entry(board: Board, view: View, left: float, free: float) -> float:
    """The line that is typed, and what is said; below which height there is nothing of it.

    Where nothing is typed, what is said stands from the height ``free`` on.
    """
    # choices may need the room above; what to type is said by themselves
    top = max(520.0, free if view.special else free - 44) if view.choices else 520.0
    below = _notice(board, view, left, top + 166 if view.entry else max(free + 24, 380))
    if view.entry:
        _line(board, view, left, top)
    return below


def _line(board: Board, view: View, left: float, top: float, tall: float = 96) -> float:
    """What to type and the line that it is typed on, ``tall`` units high; y below it."""
    name = view.special or view.unit
    if view.special or not view.choices:
        board.text(name, MARGIN, top, 34, STRONG if view.special else TEXT, width=left)
    if view.expect and not view.special:
        beside = board.measure(name, 34) / board.scale + 40
        right = MARGIN + left
        board.text(view.expect, right, top, 34, TEXT, width=left - beside, right=True)
    board.box(MARGIN, top + 52, left, tall, SUNK, STRONG if view.special else EDGE)
    # a note is longer than a number
    size = tall * (5 / 12 if view.noting else 5 / 8)
    beside = 0.0
    if view.beside:
        refused = f"not kept: {view.beside}"
        room = left * 0.45
        beside = min(board.measure(refused, 34) / board.scale, room) + 40
        edge = MARGIN + left - 20
        board.text(refused, edge, top + 52 + (tall - 44) / 2, 34, TEXT, width=room, right=True)
    line = board.tail(view.line or view.selected, size, left - 70 - beside)
    line = line.replace(" ", "\u00a0")
    base = top + 52 + (tall - size * 1.25) / 2
    wide = board.measure(line, size) / board.scale
    if view.selected:
        board.box(MARGIN + 14, top + 64, wide + 12, tall - 24, EDGE, STRONG, inside=True)
    board.text(line, MARGIN + 20, base, size, STRONG, width=left)
    if not view.selected and (not view.dark or view.special):
        # otherwise nothing is typed now, or what is typed takes the place of what is selected
        board.box(MARGIN + 20 + wide + 4, top + 66, 6, tall - 28, STRONG)
    return top + 52 + tall


def _notice(board: Board, view: View, left: float, top: float) -> float:
    tone = STRONG if view.pressing else TEXT
    shift = 28 if view.pressing else 0
    # in the largest size that holds all of it above the foot
    size, lines = board.fitting(view.notice, (38, 32, 27, 23, 20), left - shift, HEIGHT - 48 - top)
    below = board.text(
        view.notice, MARGIN + shift, top, size, tone, width=left - shift, lines=lines
    )
    # a bar beside what needs the operator now, so that it does not rest on brightness alone
    if view.pressing:
        board.box(MARGIN, top + 6, 10, below - top - 6, STRONG)
    return below


def _side(board: Board, view: View, picture: NDArray[np.uint8] | None) -> None:
    wide = board.width - SIDE - MARGIN
    # the dark rim of a display around a picture that is dim itself
    board.box(SIDE, 34, 460, 268, (0, 0, 0), EDGE)
    if picture is not None and view.guard:
        height, width = (side / board.scale for side in picture.shape[:2])
        board.picture(picture, SIDE + 230 - width / 2, 168 - height / 2)
    if view.dark:
        # as large as a step's name: what the display shows is not what the left side asks
        _dark(board, view.screen)
    urgent = view.screen.isupper() and not view.dark
    shown = "" if view.dark else view.screen
    board.text(shown, SIDE, 312, 34 if urgent else 30, TEXT, width=wide, bold=urgent)
    # what is as it should be is no louder than the rest
    loud = view.guard != WORDS["verified"]
    y = board.text(view.guard, SIDE, 356, 34, STRONG if loud else TEXT, width=wide, bold=loud)
    short = view.adjusting is not None and not loud
    why = board.text("" if short else view.why, SIDE, y - 4, 24, TEXT, width=wide, lines=4)
    if view.guard and view.guard != WORDS["verified"]:
        board.box(SIDE - 26, 360, 10, why - 364, STRONG)
    if view.adjusting is not None:
        write_tables(board, view.adjusting, SIDE, max(why + 6, 406), wide)
        return
    if view.zones is not None:
        draw_count(board, view.zones, SIDE, 540, wide)
    else:
        _last(board, view, 540, wide)
    board.text(view.awake, SIDE, HEIGHT - 94, 22, FAINT, width=wide, lines=3)


def _dark(board: Board, word: str) -> None:
    """The word in the middle of the small picture's frame, and a bar on either side."""
    lines = board.broken(word, 48, 420 * board.scale, 3, bold=True)
    y = 168 - len(lines) * 31
    for line in lines:
        half = board.measure(line, 48, bold=True) / board.scale / 2
        board.text(line, SIDE + 230 - half, y, 48, STRONG, bold=True)
        y += 62
    for x in (SIDE, SIDE + 450):
        board.box(x, 34, 10, 268, STRONG)


def _steps(board: Board, view: View, left: float) -> None:
    """The list: a bar beside the chosen step, and a word for the state of each."""
    board.text(view.steps_title, MARGIN, TOP - 64, 34, STRONG, width=left, bold=True)
    board.text(
        "Enter or a click goes there",
        MARGIN + left,
        TOP - 60,
        26,
        FAINT,
        width=left / 2,
        right=True,
    )
    for row, line in enumerate(view.steps):
        y = TOP + row * ROW
        tone = STRONG if line.state == "now" else FAINT if line.state == "to come" else TEXT
        if line.chosen:
            board.box(MARGIN - 14, y, left + 28, ROW - 2, SUNK, STRONG)
        board.text(str(line.number), MARGIN + 70, y + 3, 28, tone, right=True)
        board.text(line.label, MARGIN + 90, y + 3, 28, tone, width=left * 0.42)
        board.text(line.state, MARGIN + left * 0.54, y + 3, 28, tone, width=left * 0.3)
        board.text(line.text, MARGIN + left, y + 3, 28, STRONG, width=left * 0.33, right=True)
    board.text(view.notice, MARGIN, TOP + ROWS * ROW + 18, 30, TEXT, width=left)


def _last(board: Board, view: View, y: float, wide: float) -> None:
    """Few readings, each whole: which step, what was kept, and how far off it is."""
    board.text("Last readings", SIDE, y, 26, FAINT, width=wide)
    y += 38
    for number, label, text, apart in view.last[:3]:
        name = f"{number} · {label}"
        board.text(name, SIDE, y, 26, FAINT, width=wide)
        board.text(text, SIDE, y + 32, 30, STRONG, width=wide)
        _beside(board, apart, y, wide, (board.measure(text, 30), board.measure(name, 26)))
        y += 76
    if not view.last:
        board.text("none yet", SIDE, y, 27, FAINT, width=wide)


def _beside(board: Board, apart: str, y: float, wide: float, taken: tuple[float, float]) -> None:
    """How far a reading is off, beside it, or beside its step where there is more room.

    Whole or not at all: a number alone does not say of what it is.
    """
    for size in (26, 22, 19):
        for used, foot in zip(taken, (61, 26), strict=True):
            room = wide - used / board.scale - 24
            if apart and board.measure(apart, size) / board.scale <= room:
                x, top = SIDE + wide, y + foot - size
                board.text(apart, x, top, size, TEXT, width=room, right=True)
                return


def _help(board: Board, view: View) -> None:
    y, apart = 150.0, min(57.0, 700 / len(view.help))
    size = apart * 0.72
    for key, does in view.help:
        board.text(key, MARGIN, y, size, STRONG, width=500)
        board.text(does, MARGIN + 520, y, size, TEXT, width=board.width - 2 * MARGIN - 520)
        y += apart


TALL = 92
"""Units of the highest bar."""
FLAT = 0.05
"""Chance of the likeliest count below which its bar is less than that high."""


def draw_count(board: Board, picture: ZonePicture, x: float, y: float, wide: float) -> None:
    """Draw the title below y, the bars and their names.

    The likeliest bar is the highest; a line below marks the counts of the 95 % set, so that
    nothing rests on colour.
    """
    whole = board.broken(picture.title, 34, wide * board.scale, 2, bold=True)
    size, lines = (34, 1) if len(whole) == 1 else (27, 2)
    y = board.text(picture.title, x, y, size, STRONG, width=wide, lines=lines, bold=True)
    base = y + 8 + TALL
    each = wide / len(picture.bars)
    gap = min(each * 0.25, 6.0)
    # where nothing is known all bars are alike, and low
    highest = max(FLAT, *(chance for _, chance in picture.bars))
    best = max(picture.bars, key=lambda bar: bar[1])[0]
    board.box(x, base, wide, 2, EDGE)
    for place, (count, chance) in enumerate(picture.bars):
        left = x + place * each
        tall = TALL * chance / highest
        if tall >= 1:
            tone = STRONG if count == best else TEXT
            board.box(left + gap / 2, base - tall, max(each - gap, 1.0), tall, tone)
        if count in picture.held:
            board.box(left, base + 5, each, 4, STRONG)
    taken: list[tuple[float, float]] = []
    for count in dict.fromkeys((best, picture.bars[0][0], picture.bars[-1][0])):
        place = count - picture.bars[0][0]
        middle = x + (place + 0.5) * each
        name = str(count)
        half = board.measure(name, 24) / board.scale / 2
        begins = min(max(middle - half, x), x + wide - 2 * half)
        ends = begins + 2 * half
        # the likeliest count is named; the outermost ones only where they stand clear of it
        if all(ends + 8 < left or begins > right + 8 for left, right in taken):
            board.text(name, begins, base + 10, 24, TEXT)
            taken.append((begins, ends))
