"""Plays a sequence in windows, for tests that press keys from outside.

Usage: window_driver.py OPTIONS, where OPTIONS is JSON: sequence, visit, and the rest as
`play_in_windows` takes it; `halves` splits a wide X screen into two screens side by side at that
column; `controls` are those of the display, each by its fields; `program` is a meter as the
command line names it; `meter` are numbers that one gives, null for a failure, `moves` says whether
it comes to the place that is read, and `dark` has its dark offset asked for, `fast` has them given
without a pause, `pause` with one of so many seconds; `slow` are seconds that each draw takes
longer; `entries` is a file that takes, for each Enter, what was on the line, the frame that was in
the window, how much was kept, and what the operator is told; `times` is a file that takes, for each
key that showed a picture, the step, 1 where its frame was on the graphics card already, and the
milliseconds from the handler's start to the drawing's, the swap's start and end, and its end;
`program` is the command of a meter's program; `lives` is a file that takes what is told of light
that is watched, each time that it is another, null where none is, and what the operator is told.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import asdict
from pathlib import Path
from typing import Any

import sequences
from patterns.control import Control
from patterns.picture.frame import Frame
from player.meters.base import MeterError, MeterReading
from player.meters.command import CommandMeter
from player.meters.dark import DarkCorrectedMeter
from player.visits import open_or_create
from player.windows import loop
from player.windows import player as windows_player
from player.windows.controls.controls import Controls
from player.windows.pattern.shader import FrameProgram
from player.windows.pattern.window import PatternWindow
from player.windows.player import Player
from player.windows.view import View
from readings.visit.records import Specification


class Meter:
    """Gives the numbers that it was told, slowly; None is a failure."""

    name = "spot meter"

    def __init__(self, numbers: list[float | None], pause: float = 0.3) -> None:
        self.numbers = list(numbers)
        self.pause = pause
        self.specification = Specification()
        self.moves = "no"

    def measure(self) -> MeterReading:
        time.sleep(self.pause)
        number = self.numbers.pop(0)
        if number is None:
            raise MeterError("The spot meter found too little light.")
        return MeterReading(raw=str(number), luminance=number, x=None, y=None)


def split(column: int) -> None:
    """Let the desktop have two screens, left and right of a column."""
    real = loop.screens_here

    def two() -> list[object]:
        (whole,) = real()
        from pyglet.display.xlib import XlibScreenXinerama

        width, height, display = whole.width, whole.height, whole.display
        return [
            XlibScreenXinerama(display, 0, 0, column, height, True, 0),
            XlibScreenXinerama(display, column, 0, width - column, height, True, 1),
        ]

    loop.screens_here = two


def slow_down(seconds: float) -> None:
    """Let every draw of a frame take longer."""
    real = FrameProgram.draw

    def draw(program: FrameProgram, width: int) -> None:
        time.sleep(seconds)
        real(program, width)

    FrameProgram.draw = draw


def time_keys(path: Path) -> None:
    """Write down how long it takes from a key to the swap of the pattern window's buffers."""
    marks: list[float] = []
    ahead: list[int] = []
    real_key, real_draw, real_window = Player._key, FrameProgram.draw, PatternWindow.__init__
    real_upload = FrameProgram.upload

    def key(player: Player, symbol: int, modifiers: int) -> bool:
        ahead.clear()
        marks[:] = [time.perf_counter()]
        taken = real_key(player, symbol, modifiers)
        marks.append(time.perf_counter())
        if ahead and len(marks) > 4:
            begun, *later = [*marks[:4], marks[-1]]
            line = " ".join(f"{1000 * (mark - begun):.3f}" for mark in later)
            with path.open("a") as file:
                file.write(f"{player.run.number} {ahead[0]} {line}\n")
        return taken

    def upload(program: FrameProgram, frame: Frame, bits: int) -> None:
        ahead.append(int(program.holds_ahead(frame, bits)))
        real_upload(program, frame, bits)

    def draw(program: FrameProgram, width: int) -> None:
        marks.append(time.perf_counter())
        real_draw(program, width)

    def window(pattern: PatternWindow, *arguments: object) -> None:
        real_window(pattern, *arguments)
        real_flip = pattern.window.flip

        def flip() -> None:
            marks.append(time.perf_counter())
            real_flip()
            marks.append(time.perf_counter())

        pattern.window.flip = flip

    Player._key, FrameProgram.draw, PatternWindow.__init__ = key, draw, window
    FrameProgram.upload = upload


def log_entries(path: Path) -> None:
    """Write down what becomes of each Enter."""
    real = Player._key

    def key(player: Player, symbol: int, modifiers: int) -> bool:
        from pyglet.window import key as names

        if symbol not in (names.ENTER, names.NUM_ENTER):
            return real(player, symbol, modifiers)
        controls, run = player.controls, player.run
        line, text, frame = controls.entry.purpose, controls.entry.text, player.window.pattern.frame
        before = run.keeping.taken, len(run.visit.notes())
        handled = real(player, symbol, modifiers)
        told = {
            "line": line,
            "text": text,
            "frame": frame.sha256,
            "readings": run.keeping.taken - before[0],
            "notes": len(run.visit.notes()) - before[1],
            "not_kept": list(controls.entry.not_kept.of(line)),
            "saying": controls.notice,
            "alert": controls.notices.alert,
        }
        with path.open("a") as file:
            file.write(json.dumps(told) + "\n")
        return handled

    Player._key = key


def log_lives(path: Path) -> None:
    """Write down what is told of light that is watched."""
    real, last = windows_player.view_of, [""]

    def view_of(controls: Controls, awake: str) -> View:
        view = real(controls, awake)
        live = None if view.live is None else asdict(view.live)
        told = json.dumps({"live": live, "notice": view.notice})
        if told != last[0]:
            last[0] = told
            with path.open("a") as file:
                file.write(told + "\n")
        return view

    windows_player.view_of = view_of


def tell(line: str) -> None:
    """Say it where the test reads it."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def meter_of(options: dict[str, Any]) -> CommandMeter | DarkCorrectedMeter | Meter | None:
    """The meter that is asked for; None for none. What says so is taken off the options."""
    if program := options.pop("program", ""):
        return CommandMeter(program)
    if "meter" not in options:
        return None
    pause = 0.0 if options.pop("fast", False) else 0.3
    meter = Meter(options.pop("meter"), options.pop("pause", pause))
    meter.moves = options.pop("moves", "no")
    return DarkCorrectedMeter(meter) if options.pop("dark", False) else meter


def main() -> None:
    """Play."""
    options = json.loads(sys.argv[1])
    if "halves" in options:
        split(options.pop("halves"))
    if "slow" in options:
        slow_down(options.pop("slow"))
    if "times" in options:
        time_keys(Path(options.pop("times")))
    if "entries" in options:
        log_entries(Path(options.pop("entries")))
    if "lives" in options:
        log_lives(Path(options.pop("lives")))
    options["meter"] = meter_of(options)
    options["controls"] = tuple(Control(**each) for each in options.pop("controls", ()))
    sequence = sequences.load(options.pop("sequence"))
    if not options.pop("asks", False):
        options.setdefault("receives", "unknown")
    try:
        path = Path(options.pop("visit"))
        run = loop.play_in_windows(
            sequence, lambda: open_or_create(path, name="lobby wall"), tell=tell, **options
        )
        tell(f"left at {run.number}")
    except loop.WindowError as error:
        tell(f"WindowError: {error}")
        sys.exit(1)


main()
