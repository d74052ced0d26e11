"""All readings of a visit as one table, and that table as a CSV or an XLSX file.

The CSV file is UTF-8 without a byte-order mark, with a comma between cells and a point in numbers.
Its cells hold the texts of the visit exactly as they were kept, for programs to read: a spreadsheet
may take a text that begins with = + - or @ for a formula, so import such columns as text, or take
the XLSX file, where every text is written as one.
"""

from __future__ import annotations

import csv
import json
import os
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from patterns.atomic import atomic_path
from patterns.errors import BAD_INPUT, NOT_FINISHED, LitfieldError
from readings.evidence.correction.applied import Corrected, Corrections
from readings.visit.errors import from_system
from readings.visit.records import Note, Reading, Run, Showing, Step
from readings.visit.soundness import Soundness
from readings.visit.unread import unread_steps
from readings.visit.visit import Visit
from readings.visit.workbook import Cell, Sheet, workbook

COLUMNS = (
    "run",
    "sequence",
    "condition",
    "counted",
    "step",
    "label",
    "role",
    "kind",
    "quantity",
    "read_of",
    "variables",
    "parameters",
    "settle_s",
    "shown_at",
    "codes",
    "frame_sha256",
    "guard",
    "guard_why",
    "reading",
    "instrument",
    "instrument_named_at",
    "luminance_cd_m2",
    "x",
    "y",
    "tristimulus_X",
    "tristimulus_Y_cd_m2",
    "tristimulus_Z",
    "corrected_luminance_cd_m2",
    "corrected_x",
    "corrected_y",
    "correction",
    "uncorrected",
    "count",
    "milliseconds",
    "text",
    "raw",
    "taken_at",
    "replaces",
    "replaced_by",
    "replaced",
    "notes",
    "run_notes",
    "unread",
    "left_out",
)


class TableError(LitfieldError, ValueError):
    """A table could not be written; ``str()`` is one clear sentence."""

    exit_code = BAD_INPUT


def rows(visit: Visit) -> list[dict[str, Cell]]:
    """One row for each reading, replaced ones too, by run and step; None is an empty cell.

    `variables`, `parameters` and `codes` are JSON; `replaced` is 1 or 0, and so is `counted`: 0 of
    a run that is set aside, whose readings are in no finding. `condition` is the one that was
    stated last. `notes` are those about the reading's showing, and those about its step that name
    no showing; `run_notes` are those about its run as a whole. Notes that name no run are about no
    reading, and are not here.
    `luminance_cd_m2`, `x` and `y` are always as read; those after the meter's correction stand
    beside them, with the correction's number, or why there is none (`uncorrected`).

    After them comes one for each step that asks for a reading and has none, with the reason in
    `unread` and no number of a reading; not of a run whose readings are damaged, or that is set
    aside.

    Of a damaged visit, rows at the end tell what is left out, and why (`left_out`): one for each
    reading, with its number and run alone, and one for all else that is damaged.
    """
    # The readings come first: whatever they refer to was kept before them.
    readings = visit.readings(replaced=True)
    read: dict[int, set[int]] = defaultdict(set)
    for reading in readings:
        read[reading.run].add(reading.step)
    runs = {run.id: run for run in visit.runs()}
    steps = {(step.run, step.number): step for run in runs for step in visit.steps(run)}
    showings = {showing.id: showing for showing in visit.showings()}
    instruments = visit.instruments()
    names = {instrument.id: instrument.name for instrument in instruments}
    corrections = Corrections(visit.corrections(), instruments)
    notes = _Notes(visit.notes())
    return [
        _of_run(runs[reading.run])
        | _of_step(steps[reading.run, reading.step])
        | _of_showing(showings[reading.showing])
        | _of_value(reading)
        | _of_correction(corrections.of(reading))
        | {
            "instrument": None if reading.instrument is None else names[reading.instrument],
            "instrument_named_at": None
            if reading.named_at is None
            else reading.named_at.isoformat(),
            "notes": notes.about(reading),
            "run_notes": notes.about_run(reading.run),
            "unread": None,
            "left_out": None,
        }
        for reading in readings
    ] + [*_unread(visit, list(runs.values()), read), *_left_out(visit.soundness)]


def _unread(visit: Visit, runs: list[Run], read: dict[int, set[int]]) -> Iterator[dict[str, Cell]]:
    """A row for each step that asks for a reading and has none, of the runs that count."""
    empty: dict[str, Cell] = dict.fromkeys(COLUMNS)
    damaged = {left.run for left in visit.soundness.left_out if left.kept_in == "readings"}
    for run in runs:
        if run.id in damaged or not run.counted:
            continue
        skipped = {skip.step: skip.why for skip in visit.skips(run.id)}
        shown = {showing.step for showing in visit.showings(run.id)}
        for found in unread_steps(visit.steps(run.id), read[run.id], skipped, shown):
            asked: dict[str, Cell] = {"quantity": found.step.quantity, "unread": found.why}
            yield empty | _of_run(run) | _of_step(found.step) | asked


def _left_out(soundness: Soundness) -> list[dict[str, Cell]]:
    empty: dict[str, Cell] = dict.fromkeys(COLUMNS)
    readings = [
        empty | {"run": left.run, "reading": left.number, "left_out": left.sentence()}
        for left in soundness.left_out
        if left.kept_in == "readings"
    ]
    others = soundness.sentences(without="readings")
    return readings + [empty | {"left_out": sentence} for sentence in others]


class _Notes:
    def __init__(self, notes: list[Note]) -> None:
        self._texts: dict[tuple[int | None, int | None, int | None], list[str]] = defaultdict(list)
        for note in notes:
            self._texts[note.run, note.step, note.showing].append(note.text)

    def about(self, reading: Reading) -> str | None:
        texts = [
            *self._texts.get((reading.run, reading.step, None), ()),
            *self._texts.get((reading.run, reading.step, reading.showing), ()),
        ]
        return "\n".join(texts) or None

    def about_run(self, run: int) -> str | None:
        return "\n".join(self._texts.get((run, None, None), ())) or None


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _of_run(run: Run) -> dict[str, Cell]:
    return {
        "run": run.id,
        "sequence": run.sequence_title,
        "condition": run.condition,
        "counted": int(run.counted),
    }


def _of_step(step: Step) -> dict[str, Cell]:
    return {
        "step": step.number,
        "label": step.label,
        "role": step.role,
        "kind": step.kind,
        "read_of": step.read_of,
        "variables": _json(step.variables),
        "parameters": _json(step.parameters),
        "settle_s": step.settle_s,
    }


def _of_showing(showing: Showing) -> dict[str, Cell]:
    return {
        "shown_at": showing.shown_at.isoformat(),
        "codes": _json(showing.inks),
        "frame_sha256": showing.frame_sha256,
        "guard": showing.guard,
        "guard_why": showing.guard_why,
    }


def _of_value(reading: Reading) -> dict[str, Cell]:
    big_x, big_y, big_z = reading.tristimulus or (None, None, None)
    timed = reading.quantity == "milliseconds"
    counted = None if reading.number is None or timed else int(reading.number)
    return {
        "quantity": reading.quantity,
        "reading": reading.id,
        "luminance_cd_m2": reading.luminance,
        "x": reading.x,
        "y": reading.y,
        "tristimulus_X": big_x,
        "tristimulus_Y_cd_m2": big_y,
        "tristimulus_Z": big_z,
        "count": counted,
        "milliseconds": reading.number if timed else None,
        "text": reading.text if reading.derivation is None else str(reading.derivation),
        "raw": reading.raw,
        "taken_at": reading.taken_at.isoformat(),
        "replaces": reading.replaces,
        "replaced_by": reading.replaced_by,
        "replaced": int(reading.replaced_by is not None),
    }


def _of_correction(outcome: Corrected | str) -> dict[str, Cell]:
    if isinstance(outcome, str):
        nothing = ("corrected_luminance_cd_m2", "corrected_x", "corrected_y", "correction")
        return dict.fromkeys(nothing) | {"uncorrected": outcome or None}
    return {
        "corrected_luminance_cd_m2": outcome.light.luminance,
        "corrected_x": outcome.light.x,
        "corrected_y": outcome.light.y,
        "correction": outcome.as_read.correction,
        "uncorrected": None,
    }


def write_csv(visit: Visit, path: str | os.PathLike[str]) -> None:
    """Write the table to `path`, whole or not at all; what lay there is replaced."""
    path = Path(path)
    table = rows(visit)
    with (
        _replacing(visit, path) as temporary,
        temporary.open("x", encoding="utf-8", newline="") as file,
    ):
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        writer.writerows(table)


def write_xlsx(visit: Visit, path: str | os.PathLike[str]) -> None:
    """The same as a workbook of one sheet; texts stay texts, whatever they begin with."""
    path = Path(path)
    content = workbook([sheet(visit, "readings")])
    with _replacing(visit, path) as temporary:
        temporary.write_bytes(content)


def sheet(visit: Visit, name: str) -> Sheet:
    """The table as a sheet of a workbook."""
    return Sheet(name, COLUMNS, rows(visit))


@contextmanager
def _replacing(visit: Visit, path: Path) -> Iterator[Path]:
    """A temporary path that becomes `path`; every failure is a TableError."""
    if path.is_dir():
        raise TableError(f"{path} is a folder; name the file to write")
    if path.exists() and path.samefile(visit.path):
        raise TableError(f"{path} is the visit itself; write the table to another name")
    try:
        with atomic_path(path, follow=True) as temporary:
            yield temporary
    except OSError as error:
        refused = TableError(str(from_system(error, path)))
        if not isinstance(error, (FileNotFoundError, NotADirectoryError)):
            refused.exit_code = (
                NOT_FINISHED  # it was asked for rightly; the disk has no room for it
            )
        raise refused from error


WRITERS: dict[str, Callable[[Visit, Path], None]] = {
    ".csv": write_csv,
    ".xlsx": write_xlsx,
}


def write_table(visit: Visit, path: str | os.PathLike[str]) -> None:
    """Write the table in the format that the suffix of `path` names."""
    path = Path(path)
    writer = WRITERS.get(path.suffix.lower())
    if writer is None:
        known = " or ".join(sorted(WRITERS))
        raise TableError(f"{path} should end in {known}, by which its format is chosen")
    writer(visit, path)
