"""The curve that greys follow: how bright it is, where it bends away, and where it ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats
from readings.findings.base import Number, Value
from readings.findings.basis import Basis
from readings.findings.grey.clip_fit import clip_of, clip_values
from readings.findings.grey.greys import Greys
from readings.findings.share import value_of

FAITHFUL = 5.0
"""Percent below the curve that still counts as following it: a limit of our own."""
DIM = 1.0
"""cd/m2: darker greys are near-black's business, and do not enter averages here."""
ASTRAY = 1.3
"""Highest over lowest of luminance / target among them from which there is no curve to speak of."""
LOW = 0.25
"""Share of the peak up to which greys are taken as untouched by a roll-off."""


class Curve:
    """Where greys bend away from their curve, and where they stop to rise."""

    def __init__(self, greys: Greys) -> None:
        self.greys = greys
        self.usable: NDArray[np.bool_] = greys.clear & (greys.target > 0)
        self.low = self._low()
        self.ratio = self._ratio(greys.luminance, greys.target)
        self.drawn_ratio = self._ratio(greys.drawn, greys.drawn_target)
        self.astray = bool(
            self.low.any() and self.ratio[self.low].max() > ASTRAY * self.ratio[self.low].min()
        )
        follows = np.array([], np.intp) if self.astray else self._follows()
        self.follows_to: int | None = int(follows[-1]) if follows.size else None
        """The last grey that follows the curve."""

    def _follows(self) -> NDArray[np.intp]:
        greys, low = self.greys, self.low
        if not low.any():
            return np.array([], np.intp)
        short = 100 * (1 - self.ratio / np.median(self.ratio[low]))
        drawn_short = 100 * (
            1 - self.drawn_ratio / np.median(self.drawn_ratio[:, low], -1)[:, None]
        )
        spread = greys.lights.spread(short, drawn_short, colour=False)
        room = np.full(greys.count, FAITHFUL)
        if spread is not None:
            room = np.fmax(room, spread)
        return np.flatnonzero(self.usable & (short <= room))

    def _low(self) -> NDArray[np.bool_]:
        greys = self.greys
        peak = greys.luminance.max()
        for least in (DIM, 0.0):
            low = self.usable & (greys.target >= least) & (greys.luminance <= LOW * peak)
            if low.any():
                return np.asarray(low)
        return np.zeros(greys.count, bool)

    def _ratio(self, light: Floats, target: Floats) -> Floats:
        return np.asarray(light / np.where(self.usable, target, np.nan))

    def bend(self, basis: Basis) -> list[Value]:
        """Up to where the curve is followed, and from where greys are too dark for it."""
        greys, last = self.greys, self.follows_to
        if self.astray:
            low, high = (100 * pick(self.ratio[self.low]) for pick in (np.min, np.max))
            basis.warn(
                "Greys well below the peak do not keep to the curve: they have "
                f"{low:.0f} to {high:.0f} % of the luminance asked for. Where the display leaves "
                "it is not worked out; is it in the right mode?"
            )
            return []
        if last is None:
            basis.warn("Too few greys were read to see where the display leaves its curve.")
            return []
        values = [greys.level("follows-up-to", "Follows the curve up to", last, "lower")]
        if last + 1 < greys.count:
            values.append(greys.level("roll-off-below", "Rolls off below", last + 1, "upper"))
        return values

    def level(self) -> list[Value]:
        """How bright the lower part of the curve is shown, all in all."""
        if self.astray or not self.low.any():
            return []
        level = 100 * float(np.median(self.ratio[self.low]))
        drawn = 100 * np.median(self.drawn_ratio[:, self.low], -1)
        spread = self.greys.lights.spread(level, drawn, colour=False)
        label = "Level of the curve, of what is asked for"
        return [value_of("tone-level", label, Number.of(level, spread, drawn), "%")]

    def end(self, basis: Basis) -> list[Value]:
        """From where on no more light comes."""
        clip = clip_of(self.greys)
        if clip is None:
            basis.warn("The highest greys read still rise: where the display clips is not seen.")
            return []
        return clip_values(self.greys, clip)
