"""A meter program before the simulated wall: it reads the picture off the X screen itself.

Usage: wall_meter.py X Y WIDTH HEIGHT [on|off], the part of the screen that is the display, and
whether its local dimming is on. Where it points is in the environment, as for any meter program.
It prints luminance and chromaticity of the settled picture.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import numpy as np

sys.path.append(str(Path(__file__).parents[3]))  # last: what is installed goes before the tree

from patterns.picture.frame import Frame
from patterns.signal.signal import named_signal
from player.meters.simulated import SPOT_METER
from player.simulated_play import simulated_display
from tests.player.x_picture import picture

SETTLED = 60.0
"""Seconds after which nothing of the picture before is left."""


def main() -> None:
    """Read once."""
    x, y, width, height = map(int, sys.argv[1:5])
    pixels = picture(os.environ["DISPLAY"], x, y, width, height)
    rows, order = np.unique(pixels, axis=0, return_inverse=True)
    display = simulated_display()
    if len(sys.argv) > 5:
        display.dimming = sys.argv[5] == "on"
    display.show(Frame(rows, order.reshape(-1).astype(np.uint16), named_signal("sdr8")))
    display.wait(SETTLED)
    place = [float(os.environ.get(f"LITFIELD_PLACE_{axis}_PERCENT") or 50) / 100 for axis in "XY"]
    light = display.light_at(*place, SPOT_METER.spot)
    total = float(light.sum())
    luminance = round(float(light[1]), 4)
    if luminance < SPOT_METER.floor:
        sys.stdout.write(f"{luminance}\n")
        return
    sys.stdout.write(f"Yxy {luminance} {light[0] / total:.4f} {light[1] / total:.4f}\n")


main()
