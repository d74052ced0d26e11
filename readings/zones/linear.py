"""How well a linear model with coefficients of 0 or more explains readings, for all it needs."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from readings.zones.lattice import Floats

HEAVY = 3.0
"""Degrees of freedom of Student's t about the fit: a reading at an edge may be far off."""
LEAST_SCATTER = 0.5
"""Least scatter that is believed, of the expected noise: too good a fit earns nothing more."""
SPREAD = 1.2
"""Standard deviation of the scatter's natural logarithm about 0, the expected noise."""


@dataclass(frozen=True, slots=True)
class Fit:
    """What one model makes of the readings."""

    evidence: float
    """Log of the probability of the readings, but for a constant."""
    scatter: float
    """About the fit, of the expected noise; outliers count for little."""


def fit(design: Floats, target: Floats, rounds: int) -> Fit:
    """Fit target = design @ a with each a drawn from N(0, 1), none below 0.

    Args:
        design: (n, k) in units of the expected noise, columns scaled to what a may be.
        target: (n,) readings in units of the expected noise.
        rounds: times that readings far from the fit are given less weight and it is done again.
    """
    weights = np.ones(len(target))
    variance = 1.0
    diagonal = np.arange(design.shape[1])
    for number in range(rounds + 1):
        weighted = design * weights[:, np.newaxis]
        normal = design.T @ weighted
        normal[diagonal, diagonal] += variance
        factor = np.linalg.cholesky(normal)
        a = np.maximum(np.linalg.solve(normal, weighted.T @ target), 0.0)
        off = target - design @ a
        variance = max(LEAST_SCATTER**2, float((weights * off * off).mean()))
        if number == 0:
            # a few readings far off must not hide that the others fit
            usual = 1.4826 * float(np.median(np.abs(off)))
            variance = max(LEAST_SCATTER**2, min(variance, 2 * usual**2))
        weights = (HEAVY + 1) / (HEAVY + off * off / variance)
    log_variance = log(variance)
    likelihood = -(HEAVY + 1) / 2 * np.log1p(off * off / (variance * HEAVY)).sum()
    likelihood -= len(target) / 2 * log_variance
    # the price of the coefficients: how much narrower the readings make each than its prior
    price = np.log(np.diag(factor)).sum() - len(a) / 2 * log_variance + (a @ a) / 2
    return Fit(float(likelihood - price) - (log_variance / (2 * SPREAD)) ** 2 / 2, variance**0.5)
