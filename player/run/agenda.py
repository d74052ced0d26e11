"""The time of a run: settling, warming up, what is left, and an order for when it runs short."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from patterns.words import duration
from player.outputs.base import Output
from player.run.keeping import RunReadings
from player.run.time_left import ends, important_first, numbers_said, takes
from readings.visit.visit import Visit
from sequences.model import Sequence, Step

LONGEST = 24 * 60.0
"""Minutes that may be given."""


class RunTime(RunReadings):
    """A run's readings with its clock."""

    def __init__(
        self, sequence: Sequence, visit: Visit, output: Output, clock: Callable[[], float]
    ) -> None:
        super().__init__(sequence, visit, output, clock)
        self.waiting = False
        """Whether a picture that has to settle is not known to be up yet."""
        self._takes = [takes(step, output.canvas) for step in sequence.steps]
        self.order = tuple(step.number for step in sequence.steps)
        """The steps' numbers in the order in which they are played."""
        self.given: float | None = None
        """Minutes that there were when the operator said so; None plays in the file's order."""
        self._until = 0.0
        self._shown: set[int] = set()
        self._began_at = clock()
        self._on_before = max((datetime.now(UTC) - visit.about().created_at).total_seconds(), 0.0)
        self._cut_to = 0.0
        """The longest warm-up, s, that was cut short: no step waits for it any more."""
        self._cold_asked = 0

    def recall(self, run: int) -> None:
        """Take up what an earlier part of the run has read, passed over and shown."""
        super().recall(run)
        self._shown = {showing.step for showing in self.visit.showings(run)}

    # ---- settling and warming up

    @property
    def settle_left(self) -> float:
        """Seconds until the step has settled; 0 when it has."""
        if self.step is None:
            return 0.0
        if self.waiting:
            return float(self.step.settle)
        return max(0.0, float(self.step.settle) - (self._clock() - self._shown_at))

    @property
    def on_for(self) -> float:
        """Seconds that the display has been on, as far as is known: since the visit began."""
        return self._on_before + self._clock() - self._began_at

    @property
    def warm_up_left(self) -> float:
        """Seconds until the display has been on as long as the step asks; 0 when it has."""
        if self.step is None or self.step.warm_up <= self._cut_to:
            return 0.0
        return max(0.0, float(self.step.warm_up) - self.on_for)

    def warm_enough(self) -> bool:
        """Whether the step may be read. Asked twice at a step, the warm-up is cut short."""
        if not self.warm_up_left or self.step is None:
            return True
        if self._cold_asked != self.step.number:
            self._cold_asked = self.step.number
            self.message = (
                f"On for {duration(self.on_for)} of the {duration(float(self.step.warm_up))} that "
                "this step asks for. Enter once more cuts that short."
            )
            return False
        self.cut_warm_up()
        return True

    def cut_warm_up(self) -> None:
        """Wait no longer for this warm-up, in this run; the visit keeps that."""
        if self.step is None or not self.warm_up_left:
            return
        wanted = float(self.step.warm_up)
        showing = self.kept_showing().id
        self.visit.keep_note(
            f"Warm-up cut short: {duration(self.on_for)} of {duration(wanted)} since the visit "
            "began.",
            run=self.record,
            showing=showing,
        )
        self._cut_to = wanted

    # ---- the order

    def note_minutes(self, minutes: float | None, *, stay: bool = True) -> None:
        """The same on the way: the visit keeps from where on the order was another one."""
        said = "The steps are played in the order of the file from here on."
        if minutes is not None:
            said = f"There are {minutes:g} min from here on: what is important comes first."
        showing = self.kept_showing().id if self.step else None
        self.visit.keep_note(said, run=self.record, showing=showing)
        self.give_minutes(minutes, stay=stay)

    def give_minutes(self, minutes: float | None, *, stay: bool = True) -> None:
        """Say how much time there is for what is left: what is important is then played first.

        None goes back to the order of the file. Steps that are done stay where they were; the one
        on screen comes next to them where it is to stay, and otherwise in its turn.
        """
        self.given = minutes
        steps = self.sequence.steps
        if minutes is None:
            self.order = tuple(step.number for step in steps)
            self.message = "The steps are played in the order of the file."
            return
        self._until = self._clock() + 60 * minutes
        self.order = important_first(
            [steps[number - 1] for number in self.order],
            self._is_open,
            self.number if stay else 0,
        )
        self.message = self.what_fits

    @property
    def what_fits(self) -> str:
        """What there is time for, in a sentence or two."""
        there = f"{self.given:g} min: what is important comes first."
        over = self.too_many
        if not over:
            return f"{there} Everything fits."
        return f"{there} No time for {numbers_said(over)}."

    @property
    def time_there(self) -> float | None:
        """Seconds that there still are, below zero once they are over; None where nobody said."""
        return None if self.given is None else self._until - self._clock()

    @property
    def too_many(self) -> tuple[int, ...]:
        """The steps that will not fit into the time that there is, in the order of the file."""
        there = self.time_there
        if there is None:
            return ()
        return tuple(
            sorted(step.number for step, end in zip(*self._planned(), strict=True) if end > there)
        )

    def next_open(self) -> int | None:
        """The first step in order that is neither read nor skipped; None when none is left."""
        if self.given is None:
            return self.visit.next_step(self.record)
        return next((n for n in self.order if self._is_open(self.sequence.steps[n - 1])), None)

    def step_after(self, number: int) -> int | None:
        """The number of the step that is played after another one; None after the last."""
        place = self._place(number) + 1
        return self.order[place] if place < len(self.order) else None

    def step_before(self, number: int) -> int | None:
        """The number of the step that is played before another one; None before the first."""
        place = self._place(number) - 1
        return self.order[place] if place >= 0 else None

    @property
    def played(self) -> int:
        """How many steps come before this one; all of them at the end."""
        return max(self._place(self.number), 0)

    def _place(self, number: int) -> int:
        """Where in the order a step stands; before the first or after the last for no step."""
        if 1 <= number <= len(self.order):
            return self.order.index(number)
        return -1 if number < 1 else len(self.order)

    def _is_open(self, step: Step) -> bool:
        if step.number in self._current or step.number in self.skipped:
            return False
        return step.read is not None or step.number not in self._shown

    # ---- what is left

    @property
    def seconds_left(self) -> float:
        """An estimate of the time for this step and those that are still to be played."""
        _, times = self._planned()
        return times[-1] if times else 0.0

    def _left(self) -> list[Step]:
        """This step, and those that are still to be played, in their order."""
        steps = self.sequence.steps
        others = (steps[number - 1] for number in self.order if number != self.number)
        later = [step for step in others if self._is_open(step)]
        return later if self.step is None else [self.step, *later]

    def _planned(self) -> tuple[list[Step], list[float]]:
        """What is left, and in how many seconds each of it will be done."""
        left = self._left()
        passed = 0.0
        if self.step is not None and not self.waiting:
            passed = self._clock() - self._step_since
        each = (self._takes[step.number - 1] for step in left)
        pace, cut = self.pace.seconds, self._cut_to
        return left, ends(each, pace, self.on_for, passed=passed, enough=cut)
