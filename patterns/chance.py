"""Random numbers that are the same on every machine, from a seed.

SplitMix64 of Steele, Lea and Flood, "Fast splittable pseudorandom number generators" (OOPSLA
2014), from memory, with the constants that its authors' Java code uses: draw n is a mixing of
seed + n * 0x9E3779B97F4A7C15 modulo 2**64. It is written out here because numpy promises no
stream of its own from one version to the next.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Draws = NDArray[np.uint64]

STRIDE = 0x9E3779B97F4A7C15
_WORD = 0xFFFFFFFFFFFFFFFF


def draws(seed: int, count: int) -> Draws:
    """The first ``count`` 64-bit draws of a seed, 0 to 2**64 - 1."""
    numbers = np.arange(1, count + 1, dtype=np.uint64)
    mixed = numbers * np.uint64(STRIDE) + np.uint64(seed & _WORD)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))


def below(drawn: Draws, limit: NDArray[np.int64] | int) -> NDArray[np.int64]:
    """Whole numbers 0 to limit - 1 from draws, limit up to 2**31: their upper half, scaled."""
    scaled = (drawn >> np.uint64(32)) * np.asarray(limit, np.uint64)
    return (scaled >> np.uint64(32)).astype(np.int64)
