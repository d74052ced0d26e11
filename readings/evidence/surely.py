"""How far apart things have to lie before one of many comparisons is no chance.

One comparison at k = 2 goes wrong by chance in one of 20 or 40, and a run makes dozens. So whatever
is to be called a fault is held against a k by which all comparisons of its kind in one run together
go wrong in one of a thousand: after Sidak (J. Am. Stat. Assoc. 62 (1967) 626-633, from memory),
1 - (1 - CHANCE)^(1/n) is left to each of n. The quantile is that of the normal distribution; where
repeats carry the uncertainty, Student's with their degrees of freedom (JCGM 100:2008, G.3).
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

CHANCE = 0.001
"""How often comparisons of one kind in one run may find a fault where there is none: a choice of
our own. A page has several kinds of them, and is wrong in well under one of a hundred."""
MANY = 1000
"""Degrees of freedom from which on Student's distribution is as good as the normal one."""


@lru_cache(maxsize=512)
def surely(
    comparisons: int, freedom: float = math.inf, *, both: bool = False, chance: float = CHANCE
) -> float:
    """k: how many standard uncertainties a difference has to exceed to be no chance.

    Args:
        comparisons: how many are made, at least 1.
        freedom: effective degrees of freedom of the uncertainty, at least 1.
        both: whether a difference of either sign counts.
        chance: that any of them goes wrong.
    """
    alone = 1 - (1 - chance) ** (1 / max(comparisons, 1))
    tail = alone / 2 if both else alone
    if freedom > MANY:
        return NormalDist().inv_cdf(1 - tail)
    return _student(1 - 2 * tail, max(1, math.floor(freedom)))


def _student(inside: float, freedom: int) -> float:
    """The t within which Student's distribution has a share `inside`, by halving."""
    low, high = 0.0, math.pi / 2
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, freedom) < inside else (low, middle)
    return math.sqrt(freedom) * math.tan((low + high) / 2)


def _within(angle: float, freedom: int) -> float:
    """Student's distribution within t = sqrt(freedom) tan(angle).

    Abramowitz and Stegun, 26.7.3 and 26.7.4 (from memory).
    """
    cosine, sine = math.cos(angle), math.sin(angle)
    odd = freedom % 2 == 1
    term = cosine if odd else 1.0
    total = term if freedom > 1 else 0.0
    for n in range(3 if odd else 2, freedom - 1, 2):
        term *= (n - 1) / n * cosine**2
        total += term
    return 2 / math.pi * (angle + sine * total) if odd else sine * total
