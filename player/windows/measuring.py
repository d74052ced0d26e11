"""A meter that is read in a thread of its own, so that the windows stay awake meanwhile."""

from __future__ import annotations

import queue
import threading

from player.meters.base import Meter, MeterError, MeterReading, give_up, progress
from player.run import LiveRun
from player.unattended import BY_METER, value_of

Answer = MeterReading | MeterError


class Measuring:
    """One measurement at a time: waits until the step has settled, then reads the meter.

    Only `beat`, called by the windows, touches the run and the visit.
    """

    def __init__(self, run: LiveRun, meter: Meter, instrument: int) -> None:
        self._run = run
        self._meter = meter
        self._instrument = instrument
        self._waiting = False
        self._answers: queue.Queue[Answer] | None = None
        self.failed = ""
        """What went wrong with the last measurement; empty where nothing did."""

    @property
    def busy(self) -> bool:
        """Whether a measurement waits or is under way."""
        return self._waiting or self._answers is not None

    @property
    def saying(self) -> str:
        """What the operator is told meanwhile."""
        if self._waiting:
            warming = self._run.warm_up_left > self._run.settle_left
            what = "display has warmed up" if warming else "step has settled"
            return f"The meter waits until the {what}."
        far = progress(self._meter)
        return f"{self._meter.name}: {far}…" if far else f"{self._meter.name}: measuring…"

    def answers(self) -> bool:
        """Whether a meter can answer what the step on screen asks."""
        step = self._run.step
        return step is not None and step.read is not None and step.read.quantity in BY_METER

    def start(self) -> None:
        """Begin, unless one is under way."""
        self.failed = ""
        if not self.busy:
            self._waiting = True
            self.beat()

    def give_up(self) -> None:
        """Forget the measurement under way; what the meter still says is thrown away."""
        if self._answers is not None:
            give_up(self._meter)
        self._waiting = False
        self._answers = None

    def beat(self) -> None:
        """Go on: start the thread once settled, keep the answer once it is there."""
        if self._run.halted:
            return
        run = self._run
        if self._waiting and max(run.settle_left, run.warm_up_left, run.change_left) <= 0:
            self._waiting = False
            self._answers = queue.Queue()
            threading.Thread(target=self._measure, args=(self._answers,), daemon=True).start()
        if self._answers is None:
            return
        try:
            answer = self._answers.get_nowait()
        except queue.Empty:
            return
        self._answers = None
        step = self._run.step
        if isinstance(answer, MeterError) or step is None:
            self.failed = str(answer)
            return
        try:
            value = value_of(answer, step)
        except MeterError as error:
            self.failed = str(error)
            return
        self._run.take(value, self._instrument)

    def _measure(self, answers: queue.Queue[Answer]) -> None:
        try:
            answers.put(self._meter.measure())
        except MeterError as error:
            answers.put(error)
        except Exception as error:  # noqa: BLE001 - a meter of any kind must not end the thread unheard
            answers.put(MeterError(f"The meter failed: {error}"))
