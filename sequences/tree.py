"""A YAML document as a tree that knows where everything stands."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from typing import ClassVar

_NOTHING = {"", "~", "null", "Null", "NULL"}
_TRUTH = {
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_WHOLE = re.compile(r"[-+]?[0-9]{1,18}")
_OCTAL = re.compile(r"0o([0-7]{1,18})")
_HEX = re.compile(r"0x([0-9a-fA-F]{1,15})")
_NUMBER = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]{1,4})?")
_LONGEST_NUMBER = 40


class _Nothing:
    """An empty value: None would pass for a key that was not written at all."""

    def __repr__(self) -> str:
        return "nothing"


@dataclass
class Node:
    """Something in the file; ``line`` and ``column`` count from 1.

    ``broken`` marks a node that already has a problem, so that what follows from it is not told;
    ``cut`` marks one of which a part could not be read, so that nothing is missed in it.
    """

    what: ClassVar[str] = "nothing"
    line: int
    column: int
    broken: bool = field(default=False, kw_only=True)
    cut: bool = field(default=False, kw_only=True)


@dataclass
class Scalar(Node):
    """A single value: its text, and what YAML 1.2 takes it for."""

    what: ClassVar[str] = "a value"
    text: str
    value: object


@dataclass
class Listing(Node):
    """A list."""

    what: ClassVar[str] = "a list"
    items: list[Node] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.items)


@dataclass
class Entry:
    """A key of a mapping and its value."""

    key: Scalar
    value: Node


@dataclass
class Mapping(Node):
    """A mapping; keys are the texts as written."""

    what: ClassVar[str] = "a mapping"
    entries: dict[str, Entry] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.entries)

    def get(self, key: str) -> Node | None:
        """The value under a key."""
        entry = self.entries.get(key)
        return entry.value if entry else None

    def enter(self, key: Scalar, value: Node) -> None:
        """Put a value under a key."""
        self.entries[key.text] = Entry(key, value)


def resolve(text: str) -> object:
    """What an unquoted scalar is by the core schema of YAML 1.2.2 (clause 10.3.2).

    Whole numbers of more than 18 digits, infinities and NaN stay text: nothing here can mean them.
    """
    if text in _NOTHING:
        return None
    if text in _TRUTH:
        return _TRUTH[text]
    if _WHOLE.fullmatch(text):
        return int(text)
    for pattern, base in ((_OCTAL, 8), (_HEX, 16)):
        if found := pattern.fullmatch(text):
            return int(found[1], base)
    if len(text) <= _LONGEST_NUMBER and _NUMBER.fullmatch(text):
        number = float(text)
        return text if math.isinf(number) or re.fullmatch(r"[-+]?[0-9]+", text) else number
    return text


def plain(node: Node | None) -> object:
    """The tree below a node as plain values; what is left empty is what no key takes."""
    if isinstance(node, Scalar):
        return _Nothing() if node.value is None else node.value
    if isinstance(node, Listing):
        return [plain(item) for item in node.items]
    if isinstance(node, Mapping):
        return {key: plain(entry.value) for key, entry in node.entries.items()}
    return None


def leaves(node: Node, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], Node]:
    """Every value below a node by its path; list items are named by their number from 0."""
    if isinstance(node, Mapping):
        below = [(key, entry.value) for key, entry in node.entries.items()]
    elif isinstance(node, Listing):
        below = [(str(index), item) for index, item in enumerate(node.items)]
    else:
        return {path: node}
    found: dict[tuple[str, ...], Node] = {}
    for name, value in below:
        found |= leaves(value, (*path, name))
    return found


def shorten(text: str, most: int = 60) -> str:
    """A text on one line of at most this length."""
    line = " ".join(text.split())
    return line if len(line) <= most else f"{line[: most - 1]}…"


def text_of(node: Node) -> str:
    """A value as a label says it: as written; ``r 50 %, g 0 %, b 0 %`` for a mapping."""
    if isinstance(node, Scalar):
        return " ".join(node.text.split())
    if isinstance(node, Listing):
        return ", ".join(text_of(item) for item in node.items)
    if isinstance(node, Mapping):
        return ", ".join(f"{key} {text_of(entry.value)}" for key, entry in node.entries.items())
    return ""
