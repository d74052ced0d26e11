"""What patterns say when they cannot do exactly what was asked."""

from __future__ import annotations


class PatternError(ValueError):
    """Asked for something that cannot be made exactly; ``str()`` is one clear sentence."""
