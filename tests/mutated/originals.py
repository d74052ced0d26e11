"""Whole inputs of every kind, made by the program itself, always the same: what is then spoilt."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import sequences
from patterns.files.export import Watch, export
from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.signal.signal import named_signal
from player.commands.exporting import Pictures
from player.meters import open_meter
from player.simulated_play import play_simulated, simulated_display
from readings.evidence.correction.paired import keep, make, taken
from readings.evidence.measured import evidence
from readings.visit.visit import Visit
from tests.readings.early_visit import write_early

BEGAN = datetime(2026, 3, 14, 9, 26, 53, 589793, tzinfo=UTC)
SMALL = Canvas(640, 360)
LOBBY = """\
title: Lobby wall
signal: sdr8
cautions: [bright]
finds: [contrast]
settle: 2 s
steps:
  - {show: {field: {level: 100 %}}, read: luminance, role: white}
  - {show: {field: {level: 0 %}}, read: colour, role: black}
  - each: {level: [20 %, 60 %]}
    show: {window: {area: 10 %}}
    label: "Grey {level}"
    read: colour
    role: grey
  - {show: {checkerboard: {columns: 4, rows: 4}}, read: {luminance: box 2}, role: lit}
"""
"""What the simulated visits and displays are played with."""
COUNTED = """\
title: Zones of the lobby wall
signal: sdr8
finds: [zones]
steps:
  - show: {moving-box: {along: row, place: 50 %, speed: 2 s/screen, ends: stop}}
    read: {tally: hops}
  - {show: {comb: {zones: 32}}, read: {count: groups}}
  - each: {at: [10 %, 20 %, 30 %]}
    show: {single-box: {along: row}}
    read: luminance
    role: trace-columns
  - {show: {highlights: {around: 60 %, step: 2 %}}, read: {count: last patch}, role: highlights}
"""
PQ = """\
title: Windows of the lobby wall
signal: pq10
finds: [window-peak]
steps:
  - {show: {field: {level: 0 %}}, read: luminance, role: black}
  - each: {area: [2 %, 10 %, 50 %]}
    show: {window: {level: 1000 cd/m2}}
    read: luminance
    role: window
  - {show: {flash: {}}, read: milliseconds, role: delay}
"""
COLOURS = "meter-correction"


def make_originals(folder: Path) -> None:
    """Make them all in a folder, which then holds `sets` and `visits`; whole or not at all."""
    made = folder.with_name(folder.name + ".making")
    shutil.rmtree(made, ignore_errors=True)
    (made / "sets").mkdir(parents=True)
    (made / "visits").mkdir()
    _sets(made / "sets")
    for name, texts in {"contrast": [LOBBY], "zones": [COUNTED], "peak": [PQ, LOBBY]}.items():
        _visit(made / "visits" / f"{name}.visit", texts)
    _corrected(made / "visits" / "corrected.visit")
    for name in ("contrast", "corrected"):
        visit = made / "visits" / f"{name}.visit"
        _settle(write_early(visit, visit.with_name(f"early-{name}.visit")))
    visit = made / "visits" / "zones.visit"
    _settle(write_early(visit, visit.with_name("early-zones.visit"), version=2))
    made.rename(folder)


def digest(folder: Path) -> str:
    """One sum over all files, to see that they come out alike each time."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return hashlib.sha256(b"".join(path.read_bytes() for path in files)).hexdigest()


class _CutOffError(Exception):
    """An export ends in the middle."""


def _cut_off(number: int, _name: str) -> None:
    if number > 1:
        raise _CutOffError


def _sets(folder: Path) -> None:
    """Exports of small pictures: two that are whole, one that was cut off."""
    for name, text, formats, watch in (
        ("lobby", LOBBY, ("png", "tiff"), None),
        ("peak", PQ, ("png", "dpx"), None),
        ("half", PQ, ("png",), Watch(made=_cut_off)),
    ):
        sequence = sequences.load_text(text, f"{name}.yaml")
        pictures = Pictures(sequence, Canvas(64, 64))
        with suppress(_CutOffError):
            export(pictures, folder / name, formats, watch, title=sequence.title)


@contextmanager
def _new_visit(path: Path) -> Iterator[Visit]:
    about = {"display": "lobby wall", "settings": "cinema", "place": "lobby"}
    with Visit.create(path, at=BEGAN, **about) as visit, visit.at_times_of(lambda: BEGAN):
        yield visit


def _visit(path: Path, texts: list[str]) -> None:
    with _new_visit(path) as visit:
        for text in texts:
            sequence = sequences.load_text(text, "lobby.yaml")
            live = play_simulated(
                sequence, visit, simulated_display(), canvas=SMALL, condition="dimming on"
            )
        visit.keep_note("cleaned before", run=live.id, step=1)
        visit.skip_step(live.id, 2, why="too bright")
    _settle(path)


def _corrected(path: Path) -> None:
    """Colours read with two instruments, and the correction that came of them."""
    sequence = sequences.load(COLOURS)
    with _new_visit(path) as visit:
        for meter in ("simulated", "simulated:reference"):
            play_simulated(
                sequence,
                visit,
                simulated_display(),
                canvas=SMALL,
                condition=meter,
                meter=partial(open_meter, meter),
            )
        keep(visit, make(*taken(evidence(visit))))
    _settle(path)


def _settle(path: Path) -> None:
    """Lay the pages out anew, so that the same visit has the same bytes."""
    with closing(sqlite3.connect(path)) as visit:
        visit.execute("VACUUM")


def steps_of_every_kind() -> dict[str, dict[str, object]]:
    """Parameters of one picture of each kind, as a sequence writes them."""
    found: dict[str, dict[str, object]] = {}
    for name in sequences.shipped():
        for step in sequences.load(name).steps:
            found.setdefault(step.pattern.kind, step.pattern.parameters())
    for kind in KINDS.keys() - found.keys():
        found[kind] = KINDS[kind]().parameters()
    return {
        kind: {name: value for name, value in found[kind].items() if value is not None}
        for kind in KINDS
    }


def draws(kind: str, parameters: dict[str, object]) -> str:
    """A signal in which a picture can be drawn."""
    for name in ("sdr8", "pq10"):
        with suppress(ValueError):
            pattern = KINDS[kind].model_validate(parameters)
            pattern.frame(Canvas(640, 360), named_signal(name))
            return name
    raise AssertionError(f"{kind} can be drawn in no signal")
