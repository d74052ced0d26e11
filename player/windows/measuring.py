"""The meter of a run: it waits until a step may be read, then reads it."""

from __future__ import annotations

from collections.abc import Callable

from player.meters.base import Meter, MeterError, progress
from player.meters.dark import DarkCorrectedMeter
from player.run.live import LiveRun
from player.run.unattended import by_meter, value_of
from player.windows.reading_thread import ReadingThread
from readings.visit.records import Value


class Measuring:
    """One measurement at a time: waits until the step has settled, then reads the meter.

    Only `beat`, called by the windows, touches the run and the visit.
    """

    def __init__(self, run: LiveRun, meter: Meter, instrument: int) -> None:
        self._run = run
        self._meter = meter
        self._instrument = instrument
        self._waiting = False
        self._thread = ReadingThread(meter)
        self.covered: Callable[[], bool] = lambda: False
        """Whether something lies over the picture that will go; whoever plays sets it."""
        self.unkept: Value | None = None
        """What was measured and could not be kept; None where it was."""
        self.failed = ""
        """What went wrong with the last measurement; empty where nothing did."""

    @property
    def dark(self) -> DarkCorrectedMeter | None:
        """The meter, where its dark offset is subtracted; None where it is not."""
        return self._meter if isinstance(self._meter, DarkCorrectedMeter) else None

    @property
    def busy(self) -> bool:
        """Whether a measurement waits or is under way."""
        return self._waiting or self._thread.busy

    @property
    def saying(self) -> str:
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
        self.failed, self.unkept = "", None
        if not self.busy:
            self._waiting = True
            self.beat()

    def give_up(self) -> None:
        """Forget the measurement under way; what the meter still says is thrown away."""
        self._thread.forget()
        self._waiting = False

    def beat(self) -> None:
        """Go on: start the thread once settled, keep the answer once it is there."""
        run = self._run
        if run.screen.halted:
            return
        still = (
            not run.screen.due
            and max(run.screen.settle_left, run.agenda.warm_up_left, run.screen.change_left) <= 0
        )
        if self._waiting and still and not self.covered():
            self._waiting = False
            self._thread.start()
        answer = self._thread.answer()
        if answer is None:
            return
        step = run.step
        if isinstance(answer, MeterError) or step is None:
            self.failed = str(answer)
            return
        try:
            value = value_of(answer, step)
        except MeterError as error:
            self.failed = str(error)
            return
        taken, self.unkept = run.keeping.taken, value
        try:
            self.keep(value)
        finally:
            if run.keeping.taken != taken:
                self.unkept = None

    def keep(self, value: Value) -> None:
        """Keep what was measured. Raises VisitError where that cannot be."""
        self._run.take(value, self._instrument)


def at_work(meter: Meter) -> str:
    """What is told while a meter measures."""
    far = progress(meter)
    return f"{meter.name}: {far}…" if far else f"{meter.name}: measuring…"
