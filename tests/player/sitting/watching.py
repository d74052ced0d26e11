"""An outside look at the pattern screen, over and over, while a sitting goes on."""

from __future__ import annotations

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


class Watch:
    """Looks at a part of an X screen until the block ends, and keeps what it has seen.

    Args:
        display: the X display.
        x, y, width, height: the part of the screen, pixels.
    """

    def __init__(self, display: str, x: int, y: int, width: int, height: int) -> None:
        self._display = display
        self._part = x, y, width, height
        self.looks = 0
        self.seen: dict[bytes, NDArray[np.uint16]] = {}
        """Every picture that was seen, by its bytes."""
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
            self.seen.setdefault(pixels.tobytes(), pixels)

    def strange(self, sequences: Iterable[Sequence], bits: int = 8) -> list[NDArray[np.uint16]]:
        """The pictures that are neither black nor a frame of these sequences.

        Of a picture that moves, any place of it is a frame of it.
        """
        _, _, width, height = self._part
        canvas = Canvas(width, height)
        known = {np.zeros((height, width, 3), np.uint16).tobytes()}
        boxes = []
        for sequence in sequences:
            signal = sequence.signal.shown_at(bits, "full")
            for step in sequence.steps:
                if step.pattern.moves:
                    boxes.append(step.pattern.frame(canvas, signal).pixels())
                else:
                    known.add(step.pattern.frame(canvas, signal).pixels().tobytes())
        colours = [{tuple(map(int, c)) for c in np.unique(b.reshape(-1, 3), axis=0)} for b in boxes]
        return [
            pixels
            for content, pixels in self.seen.items()
            if content not in known
            and {tuple(map(int, c)) for c in np.unique(pixels.reshape(-1, 3), axis=0)}
            not in colours
        ]
