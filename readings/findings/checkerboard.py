"""Contrast of checkerboards: all boxes, and the boxes around the centre."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from readings.evidence import Measured
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.ratio import STRAY, Naming, contrast_values, level_value
from readings.uncertainty import Estimate

SOURCE = (
    "ICDM IDMS, an edition before v1.3, 15.6 (all boxes) and 5.26 (boxes around the centre), both "
    "seen"
)
Place = tuple[str, int | str, str]
"""Pattern start, box number or what was read, role: readings of one place are repeats."""


@dataclass(frozen=True, slots=True, order=True)
class Board:
    """A checkerboard's boxes, numbered from 1, left to right and then downwards."""

    columns: int
    rows: int

    def lit(self, box: int, start: str) -> bool:
        """Whether this box is lit, where the top left one is `start`: `lit` or `dark`."""
        row, column = divmod(box - 1, self.columns)
        return (row + column) % 2 == (0 if start == "lit" else 1)

    def centre(self) -> list[int]:
        """The boxes that touch the centre: one, two or four."""
        columns = {(self.columns - 1) // 2, self.columns // 2}
        rows = {(self.rows - 1) // 2, self.rows // 2}
        return sorted(row * self.columns + column + 1 for row in rows for column in columns)

    def __str__(self) -> str:
        return f"{self.columns} × {self.rows}"


def checkerboards(mine: Sequence[Measured]) -> list[Finding]:
    """One finding for each size and pair of levels of checkerboard in the readings of one run.

    The positive and the negative pattern (`start: lit` and `start: dark`) belong together.
    """
    basis = Basis()
    boxes = [r for r in mine if r.kind == "checkerboard" and r.role in {"lit", "dark"}]
    boxes = with_light(boxes, basis)
    boards = grouped(boxes, lambda r: (_board(r), tuple(sorted(r.inks.items()))))
    # A slip of the keyboard is told once, with the first of them.
    told: list[str] = basis.warnings
    findings = []
    for (board, _), readings in boards.items():
        findings.append(_finding(board, readings, told))
        told = []
    return findings


def _finding(board: Board | None, readings: list[Measured], warnings: list[str]) -> Finding:
    basis = Basis(warnings=list(warnings))
    places = {
        place: basis.estimate(repeats)
        for place, repeats in grouped(readings, lambda r: _place(r, board)).items()
    }
    lit = [estimate for (_, _, role), estimate in places.items() if role == "lit"]
    dark = [estimate for (_, _, role), estimate in places.items() if role == "dark"]
    where: dict[str, object] = {}
    size = ""
    if board is not None:
        where, size = {"columns": board.columns, "rows": board.rows}, f" {board}"
    values: list[Value] = []
    note = ""
    if lit and dark:
        _look_for_gaps(board, places, basis)
        naming = Naming(
            "checkerboard-contrast",
            "Checkerboard contrast",
            "mean lit box",
            "mean dark box",
            where | {"places_read": len(places)},
        )
        values, note = contrast_values(basis, lit, dark, naming)
        centre = _centre(board, places, basis)
        if centre is not None:
            naming = Naming(
                "checkerboard-contrast-centre",
                "Checkerboard contrast, centre",
                "mean lit centre box",
                "mean dark centre box",
                where,
            )
            values += contrast_values(basis, *centre, naming)[0]
    else:
        values.append(
            Value("checkerboard-contrast", "Checkerboard contrast", None, ":1", where=where)
        )
        basis.warn(f"No {'dark' if lit else 'lit'} box was read, so the contrast is undefined.")
    if lit:
        values.append(level_value("lit-luminance", "Lit boxes, mean", lit))
    if dark:
        values.append(level_value("dark-luminance", "Dark boxes, mean", dark))
    return basis.finding(
        "contrast",
        readings[0],
        title=f"Checkerboard contrast{size}",
        values=values,
        method=(
            "Sum of the lit boxes over sum of the dark boxes (their means, where not as many were "
            "read), never a mean of ratios. Centre: the boxes that touch the centre; with an odd "
            f"count, the one box in the positive and the negative pattern.{STRAY}{note}"
        ),
        source=SOURCE,
    )


def _board(reading: Measured) -> Board | None:
    columns, rows = reading.parameters.get("columns"), reading.parameters.get("rows")
    if isinstance(columns, int) and isinstance(rows, int) and min(columns, rows) >= 1:
        return Board(columns, rows)
    return None


def _start(reading: Measured) -> str:
    return "dark" if reading.parameters.get("start") == "dark" else "lit"


def _place(reading: Measured, board: Board | None) -> Place:
    place = _box(reading, board) or reading.of or reading.label
    return _start(reading), place, str(reading.role)


def _box(reading: Measured, board: Board | None) -> int | None:
    """The box's number, from `box N` in what was read or in the label, or a variable `box`."""
    if board is None:
        return None
    texts = [reading.of or "", f"box {reading.variables.get('box', '')}", reading.label]
    for text in texts:
        found = re.search(r"\bbox\s*(\d{1,6})\b", text, re.IGNORECASE)
        if found and 1 <= int(found[1]) <= board.columns * board.rows:
            return int(found[1])
    return None


def _look_for_gaps(board: Board | None, places: dict[Place, Estimate], basis: Basis) -> None:
    """Warn where boxes are missing or cannot be told apart."""
    if board is None or not all(isinstance(box, int) for _, box, _ in places):
        lit = sum(role == "lit" for _, _, role in places)
        basis.warn(
            "Which boxes were read is not told, so the boxes around the centre are not worked out "
            f"({lit} lit and {len(places) - lit} dark places were read)."
        )
        return
    boxes = range(1, board.columns * board.rows + 1)
    for start in sorted({start for start, _, _ in places}, reverse=True):
        read = {box for of, box, _ in places if of == start}
        missing = [str(box) for box in boxes if box not in read]
        if missing:
            few = len(read) < len(missing)
            named = "" if few else f" (not box {', '.join(missing)})"
            basis.warn(
                f"{len(read)} of {len(boxes)} boxes were read with the top left box {start}{named}."
            )


def _centre(
    board: Board | None, places: dict[Place, Estimate], basis: Basis
) -> tuple[list[Estimate], list[Estimate]] | None:
    """Lit and dark estimates of the boxes around the centre; None where they cannot be told."""
    if board is None:
        return None
    wrong = [
        str(box)
        for start, box, role in places
        if isinstance(box, int) and board.lit(box, start) != (role == "lit")
    ]
    if wrong:
        basis.warn(
            f"Box {', '.join(wrong)} of this pattern is not what its role says, so the numbers are "
            "not trusted and the boxes around the centre are not worked out."
        )
        return None
    boxes = board.centre()
    patterns: list[tuple[str, ...]] = [("lit",), ("dark",)]
    if len(boxes) == 1:
        patterns = [("lit", "dark")]
    for wanted in patterns:
        keys: list[Place] = [
            (start, box, "lit" if board.lit(box, start) else "dark")
            for start in wanted
            for box in boxes
        ]
        if all(key in places for key in keys):
            lit = [places[key] for key in keys if key[2] == "lit"]
            return lit, [places[key] for key in keys if key[2] == "dark"]
    if len(boxes) == 1 and any(box == boxes[0] for _, box, _ in places):
        basis.warn(
            "An odd count of boxes needs the centre box in the positive and the negative pattern; "
            "only one was read."
        )
    return None
