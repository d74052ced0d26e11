"""A meter program that says what a file holds, with the scatter of a real one.

Usage: held_meter.py FILE, which holds luminance, x and y, and after them, where wanted, the
standard deviation between readings, as a share. Each call scatters anew.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path


def main() -> None:
    """Read once."""
    luminance, x, y, *more = map(float, Path(sys.argv[1]).read_text("utf-8").split())
    share = more[0] if more else 0.0
    chance = random.Random()  # noqa: S311 - noise, no secret
    luminance *= 1 + chance.gauss(0, share)
    x, y = (each + chance.gauss(0, share / 10) for each in (x, y))
    sys.stdout.write(f"Yxy {luminance:.4f} {x:.4f} {y:.4f}\n")


main()
