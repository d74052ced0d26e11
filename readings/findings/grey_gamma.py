"""Gamma of greys: the exponent of each above the display's own black, and its average."""

from __future__ import annotations

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.findings.base import Number, Value
from readings.findings.greys import LEAST, Greys
from readings.findings.share import value_of

FROM, TO = 0.1, 0.9
"""E' between which gamma is averaged: at the ends a small error of light bends it without end."""


def gamma_of(greys: Greys) -> tuple[Floats, Floats]:
    """Gamma of n greys (n,) and its draws (m, n); NaN where it means nothing."""
    if greys.transfer != "bt1886" or greys.white is None:
        nothing = np.full(greys.count, np.nan)
        return nothing, np.broadcast_to(nothing, greys.drawn.shape)
    power = np.where(greys.clear, greys.values, np.nan)
    return (
        exponent(greys.luminance, greys.black, greys.white, power),
        exponent(greys.drawn, greys.drawn_black[:, None], greys.drawn_white[:, None], power),
    )


def gamma_values(greys: Greys) -> list[Value]:
    """Its average from 10 to 90 % of the signal, and beside it what the target gives so."""
    gamma, drawn = gamma_of(greys)
    middle = (greys.values >= FROM - 1e-3) & (greys.values <= TO + 1e-3)
    used = np.flatnonzero(middle & np.isfinite(gamma))
    if not used.size or greys.white is None:
        return []
    value = float(gamma[used].mean())
    means = drawn[:, used].mean(-1)
    spread = greys.lights.spread(value, means, colour=False)
    target = exponent(greys.target, greys.black, greys.white, greys.values)[used].mean()
    of_target = exponent(
        greys.drawn_target, greys.drawn_black[:, None], greys.drawn_white[:, None], greys.values
    )[:, used].mean(-1)
    aim = greys.lights.spread(float(target), of_target, colour=False)
    values = [
        value_of(
            "gamma-average",
            f"Gamma, average of {used.size}",
            Number.of(value, spread, means),
            "",
            row="Gamma, average",
            count=used.size,
        )
    ]
    if aim is None or float(aim) > LEAST:  # without a black it is 2.4, and no news
        label = "Gamma of the target, likewise"
        values.append(value_of("gamma-target", label, Number.of(target, aim, of_target), ""))
    return values


def exponent(light: Floats, black: Floats | float, white: Floats | float, signal: Floats) -> Floats:
    """Gamma of steps: log((L - black) / (white - black)) / log E'; NaN where there is none."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (light - black) / (np.asarray(white) - black)
        inside = np.where((signal > 0) & (signal < 1), signal, np.nan)
        return np.asarray(np.log(np.where(share > 0, share, np.nan)) / np.log(inside))
