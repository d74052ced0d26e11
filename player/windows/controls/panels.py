"""What the operator has called over the picture, or away from it: the strip, the list of keys."""

from __future__ import annotations


class Panels:
    """Whether the operator strip and the list of keys are called.

    Args:
        strip_there: whether there is a strip to be called: with one screen.
    """

    def __init__(self, *, strip_there: bool = False) -> None:
        self.strip_there = strip_there
        self._strip = self._help = False

    @property
    def strip(self) -> bool:
        """Whether the operator strip was called by its key, and stays until the same key."""
        return self._strip

    @property
    def help(self) -> bool:
        """Whether the list of keys is called."""
        return self._help

    def toggle_strip(self) -> None:
        """Call the strip, or put it away."""
        self._strip = not self._strip

    def toggle_help(self) -> None:
        """Call the list of keys, or put it away."""
        self._help = not self._help

    def put_help_away(self) -> bool:
        """Put the list of keys away; whether it was called."""
        called, self._help = self._help, False
        return called
