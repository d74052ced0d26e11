"""Whether a visit file is as it was written, and how people are told what is not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from readings.ranges import ranges

Why = Literal["changed", "missing", "unfit", "rests"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A row of a visit that is not given: it is damaged, or what it rests on is."""

    kept_in: str
    """The table, such as `readings`."""
    row: int
    """Its id; of a step its run."""
    step: int | None = None
    """Of a step its number; None of all else."""
    run: int | None = None
    """The run that it belongs to, as far as that can be read; None where it belongs to none."""
    why: Why
    """Its check sum does not match; it is not there; it cannot stand in a visit; or it is whole
    itself and rests on `on`."""
    on: LeftOut | None = None
    """What it rests on, where that is why: a reading rests on its showing and on its retake."""

    @property
    def number(self) -> int:
        """By which it is told from others of its kind: its id, or the number of a step."""
        return self.row if self.step is None else self.step

    @property
    def damage(self) -> LeftOut:
        """What is damaged: itself, or what it rests on in the end."""
        return self if self.on is None else self.on.damage

    def sentence(self) -> str:
        """Why it is left out."""
        if self.on is None:
            return _sentence([self], {})
        name = _name(self.kept_in, self.run, [self.number])
        damage = self.damage
        on = _name(damage.kept_in, damage.run, [damage.number])
        return f"{_capital(name)} is left out with {on}, which {_WHY[damage.why][0]}."


@dataclass(frozen=True, slots=True, kw_only=True)
class Soundness:
    """Whether a visit file is as it was written."""

    check_summed: bool = True
    """False of a visit that only an early version wrote: damage to it may not be seen."""
    damaged: bool = False
    head_changed: bool = False
    """Whether display, settings, place or time of the visit are damaged; they are given so."""
    left_out: tuple[LeftOut, ...] = ()
    """What is not given: all else matches its check sum."""

    def sentences(self, without: str | None = None) -> list[str]:
        """What is damaged and what is left out for it; nothing where the file is sound.

        Args:
            without: a table, such as `readings`, of whose own damage nothing is said.
        """
        if not self.damaged:
            return []
        if not self.head_changed and not self.left_out:
            return ["The file is damaged, but all that was kept in it matches its check sums."]
        found = []
        if self.head_changed:
            found.append(
                "The head of the visit does not match its check sum: its display, settings, place "
                "and time are given as they stand and may be wrong."
            )
        damaged: dict[tuple[str, int | None, Why], list[LeftOut]] = defaultdict(list)
        resting: dict[tuple[str, int | None, Why], dict[str, set[int]]] = {}
        for left in self.left_out:
            root = left.damage
            key = (root.kept_in, root.run, root.why)
            if left.on is None:
                damaged[key].append(left)
            else:
                resting.setdefault(key, {}).setdefault(left.kept_in, set()).add(left.number)
        return found + [
            _sentence(rows, resting.get(key, {}))
            for key, rows in damaged.items()
            if key[0] != without
        ]

    def unseen(self) -> str:
        """What is to be known of a visit whose damage could not be seen; empty of others."""
        if self.check_summed:
            return ""
        return (
            "This visit was written by an early version and has no check sums, so damage to what "
            "it says may not be seen."
        )


LISTED = 12
"""Stretches of rows of one kind that a sentence lists; of more, how many there are."""
_NAMES = {
    "visit": "head",
    "instruments": "instrument",
    "corrections": "correction",
    "runs": "run",
    "run_events": "event",
    "steps": "step",
    "skips": "skip",
    "showings": "showing",
    "readings": "reading",
    "notes": "note",
    "tallies": "press",
    "withdrawals": "withdrawal",
    "namings": "naming",
    "aims": "aim",
    "statements": "statement",
    "plans": "plan",
    "task_events": "task event",
    "controls": "control",
    "turns": "turn",
    "adjustments": "adjustment",
    "noticings": "noticing",
    "minutes": "time",
}
_WHY = {
    "changed": ("does not match its check sum", "do not match their check sums"),
    "missing": ("is missing", "are missing"),
    "unfit": ("holds what no visit takes", "hold what no visit takes"),
    "rests": ("is left out", "are left out"),
}


def _name(kept_in: str, run: int | None, numbers: Iterable[int]) -> str:
    numbers = list(numbers)
    kind = _NAMES[kept_in]
    plural = kind + ("es" if kind.endswith("s") else "s")
    name = f"{kind if len(numbers) == 1 else plural} {ranges(numbers, LISTED)}"
    return name if run is None or kept_in == "runs" else f"{name} of run {run}"


def _sentence(damaged: list[LeftOut], resting: dict[str, set[int]]) -> str:
    """Of some rows of one kind and run, damaged alike, with all that rests on them."""
    first, alone = damaged[0], len(damaged) == 1
    sentence = _capital(_name(first.kept_in, first.run, [each.number for each in damaged]))
    sentence += f" {_WHY[first.why][not alone]}"
    if first.why != "missing":
        sentence += f" and {'is' if alone else 'are'} left out"
    if resting:
        rest = ", ".join(_name(kept_in, None, rows) for kept_in, rows in resting.items())
        sentence += f"; left out with {'it' if alone else 'them'}: {rest}"
    return f"{sentence}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
