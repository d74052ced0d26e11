"""Where the X server dies, the player ends its meter's program, and in a sentence."""

from __future__ import annotations

import os
import shlex
import sys
from contextlib import ExitStack
from pathlib import Path

import pytest

from readings.visit.visit import Visit
from tests.needs import program
from tests.player.playing import Playing, until
from tests.x_server import x_server

pytestmark = pytest.mark.gl

GONE = "The X server has gone, and the windows with it; what was kept is kept."
STILL = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {level: 0 %}}, read: luminance}
  - {show: {field: {level: 50 %}}, read: luminance}
"""
MOVING = """
title: Lobby wall
signal: sdr8
settle: 0 s
steps:
  - {show: {field: {level: 0 %}}, read: luminance}
  - {show: {moving-box: {speed: 60 px/s, side: 36 px}}, read: luminance}
"""
METER = """
import os, sys, time
began = sys.argv[1]
if os.path.exists(began + ".first"):
    with open(began + ".part", "w") as file:
        file.write(str(os.getpid()))
    os.rename(began + ".part", began)
    time.sleep(120)
open(began + ".first", "w").close()
print("Y 0.25")
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux has an X server")
@pytest.mark.parametrize("text", [STILL, MOVING])
def test_the_meters_program_ends_and_what_was_kept_is_kept(tmp_path: Path, text: str) -> None:
    sequence, meter = tmp_path / "wall.yaml", tmp_path / "meter.py"
    sequence.write_text(text)
    meter.write_text(METER)
    began, visit = tmp_path / "began", tmp_path / "wall.visit"
    command = shlex.join([sys.executable, "-S", str(meter), str(began)])
    arguments = ["play", str(sequence), "--visit", str(visit), "--unattended"]
    arguments += ["--meter", f"command:{command}"]
    with ExitStack() as server:
        screen = ("-screen", "0", "640x360x24")
        display = server.enter_context(x_server(program("Xvfb", "needs an X server"), *screen))
        kept = {name: value for name, value in os.environ.items() if name != "WAYLAND_DISPLAY"}
        env = kept | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
        with Playing(env, tmp_path, visit=str(visit), arguments=arguments) as player:
            until(began.exists, "the meter reads the second step")
            pid = began.read_text()
            server.close()
            assert player.ended() == 1
            assert player.said().splitlines()[-1] == GONE
    until(lambda: not Path(f"/proc/{pid}").exists(), "the meter's program has ended")
    # open for writing: the one who wrote it has let go
    with Visit.open(visit, write=True) as opened:
        assert [reading.luminance for reading in opened.readings()] == [0.25]
    assert [path.name for path in tmp_path.glob("wall.visit*")] == ["wall.visit"]
