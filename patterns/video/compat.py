"""Clips of a capped bit rate, for players that do not keep up with lossless ones.

The level is the lowest in the Main tier that size and rate allow. Pictures are coded with one
quantiser, the finest of a few that keeps the cap; so flat patches hardly change, and what error
there is lies at edges. It is found by decoding, and told.
"""

from __future__ import annotations

from fractions import Fraction

from patterns.video.levels import UNLIMITED, Buffer, largest_units, level_for
from patterns.video.settings import Settings

COARSENESS = (4, 10, 16, 22, 28, 34, 40, 46, 51)
"""Quantisers to try; each step of six halves the precision."""
SHARE = Fraction(4, 5)
"""Of the level's bit rate and buffer, for a moving pattern."""
KEY_SHARE = Fraction(1, 2)
"""Of the level's buffer, for the key frame of a still; then one a second is enough for the rest."""


class Cap:
    """Whether pictures that follow one another keep the cap."""

    def __init__(self, settings: Settings) -> None:
        level = level_for(settings)
        self._limited = level != UNLIMITED
        if self._limited:
            self._buffer = Buffer(level, settings, SHARE)
            self._key = Buffer(level, settings, KEY_SHARE)
            self._largest = min(largest_units(level, settings))

    def takes(self, size: int) -> bool:
        """Whether the next picture may have so many bytes."""
        return not self._limited or (size <= self._largest and self._buffer.takes(size))

    def takes_key(self, size: int) -> bool:
        """Whether a still may have a key frame of so many bytes."""
        return not self._limited or (size <= self._largest and self._key.takes(size))
