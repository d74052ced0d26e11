"""The list of all steps with their state: where the operator looks, and where a click goes."""

from __future__ import annotations

from dataclasses import dataclass

from player.run import LiveRun

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
    """`now`, `read`, `skipped`, `to come`, `nothing to read`."""
    text: str
    """What was read, where something was."""
    chosen: bool


class StepList:
    """The list, while it is called; it moves in the list and never changes the run."""

    def __init__(self, run: LiveRun) -> None:
        self._run = run
        self.open = False
        self.chosen = 1
        """The step that Enter goes to."""
        self.first = 1
        """The step in the top row."""
        self._typed = ""

    @property
    def count(self) -> int:
        """How many steps there are."""
        return len(self._run.sequence.steps)

    def toggle(self) -> None:
        """Call the list, with the step on screen chosen, or put it away."""
        self.open = not self.open
        self._choose(self._run.number)
        self.first = self._held(self.chosen - ROWS // 2)

    def key(self, name: str) -> bool:
        """Move by a key; False for keys that do not move in the list."""
        if name in MOVES:
            self._choose(self.chosen + MOVES[name])
        elif name in ("HOME", "END"):
            self._choose(1 if name == "HOME" else self.count)
        else:
            return False
        return True

    def type(self, text: str) -> None:
        """Choose a step by its number."""
        if text.isascii() and text.isdigit():
            typed = (self._typed + text)[-len(str(self.count)) :]
            self._choose(int(typed))
            self._typed = typed

    def scroll(self, rows: int) -> None:
        """Move what is seen by rows, down where positive; the chosen step stays in sight."""
        self.first = self._held(self.first + rows)
        self._choose(min(max(self.chosen, self.first), self.first + ROWS - 1))

    def at(self, y: float) -> int | None:
        """The step whose row lies at this height of the board; None where there is none."""
        row = int((y - TOP) // ROW)
        number = self.first + row
        return number if 0 <= row < ROWS and number <= self.count else None

    def lines(self) -> tuple[StepLine, ...]:
        """The rows that are seen now; empty where the list is not called."""
        if not self.open:
            return ()
        texts = {kept.number: kept.text.strip() for kept in self._run.kept}
        last = min(self.first + ROWS - 1, self.count)
        return tuple(
            StepLine(
                step.number,
                step.label,
                self._state(step.number, asks=step.read is not None),
                texts.get(step.number, ""),
                step.number == self.chosen,
            )
            for step in self._run.sequence.steps[self.first - 1 : last]
        )

    def _state(self, number: int, *, asks: bool) -> str:
        run = self._run
        if number == run.number:
            return "now"
        if run.has_reading(number):
            return "read"
        if number in run.skipped:
            return "skipped"
        return "to come" if asks else "nothing to read"

    def _choose(self, number: int) -> None:
        self._typed = ""
        self.chosen = min(max(number, 1), self.count)
        if self.chosen < self.first:
            self.first = self.chosen
        elif self.chosen >= self.first + ROWS:
            self.first = self.chosen - ROWS + 1

    def _held(self, first: int) -> int:
        return min(max(first, 1), max(self.count - ROWS + 1, 1))
