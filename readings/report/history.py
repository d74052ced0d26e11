"""What was stated of a visit afterwards: what stood before, what counts since, and who said it.

Nothing kept is changed by it. What the next run takes, such as the screen, is none of it: it says
nothing of what was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from heapq import merge
from typing import Literal

from patterns.aim import NOT_STATED, Aim
from readings.visit.records import Note, Stating
from readings.visit.visit import Visit

What = Literal["display", "settings", "place", "condition", "counted", "instrument", "aim"]
_CORRECTED: dict[Stating, What] = {
    "display": "display",
    "settings": "settings",
    "place": "place",
    "condition": "condition",
    "counted": "counted",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One thing that was stated."""

    at: datetime
    by: str = ""
    """Who said it; empty where nobody is named."""
    what: What
    run: int | None = None
    """None where it is of the whole visit."""
    before: str | Aim
    """What stood before: a text; of `counted` yes or no; of `instrument` empty where none did."""
    now: str | Aim
    """What counts since, until the next of the same."""
    why: str = ""
    readings: tuple[int, ...] = ()
    """Of an instrument: the readings that were taken with it."""


def history_of(visit: Visit) -> list[Said]:
    """All that was stated of a visit afterwards, in its order.

    What is of one kind stands as it was said, also where the computer's clock was set back.
    """
    kinds = (_statements(visit), _namings(visit), _aims(visit))
    return list(merge(*kinds, key=lambda each: each.at))


def set_aside(history: Iterable[Said]) -> dict[int, Said]:
    """By run, who set it aside last, when and why."""
    said = {each.run: each for each in history if each.what == "counted"}
    return {run: each for run, each in said.items() if run is not None and each.now == "no"}


def _statements(visit: Visit) -> Iterator[Said]:
    about = visit.about(at_first=True)
    stood: dict[tuple[int | None, str], str] = {
        (None, "display"): about.display,
        (None, "settings"): about.settings,
        (None, "place"): about.place,
    }
    for run in visit.runs(at_first=True):
        stood |= {(run.id, "condition"): run.condition, (run.id, "counted"): "yes"}
    notes = visit.notes()
    for each in visit.statements():
        if each.what not in _CORRECTED:
            continue
        key = (each.run, each.what)
        yield Said(
            at=each.at,
            by=each.by,
            what=_CORRECTED[each.what],
            run=each.run,
            before=stood[key],
            now=each.value,
            why=_why(notes, each.run, each.at),
        )
        stood[key] = each.value


def _why(notes: Iterable[Note], run: int | None, at: datetime) -> str:
    """The note of the same run and the same time, to the microsecond."""
    mine = (note for note in notes if (note.run, note.step, note.at) == (run, None, at))
    return "\n".join(note.text for note in mine)


def _namings(visit: Visit) -> Iterator[Said]:
    """Those of one run, one instrument and one time together, apart by what stood before."""
    runs = {each.id: each.run for each in visit.readings(replaced=True)}
    names = {each.id: each.name for each in visit.instruments()}
    stood: dict[int, str] = {}
    together: dict[tuple[datetime, int, str, str], list[int]] = {}
    for each in visit.namings():
        key = (
            each.at,
            runs[each.reading],
            stood.get(each.reading, ""),
            names[each.instrument],
        )
        together.setdefault(key, []).append(each.reading)
        stood[each.reading] = names[each.instrument]
    for (at, run, before, now), readings in together.items():
        yield Said(
            at=at, what="instrument", run=run, before=before, now=now, readings=tuple(readings)
        )


def _aims(visit: Visit) -> Iterator[Said]:
    """Those of the visit, and of a run those after the one that its sequence began it with."""
    stood: dict[int | None, Aim] = {None: NOT_STATED}
    for each in visit.aims():
        if each.run in stood:
            yield Said(at=each.at, what="aim", run=each.run, before=stood[each.run], now=each.aim)
        stood[each.run] = each.aim
