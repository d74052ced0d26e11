"""What the framebuffer's depth costs: the largest luminance error over a sequence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.picture.canvas import Canvas
from patterns.signal.signal import Signal
from patterns.words import figures, signed
from sequences.model import Sequence


@dataclass(frozen=True)
class LevelError:
    """The level that suffers most."""

    label: str
    ink: str
    meant: float
    """Luminance asked for, cd/m2 (at 16 bits)."""
    shown: float
    """Luminance of the codes shown, cd/m2."""

    @property
    def relative(self) -> float:
        """Error relative to what was meant; 0 where nothing was meant and nothing is shown."""
        return (self.shown - self.meant) / self.meant if self.meant else 0.0

    def __str__(self) -> str:
        return (
            f"{figures(self.shown)} instead of {figures(self.meant)} cd/m2 "
            f"({signed(100 * self.relative, 2)} %) at "
            f"{self.label!r}"
        )


def largest_error(sequence: Sequence, canvas: Canvas, shown: Signal) -> LevelError | None:
    """The largest relative luminance error of any level; None where every level is exact.

    Levels are compared with the same levels at 16 bits. Levels in codes have no error of depth.
    """
    fine = sequence.signal.shown_at(16, shown.range)
    worst: LevelError | None = None
    for step in sequence.steps:
        at_depth = step.pattern.frame(canvas, shown)
        meant = step.pattern.frame(canvas, fine)
        for ink, codes in at_depth.inks.items():
            if ink not in meant.inks:
                continue
            error = LevelError(
                step.label,
                ink,
                float(fine.luminance(np.array(meant.inks[ink]))),
                float(shown.luminance(np.array(codes))),
            )
            if abs(error.relative) > (abs(worst.relative) if worst else 1e-9):
                worst = error
    return worst
