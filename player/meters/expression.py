"""Regular expressions from a file that somebody else wrote: none of them can hold the player up.

Python's own tries one way after another, and an expression such as `(a+)+$` can keep it busy for
years, out of reach of any signal. RE2 follows all ways at once, so its time grows with the length
of the line alone. It has no looking ahead or behind and no reference to an earlier group.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, Protocol

MOST_MEMORY = 1 << 18
"""Bytes of an expression once it is made ready, which bounds the work that one character takes: the
worst that was found takes 0.15 s for a line of 1000 characters. Real ones need a fiftieth of it."""
_AROUND = re.compile(r"\(\?(?:<?[=!])")
_BACK = re.compile(r"\\[1-9]|\(\?P=")


class Found(Protocol):
    """Where an expression was found, as `re.Match`."""

    def groupdict(self) -> dict[str, str | None]:
        """What each named group holds; None where it took no part."""
        ...


class Expression(Protocol):
    """An expression that is ready to be looked for, as `re.Pattern`."""

    @property
    def groupindex(self) -> Mapping[str, int]:
        """The number of each named group."""
        ...

    def search(self, text: str) -> Found | None:
        """Its first place in a text."""
        ...


@cache
def expression(text: str) -> Expression:
    """Make an expression ready. Raises ValueError, which says what is wrong with it."""
    import re2

    options = re2.Options()
    options.max_mem = MOST_MEMORY
    options.log_errors = False  # it would write them to the terminal itself
    try:
        made: Expression = re2.compile(text, options)
    except re2.error as error:
        raise ValueError(f"should be a regular expression ({_wrong(text, error)})") from error
    return made


def _wrong(text: str, error: Exception) -> str:
    if _AROUND.search(text):
        return "one that looks ahead or behind, as (?=...) does, is not understood here"
    if _BACK.search(text):
        return "one that refers back to an earlier group is not understood here"
    message: Any = error.args[0] if error.args else ""
    plain = message.decode("utf-8", "replace") if isinstance(message, bytes) else str(message)
    if plain.startswith(("pattern too large", "invalid repetition size")):
        return "it is too large: its counts, such as {1000}, multiply"
    return plain
