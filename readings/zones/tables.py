"""Tallies and comb answers that were made elsewhere, read from CSV files.

Tallies: ``axis,pass,direction,position_px``; a pass without a press has one line without a
position. Combs: ``axis,n,spacing,groups``; groups is a whole number, "none", "can't tell" or
nothing. All that is wrong in a file is told at once.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path
from typing import Literal

from patterns.errors import BAD_INPUT, LitfieldError
from patterns.kinds.moving_box import MOST_ZONES
from readings.visit.records import Direction
from readings.zones.comb import CombAnswer
from readings.zones.crawl import Pass

ZoneAxis = Literal["columns", "rows"]
AXES: tuple[ZoneAxis, ZoneAxis] = ("columns", "rows")
TALLIES = ("axis", "pass", "direction", "position_px")
COMBS = ("axis", "n", "spacing", "groups")
LARGEST_FILE = 1_000_000
"""Bytes of a file; the longest evening of presses is far below."""
PRESSES = 5_000
"""Presses along an axis; at a zone a second they take an hour and a half."""
PASSES = 50
"""Passes along an axis."""
ANSWERS = 500
"""Answers to combs along an axis; at 15 s for each they take two hours."""
MOST_PROBLEMS = 20
"""Problems that are told of one file."""
LONGEST_CELL = 60
"""Characters of a cell, or of a first line, that are told."""


class TallyError(LitfieldError):
    """What is wrong in the files; ``str()`` is one sentence a line, each with file and line."""

    exit_code = BAD_INPUT
    listed = True


@dataclass
class _Source:
    """A file that is being read, and what is wrong with it so far."""

    name: str
    wrong: list[str] = field(default_factory=list)
    line: int = 1

    def say(self, what: str) -> None:
        self.wrong.append(f"{self.name}:{self.line}: {what}")

    def finish(self) -> None:
        """Raise TallyError where anything was said."""
        more = len(self.wrong) - MOST_PROBLEMS
        if more > 0:
            self.wrong[MOST_PROBLEMS:] = [f"{self.name}: {more} more lines are wrong."]
        if self.wrong:
            raise TallyError("\n".join(self.wrong))


def read_tallies(
    file: str | PathLike[str], width: int, height: int
) -> dict[ZoneAxis, tuple[Pass, ...]]:
    """Passes by axis, in the order in which they stand in the file; an axis without any is absent.

    Args:
        file: CSV of presses; a comma or, with decimal commas, a semicolon between its cells.
        width: pixels along which columns are counted.
        height: pixels along which rows are counted.

    Raises:
        TallyError: everything that is wrong with the file, one sentence a line.
    """
    source = _Source(str(file))
    sizes = {"columns": width, "rows": height}
    ways: dict[tuple[ZoneAxis, int], Direction] = {}
    presses: dict[tuple[ZoneAxis, int], list[float]] = {}
    passes: dict[ZoneAxis, set[int]] = {axis: set() for axis in AXES}
    pressed = dict.fromkeys(AXES, 0)
    for cells in _lines(source, TALLIES):
        axis = _axis(source, cells["axis"])
        number = _whole(source, "pass", cells["pass"], 1, 10_000)
        way = _direction(source, cells["direction"])
        text = cells["position_px"]
        place = _position(source, text, sizes[axis]) if axis and text else None
        if axis is None or number is None or way is None:
            continue
        key = axis, number
        if ways.setdefault(key, way) != way:
            source.say(f"pass {number} along the {axis} began {ways[key]}, and is {way} here.")
        presses.setdefault(key, [])
        if place is not None:
            presses[key].append(place)
        passes[axis].add(number)
        pressed[axis] += place is not None
        if len(passes[axis]) > PASSES or pressed[axis] > PRESSES:
            source.say(
                f"nobody presses more than {PRESSES:,} times, or goes more than {PASSES} times, "
                f"along the {axis}: is this a table of presses?"
            )
            break
    source.finish()
    return {
        axis: tuple(Pass(ways[key], tuple(presses[key])) for key in ways if key[0] == axis)
        for axis in AXES
        if any(key[0] == axis for key in ways)
    }


def read_combs(file: str | PathLike[str]) -> dict[ZoneAxis, tuple[CombAnswer, ...]]:
    """Comb answers by axis, in their order; an axis without any is absent.

    Raises:
        TallyError: everything that is wrong with the file, one sentence a line.
    """
    source = _Source(str(file))
    answers: dict[ZoneAxis, list[CombAnswer]] = {}
    for cells in _lines(source, COMBS):
        axis = _axis(source, cells["axis"])
        zones = _whole(source, "n", cells["n"], 1, MOST_ZONES)
        spacing = _whole(source, "spacing", cells["spacing"], 1, MOST_ZONES)
        groups = _groups(source, cells["groups"])
        if axis and zones and spacing and groups != _WRONG:
            answers.setdefault(axis, []).append(CombAnswer(zones, spacing, groups))
            if len(answers[axis]) > ANSWERS:
                source.say(
                    f"nobody answers more than {ANSWERS} combs along the {axis}: is this a table "
                    "of answers?"
                )
                break
    source.finish()
    return {axis: tuple(answered) for axis, answered in answers.items()}


def _lines(source: _Source, header: tuple[str, ...]) -> Iterator[dict[str, str]]:
    """The lines of a file as cells by name; raises TallyError where it is no such table."""
    text = _text(source)
    first = text.lstrip("\r\n").partition("\n")[0]
    between = ";" if ";" in first else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True)
    found: tuple[str, ...] = ()
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            source.line = reader.line_num
            if not any(cells):
                continue
            if not found:
                found = tuple(cell.lower() for cell in cells)
                if sorted(found) != sorted(header):
                    first = _quoted(between.join(cells))
                    source.say(f"the first line is {','.join(header)}, not {first}.")
                    break
            elif len(cells) != len(header):
                source.say(f"there are {len(header)} cells in a line, not {len(cells)}.")
            else:
                yield dict(zip(found, cells, strict=True))
    except csv.Error as error:
        source.line = max(reader.line_num, 1)
        source.say(f"the line cannot be read: {error}.")
    if not found:
        source.say(f"the file is empty; its first line is {','.join(header)}.")


def _text(source: _Source) -> str:
    path = Path(source.name)
    try:
        with path.open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1)
    except OSError as error:
        raise TallyError(f"{source.name}: {error.strerror or error}.") from error
    if len(data) > LARGEST_FILE:
        raise TallyError(f"{source.name}: a table of at most {LARGEST_FILE:,} bytes is read.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise TallyError(f"{source.name}:{line}: the text is not UTF-8.") from error
    if "\0" in text:
        raise TallyError(f"{source.name}: this is no text.")
    return text


def _axis(source: _Source, text: str) -> ZoneAxis | None:
    for axis in AXES:
        if text.lower() == axis:
            return axis
    source.say(f"the axis is columns or rows, not {_quoted(text)}.")
    return None


def _direction(source: _Source, text: str) -> Direction | None:
    ways: tuple[Direction, Direction] = ("forward", "backward")
    for way in ways:
        if text.lower() == way:
            return way
    source.say(f"the direction is forward or backward, not {_quoted(text)}.")
    return None


def _whole(source: _Source, name: str, text: str, low: int, high: int) -> int | None:
    if re.fullmatch(r"[0-9]{1,6}", text) and low <= int(text) <= high:
        return int(text)
    source.say(f"{name} is a whole number from {low} to {high}, not {_quoted(text)}.")
    return None


def _position(source: _Source, text: str, size: int) -> float | None:
    """Pixels; a decimal comma can only stand in a cell that it does not end, so it is taken."""
    if re.search(r"\d[.,'’ ]\d{3}(\D|$)", text) and not re.fullmatch(r"0*[.,]\d+", text):
        source.say(
            f"the position {_quoted(text)} can be read in two ways; write it without thousands."
        )
        return None
    if not re.fullmatch(r"[+-]?([0-9]{1,9}([.,][0-9]*)?|[.,][0-9]+)", text):
        source.say(f"the position is a number of pixels, not {_quoted(text)}.")
        return None
    place = float(text.replace(",", "."))
    if not (math.isfinite(place) and 0 <= place <= size):
        source.say(f"the position {text} px is not on an axis of {size} px.")
        return None
    return place


def _quoted(text: str) -> str:
    """A cell as it is told: in quotes, short, with its control characters written out."""
    return repr(text if len(text) <= LONGEST_CELL else f"{text[: LONGEST_CELL - 1]}…")


_WRONG = -1


def _groups(source: _Source, text: str) -> int | None:
    """Groups; None for can't tell, _WRONG for what is neither."""
    plain = text.lower().replace("’", "'")
    if plain in {"", "?", "can't tell", "cannot tell"}:
        return None
    if plain in {"none", "no"}:
        return 0
    if re.fullmatch(r"[0-9]{1,3}", plain):
        return int(plain)
    source.say(f"groups is a whole number, none or can't tell, not {_quoted(text)}.")
    return _WRONG
