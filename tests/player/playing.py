"""The player as its operator has it: real keys in, the real screen and the visit file out."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Self, cast

import numpy as np
from numpy.typing import NDArray

import sequences
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from player.run.gate import CHANGE_GAP
from readings.visit.visit import Visit, VisitError
from tests.needs import program
from tests.player.x_picture import ask_to_close, picture

Environment = Callable[[int, int, int], dict[str, str]]
"""What `screen_env` gives: the environment for a screen of a width, a height and a depth."""
DRIVER = Path(__file__).with_name("window_driver.py")
PATIENCE = 60.0
CHANGING = {"Return", "Right", "Left", "F2", "F5"}
"""Keys that change the picture, which the player takes only so often."""


def frames_of(path: Path, width: int, height: int) -> list[Frame]:
    """The frame of every step of a sequence file, on a canvas of this size, in its own signal."""
    sequence = sequences.load(path)
    canvas = Canvas(width, height)
    return [step.pattern.frame(canvas, sequence.signal) for step in sequence.steps]


def until(what: Callable[[], bool], why: str) -> None:
    """Wait until something is true, or fail saying what was waited for."""
    end = time.monotonic() + PATIENCE
    while not what():
        assert time.monotonic() < end, f"waited {PATIENCE} s until {why}"
        time.sleep(0.05)


class Playing:
    """One start of the player on an X display."""

    def __init__(self, env: dict[str, str], folder: Path, **options: object) -> None:
        """Start the player.

        Args:
            env: names the X display.
            folder: takes what the player says.
            options: those of `window_driver.py`; with `arguments`, the command line instead.
        """
        program("xdotool", "presses keys")
        self.env = env
        self.visit_path = Path(str(options["visit"]))
        self.log = folder / f"player-{time.monotonic_ns()}.log"
        arguments = [str(DRIVER), json.dumps(options)]
        if "arguments" in options:
            start = "from player.cli import main; main()"
            arguments = ["-c", start, *cast("list[str]", options["arguments"])]
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, *arguments],
                env=env,
                stdout=log,
                stderr=subprocess.STDOUT,
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()

    def said(self) -> str:
        """All that the player told before the first step and at the end."""
        return self.log.read_text()

    def running(self) -> None:
        """Fail with what the player said if it has ended."""
        assert self.process.poll() is None, self.said()

    def ended(self) -> int:
        """Wait for the end; the exit code."""
        return self.process.wait(PATIENCE)

    def key(self, *keys: str) -> None:
        """Press keys, by their X names."""
        for key in keys:
            self.running()
            if key in CHANGING:
                time.sleep(CHANGE_GAP + 0.05)
            command = ["xdotool", "key", "--delay", "40", key]
            subprocess.run(command, env=self.env, check=True, timeout=30)

    def type(self, text: str) -> None:
        """Type a text."""
        self.running()
        command = ["xdotool", "type", "--delay", "40", "--", text]
        subprocess.run(command, env=self.env, check=True, timeout=30)

    def window(self, caption: str) -> str:
        """The X window with exactly this caption."""
        found = subprocess.run(
            ["xdotool", "search", "--name", f"^{caption}$"],
            env=self.env,
            check=True,
            capture_output=True,
            text=True,
            timeout=30,
        )
        return found.stdout.split()[0]

    def focus(self, caption: str) -> None:
        """Give the keyboard to the window of this caption."""
        command = ["xdotool", "windowfocus", "--sync", self.window(caption)]
        subprocess.run(command, env=self.env, check=True, timeout=30)

    def close(self, caption: str) -> None:
        """Close a window as a desktop's close button does."""
        ask_to_close(self.env["DISPLAY"], int(self.window(caption)))

    def see(self, x: int, y: int, width: int, height: int) -> NDArray[np.uint16]:
        """What is on the screen there."""
        return picture(self.env["DISPLAY"], x, y, width, height)

    def sees(self, frame: Frame, x: int = 0, y: int = 0) -> None:
        """Wait until every pixel of a frame is on the screen, and nothing else."""
        expected = frame.pixels()

        def there() -> bool:
            self.running()
            return bool((self.see(x, y, frame.width, frame.height) == expected).all())

        try:
            until(there, "the frame is on the screen")
        except AssertionError:
            wrong = (self.see(x, y, frame.width, frame.height) != expected).any(axis=-1)
            raise AssertionError(
                f"{int(wrong.sum())} wrong pixels, the first at {np.argwhere(wrong)[0][::-1]}; "
                f"{self.said()}"
            ) from None

    def keeps(self, what: Callable[[Visit], bool], why: str) -> None:
        """Wait until the visit file holds something."""

        def there() -> bool:
            if not self.visit_path.exists():
                self.running()
                return False
            if self.process.poll():
                self.running()  # it has failed
            try:
                with Visit.open(self.visit_path, write=False) as visit:
                    return what(visit)
            except VisitError:
                return False

        until(there, why)

    def shows(self, step: int, times: int = 1) -> None:
        """Wait until a step has come up so many times."""
        self.keeps(
            lambda visit: sum(each.step == step for each in visit.showings()) >= times,
            f"step {step} has come up",
        )
