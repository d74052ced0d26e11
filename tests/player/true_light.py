"""What ideal readings of a simulated display would be: settled, warm, without a meter's errors.

Worked out by the display itself, for comparison with what meters and findings make of it.
"""

from __future__ import annotations

from collections.abc import Iterable

from patterns.kinds import KINDS
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from player.simulated.display import SimulatedDisplay
from player.simulated.parameters import DisplayParameters

CENTRE = (0.5, 0.5)
SPOT = 5.0
"""Diameter of the spot, percent of the picture's height."""


def settled_luminance(
    parameters: DisplayParameters,
    frame: Frame,
    at: tuple[float, float] = CENTRE,
    diameter: float = SPOT,
) -> float:
    """Luminance of a frame at a spot, cd/m2; `at` in shares of width and height."""
    return float(_settled(parameters, frame).light_at(*at, diameter)[1])


def true_contrast(
    parameters: DisplayParameters, canvas: Canvas, signal: Signal
) -> tuple[float, float]:
    """Luminance of full-screen white and black, cd/m2: their ratio is the sequential contrast."""
    white, black = (
        settled_luminance(parameters, _frame("field", canvas, signal, level=level))
        for level in ("100 %", "0 %")
    )
    return white, black


def true_checkerboard(
    parameters: DisplayParameters, canvas: Canvas, signal: Signal, boxes: int = 4
) -> tuple[float, float]:
    """Mean luminance of the lit and of the dark boxes of boxes x boxes, cd/m2, at their middles."""
    display = _settled(
        parameters, _frame("checkerboard", canvas, signal, columns=boxes, rows=boxes)
    )
    sums = [0.0, 0.0]
    for row in range(boxes):
        for column in range(boxes):
            light = display.light_at((column + 0.5) / boxes, (row + 0.5) / boxes, SPOT)
            sums[(row + column) % 2] += float(light[1])
    lit = (boxes * boxes + 1) // 2
    return sums[0] / lit, sums[1] / (boxes * boxes - lit)


def true_peaks(
    parameters: DisplayParameters, canvas: Canvas, signal: Signal, areas: Iterable[str]
) -> dict[str, float]:
    """Luminance of a white window in the middle, cd/m2, by its area, such as `10 %`."""
    return {
        area: settled_luminance(
            parameters, _frame("window", canvas, signal, level="100 %", area=area)
        )
        for area in areas
    }


def _settled(parameters: DisplayParameters, frame: Frame) -> SimulatedDisplay:
    display = SimulatedDisplay(parameters)
    display.show(frame)
    display.wait(1e9)
    return display


def _frame(kind: str, canvas: Canvas, signal: Signal, **values: object) -> Frame:
    return KINDS[kind].model_validate(values).frame(canvas, signal)
