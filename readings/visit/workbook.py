"""Tables as an XLSX workbook: texts stay texts, whatever they begin with; the same bytes again.

A cell that holds text is written as text, so that one which begins with = + - or @ is never taken
for a formula. XLSX holds 32,767 characters in a cell; a longer text is cut, and ends in CUT.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

Cell = str | int | float | None

CREATED = datetime(2000, 1, 1)  # noqa: DTZ001 - the library wants a date without a zone
"""Fixed, so that the same tables give the same bytes."""
LONGEST_CELL = 32_767
CUT = " [cut here: a cell holds no more]"
LONGEST_NAME = 31
"""Characters of a sheet's name."""
WIDEST, NARROWEST = 48, 6
"""Characters that a column shows."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table of a workbook."""

    name: str
    """Any text; made fit for a sheet's name, and different from the others."""
    columns: Sequence[str]
    rows: Sequence[Mapping[str, Cell]]
    """Cells by column; a missing one, and None, is empty."""


def workbook(sheets: Sequence[Sheet]) -> bytes:
    """The bytes of an XLSX file with these sheets, at least one, each with its head frozen."""
    from xlsxwriter import Workbook

    buffer = BytesIO()
    book = Workbook(buffer, {"in_memory": True})
    book.set_properties({"created": CREATED, "comments": "Made by Litfield"})
    head = book.add_format({"bold": True, "bottom": 1, "valign": "top"})
    taken: set[str] = set()
    for sheet in sheets:
        _fill(book.add_worksheet(_name(sheet.name, taken)), sheet, head)
    book.close()
    return buffer.getvalue()


def _fill(page: Worksheet, sheet: Sheet, head: Format) -> None:
    widths = [len(column) for column in sheet.columns]
    for place, column in enumerate(sheet.columns):
        page.write_string(0, place, column, head)
    for line, row in enumerate(sheet.rows, 1):
        for place, column in enumerate(sheet.columns):
            cell = row.get(column)
            if cell is None:
                continue
            if isinstance(cell, str):
                page.write_string(line, place, _fitting(cell))
                length = len(cell)
            elif math.isfinite(cell):
                page.write_number(line, place, cell)
                length = 10
            else:  # no spreadsheet holds it as a number
                page.write_string(line, place, str(cell))
                length = 4
            widths[place] = max(widths[place], length)
    for place, width in enumerate(widths):
        page.set_column(place, place, min(max(width, NARROWEST), WIDEST) + 1)
    page.freeze_panes(1, 0)
    if sheet.rows:
        page.autofilter(0, 0, len(sheet.rows), len(sheet.columns) - 1)


def _fitting(text: str) -> str:
    return text if len(text) <= LONGEST_CELL else text[: LONGEST_CELL - len(CUT)] + CUT


def _name(wanted: str, taken: set[str]) -> str:
    """A sheet's name: without []:*?/\\ and control characters, short, and unlike the others."""
    clean = re.sub(r"[\[\]:*?/\\\x00-\x1f\x7f]", " ", wanted).strip().strip("'").strip()
    plain = clean[:LONGEST_NAME] or "readings"
    if plain.casefold() == "history":  # spreadsheets keep that name for themselves
        plain = "history of readings"
    name, number = plain, 1
    while name.casefold() in taken:
        number += 1
        mark = f" {number}"
        name = plain[: LONGEST_NAME - len(mark)] + mark
    taken.add(name.casefold())
    return name
