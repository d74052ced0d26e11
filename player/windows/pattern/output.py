"""Output `window`: frames go to the pattern window, and every step is read back."""

from __future__ import annotations

import time

import numpy as np

from patterns.picture.frame import Frame
from patterns.signal.primaries import PRIMARIES
from patterns.signal.quantise import Range
from patterns.signal.signal import Signal
from patterns.signal.transfer import Bt1886
from player.outputs.base import Guard, OutputName
from player.windows.pattern.window import PatternWindow

CHECK_EVERY = 1.0
"""Seconds between two frames of a moving pattern that are read back."""


class WindowOutput:
    """The pattern window as an output of the run.

    Args:
        pattern: the window, already full screen.
        range_: the range that the link to the display is set to.
    """

    name: OutputName = "window"

    def __init__(self, pattern: PatternWindow, range_: Range) -> None:
        self.pattern = pattern
        self.canvas = pattern.canvas
        self.bits = pattern.bits
        self.range: Range = range_
        self.shown = 0
        """Frames shown so far, blackouts among them: a new number is a new picture."""
        self._checked_at = 0.0
        self._closed = False

    def about(self) -> dict[str, object]:
        """The framebuffer, and the range that the link is said to be set to."""
        return {"framebuffer": self.pattern.describe(), "bits": self.bits, "range": self.range}

    def show(self, frame: Frame) -> Guard:
        """Put the frame up; a copy of the buffer that was swapped is compared right after."""
        self.shown += 1
        guard = self.pattern.put(frame, verify=True)
        self._checked_at = time.monotonic()
        return guard or Guard("unknown", "nothing was read back")

    def prepare(self, frame: Frame) -> None:
        """Take the frame that is probably shown next to the graphics card."""
        self.pattern.prepare(frame)

    def move(self, frame: Frame) -> Guard | None:
        """Put up the next frame of a moving pattern; one a second is read back."""
        now = time.monotonic()
        due = now - self._checked_at >= CHECK_EVERY
        if due:
            self._checked_at = now
        return self.pattern.put(frame, verify=due)

    def look(self) -> Guard:
        """The guard of what is on screen, its desktop as it is now."""
        return self.pattern.look()

    def blackout(self) -> None:
        """Show the range's black."""
        self.shown += 1
        self.pattern.put(self._black(), verify=False)

    def _black(self) -> Frame:
        # what the codes mean is of no matter to a frame that is only black
        signal = Signal(Bt1886(), PRIMARIES["bt709"], self.bits, self.range)
        rows = np.full((1, self.canvas.width, 3), signal.quantiser.black, np.uint16)
        return Frame(rows, np.zeros(self.canvas.height, np.uint16), signal)

    def close(self) -> None:
        """Close the window; a second call does nothing."""
        if not self._closed:
            self._closed = True
            self.pattern.close()
