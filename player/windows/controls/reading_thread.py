"""A meter that is read beside the event loop, so that the windows stay awake meanwhile."""

from __future__ import annotations

import queue
import threading
from contextlib import suppress

from player.meters.base import Meter, MeterError, MeterReading, give_up, reading_of

Answer = MeterReading | MeterError


class ReadingThread:
    """One measurement at a time, each in a thread of its own. It touches no run and no visit."""

    def __init__(self, meter: Meter) -> None:
        self._meter = meter
        self._answers: queue.Queue[Answer] | None = None

    @property
    def busy(self) -> bool:
        """Whether a measurement is under way."""
        return self._answers is not None

    def start(self) -> None:
        """Begin to measure."""
        self._answers = queue.Queue()
        threading.Thread(target=self._measure, args=(self._answers,), daemon=True).start()

    def forget(self) -> None:
        """End the measurement under way; what the meter still says is thrown away."""
        under_way, self._answers = self._answers is not None, None
        if under_way:
            with suppress(OSError):  # it may be gone; what it still says is thrown away
                give_up(self._meter)

    def answer(self) -> Answer | None:
        """What the meter said, once; None as long as it says nothing."""
        if self._answers is None:
            return None
        try:
            found = self._answers.get_nowait()
        except queue.Empty:
            return None
        self._answers = None
        return found

    def _measure(self, answers: queue.Queue[Answer]) -> None:
        try:
            answers.put(reading_of(self._meter))
        except MeterError as error:
            answers.put(error)
