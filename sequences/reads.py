"""``read``: a quantity, or a mapping with one entry, the quantity and what it is read of."""

from __future__ import annotations

from typing import cast

from patterns.quantity import QUANTITIES, Quantity
from sequences.grammar import LONGEST_TEXT
from sequences.model import Read
from sequences.problems import Collector, as_shown, one_of
from sequences.tree import Listing, Mapping, Node, Scalar, shorten

MOST_CHOICES = 50


def read_of(node: Node, collector: Collector) -> Read | None:
    """What a step reads, placeholders not yet filled; None where that cannot be told."""
    if isinstance(node, Scalar) and isinstance(node.value, str):
        return _plain(node, collector)
    if isinstance(node, Mapping) and len(node.entries) == 1:
        (quantity, entry), *_ = node.entries.items()
        if quantity not in QUANTITIES:
            _unknown(entry.key, collector)
            return None
        if quantity == "choice":
            choices = choices_of(entry.value, "read choice", collector)
            return None if choices is None else Read("choice", choices=choices)
        of = _text(entry.value, f"read {quantity}", "what it is read of, as text", collector)
        return None if of is None else Read(cast("Quantity", quantity), of)
    found = f"{len(node.entries)} quantities" if isinstance(node, Mapping) else as_shown(node)
    collector.follow(node, f"read: {found}", f"one quantity: {one_of(QUANTITIES)}")
    return None


def _plain(node: Scalar, collector: Collector) -> Read | None:
    if node.text == "choice":
        expected = "the choices too, as in read: {choice: [left, right]}"
        collector.add(node, "read: choice without choices", expected)
        return None
    if node.text not in QUANTITIES:
        _unknown(node, collector)
        return None
    return Read(node.text)


def _unknown(node: Scalar, collector: Collector) -> None:
    collector.add(node, f"unknown quantity '{shorten(node.text)}'", one_of(QUANTITIES, node.text))


def choices_of(node: Node, what: str, collector: Collector) -> tuple[str, ...] | None:
    """The answers that somebody chooses from; None where they cannot be told.

    Args:
        node: a list of them.
        what: what problems call the list, such as ``read choice``.
        collector: for its problems.
    """
    if not isinstance(node, Listing) or not 2 <= len(node.items) <= MOST_CHOICES:
        found = f"{len(node.items)} choices" if isinstance(node, Listing) else as_shown(node)
        expected = f"a list of 2 to {MOST_CHOICES} choices"
        collector.follow(node, f"{what}: {found}", expected)
        return None
    choices: list[str] = []
    for item in node.items:
        text = _text(item, "a choice", "text, in quotes where it looks like a number", collector)
        if text is not None and text in choices:
            collector.add(item, f"the choice '{shorten(text)}' a second time", "each choice once")
        elif text is not None:
            choices.append(text)
    return tuple(choices) if len(choices) == len(node.items) else None


def _text(node: Node, what: str, expected: str, collector: Collector) -> str | None:
    if isinstance(node, Scalar) and isinstance(node.value, str):
        line = " ".join(node.value.split())
        if 0 < len(line) <= LONGEST_TEXT:
            return line
        expected = f"a text of 1 to {LONGEST_TEXT} characters"
    collector.follow(node, f"{what}: {as_shown(node)}", expected)
    return None
