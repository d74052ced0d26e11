"""Draws of what meters may have got wrong: errors that all readings of a meter share, and own ones.

The same meter has the same draws wherever it is asked for, in another finding and in another
visit, and so has the same reading. What two values share therefore cancels in their difference,
draw by draw, and the same readings give the same report on a second run.
"""

from __future__ import annotations

from functools import lru_cache
from zlib import crc32

import numpy as np

from readings.colorimetry.chromaticity import Floats

DRAWS = 1000
SEED = 20_310_504
REACH = 0.1
"""Distance in u', v' over which errors of chromaticity lose each other: a choice of our own."""
WAVES = 64
"""Of which an error of chromaticity is made: correlations are right to 0.06."""
GAIN, FIELD, OWN = range(3)
"""What a stream of random numbers is for."""


@lru_cache(maxsize=64)
def gain_of(meter: str | None) -> Floats:
    """(m,) errors of gain of a meter, of standard deviation 1."""
    return _stream(GAIN, repr(meter)).standard_normal(DRAWS)


def field_of(meter: str | None, uv: Floats) -> Floats:
    """(m, n, 2) errors in x and y at colours (n, 2) in u', v', of standard deviation 1.

    They are alike where colours lie together: their correlation is exp(-d^2 / (2 REACH^2)) at a
    distance d, made of waves over the diagram (random Fourier features: Rahimi and Recht 2007,
    from memory; with waves laid out on a spiral in place of drawn ones).
    """
    angle = uv @ _waves().T
    shapes = np.concatenate([np.cos(angle), np.sin(angle)], -1) / np.sqrt(WAVES)
    return np.moveaxis(np.tensordot(_amplitudes(meter), shapes, (1, 1)), -1, 1)


def own_of(seed: int) -> np.random.Generator:
    """The random numbers of one thing that was read, by itself."""
    return _stream(OWN, str(seed))


@lru_cache(maxsize=16)
def _amplitudes(meter: str | None) -> Floats:
    """(m, 2 WAVES, 2)."""
    return _stream(FIELD, repr(meter)).standard_normal((DRAWS, 2 * WAVES, 2))


@lru_cache(maxsize=1)
def _waves() -> Floats:
    """(WAVES, 2) wave vectors, normally distributed as the correlation wants them."""
    number = np.arange(WAVES)
    radius = np.sqrt(-2 * np.log(1 - (number + 0.5) / WAVES)) / REACH
    turn = number * np.pi * (3 - np.sqrt(5)) / 2  # the golden angle, over half a turn
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], -1)


def _stream(what: int, key: str) -> np.random.Generator:
    return np.random.default_rng([SEED, what, crc32(key.encode())])
