"""What may be read of a pattern: the words that sequences and visits share."""

from __future__ import annotations

from typing import Literal, get_args

Quantity = Literal["luminance", "colour", "count", "milliseconds", "choice", "text", "tally"]
QUANTITIES: tuple[Quantity, ...] = get_args(Quantity)

LIGHT: tuple[Quantity, ...] = ("luminance", "colour")
"""Those that a meter can read; whether a meter did read one, its reading's instrument says."""

BY_EYE: dict[Quantity, str] = {
    "choice": "say what it looks like",
    "count": "count",
    "milliseconds": "read it off",
    "tally": "press a key at each jump of the light",
    "text": "describe it",
}


def needs_someone(quantity: Quantity) -> str:
    """Why a step that no meter can read has no reading where nobody looks on."""
    return f"needs someone at the screen to {BY_EYE[quantity]}"
