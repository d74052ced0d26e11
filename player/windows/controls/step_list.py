"""The list of all steps with their state: where the operator looks, and where a click goes.

It has the steps in the order in which they are played.
"""

from __future__ import annotations

from dataclasses import dataclass

from player.run.live import LiveRun

ROWS = 13
"""Steps that are seen at once."""
TOP, ROW = 204, 44
"""Where the first row begins, and how far rows are apart, in units of the operator's board."""
MOVES = {"UP": -1, "DOWN": 1, "PAGEUP": -ROWS, "PAGEDOWN": ROWS}
"""What keys do in the list, besides Home and End."""


@dataclass(frozen=True)
class StepLine:
    """One row of the list."""

    number: int
    label: str
    state: str
    """`now`, `read`, `skipped`, `to come`, `no time`, `nothing to read`."""
    text: str
    """What was read, where something was."""
    chosen: bool


class StepList:
    """The list, while it is called; it moves in the list and never changes the run."""

    def __init__(self, run: LiveRun) -> None:
        self._run = run
        self._open = False
        self._chosen = self._first = 1
        self._typed = ""

    @property
    def open(self) -> bool:
        """Whether the list is called."""
        return self._open

    @property
    def chosen(self) -> int:
        """The step that Enter goes to."""
        return self._chosen

    @property
    def first(self) -> int:
        """The step in the top row."""
        return self._first

    @property
    def count(self) -> int:
        """How many steps there are."""
        return len(self._run.sequence.steps)

    def toggle(self) -> None:
        """Call the list, with the step on screen chosen, or put it away."""
        self._open = not self._open
        self._choose(self._row(self._run.number))
        self._first = self._held(self._row(self.chosen) - ROWS // 2)

    def put_away(self) -> bool:
        """Put the list away; whether it was called."""
        called, self._open = self._open, False
        return called

    def choose(self, number: int) -> None:
        """Choose a step that is seen."""
        self._chosen = number

    def key(self, name: str) -> bool:
        """Move by a key; False for keys that do not move in the list."""
        if name in MOVES:
            self._choose(self._row(self.chosen) + MOVES[name])
        elif name in ("HOME", "END"):
            self._choose(1 if name == "HOME" else self.count)
        else:
            return False
        return True

    def type(self, text: str) -> None:
        """Choose a step by its number."""
        if text.isascii() and text.isdigit():
            typed = (self._typed + text)[-len(str(self.count)) :]
            self._choose(self._row(int(typed)))
            self._typed = typed

    def scroll(self, rows: int) -> None:
        """Move what is seen by rows, down where positive; the chosen step stays in sight."""
        self._first = self._held(self.first + rows)
        row = self._row(self.chosen)
        self._choose(min(max(row, self.first), self.first + ROWS - 1))

    def at(self, y: float) -> int | None:
        """The step whose row lies at this height of the board; None where there is none."""
        row = int((y - TOP) // ROW)
        there = 0 <= row < ROWS and self.first + row <= self.count
        return self._run.agenda.order[self.first + row - 1] if there else None

    def lines(self) -> tuple[StepLine, ...]:
        """The rows that are seen now; empty where the list is not called."""
        if not self.open:
            return ()
        run = self._run
        texts = {kept.number: kept.text.strip() for kept in run.keeping.kept}
        too_many = set(run.agenda.too_many)
        return tuple(
            StepLine(
                number,
                run.sequence.steps[number - 1].label,
                self._state(number, too_many),
                texts.get(number, ""),
                number == self.chosen,
            )
            for number in run.agenda.order[self.first - 1 : self.first - 1 + ROWS]
        )

    def _state(self, number: int, too_many: set[int]) -> str:
        run = self._run
        if number == run.number:
            return "now"
        if run.keeping.current(number) is not None:
            return "read"
        if number in run.keeping.skipped:
            return "skipped"
        if number in too_many:
            return "no time"
        asks = run.sequence.steps[number - 1].read is not None
        return "to come" if asks else "nothing to read"

    def _row(self, number: int) -> int:
        """The row of a step, from 1; the nearest one where there is no such step."""
        number = min(max(number, 1), self.count)
        return self._run.agenda.order.index(number) + 1

    def _choose(self, row: int) -> None:
        self._typed = ""
        row = min(max(row, 1), self.count)
        self._chosen = self._run.agenda.order[row - 1]
        if row < self.first:
            self._first = row
        elif row >= self.first + ROWS:
            self._first = row - ROWS + 1

    def _held(self, first: int) -> int:
        return min(max(first, 1), max(self.count - ROWS + 1, 1))
