"""A4 sheets that are written from top to bottom: text that breaks, tables, pictures, new pages.

The document's own line breaking is used in place of the PDF library's, which measures every letter
again and takes ten times as long.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from readings.report.vectors import in_letters, ink_of, letters_of, place, size_of

if TYPE_CHECKING:
    from fpdf import FPDF

FAMILY = "DejaVu Sans"
WIDE, HIGH, MARGIN, FOOT = 210.0, 297.0, 16.0, 14.0
"""Millimetres, as all lengths here."""
ROOM = WIDE - 2 * MARGIN
HALF = (ROOM - 6) / 2
"""Width of a picture: two stand beside each other."""
SMALLER = 0.86
"""Size of a cell's smaller lines, of its own."""
SIDES = 1.6
"""What a column leaves free at both sides of its text together."""
LEADING = 0.46
"""Line height in mm for each point of type."""
INK, SOFT, DEEP, RULE = (28, 29, 31), (90, 95, 102), (23, 69, 79), (205, 209, 214)
CREATED = datetime(2000, 1, 1, tzinfo=UTC)
"""Fixed, so that the same visits give the same bytes."""
Ink = tuple[int, int, int]
Captioned = tuple[str, str, str, str]
"""A picture's SVG, its title, what it shows, and where it is from."""


@dataclass(frozen=True, slots=True)
class Cell:
    """Lines of one cell of a table, each `(text, smaller)`."""

    lines: tuple[tuple[str, bool], ...]
    bold: bool = False

    @classmethod
    def of(cls, text: str, *more: str, bold: bool = False) -> Cell:
        """Text, and smaller lines below it."""
        return cls(((text, False), *((each, True) for each in more if each)), bold)


@dataclass(eq=False)
class Sheet:
    """A document that is being written."""

    title: str
    pdf: FPDF = field(init=False)
    y: float = field(init=False, default=MARGIN)

    def __post_init__(self) -> None:
        from fpdf import FPDF
        from matplotlib import get_data_path

        fonts = Path(get_data_path()) / "fonts" / "ttf"
        self.pdf = FPDF(format="A4")
        self.pdf.set_auto_page_break(auto=False)
        self.pdf.set_creation_date(CREATED)
        self.pdf.set_creator("Litfield")
        self.pdf.set_lang("en")
        self.pdf.add_font(FAMILY, "", fonts / "DejaVuSans.ttf")
        self.pdf.add_font(FAMILY, "B", fonts / "DejaVuSans-Bold.ttf")
        # the widths of its letters, thousandths of the size
        self._plain, self._bold = (
            getattr(self.pdf.fonts[FAMILY.lower() + style], "cw", {}) for style in ("", "B")
        )
        self._letters = letters_of(self.pdf, FAMILY)
        self._width = lru_cache(maxsize=None)(self._measure)
        self.title = self.plain(self.title)
        self.pdf.set_title(self.title)
        self.new_page()

    def bytes(self) -> bytes:
        """The finished document."""
        return bytes(self.pdf.output())

    def plain(self, text: str) -> str:
        """Text in letters that the font has, on one line."""
        text = " ".join(text.replace("\u00a0", "\x00").split()).replace("\x00", "\u00a0")
        return in_letters(text, self._letters)

    def new_page(self) -> None:
        """Begin a page; its foot is written at once."""
        self.pdf.add_page()
        self.y = MARGIN
        self._line(f"{self.pdf.page_no()}", WIDE - MARGIN, HIGH - 8, 7, align="right", ink=SOFT)
        self._line(self._short(self.title, ROOM - 20, 7), MARGIN, HIGH - 8, 7, ink=SOFT)

    def need(self, height: float) -> None:
        """A new page where so much does not fit any more."""
        if self.y + height > HIGH - FOOT - 2 and self.y > MARGIN:
            self.new_page()

    def gap(self, height: float) -> None:
        """Leave room, but not at the head of a page."""
        if self.y > MARGIN:
            self.y += height

    def head(self, text: str, size: float = 13.0, *, keep: float = 22.0) -> None:
        """A heading over a rule, that stays with what follows it."""
        self.gap(5)
        self.need(size * LEADING + keep)
        self.text(text, size, bold=True, ink=DEEP)
        self.pdf.set_draw_color(ink_of(*DEEP))
        self.pdf.set_line_width(0.4)
        self.pdf.line(MARGIN, self.y + 0.4, WIDE - MARGIN, self.y + 0.4)
        self.y += 2.6

    def text(
        self,
        text: str,
        size: float = 9.0,
        *,
        bold: bool = False,
        ink: Ink = INK,
        indent: float = 0.0,
        width: float | None = None,
        left: float | None = None,
        whole: bool = False,
    ) -> None:
        """A paragraph, from the left margin or a place of its own; `whole` keeps it on one page."""
        start = (MARGIN if left is None else left) + indent
        room = (ROOM if width is None else width) - indent
        lines = self.lines(self.plain(text), room, size, bold=bold)
        if whole:
            self.need(len(lines) * size * LEADING)
        for line in lines:
            self.need(size * LEADING)
            self._line(line, start, self.y + size * 0.353, size, bold=bold, ink=ink)
            self.y += size * LEADING

    def with_small(
        self, text: str, small: str, sizes: tuple[float, float], *, indent: float = 0.0
    ) -> None:
        """A paragraph with a smaller one at its right, on its last line where that has room."""
        lines = self.lines(self.plain(text), ROOM - indent, sizes[0])
        used = self.width(lines[-1], sizes[0]) + self.width(small, sizes[1]) - SIDES
        beside = used <= ROOM - indent
        for line in lines:
            self.need(sizes[0] * LEADING)
            y = self.y + sizes[0] * 0.353
            self._line(line, MARGIN + indent, y, sizes[0])
            self.y += sizes[0] * LEADING
        if beside:
            self._line(self.plain(small), WIDE - MARGIN, y, sizes[1], align="right", ink=SOFT)
        else:
            self.text(small, sizes[1], indent=indent, ink=SOFT)

    def named(self, name: str, text: str, *, wide: float = 32.0) -> None:
        """A name and what belongs to it, beside each other."""
        names = self.lines(self.plain(name), wide - 2, 8)
        lines = self.lines(self.plain(text), ROOM - wide, 8)
        for left, line in zip_longest(names, lines, fillvalue=""):
            self.need(8 * LEADING)
            self._line(left, MARGIN, self.y + 8 * 0.353, 8, ink=SOFT)
            self._line(line, MARGIN + wide, self.y + 8 * 0.353, 8)
            self.y += 8 * LEADING
        self.y += 0.7

    def bar(self, height: float, ink: Ink, *, thick: float, dashed: bool) -> None:
        """A mark beside what was just written, so high; only on the page where it ended."""
        top = max(self.y - height, MARGIN)
        self.pdf.set_draw_color(ink_of(*ink))
        self.pdf.set_line_width(thick)
        if dashed:
            self.pdf.set_dash_pattern(0.6, 1.2)
        self.pdf.line(MARGIN + 1, top, MARGIN + 1, self.y)
        self.pdf.set_dash_pattern()

    def table(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[Cell]],
        widths: Sequence[float],
        *,
        size: float = 8.0,
        right_from: int = 1,
    ) -> None:
        """Rows under heads, which are repeated on a new page.

        Args:
            heads: one for each column.
            rows: cells, one for each column.
            widths: of the columns, mm.
            size: of the letters, points.
            right_from: the first column whose cells stand to the right.
        """
        top = [Cell.of(head, bold=True) for head in heads]
        self._row(top, widths, size, right_from, heavy=True, keep=size * LEADING * 3)
        for row in rows:
            self._row(row, widths, size, right_from, heads=top)

    def _row(
        self,
        row: Sequence[Cell],
        widths: Sequence[float],
        size: float,
        right_from: int,
        *,
        heavy: bool = False,
        keep: float = 0.0,
        heads: Sequence[Cell] = (),
    ) -> None:
        small = size * SMALLER
        laid = [
            [
                (line, small if less else size)
                for text, less in cell.lines
                for line in self.lines(
                    self.plain(text), wide - SIDES, small if less else size, bold=cell.bold
                )
            ]
            for cell, wide in zip(row, widths, strict=True)
        ]
        height = max(sum(each * LEADING for _, each in lines) for lines in laid) + 1.4
        if self.y + height + keep > HIGH - FOOT - 2 and self.y > MARGIN:
            self.new_page()
            if heads:
                self._row(heads, widths, size, right_from, heavy=True)
        x = MARGIN
        for column, (lines, wide, cell) in enumerate(zip(laid, widths, row, strict=True)):
            y = self.y + 0.5
            for line, each in lines:
                right = column >= right_from
                at = x + wide - 0.8 if right else x + (0.8 if column else 0.0)
                self._line(
                    line, at, y + each * 0.353, each, bold=cell.bold,
                    align="right" if right else "left", ink=INK if each == size else SOFT,
                )  # fmt: skip
                y += each * LEADING
            x += wide
        self.y += height
        self.pdf.set_draw_color(ink_of(*(INK if heavy else RULE)))
        self.pdf.set_line_width(0.25 if heavy else 0.15)
        self.pdf.line(MARGIN, self.y, MARGIN + sum(widths), self.y)

    def pictures(self, found: Sequence[Captioned]) -> None:
        """Pictures two by two."""
        for start in range(0, len(found), 2):
            pair = found[start : start + 2]
            self.need(self.height_of(pair))
            top = self.y
            for column, each in enumerate(pair):
                left = MARGIN + column * (HALF + 6)
                y = top + place(self.pdf, each[0], left, top, HALF, FAMILY) + 1
                for line, size, ink in self._caption(each):
                    self._line(line, left, y + size * 0.353, size, bold=size == 8, ink=ink)
                    y += size * LEADING
                self.y = max(self.y, y)
            self.gap(4)

    def height_of(self, pair: Sequence[Captioned]) -> float:
        """What two pictures beside each other take with their captions."""
        heights = [0.0]
        for each in pair:
            wide, high = size_of(each[0])
            below = sum(size * LEADING for _, size, _ in self._caption(each))
            heights.append(HALF * high / wide + below + 3)
        return max(heights)

    def _caption(self, each: Captioned) -> list[tuple[str, float, Ink]]:
        """Its lines, with their size and ink."""
        _, title, says, source = each
        parts = ((title, 8.0, INK), (says, 7.0, INK), (source, 6.5, SOFT))
        return [
            (line, size, ink)
            for text, size, ink in parts
            for line in self.lines(self.plain(text), HALF, size, bold=size == 8)
        ]

    def lines(self, text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
        """Text broken into lines that fit; a word that is too long is broken too."""
        done: list[str] = []
        now, used = "", 0.0
        gap = self._width(" ", bold) * size
        for word in text.split(" "):
            long = self._width(word, bold) * size
            if now and used + gap + long > width:
                done.append(now)
                now, used = "", 0.0
            while long > width and len(word) > 1:
                kept = max(1, int(len(word) * width / long) - 1)
                done.append(word[:kept])
                word = word[kept:]  # noqa: PLW2901 - what is left of it
                long = self._width(word, bold) * size
            now, used = (f"{now} {word}", used + gap + long) if now else (word, long)
        return [*done, now]

    def width(self, text: str, size: float, *, bold: bool = False) -> float:
        """How wide a column has to be for this text on one line, mm."""
        words = self.plain(text).split(" ")
        gaps = (len(words) - 1) * self._width(" ", bold)
        # a hair more: what is summed up in another order may come out a little wider
        return (sum(self._width(word, bold) for word in words) + gaps) * size + SIDES + 0.01

    def needs(self, cell: Cell, size: float) -> float:
        """How wide a column has to be for this cell without any line broken, mm."""
        sizes = [(text, size * SMALLER if less else size) for text, less in cell.lines]
        return max(self.width(text, each, bold=cell.bold) for text, each in sizes)

    def _measure(self, word: str, bold: bool) -> float:
        """Width in mm for each point of type."""
        widths = self._bold if bold else self._plain
        return float(sum(widths[ord(sign)] for sign in word)) / 1000 / self.pdf.k

    def _short(self, text: str, width: float, size: float) -> str:
        lines = self.lines(text, width, size)
        return lines[0] if len(lines) == 1 else f"{lines[0]} …"

    def _line(
        self,
        text: str,
        x: float,
        y: float,
        size: float,
        *,
        bold: bool = False,
        ink: Ink = INK,
        align: Literal["left", "right"] = "left",
    ) -> None:
        if not text:
            return
        if align == "right":
            words = text.split(" ")
            gaps = (len(words) - 1) * self._width(" ", bold)
            x -= (sum(self._width(word, bold) for word in words) + gaps) * size
        style = "B" if bold else ""
        if (self.pdf.font_style, self.pdf.font_size_pt) != (style, size):
            self.pdf.set_font(FAMILY, style, size)
        # where both are alike, the text needs no colour of its own
        self.pdf.set_text_color(ink_of(*ink))
        self.pdf.set_fill_color(ink_of(*ink))
        self.pdf.text(x, y, text)
