"""The simulated wall at a part of an X screen, with a meter program before it and a menu."""

from __future__ import annotations

import socket
import sys
import threading
from contextlib import suppress
from pathlib import Path
from typing import Self

import numpy as np

from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.meters.simulated import SPOT_METER
from player.simulated_play import simulated_display
from tests.player.x_picture import picture

SETTLED = 60.0
"""Seconds after which nothing of the picture before is left."""
ASKS = Path(__file__).with_name("asking_meter.py")


class WallBeforeMeter:
    """Answers the meter program by what is on the screen and by what the menu reads.

    Args:
        display: the X display.
        part: x, y, width and height of the wall on it.
        path: of the socket by which the program asks.
    """

    def __init__(self, display: str, part: tuple[int, int, int, int], path: Path) -> None:
        self._display = display
        self._part = part
        self._path = path
        self.wall = simulated_display()
        self.wall.dimming = False
        self.answers = 0
        """How often the meter was read."""
        self._lock = threading.Lock()
        self._socket = socket.socket(socket.AF_UNIX)
        self._socket.bind(str(path))
        self._socket.listen()
        self._thread = threading.Thread(target=self._serve, daemon=True)

    @property
    def meter(self) -> str:
        """The meter's program."""
        return f"{sys.executable} -S {ASKS} {self._path}"

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()
        self._thread.join()

    def turn(self, name: str, value: float) -> None:
        """Turn a control of the wall's menu."""
        with self._lock:
            self.wall.turn(name, value)

    def read(self) -> str:
        """What the meter gives now."""
        pixels = picture(self._display, *self._part)
        rows, order = np.unique(pixels, axis=0, return_inverse=True)
        frame = Frame(rows, order.reshape(-1).astype(np.uint16), named_signal("sdr8"))
        with self._lock:
            self.wall.show(frame)
            self.wall.wait(SETTLED)
            light = self.wall.light_at(0.5, 0.5, SPOT_METER.spot)
        self.answers += 1
        total, luminance = float(light.sum()), float(light[1])
        if luminance < SPOT_METER.floor:
            return f"{luminance:.4f}"
        return f"Yxy {luminance:.4f} {light[0] / total:.4f} {light[1] / total:.4f}"

    def _serve(self) -> None:
        while True:
            try:
                asking, _ = self._socket.accept()
            except OSError:
                return
            with asking, suppress(OSError):  # it may have been given up meanwhile
                asking.sendall(f"{self.read()}\n".encode())
