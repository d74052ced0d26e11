"""Stray light: what the meter's lens and the room scatter from lit places onto a dark one.

A reading of a dark place beside light is the display's own light and a veil. Two readings of that
place tell the two apart: one through a black mask with a hole, which keeps nearly all of the veil
out, and one with the surround blacked out, below which the display's own light does not lie. All of
it is worked out from draws (JCGM 101:2008, from memory); the shares below are our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import hypot
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats
from readings.evidence.lights import DRAWS, apart_of, drawn_mean, own_of
from readings.evidence.surely import surely
from readings.evidence.uncertainty import FAR, Estimate, decades_between, mean_of

THROUGH = 0.1
"""The most of the veil that a mask lets through."""
PLACES = 0.2
"""The most by which the veil on a place, and the light of the display there with all blacked out,
differ from their means over all places."""
TAIL = 0.025
"""Outside each end of an interval, and below a lower bound."""


@dataclass(frozen=True, eq=False)
class Veil:
    """The readings of one dark place that tell its veil, and what they amount to."""

    plain: Estimate
    masked: Estimate | None
    """Through a mask with a hole."""
    black: Estimate | None
    """With the surround blacked out."""

    @property
    def masks(self) -> bool:
        """Whether the mask surely took light away: else it may not have been there."""
        if self.masked is None:
            return False
        noise = hypot(self.plain.scatter, self.masked.scatter)
        k = surely(1, min(self.plain.degrees, self.masked.degrees))
        return self.plain.value - self.masked.value > k * noise

    @property
    def known(self) -> bool:
        """Whether anything is known of the display's own light beside what was read plainly."""
        return self.masks or self.black is not None

    @cached_property
    def own(self) -> Floats:
        """(m,) cd/m2: possible truths of the display's own light at that place."""
        plain = drawn_mean([self.plain])
        high = drawn_mean([self.masked]) if self.masks and self.masked is not None else plain
        room = high - self.least
        if self.masks:
            room = np.minimum(room, THROUGH * np.maximum(plain - high, 0.0))
        turn = own_of(crc32(repr((self.plain.seed, "veil")).encode())).random(DRAWS)
        # both ends are as likely as all between: no veil, or as much of it as there may be
        share = np.clip(3 * turn - 1, 0.0, 1.0)
        return np.asarray(high - share * np.maximum(room, 0.0))

    @cached_property
    def least(self) -> Floats:
        """(m,) cd/m2: below it the display's own light does not lie."""
        return np.zeros(DRAWS) if self.black is None else drawn_mean([self.black])

    @property
    def unlit(self) -> NDArray[np.bool_]:
        """(m,) in which draws the lit places add nothing to the display's own light there."""
        if self.black is None:
            return np.zeros(DRAWS, bool)
        return np.asarray(self.own <= self.least * (1 + 1e-9))

    @cached_property
    def veil(self) -> Floats:
        """(m,) cd/m2: possible truths of what is scattered onto that place."""
        return np.asarray(np.maximum(drawn_mean([self.plain]) - self.own, 0.0))


def drawn_contrasts(
    lit: Sequence[Estimate], dark: Sequence[Estimate], veil: Veil | None
) -> Floats | None:
    """(m,) possible truths of the mean of `lit` over that of `dark`; infinite where dark is 0.

    Without a veil that was told, those of what was read, which the display's own contrast does not
    lie below. None where the uncertainty of a reading is not known.
    """
    everything = [*lit, *dark, *(e for e in _of(veil) if e is not None)]
    if not all(estimate.known for estimate in everything):
        return None
    bright, below = drawn_mean(lit), drawn_mean(dark)
    if veil is not None and veil.known:
        random = own_of(crc32(repr([each.seed for each in dark]).encode()))
        others = sum(each.seed != veil.plain.seed for each in dark)
        least = veil.least * _all_over_one(random, len(dark), others)
        left = below - veil.veil * _all_over_one(random, len(dark), others)
        # where the display is as dark as with all blacked out, it is so at each place
        far = veil.veil / np.maximum(np.hypot(veil.veil, veil.least), np.finfo(float).tiny)
        alike = far * least + (1 - far) * (below - veil.veil)
        below = np.minimum(np.where(veil.unlit, alike, np.maximum(left, least)), below)
        # lit places have a veil too, from the rest of what is lit
        bright = bright - veil.veil * random.random(DRAWS)
    if dark[0].linearity is None:
        apart = min(1.0, decades_between(mean_of(lit).value, mean_of(dark).value) / FAR)
        # where nothing is known of repeats, half of the gain's variance is each reading's own
        own = sum(0.5 / len(side) for side in (lit, dark) if side[0].repeat is None)
        far = apart * np.sqrt(2 - own) * (dark[0].gain or 0.0)
        below = below * (1 + far * apart_of(dark[0].meter))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(below > 0, bright / below, np.inf))


def _all_over_one(random: np.random.Generator, count: int, others: int) -> Floats:
    """(m,) the mean over `count` places of what differs by `PLACES`, over what it is at the one
    that was read; `others` of them were not."""
    here = 1 + PLACES * (2 * random.random(DRAWS) - 1)
    there = 1 + PLACES * (2 * random.random((DRAWS, others)) - 1)
    return np.asarray((here * (count - others) + there.sum(1)) / (here * count))


def _of(veil: Veil | None) -> tuple[Estimate | None, ...]:
    return () if veil is None else (veil.plain, veil.masked, veil.black)
