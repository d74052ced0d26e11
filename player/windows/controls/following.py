"""The meter while a display is adjusted: it reads on and on, and by itself what is asked for."""

from __future__ import annotations

from collections.abc import Callable

from player.meters.base import Meter, MeterError, MeterReading
from player.meters.repeating import one_by_one
from player.run.agreeing import agreed
from player.run.entry import EntryError
from player.run.live import LiveRun
from player.run.unattended import TRIES, value_of
from player.run.watching import Light, Steadying
from player.windows.controls.measuring import Measuring
from player.windows.controls.notices import Notices
from player.windows.controls.reading_thread import ReadingThread
from readings.evidence.repeatability import Repeatability
from readings.visit.records import Value
from readings.visit.visit import VisitError

APART = 0.3
"""Seconds between the beginnings of two readings, of a meter that is quicker."""
AFTER_FAILURE = 2.0
READS_NO_MORE = "The meter reads no more by itself: Enter lets it read."
LIVE = ("turn", "back", "hold")
"""States in which the light is followed and nothing is kept."""


class Following:
    """Reads the meter of a run while a display is adjusted.

    While something is turned, what it reads moves the bars and is not kept. What is asked for it
    reads by itself once it was read by a key the first time; after a turn, or where pictures are
    given little time to settle, only when two readings agree. Only `beat`, called by the windows,
    touches the run.

    Args:
        run: what is on screen; takes what was asked for.
        measuring: its meter; None where readings are typed.
        notices: tell what goes wrong.
        clock: seconds that never go back.
    """

    def __init__(
        self,
        run: LiveRun,
        measuring: Measuring | None,
        notices: Notices,
        clock: Callable[[], float],
    ) -> None:
        self._run = run
        self._measuring = measuring
        self._notices = notices
        self._clock = clock
        self._thread: ReadingThread | None = None
        self._keeps = False
        """Whether what is being read is to be kept."""
        self._of: object = None
        """What is being followed: a picture on a display as it is turned now."""
        self._steadying: Steadying | None = None
        self._last: list[Light] = []
        self._expected = False
        """Whether the last of them is what a turn was expected to do."""
        self._began = self._next = 0.0
        self._failures = 0
        self.by_itself = False
        """Whether it reads what is asked for without a key."""

    @property
    def here(self) -> bool:
        """Whether it reads what is on screen."""
        return self._measuring is not None and self._run.adjustment.here

    @property
    def reads(self) -> bool:
        """Whether it is about to read what is asked for."""
        return self.here and self.by_itself and self._run.adjustment.reads

    def ask(self) -> None:
        """Read what is asked for, from now on without a key."""
        self.by_itself, self._failures = True, 0

    def stop(self) -> bool:
        """Read nothing more without a key; whether it did."""
        before, self.by_itself = self.by_itself, False
        self._forget()
        return before

    def beat(self) -> None:
        """Take up what the meter said, and let it read on.

        Raises:
            VisitError, EntryError: what was read could not be kept.
        """
        measuring, run = self._measuring, self._run
        state = run.adjustment.state
        wanted = state in LIVE or (state == "look" and self.by_itself)
        away = run.screen.blacked_out or bool(run.screen.halted) or run.screen.due
        if measuring is None or not wanted or away or measuring.busy:
            self._forget()
            return
        of = (run.adjustment.told, run.screen.pattern, state == "look")
        if of != self._of:
            self._begin(of, measuring.meter)
        if self._thread is not None and self._thread.busy:
            self._take_up(measuring)
        elif not self._settling(state) and self._clock() >= self._next:
            self._read(measuring)

    def _settling(self, state: str) -> bool:
        screen, agenda = self._run.screen, self._run.agenda
        covered = state == "look" and self._measuring is not None and self._measuring.covered
        return covered or max(screen.settle_left, screen.change_left, agenda.warm_up_left) > 0

    def _begin(self, of: object, meter: Meter) -> None:
        """Another picture, or a display that was turned: what was read is of another light."""
        self._forget()
        self._of, self._last, self._expected = of, [], False
        self._steadying = Steadying(Repeatability.promised(meter.specification))

    def _forget(self) -> None:
        if self._thread is not None:
            self._thread.forget()
        self._thread, self._of = None, None

    def _read(self, measuring: Measuring) -> None:
        run = self._run
        settled = not run.adjustment.settles or self._agree(measuring.meter)
        self._keeps = run.adjustment.reads and settled
        meter = measuring.meter if self._keeps else one_by_one(measuring.meter)
        try:
            if run.step is not None:
                measuring.pointing.point(run.step)
        except MeterError as error:
            self._fail(str(error))
            return
        self._began = self._clock()
        self._next = self._began + APART
        self._thread = ReadingThread(meter)
        self._thread.start()

    def _take_up(self, measuring: Measuring) -> None:
        assert self._thread is not None  # noqa: S101 - it is busy
        answer, step = self._thread.answer(), self._run.step
        if answer is None or step is None:
            return
        if isinstance(answer, MeterError):
            self._fail(str(answer))
            return
        try:
            value = value_of(answer, step)
        except MeterError as error:
            self._fail(str(error))
            return
        self._failures = 0
        self._see(answer, value, measuring.instrument)
        alone = one_by_one(measuring.meter) is measuring.meter
        if self._keeps or (self._run.adjustment.reads and alone and self._agree(measuring.meter)):
            self._keep(measuring, value)

    def _keep(self, measuring: Measuring, value: Value) -> None:
        self._forget()
        try:
            measuring.keep(value)
        except (VisitError, EntryError):
            self.by_itself = False  # told once, and tried again at a key
            raise
        if self._run.keeping.stuck:
            self.by_itself = False

    def _see(self, answer: MeterReading, value: Value, instrument: int) -> None:
        """What was read moves the bars: as a mean, which begins anew where the light changed."""
        light = Light(value.luminance or 0.0, value.x, value.y)
        self._last = [*self._last, light]
        self._expected = self._run.adjustment.expects(value, instrument)
        if self._steadying is None or not self._steadying.add(light, self._began, self._clock()):
            return
        steady = self._steadying.steady
        if steady is not None:
            mean = steady.light
            seen = Value(
                quantity=value.quantity,
                raw=answer.raw,
                luminance=mean.luminance,
                x=mean.x,
                y=mean.y,
            )
            self._run.adjustment.see(seen, instrument, steady.mean_of)

    def _agree(self, meter: Meter) -> bool:
        """Whether the last readings are of light that has settled."""
        return self._expected or agreed(self._last, Repeatability.promised(meter.specification))

    def _fail(self, why: str) -> None:
        """A failure is told, and the meter tries again; after a few in a row at a key alone."""
        self._failures += 1
        self._thread, self._next = None, self._clock() + AFTER_FAILURE
        if self._failures >= TRIES and self._run.adjustment.reads:
            self.by_itself = False
        self._notices.warn(why)
