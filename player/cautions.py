"""What the operator is told before a sequence that names a caution: what it is, and what to do."""

from __future__ import annotations

from sequences.model import CAUTIONS

TO_DO = {
    "bright": "Warn everybody in the room before the bright steps come.",
    "flashing": "Ask everybody who can see it before you begin, and stop at the first complaint.",
    "static": "Show each one no longer than its reading takes, and rest the display afterwards.",
    "dark-room": "Switch off lamps and shade other screens, but keep the emergency lights.",
}
"""One sentence for every caution; docs/safety.md says more."""

SENTENCES: dict[str, str] = {name: f"{what} {TO_DO[name]}" for name, what in CAUTIONS.items()}
"""Every caution that a sequence may name, in two sentences for the operator."""
