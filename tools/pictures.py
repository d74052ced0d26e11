"""Make the pictures of the readme: an overview sheet, and the operator window in a run.

The operator window is photographed on an X server without a screen (Xvfb) while keys are pressed
as an operator would (xdotool).
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.player.playing import Playing, until  # noqa: E402 - the path is set just above

PICTURES = ROOT / "docs" / "pictures"
PATTERN, OPERATOR = (1422, 800), (1280, 800)
SEQUENCE = "black-and-contrast"
READINGS = ("451,2", "0.1013", "449.8", "0.1021", "450.4")


def overview() -> None:
    """The overview sheet of a sequence that is shipped."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["export", "peak-by-area", "--to", folder, "--size", "1920x1080"]
        start = "from player.cli import main; main()"
        subprocess.run([sys.executable, "-c", start, *command], check=True)
        sheet = Image.open(Path(folder) / "overview.png")
        sheet.save(PICTURES / "overview.png", optimize=True)


def operator() -> None:
    """The operator window after a few readings."""
    width = PATTERN[0] + OPERATOR[0]
    readable, writable = os.pipe()
    screen = f"{width}x{OPERATOR[1]}x24"
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writable), "-screen", "0", screen, "-nolisten", "tcp"],
        pass_fds=[writable],
        stderr=subprocess.DEVNULL,
    )
    os.close(writable)
    try:
        with os.fdopen(readable) as answer:
            display = f":{answer.readline().strip()}"
        _play(display)
    finally:
        server.terminate()
        server.wait()


def _play(display: str) -> None:
    environment = os.environ | {"DISPLAY": display, "LIBGL_ALWAYS_SOFTWARE": "1"}
    with tempfile.TemporaryDirectory() as folder:
        options: dict[str, object] = {
            "sequence": SEQUENCE,
            "visit": str(Path(folder) / "wall.visit"),
            "condition": "local dimming off",
            "halves": OPERATOR[0],
        }
        with Playing(environment, Path(folder), **options) as playing:
            playing.shows(1)
            for step, reading in enumerate(READINGS, 2):
                playing.type(reading)
                playing.key("Return")
                playing.shows(step)
            playing.type("0.10")
            before = playing.see(0, 0, *OPERATOR)

            def changed() -> bool:
                return bool((playing.see(0, 0, *OPERATOR) != before).any())

            until(changed, "it counts down")
            picture = playing.see(0, 0, *OPERATOR)
            Image.fromarray(picture.astype(np.uint8)).save(PICTURES / "operator.png", optimize=True)


def main() -> None:
    """Make both."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    overview()
    operator()


if __name__ == "__main__":
    main()
