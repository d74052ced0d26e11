"""What may be read of a pattern: the words that sequences and visits share."""

from __future__ import annotations

from typing import Literal, get_args

Quantity = Literal["luminance", "colour", "count", "milliseconds", "choice", "text", "tally"]
QUANTITIES: tuple[Quantity, ...] = get_args(Quantity)

LIGHT: tuple[Quantity, ...] = ("luminance", "colour")
"""Those that a meter can read; whether a meter did read one, its reading's instrument says."""
