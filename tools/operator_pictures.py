"""Make the pictures of the operator window: each of its states, as an operator comes to it.

Usage: operator_pictures.py [NAME...] makes those named, or all. The windows stand on an X server
without a screen (Xvfb), keys are pressed by xdotool, and each picture is checked: nothing near
white, and dark on the whole.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from readings.visit.visit import Visit  # noqa: E402 - the path is set just above
from tests.player.playing import Playing  # noqa: E402
from tests.player.wall_before_meter import WallBeforeMeter  # noqa: E402

PICTURES = ROOT / "docs" / "pictures"
OPERATOR = (1280, 800)
PATTERN = 960
"""Columns of the pattern's screen."""
CONTRAST = ("451,2", "0.1013", "449.8", "452.1", "447.3")
BRIGHTEST, MEAN = 245, 25
"""What a picture stays below, of 255: its brightest value and its mean."""


@contextmanager
def played(
    sequence: str, env: dict[str, str], first: int | None = 1, **more: object
) -> Iterator[Playing]:
    """The player, two screens, its first step up unless that is None."""
    with tempfile.TemporaryDirectory() as folder:
        options: dict[str, object] = {
            "sequence": sequence,
            "visit": str(Path(folder) / "wall.visit"),
            "condition": "local dimming off",
            "halves": OPERATOR[0],
            **more,
        }
        with Playing(env, Path(folder), **options) as playing:
            if first is not None:
                playing.shows(first)
            else:
                playing.keeps(lambda visit: bool(visit.runs()), "the run has begun")
                time.sleep(2)
            yield playing


def keep(playing: Playing, name: str) -> None:
    """Keep what the operator sees, and fail where it would light up a dark room."""
    time.sleep(0.6)
    picture = playing.see(0, 0, *OPERATOR)
    brightest, mean = int(picture.max()), float(picture.mean())
    sys.stdout.write(f"{name}: brightest {brightest}, mean {mean:.1f}\n")
    if brightest >= BRIGHTEST or mean >= MEAN:
        raise SystemExit(f"{name} is too bright for a dark room.")
    path = PICTURES / f"operator-{name}.png"
    Image.fromarray(picture.astype(np.uint8)).save(path, optimize=True)


def read(playing: Playing, readings: tuple[str, ...]) -> None:
    """Type readings from the first step on."""
    for step, reading in enumerate(readings, 2):
        playing.type(reading)
        playing.key("Return")
        playing.shows(step)


def contrast(env: dict[str, str]) -> None:
    """A step that settles, then a doubt, the list, the keys, a note, and blackout."""
    with played("black-and-contrast", env) as playing:
        read(playing, CONTRAST)
        keep(playing, "settling")
        time.sleep(5)
        playing.key("Delete")
        playing.type("4504")
        playing.key("Return")
        keep(playing, "doubt")
        playing.key("Delete", "F4", "Down", "Down")
        keep(playing, "steps")
        playing.key("F4", "F1")
        keep(playing, "help")
        playing.key("F1", "Tab")
        playing.type("lamp behind the wall is off now")
        keep(playing, "note")
        playing.key("Tab", "F5")
        keep(playing, "blackout")


def zones(env: dict[str, str]) -> None:
    """A zone count on the way, with its bars."""
    with played("zone-count", env) as playing:
        for _ in range(7):
            time.sleep(0.7)
            playing.key("space")
        time.sleep(1.5)
        keep(playing, "zones")


TIMES = """
title: The lobby wall in half an hour
signal: sdr8
settle: 5 s
{}steps:
  - {{show: {{pluge: {{}}}}, label: PLUGE by eye, read: text, importance: last}}
  - each: {{level: {{from: 10 %, to: 90 %, step: 10 %}}}}
    show: {{window: {{area: 10 %}}}}
    label: Grey {{level}}
    read: luminance
  - {{show: {{field: {{level: 100 %}}}}, label: Full white, read: luminance, importance: first}}
  - {{show: {{field: {{level: 0 %}}}}, label: Full black, read: luminance, importance: first}}
"""


def times(env: dict[str, str]) -> None:
    """Too little time for all steps, and a display that warms up."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lobby-wall.yaml"
        path.write_text(TIMES.format(""), encoding="utf-8")
        with played(str(path), env) as playing:
            playing.key("F9")
            playing.type("2")
            keep(playing, "asking-minutes")
            playing.key("Return")
            keep(playing, "minutes")
            playing.key("F4")
            keep(playing, "steps-by-importance")
        path.write_text(TIMES.format("warm_up: 20 min\n"), encoding="utf-8")
        with played(str(path), env) as playing:
            playing.type("bars left")
            playing.key("Return")
            keep(playing, "warming")


def dark(env: dict[str, str]) -> None:
    """The meter's cap is asked for, light is refused, and the dark is read."""
    meter = {"meter": [3.2, 0.0003, 451.2], "dark": True}
    with played("black-and-contrast", env, None, **meter) as playing:
        keep(playing, "dark-offset")
        playing.key("Return")
        time.sleep(1)
        keep(playing, "dark-refused")
        playing.key("Return")
        time.sleep(1)
        keep(playing, "dark-read")


COVER = """
import pyglet
window = pyglet.window.Window(180, 120, style="borderless")
window.set_location({}, 300)
pyglet.app.run()
"""


def altered(env: dict[str, str]) -> None:
    """Another window that lies over the pattern."""
    with played("black-and-contrast", env) as playing:
        code = COVER.format(OPERATOR[0] + PATTERN // 2)
        cover = subprocess.Popen([sys.executable, "-c", code], env=env)
        try:
            time.sleep(6)
            keep(playing, "altered")
        finally:
            cover.terminate()
            cover.wait()


def windows(env: dict[str, str]) -> None:
    """A luminance being typed beside what is coded, and a run at its end, one step passed over."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lobby-wall.yaml"
        path.write_text(
            "title: First look at the lobby wall\nsignal: pq10\nsteps:\n"
            "  - each: {area: [1 %, 2 %, 10 %, 25 %, 100 %]}\n"
            '    label: "{area} window"\n'
            "    show: {window: {level: 1000 cd/m2}}\n    read: luminance\n",
            encoding="utf-8",
        )
        with played(str(path), env) as playing:
            read(playing, ("980", "1003", "1012"))
            playing.type("871,")
            keep(playing, "reading")
            playing.key("F11")
            keep(playing, "large")
            playing.key("F11")
            playing.type("5")
            playing.key("Return", "Right")
            keep(playing, "finished")


TARGETS = """
title: Greyscale of the lobby wall
signal: sdr8
steps:
  - show: {window: {area: 10 %, level: 100 %}}
    label: White, for the targets
    read: colour
    role: white
  - each: {level: [80 %, 60 %, 40 %, 20 %]}
    show: {window: {area: 10 %}}
    label: Grey {level}
    read: colour
    role: grey
"""


def targets(env: dict[str, str]) -> None:
    """A grey against its target, and a meter that gives one number for all."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lobby-wall.yaml"
        path.write_text(TARGETS, encoding="utf-8")
        with played(str(path), env) as playing:
            read(playing, ("412.3 0.3127 0.3290", "247.6 0.3090 0.3255", "117.2 0.3102 0.3270"))
            keep(playing, "target")
        with played(str(path), env) as playing:
            read(playing, ("102.3 0.3127 0.3290",) * 3)
            keep(playing, "stuck")


def adjusting(env: dict[str, str]) -> None:
    """What to turn, before the simulated wall with a meter that reads by itself."""
    part = (OPERATOR[0], 0, PATTERN, OPERATOR[1])
    with (
        tempfile.TemporaryDirectory() as folder,
        WallBeforeMeter(env["DISPLAY"], part, Path(folder) / "asks") as wall,
    ):
        more = {
            "program": wall.meter,
            "controls": [asdict(each) for each in wall.wall.controls],
            "condition": "",
        }
        with played("adjust-two-point", env, **more) as playing:
            playing.key("Return")
            kept = 0
            while True:  # until nothing is read any more: something is to be turned
                time.sleep(12)
                with Visit.open(playing.visit_path, write=False) as visit:
                    before, kept = kept, len(visit.readings())
                if kept == before:
                    break
            keep(playing, "adjusting")


STATES: dict[str, Callable[[dict[str, str]], None]] = {
    "windows": windows,
    "contrast": contrast,
    "zones": zones,
    "times": times,
    "dark": dark,
    "altered": altered,
    "targets": targets,
    "adjusting": adjusting,
}


@contextmanager
def screen() -> Iterator[dict[str, str]]:
    """An X server with both screens side by side."""
    readable, writable = os.pipe()
    size = f"{OPERATOR[0] + PATTERN}x{OPERATOR[1]}x24"
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writable), "-screen", "0", size, "-nolisten", "tcp"],
        pass_fds=[writable],
        stderr=subprocess.DEVNULL,
    )
    os.close(writable)
    try:
        with os.fdopen(readable) as answer:
            display = f":{answer.readline().strip()}"
        yield os.environ | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
    finally:
        server.terminate()
        server.wait()


def main() -> None:
    """Make the pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with screen() as env:
        for name in sys.argv[1:] or STATES:
            STATES[name](env)


if __name__ == "__main__":
    main()
