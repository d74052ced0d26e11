"""Contrast: full white over full black, one after the other; checkerboards beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from readings.evidence.measured import Measured
from readings.evidence.shown import area_of
from readings.evidence.stray import Veil
from readings.evidence.uncertainty import Estimate, written
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, by_run, grouped, light, with_light
from readings.findings.kind import OWN, Drawn, FindingKind, Limit, Reads
from readings.findings.light.veils import BLACK, STEPS, veil_of
from readings.findings.ratio import STRAY, Beside, Naming, contrast_values, level_value

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
    stray = with_light([r for r in mine if r.kind == "checkerboard" and r.role in STEPS], basis)
    boards = grouped(boxes, lambda r: (_board(r), tuple(sorted(r.inks.items()))))
    # A slip of the keyboard is told once, with the first of them.
    warnings: list[str] = basis.warnings
    findings = []
    for (board, _), readings in boards.items():
        here = [r for r in stray if _board(r) == board and _same_picture(r, readings[0])]
        findings.append(_finding(board, readings, here, warnings))
        warnings = []
    return findings


def _finding(
    board: Board | None,
    readings: list[Measured],
    stray: Sequence[Measured],
    warnings: list[str],
) -> Finding:
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
        beside = Beside(_veil(board, places, stray, basis))
        values, note = contrast_values(basis, lit, dark, naming, beside)
        values[0] = replace(values[0], titled=True)
        centre = _centre(board, places, basis)
        if centre is not None:
            naming = Naming(
                "checkerboard-contrast-centre",
                "Checkerboard contrast, centre",
                "mean lit centre box",
                "mean dark centre box",
                where,
            )
            values += contrast_values(basis, *centre, naming, beside)[0]
    else:
        name, label = "checkerboard-contrast", "Checkerboard contrast"
        values.append(Value(name, label, None, ":1", where=where, titled=True))
        basis.warn(f"No {'dark' if lit else 'lit'} box was read, so the contrast is undefined.")
    if lit:
        values.append(level_value("lit-luminance", "Lit boxes, mean", lit))
    if dark:
        values.append(level_value("dark-luminance", "Dark boxes, mean, as read", dark))
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


def _same_picture(stray: Measured, reading: Measured) -> bool:
    """Whether a reading for stray light is of this picture, or of it with all of it dark."""
    if stray.role == BLACK:
        return set(stray.inks.values()) == {min(reading.inks.values(), key=sum, default=None)}
    return stray.inks == reading.inks


def _veil(
    board: Board | None, places: dict[Place, Estimate], stray: Sequence[Measured], basis: Basis
) -> Veil | None:
    """What a step for stray light tells of one dark box; None where there was none."""
    boxes = grouped(stray, lambda r: (_start(r), _box(r, board) or r.of or r.label))
    for (start, box), readings in boxes.items():
        plain = places.get((start, box, "dark"))
        if plain is not None:
            return veil_of(plain, readings, basis)
    if stray:
        basis.warn(
            "No dark box was read plainly that was read for stray light, so nothing follows of it."
        )
    return None


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


DRIFT = 0.02
"""A limit of our own: a change of full white within one run that is worth a warning."""
SEQUENTIAL_SOURCE = (
    "ICDM IDMS, an edition before v1.3, 15.5 (sequential contrast) and 5.6 (a black of 0 is "
    "undefined), both seen"
)


class Contrast(FindingKind):
    """Sequential contrast and checkerboard contrasts, per run.

    Reads the roles `white` and `black` on full screens, `lit` and `dark` on checkerboards.
    """

    name = "contrast"
    subject = "contrast of full white to full black, and of checkerboards"
    reads = (
        Reads(("white", "black"), "a `field`, or a `window` of 100 %", together=True),
        Reads(
            ("lit", "dark"),
            "a `checkerboard`; with `box 1`, `box 2` ... in what is read (from left to right, then "
            "down) the boxes around the centre are worked out too",
            together=True,
            beside=STEPS,
        ),
    )
    limits = (
        Limit(
            ("sequential-contrast",),
            "at least",
            1000.0,
            ":1",
            OWN,
            "Black is deep against full white",
            "Black is raised against full white",
            "Whether black is deep against full white cannot be told",
            settle="A meter that reads lower, or closer to the screen, would tell",
        ),
        Limit(
            ("checkerboard-contrast",),
            "at least",
            100.0,
            ":1",
            OWN,
            "Black stays dark beside white",
            "Black is grey beside white",
            "Whether black stays dark beside white cannot be told",
            settle="The steps for stray light, with a mask before the dark place, would tell",
        ),
    )
    pictures = (Drawn("contrasts"),)
    changing = frozenset(STEPS)
    main = ("full-white-luminance", "full-black-luminance")

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        findings = []
        for mine in by_run(readings).values():
            sequential = _sequential(mine)
            if sequential is not None:
                findings.append(sequential)
            findings += checkerboards(mine)
        return findings


def _sequential(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    full = with_light([reading for reading in mine if _fills_the_screen(reading)], basis)
    whites = [reading for reading in full if reading.role == "white"]
    blacks = [reading for reading in full if reading.role == "black"]
    # a black beside other readings is theirs: it was not read for a contrast
    if not whites and (not blacks or any(reading.role != "black" for reading in mine)):
        return None
    whites = _one_level(whites, basis, "full white", highest=True)
    blacks = _one_level(blacks, basis, "full black", highest=False)
    values: list[Value] = []
    note = ""
    naming = Naming("sequential-contrast", "Sequential contrast", "full white", "full black", {})
    lit = [basis.estimate(whites)] if whites else []
    dark = [basis.estimate(blacks)] if blacks else []
    if lit and dark:
        values, note = contrast_values(basis, lit, dark, naming)
        values[0] = replace(values[0], titled=True)
    else:
        values.append(Value(naming.name, naming.label, None, ":1", titled=True))
        missing = naming.lit if blacks else naming.dark
        basis.warn(f"No {missing} was read, so the sequential contrast is undefined.")
    if lit:
        values.append(level_value("full-white-luminance", "Full white", lit))
    if dark:
        values.append(level_value("full-black-luminance", "Full black", dark))
    _look_for_drift(whites, basis)
    return basis.finding(
        "contrast",
        mine[0],
        title="Sequential contrast",
        values=values,
        method=f"Luminance of full white over luminance of full black, one after the other.{note}",
        source=SEQUENTIAL_SOURCE,
    )


def _fills_the_screen(reading: Measured) -> bool:
    return area_of(reading) == 100


def _one_level(
    readings: list[Measured], basis: Basis, what: str, *, highest: bool
) -> list[Measured]:
    """Those at the highest or lowest codes shown; a white of another level is no repeat."""
    levels = grouped(readings, lambda reading: sum(max(reading.inks.values(), default=(0, 0, 0))))
    if len(levels) < 2:
        return readings
    basis.warn(
        f"The {what} was read at {len(levels)} levels; only the "
        f"{'highest' if highest else 'lowest'} counts."
    )
    return levels[max(levels) if highest else min(levels)]


def _look_for_drift(whites: Sequence[Measured], basis: Basis) -> None:
    used = {reading.reading for reading in basis.used}
    timed = sorted(
        (reading for reading in whites if reading.reading in used),
        key=lambda reading: (reading.taken_at, reading.reading),
    )
    if len(timed) < 2 or light(timed[0]) <= 0:
        return
    change = light(timed[-1]) / light(timed[0]) - 1
    if abs(change) > DRIFT:
        minutes = (timed[-1].taken_at - timed[0].taken_at).total_seconds() / 60
        percent, _ = written(100 * abs(change), 1.0)
        basis.warn(
            f"Full white {'rose' if change > 0 else 'fell'} by {percent} % from the first to the "
            f"last reading, {minutes:.0f} min apart: the display may not have settled (our own "
            f"limit is {100 * DRIFT:.0f} %)."
        )
