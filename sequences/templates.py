"""Texts with placeholders: ``{area} window``. Doubled braces stand for themselves."""

from __future__ import annotations

import re
from collections.abc import Mapping

_PART = re.compile(r"\{\{|\}\}|\{([^{}]*)\}|[{}]")


def placeholders(text: str) -> list[str]:
    """The names in braces."""
    return [part[1] for part in _PART.finditer(text) if part[1] is not None]


def lone_braces(text: str) -> list[str]:
    """The braces without a partner."""
    return [part[0] for part in _PART.finditer(text) if part[0] in ("{", "}")]


def fill(text: str, variables: Mapping[str, str]) -> str:
    """The text with every placeholder replaced; unknown ones stay."""

    def value(part: re.Match[str]) -> str:
        if part[1] is None:
            return part[0][0]
        return variables.get(part[1], part[0])

    return _PART.sub(value, text)
