"""An X server with two outputs that can be switched off and on, as by pulling a plug."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.needs import program
from tests.x_server import x_server

WIDTH, HEIGHT = 640, 480
FIRST, SECOND = "DUMMY0", "DUMMY1"
CONFIGURATION = """
Section "ServerFlags"
    Option "AutoAddGPU" "false"
    Option "AutoAddDevices" "false"
    Option "AutoEnableDevices" "false"
EndSection
Section "Device"
    Identifier "card"
    Driver "dummy"
    VideoRam 256000
EndSection
Section "Monitor"
    Identifier "screen"
    HorizSync 5-1000
    VertRefresh 5-200
    Modeline "640x480" 25.18 640 656 752 800 480 490 492 525
EndSection
Section "Screen"
    Identifier "both"
    Device "card"
    Monitor "screen"
    DefaultDepth 24
    SubSection "Display"
        Depth 24
        Modes "640x480"
        Virtual 1280 480
    EndSubSection
EndSection
"""
PATIENCE = 20.0


class TwoOutputs:
    """The server's display, and its second output."""

    def __init__(self, display: str) -> None:
        self.env = {**os.environ, "DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
        self._xrandr("--addmode", SECOND, f"{WIDTH}x{HEIGHT}")
        self._xrandr("--fb", f"{2 * WIDTH}x{HEIGHT}", *self._on(FIRST, 0), *self._on(SECOND, WIDTH))

    @staticmethod
    def _on(output: str, x: int) -> list[str]:
        return ["--output", output, "--mode", f"{WIDTH}x{HEIGHT}", "--pos", f"{x}x0"]

    def unplug(self) -> None:
        """Switch the second output off."""
        self._xrandr("--output", SECOND, "--off")

    def plug_in(self) -> None:
        """Switch it on again, where it was."""
        self._xrandr(*self._on(SECOND, WIDTH))

    def _xrandr(self, *arguments: str) -> None:
        subprocess.run(["xrandr", *arguments], env=self.env, check=True, timeout=30)


@contextmanager
def two_outputs(folder: Path) -> Iterator[TwoOutputs]:
    """Such a server; skips where none can be started."""
    server_program = program("Xorg", "needs an X server with two outputs")
    program("xrandr", "switches outputs")
    configuration = folder / "two-outputs.conf"
    configuration.write_text(CONFIGURATION)
    options = ["-config", str(configuration), "-logfile", str(folder / "server.log")]
    options += ["-novtswitch", "-sharevts"]
    with x_server(server_program, *options) as display:
        if not display:
            pytest.skip("an X server with two outputs does not start on this machine")
        yield _with_two(display)


def _with_two(display: str) -> TwoOutputs:
    """Switch both outputs on, as soon as the server answers."""
    end = time.monotonic() + PATIENCE
    while True:
        try:
            return TwoOutputs(display)
        except subprocess.CalledProcessError:
            if time.monotonic() > end:
                pytest.skip("the X server of this machine has no second output")
            time.sleep(0.2)
