"""The meter of a run: it waits until a step may be read, then reads it; and what keys do to it."""

from __future__ import annotations

from collections.abc import Callable

from player.meters.base import Meter, MeterError, progress
from player.meters.dark import DarkCorrectedMeter
from player.run.keeping import short_text
from player.run.live import LiveRun
from player.run.pointing import Pointing
from player.run.unattended import by_meter, value_of
from player.windows.controls.entry_line import EntryLine
from player.windows.controls.not_kept import Refused
from player.windows.controls.notices import DARK, Notices
from player.windows.controls.reading_thread import ReadingThread
from readings.visit.records import Value


class Measuring:
    """One measurement at a time: waits until the step has settled, then reads the meter.

    Only `beat`, called by the windows, touches the run and the visit.

    Args:
        run: takes what was measured.
        meter: what is read.
        instrument: its number in the visit.
        covered: whether something lies over the picture that will go.
    """

    def __init__(
        self,
        run: LiveRun,
        meter: Meter,
        instrument: int,
        covered: Callable[[], bool] = lambda: False,
    ) -> None:
        self._run = run
        self._meter = meter
        self._instrument = instrument
        self._waiting = False
        self._thread = ReadingThread(meter)
        self._covered = covered
        self.pointing = Pointing(meter, run.screen.canvas)
        """Where the meter points: at what was last measured."""
        self._unkept: Value | None = None
        self._failed = ""

    @property
    def meter(self) -> Meter:
        """What is read."""
        return self._meter

    @property
    def instrument(self) -> int:
        """Its number in the visit."""
        return self._instrument

    @property
    def covered(self) -> bool:
        """Whether something lies over the picture that will go."""
        return self._covered()

    @property
    def dark(self) -> DarkCorrectedMeter | None:
        """The meter, where its dark offset is subtracted; None where it is not."""
        return self._meter if isinstance(self._meter, DarkCorrectedMeter) else None

    @property
    def busy(self) -> bool:
        """Whether a measurement waits or is under way."""
        return self._waiting or self._thread.busy

    @property
    def failed(self) -> str:
        """What went wrong with the last measurement; empty where nothing did."""
        return self._failed

    def forget_failure(self) -> None:
        """Nobody tries this measurement again."""
        self._failed = ""

    def take_unkept(self) -> Value | None:
        """What was measured and could not be kept, once; None where it was."""
        found, self._unkept = self._unkept, None
        return found

    @property
    def progress(self) -> str:
        """What the operator is told meanwhile."""
        if self._waiting:
            warming = self._run.agenda.warm_up_left > self._run.screen.settle_left
            what = "display has warmed up" if warming else "step has settled"
            return f"The meter waits until the {what}."
        return at_work(self._meter)

    def answers(self) -> bool:
        """Whether a meter can answer what the step on screen asks."""
        step = self._run.step
        return step is not None and by_meter(step)

    def start(self) -> None:
        """Begin, unless one is under way."""
        self._failed, self._unkept = "", None
        if not self.busy:
            self._waiting = True
            self.beat()

    def give_up(self) -> None:
        """Forget the measurement under way; what the meter still says is thrown away."""
        self._thread.forget()
        self._waiting = False

    def beat(self) -> None:
        """Go on: start the thread once settled, keep the answer once it is there."""
        run, screen = self._run, self._run.screen
        if screen.halted:
            return
        left = max(screen.settle_left, screen.change_left, run.agenda.warm_up_left)
        still = not screen.due and left <= 0
        if self._waiting and still and not self._covered():
            self._waiting = False
            self._begin()
        answer = self._thread.answer()
        if answer is None:
            return
        step = run.step
        if isinstance(answer, MeterError) or step is None:
            self._failed = str(answer)
            return
        try:
            value = value_of(answer, step)
        except MeterError as error:
            self._failed = str(error)
            return
        taken, self._unkept = run.keeping.taken, value
        try:
            self.keep(value)
        finally:
            if run.keeping.taken != taken:
                self._unkept = None

    def _begin(self) -> None:
        """Tell the meter what it is to read, and let it."""
        try:
            if self._run.step is not None:
                self.pointing.point(self._run.step)
        except MeterError as error:
            self._failed = str(error)
        else:
            self._thread.start()

    def keep(self, value: Value) -> None:
        """Keep what was measured. Raises VisitError where that cannot be."""
        self._run.take(value, self._instrument)


def at_work(meter: Meter) -> str:
    """What is told while a meter measures."""
    far = progress(meter)
    return f"{meter.name}: {far}…" if far else f"{meter.name}: measuring…"


NO_METER = "There is no meter; type the reading."
NOT_BY_METER = "A meter cannot answer what this step asks; type it."
GIVEN_UP = "The measurement was given up."
TYPED_MEANWHILE = "The meter's reading was kept; what was typed meanwhile was not."


class MeterKeys:
    """What keys do to the meter of a run, where it has one, and what becomes of its answers.

    Args:
        run: what is on screen, and what is kept.
        measuring: the meter; None where readings are typed.
        entry: takes what was measured and could not be kept, as not kept.
        notices: tell what goes wrong.
    """

    def __init__(
        self, run: LiveRun, measuring: Measuring | None, entry: EntryLine, notices: Notices
    ) -> None:
        self._run = run
        self._measuring = measuring
        self._entry = entry
        self._notices = notices

    @property
    def busy(self) -> bool:
        """Whether a measurement waits or is under way."""
        return self._measuring is not None and self._measuring.busy

    @property
    def progress(self) -> str:
        """What the operator is told while a measurement waits or is under way; empty otherwise."""
        return self._measuring.progress if self._measuring is not None and self.busy else ""

    @property
    def answers(self) -> bool:
        """Whether there is a meter that can answer what the step on screen asks."""
        return self._measuring is not None and self._measuring.answers()

    def measure(self) -> None:
        """Measure what is on screen; why not is told.

        Raises:
            VisitError: what was measured could not be kept.
        """
        run, notices = self._run, self._notices
        if self._measuring is None:
            notices.warn(NO_METER)
        elif run.screen.blacked_out:
            notices.warn(DARK)
        elif not run.may_read():
            notices.warn_of_refusal()
        elif not self._measuring.answers():
            notices.warn(NOT_BY_METER)
        else:
            if run.screen.waiting:
                run.up()
            try:
                self._measuring.start()
            finally:
                self.look()

    def keep(self, value: Value) -> None:
        """Keep what was measured before. Raises VisitError where that cannot be."""
        if self._measuring is not None:
            self._measuring.keep(value)

    def give_up(self) -> bool:
        """Forget the measurement under way; whether there was one."""
        busy = self.busy
        if self._measuring is not None and busy:
            self._measuring.give_up()
        return busy

    def beat(self) -> None:
        """Let a measurement under way go on."""
        if self.busy:
            self.look()

    def look(self) -> None:
        """Let the meter go on; what is typed meanwhile is of what it measured, not of the next."""
        run, entry, measuring = self._run, self._entry, self._measuring
        if measuring is None:
            return
        before, picture = run.keeping.taken, entry.picture
        self._notices.attempt(measuring.beat)
        if measuring.failed:
            self._notices.warn(measuring.failed)
        value = None if measuring.busy else measuring.take_unkept()
        if value is not None:
            entry.not_kept.add(Refused("reading", short_text(value), picture, value=value))
        if run.keeping.taken != before and entry.reading.strip():
            entry.not_kept.add(Refused("reading", entry.take_reading(), None))
            self._notices.warn(TYPED_MEANWHILE)
