"""An outside look at the pattern screen, over and over, while a sitting goes on."""

from __future__ import annotations

import hashlib
import threading
from collections.abc import Iterable
from typing import Self

import numpy as np
from numpy.typing import NDArray

from patterns.picture.canvas import Canvas
from sequences.model import Sequence
from tests.player.x_picture import picture

EVERY = 0.15
"""Seconds between two looks."""
MOST = 20
"""Strange pictures that are kept."""
Pixels = NDArray[np.uint16]


class Watch:
    """Looks at a part of an X screen until the block ends, and tells what it is.

    A picture is black, a frame of the sequences, or strange. Of a picture that moves any place of
    it is a frame of it: it has the same colours, and no other.

    Args:
        display: the X display.
        part: x, y, width and height of the screen that is looked at, pixels.
        sequences: what may be shown there.
        bits: depth of the screen.
    """

    def __init__(
        self,
        display: str,
        part: tuple[int, int, int, int],
        sequences: Iterable[Sequence],
        bits: int = 8,
    ) -> None:
        self._display = display
        self._part = part
        canvas = Canvas(*part[2:])
        black = np.zeros((canvas.height, canvas.width, 3), np.uint16)
        self._known = {_digest(black): "black"}
        self._moving: list[set[tuple[int, ...]]] = []
        for sequence in sequences:
            signal = sequence.signal.shown_at(bits, "full")
            for step in sequence.steps:
                pixels = step.pattern.frame(canvas, signal).pixels()
                if step.pattern.moves:
                    self._moving.append(_colours(pixels))
                else:
                    self._known.setdefault(_digest(pixels), step.label)
        self.looks = 0
        self.black = 0
        self.frames: set[str] = set()
        """Labels of the frames that were seen."""
        self.moving = 0
        """Looks at a picture that moves."""
        self.strange: list[Pixels] = []
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._look)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._end.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._end.wait(EVERY):
            pixels = picture(self._display, *self._part)
            self.looks += 1
            label = self._known.get(_digest(pixels))
            if label == "black":
                self.black += 1
            elif label is not None:
                self.frames.add(label)
            elif _colours(pixels) in self._moving:
                self.moving += 1
            elif len(self.strange) < MOST:
                self.strange.append(pixels)


def _digest(pixels: Pixels) -> bytes:
    return hashlib.sha256(np.ascontiguousarray(pixels).tobytes()).digest()


def _colours(pixels: Pixels) -> set[tuple[int, ...]]:
    return {tuple(map(int, each)) for each in np.unique(pixels.reshape(-1, 3), axis=0)}
