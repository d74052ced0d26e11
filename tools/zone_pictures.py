"""Make the pictures of docs/zones.md: combs as a camera would see them, and a meter trace.

The light comes from a simulated display of 41 columns; nothing is retouched.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from patterns.kinds import KINDS  # noqa: E402
from patterns.picture.canvas import Canvas  # noqa: E402 - the path is set just above
from patterns.picture.frame import Frame  # noqa: E402
from patterns.signal.primaries import PRIMARIES  # noqa: E402
from patterns.signal.signal import named_signal  # noqa: E402
from player.simulated import DisplayParameters, SimulatedDisplay  # noqa: E402

PICTURES = ROOT / "docs" / "pictures" / "zones"
CANVAS = Canvas(1920, 1080)
SIGNAL = named_signal("pq10")
COLUMNS = 41
COMBS = {"right": 41, "one-off": 42, "two-off": 43}
"""Supposed counts, by the name of the picture."""


def panel(*halos: tuple[float, float]) -> DisplayParameters:
    """A wall of 41 columns whose zones throw light so: radius in % of the height, and share."""
    return DisplayParameters.model_validate(
        {
            "name": "a wall of 41 columns",
            "peak": 1000,
            "responses": {"pq": {"white": 1000}},
            "light": {
                "kind": "zoned",
                "contrast": 1200,
                "tint": [0.85, 0.95, 1.3],
                "columns": COLUMNS,
                "rows": 23,
                "halos": [{"radius": radius, "share": share} for radius, share in halos],
                "brightest": 0.8,
            },
            "reflected": 0.0005,
        }
    )


CRISP = panel((1.6, 0.85), (10, 0.15))
"""For the photographs: each zone is plain to see."""
SOFT = panel((2.5, 0.4), (9, 0.6))
"""For the trace: a meter in one place sees many zones."""
WIDTH, BAND = 1200, (0.36, 0.64)
"""Pixels across a photograph, and the part of the height that it shows."""
EXPOSED = 1.1
"""cd/m2 that come out white: the boxes are overexposed, as in any photograph of halos."""
SETTLED = 60.0
"""Seconds."""
PLACES, BOX, SPOT = 300, 14, (0.45, 0.55, 3.0)
"""Of the trace: positions, side of the box in pixels, and the meter's x, y and diameter."""
NOISE, DARK = 0.01, 0.0002
"""Standard deviation of a reading: share of it, and cd/m2 in the dark."""


def photograph(frame: Frame) -> Image.Image:
    """The middle of the screen, exposed for the halos."""
    display = SimulatedDisplay(CRISP)
    display.show(frame)
    display.wait(SETTLED)
    grid, xyz = display.light_map()
    linear = xyz @ np.linalg.inv(PRIMARIES["bt709"].matrix).T / EXPOSED
    picture = np.clip(linear, 0, 1) ** (1 / 2.2)
    picture = picture.repeat(grid.heights, axis=0).repeat(grid.widths, axis=1)
    top, bottom = (round(share * grid.height) for share in BAND)
    image = Image.fromarray((picture[top:bottom] * 255 + 0.5).astype(np.uint8))
    height = round((bottom - top) * WIDTH / grid.width)
    return image.resize((WIDTH, height), Image.Resampling.LANCZOS)


def comb(zones: int) -> Frame:
    """A comb for a supposed count."""
    return KINDS["comb"].model_validate({"zones": zones}).frame(CANVAS, SIGNAL)


def traced() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Middles of a box that steps along the middle row, px, and readings beside its way, cd/m2."""
    display, chance = SimulatedDisplay(SOFT), np.random.default_rng(41)
    left = np.linspace(0, CANVAS.width - BOX, PLACES).astype(int)
    black = np.full((CANVAS.width, 3), SIGNAL.quantiser.black, np.uint16)
    order = np.zeros(CANVAS.height, np.uint16)
    order[CANVAS.height // 2 - BOX : CANVAS.height // 2] = 1
    readings = []
    for place in left:
        lit = black.copy()
        lit[place : place + BOX] = SIGNAL.quantiser.white
        display.show(Frame(np.stack((black, lit)), order, SIGNAL))
        display.wait(SETTLED)
        readings.append(float(display.light_at(*SPOT)[1]))
    errors = chance.standard_normal((2, PLACES))
    seen = np.array(readings) * (1 + NOISE * errors[0]) + DARK * errors[1]
    return left + BOX / 2, np.maximum(seen, 0)


def trace(path: Path) -> None:
    """A meter trace, with the zones it was read of."""
    import matplotlib as mpl

    mpl.use("Agg")
    import matplotlib.pyplot as plt

    places, readings = traced()
    figure, axes = plt.subplots(figsize=(10, 4), dpi=120, layout="constrained")
    for edge in range(1, COLUMNS):
        axes.axvline(edge * CANVAS.width / COLUMNS, color="0.85", linewidth=0.8)
    axes.plot(places, readings, ".-", color="black", linewidth=0.8, markersize=3)
    axes.set(
        xlabel="middle of the box, px from the left",
        ylabel="luminance of the dark spot, cd/m²",
        xlim=(400, 1330),
        ylim=(0, None),
    )
    figure.savefig(path, metadata={"Software": None})


def main() -> None:
    """Make them all."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name, zones in COMBS.items():
        photograph(comb(zones)).save(PICTURES / f"{name}.png", optimize=True)
    trace(PICTURES / "trace.png")


if __name__ == "__main__":
    main()
