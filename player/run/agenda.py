"""The time of a run: warming up, what is left, and an order for when it runs short."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from patterns.words import duration
from player.run.keeping import Keeping
from player.run.references import references_of
from player.run.screen import Screen
from player.run.time_left import Pace, important_first, numbers_said
from readings.visit.visit import Visit
from sequences.duration import ends, takes
from sequences.model import Sequence, Step

LONGEST_RUN_MINUTES = 24 * 60.0
"""Minutes that may be given."""


class Agenda:
    """Which step comes next, and how long everything takes.

    Args:
        sequence: what is played.
        visit: keeps what was said of the time.
        run: the run's id in the visit.
        screen: the run's picture.
        keeping: the run's readings.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        sequence: Sequence,
        visit: Visit,
        run: int,
        screen: Screen,
        keeping: Keeping,
        clock: Callable[[], float],
    ) -> None:
        self._steps = sequence.steps
        self._visit = visit
        self._run = run
        self._screen = screen
        self._keeping = keeping
        self._clock = clock
        self.pace = Pace()
        self._takes = [takes(step, screen.canvas) for step in sequence.steps]
        self.order = tuple(step.number for step in sequence.steps)
        """The steps' numbers in the order in which they are played."""
        self.given: float | None = None
        """Minutes that there were when the operator said so; None plays in the file's order."""
        self._until = 0.0
        self._began_at = clock()
        self._on_before = max((datetime.now(UTC) - visit.about().created_at).total_seconds(), 0.0)
        self._cut_to = 0.0
        """The longest warm-up, s, that was cut short: no step waits for it any more."""
        self._cold_asked = 0

    # ---- warming up

    @property
    def on_for(self) -> float:
        """Seconds that the display has been on, as far as is known: since the visit began."""
        return self._on_before + self._clock() - self._began_at

    @property
    def warm_up_left(self) -> float:
        """Seconds until the display has been on as long as the step asks; 0 when it has."""
        step = self._screen.step
        if step is None or step.warm_up <= self._cut_to:
            return 0.0
        return max(0.0, float(step.warm_up) - self.on_for)

    def begin_step(self) -> None:
        """A step came up: nobody was told yet that it is too cold for it."""
        self._cold_asked = 0

    def too_cold(self) -> str:
        """Why the step may not be read yet; empty where it may.

        Asked twice at a step, the warm-up is cut short.
        """
        step = self._screen.step
        if not self.warm_up_left or step is None:
            return ""
        if self._cold_asked != step.number:
            self._cold_asked = step.number
            return (
                f"On for {duration(self.on_for)} of the {duration(float(step.warm_up))} that this "
                "step asks for. Enter once more cuts that short."
            )
        self.cut_warm_up()
        return ""

    def cut_warm_up(self) -> None:
        """Wait no longer for this warm-up, in this run; the visit keeps that."""
        step = self._screen.step
        if step is None or not self.warm_up_left:
            return
        wanted = float(step.warm_up)
        showing = self._screen.kept_showing().id
        self._visit.keep_note(
            f"Warm-up cut short: {duration(self.on_for)} of {duration(wanted)} since the visit "
            "began.",
            run=self._run,
            showing=showing,
        )
        self._cut_to = wanted

    # ---- the order

    def note_minutes(self, minutes: float | None, *, stay: bool = True) -> str:
        """As `give_minutes`; the visit keeps that, and from where on the order was another one."""
        self._visit.give_minutes(self._run, minutes)
        note = "The steps are played in the order of the file from here on."
        if minutes is not None:
            note = f"There are {minutes:g} min from here on: what is important comes first."
        showing = self._screen.kept_showing().id if self._screen.step else None
        self._visit.keep_note(note, run=self._run, showing=showing)
        return self.give_minutes(minutes, stay=stay)

    def take_up_minutes(self, minutes: float, said_at: datetime) -> str:
        """As `give_minutes`, with what is left of minutes of before: the run goes on.

        What was played since they were said is taken off; nothing is, of the time in between.

        Args:
            minutes: how many there were.
            said_at: when that was said.
        """
        left = round(max(minutes - self._played_since(said_at).total_seconds() / 60, 0.0), 1)
        said = self.give_minutes(left)
        return said if left == minutes else f"Of {minutes:g} min there are still {said}"

    def _played_since(self, at: datetime) -> timedelta:
        """For how long the run was played, until it was taken up now."""
        visit, run = self._visit, self._run
        kept = [each.shown_at for each in visit.showings(run)]
        kept += [each.taken_at for each in visit.readings(run, replaced=True)]
        kept += [each.at for each in visit.turns(run)]
        played, began = timedelta(), at
        for again in sorted(each for each in visit.resumed(run) if each >= at):
            played += max((each for each in kept if began <= each < again), default=began) - began
            began = again
        return played

    def give_minutes(self, minutes: float | None, *, stay: bool = True) -> str:
        """Say how much time there is for what is left: what is important is then played first.

        None goes back to the order of the file. Steps that are done stay where they were; the one
        on screen comes next to them where it is to stay, and otherwise in its turn.

        Returns:
            what comes of it, in a sentence or two.
        """
        self.given = minutes
        if minutes is None:
            self.order = tuple(step.number for step in self._steps)
            return "The steps are played in the order of the file."
        self._until = self._clock() + 60 * minutes
        self.order = important_first(
            [self._steps[number - 1] for number in self.order],
            self._keeping.is_open,
            self._screen.number if stay else 0,
            references_of(self._steps, self._screen.canvas, self._screen.signal),
        )
        return self.what_fits

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
            return self._visit.next_step(self._run)
        return next((n for n in self.order if self._keeping.is_open(self._steps[n - 1])), None)

    def step_after(self, number: int) -> int | None:
        """The number of the step that is played after another one; None after the last."""
        place = self._place(number) + 1
        return self.order[place] if place < len(self.order) else None

    def step_before(self, number: int) -> int | None:
        """The number of the step that is played before another one; None before the first."""
        place = self._place(number) - 1
        return self.order[place] if place >= 0 else None

    @property
    def from_here(self) -> list[Step]:
        """The step on screen and those that are played after it."""
        ahead = self.order[self._place(self._screen.number) :]
        return [self._steps[number - 1] for number in ahead]

    @property
    def played(self) -> int:
        """How many steps come before this one; all of them at the end."""
        return max(self._place(self._screen.number), 0)

    def _place(self, number: int) -> int:
        """Where in the order a step stands; before the first or after the last for no step."""
        if 1 <= number <= len(self.order):
            return self.order.index(number)
        return -1 if number < 1 else len(self.order)

    # ---- what is left

    @property
    def seconds_left(self) -> float:
        """An estimate of the time for this step and those that are still to be played."""
        _, times = self._planned()
        return times[-1] if times else 0.0

    def _left(self) -> list[Step]:
        """This step, and those that are still to be played, in their order."""
        others = (self._steps[number - 1] for number in self.order if number != self._screen.number)
        later = [step for step in others if self._keeping.is_open(step)]
        return later if self._screen.step is None else [self._screen.step, *later]

    def _planned(self) -> tuple[list[Step], list[float]]:
        """What is left, and in how many seconds each of it will be done."""
        left = self._left()
        each = (self._takes[step.number - 1] for step in left)
        pace, passed = self.pace.seconds, self._screen.step_for
        return left, ends(each, pace, self.on_for, passed=passed, enough=self._cut_to)
