"""The overview as pages to print, to lie beside the remote control.

A4, with the fonts that every PDF reader has: letters that these lack are spelt in ASCII. The same
pictures make the same bytes: the date in the file is fixed.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from patterns.files.manifest import ascii_letters
from patterns.files.overview import Thumbnail

if TYPE_CHECKING:
    from fpdf import FPDF

OVERVIEW_PDF = "overview.pdf"
DATE = datetime(2000, 1, 1, tzinfo=UTC)
MARGIN, GAP, TOP = 12.0, 5.0, 24.0
"""Millimetres, as all lengths here."""
ACROSS, DOWN = 3, 6
WIDE = (210 - 2 * MARGIN - (ACROSS - 1) * GAP) / ACROSS
HIGH = (297 - TOP - MARGIN - (DOWN - 1) * GAP) / DOWN
CAPTION = 9.5
INSTEAD = {"−": "-", "→": "->", "≤": "<=", "≥": ">=", "…": "...", "Δ": "delta "}


def overview_pdf(thumbnails: Sequence[Thumbnail], title: str) -> bytes:
    """All thumbnails with their numbers and labels, eighteen to a page; the bytes of a PDF."""
    from fpdf import FPDF

    pdf = FPDF(format="A4")
    pdf.set_auto_page_break(auto=False)
    pdf.set_creation_date(DATE)
    pdf.set_title(plain(title))
    pdf.set_creator("Litfield")
    pages = max(1, -(-len(thumbnails) // (ACROSS * DOWN)))
    for page in range(pages):
        pdf.add_page()
        _head(pdf, plain(title), f"{page + 1} / {pages}")
        start = page * ACROSS * DOWN
        for place, each in enumerate(thumbnails[start : start + ACROSS * DOWN]):
            x = MARGIN + place % ACROSS * (WIDE + GAP)
            y = TOP + place // ACROSS * (HIGH + GAP)
            _cell(pdf, each, x, y)
    return bytes(pdf.output())


def plain(text: str) -> str:
    """The text in the letters that the fonts of every reader have."""
    out = []
    for sign in text:
        try:
            sign.encode("latin-1")
            out.append(sign if sign.isprintable() else " ")
        except UnicodeEncodeError:
            out.append(INSTEAD.get(sign) or ascii_letters(sign) or "?")
    return "".join(out)


def _head(pdf: FPDF, title: str, page: str) -> None:
    pdf.set_text_color(0)
    pdf.set_font("Helvetica", size=9)
    room = 210 - 2 * MARGIN - pdf.get_string_width(page) - GAP
    pdf.text(210 - MARGIN - pdf.get_string_width(page), MARGIN + 4, page)
    pdf.set_font("Helvetica", "B", 13)
    pdf.text(MARGIN, MARGIN + 4, _short(pdf, title, room))


def _cell(pdf: FPDF, each: Thumbnail, x: float, y: float) -> None:
    from PIL import Image

    height, width = each.picture.shape[:2]
    scale = min(WIDE / width, (HIGH - CAPTION) / height)
    wide, high = width * scale, height * scale
    pdf.image(Image.fromarray(each.picture), x, y, wide, high)
    pdf.set_draw_color(140)
    pdf.set_line_width(0.15)
    # most pictures are black at their edges, and paper is white
    pdf.rect(x, y, wide, high)
    number = f"{each.number:03d}"
    pdf.set_font("Helvetica", "B", 12)
    pdf.text(x, y + high + 4.6, number)
    indent = pdf.get_string_width(number) + 2
    pdf.set_font("Helvetica", size=8)
    for line, text in enumerate(_lines(pdf, plain(each.label), WIDE - indent)):
        pdf.text(x + indent, y + high + 4 + line * 3.4, text)


def _lines(pdf: FPDF, label: str, width: float) -> list[str]:
    """The label in two lines at most."""
    lines = [""]
    for word in label.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and pdf.get_string_width(longer) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    if len(lines) > 2:
        lines = [lines[0], " ".join(lines[1:])]
    return [_short(pdf, line, width) for line in lines]


def _short(pdf: FPDF, text: str, width: float) -> str:
    if pdf.get_string_width(text) <= width:
        return text
    while text and pdf.get_string_width(text + "...") > width:
        text = text[:-1]
    return text.rstrip() + "..."
