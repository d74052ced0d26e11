"""``read``: a quantity, or a mapping with one entry, the quantity and what it is read of.

``read: {adjust: [two-point]}`` reads colours while the display is adjusted by its own controls.
"""

from __future__ import annotations

from decimal import Decimal
from typing import cast

from patterns.control import MENUS, Menu
from patterns.errors import ParameterError
from patterns.quantity import QUANTITIES, Quantity
from patterns.signal.measures import parse_measure
from sequences.grammar import LONGEST_TEXT
from sequences.model import ADJUSTED_AT, Read
from sequences.problems import Collector, as_shown, one_of
from sequences.tree import Listing, Mapping, Node, Scalar, shorten

MOST_CHOICES = 50
ADJUST = "adjust"
READS = (*QUANTITIES, ADJUST)
"""What may stand under ``read``."""
MOST_LEVELS = 64
HIGHEST_LEVEL = 109
"""Percent of the signal: code 1019 of 10 bits in narrow range, the last that video may have."""
EXPECTED_ADJUST = "a list of the menus, as in read: {adjust: [two-point]}, or {controls:, levels:}"


def read_of(node: Node, collector: Collector) -> Read | None:
    """What a step reads, placeholders not yet filled; None where that cannot be told."""
    if isinstance(node, Scalar) and isinstance(node.value, str):
        return _plain(node, collector)
    if isinstance(node, Mapping) and len(node.entries) == 1:
        (quantity, entry), *_ = node.entries.items()
        if quantity == ADJUST:
            return _adjust(entry.value, collector)
        if quantity not in QUANTITIES:
            _unknown(entry.key, collector)
            return None
        if quantity == "choice":
            choices = choices_of(entry.value, "read choice", collector)
            return None if choices is None else Read("choice", choices=choices)
        of = _text(entry.value, f"read {quantity}", "what it is read of, as text", collector)
        return None if of is None else Read(cast("Quantity", quantity), of)
    found = f"{len(node.entries)} quantities" if isinstance(node, Mapping) else as_shown(node)
    collector.follow(node, f"read: {found}", f"one quantity: {one_of(READS)}")
    return None


def _plain(node: Scalar, collector: Collector) -> Read | None:
    if node.text == "choice":
        expected = "the choices too, as in read: {choice: [left, right]}"
        collector.add(node, "read: choice without choices", expected)
        return None
    if node.text == ADJUST:
        collector.add(node, "read: adjust without controls", EXPECTED_ADJUST)
        return None
    if node.text not in QUANTITIES:
        _unknown(node, collector)
        return None
    return Read(node.text)


def _unknown(node: Scalar, collector: Collector) -> None:
    collector.add(node, f"unknown quantity '{shorten(node.text)}'", one_of(READS, node.text))


def _adjust(node: Node, collector: Collector) -> Read | None:
    """What a step reads that adjusts, of the menus that are named."""
    menus: Node | None = node
    levels: tuple[float, ...] | None = ADJUSTED_AT
    if isinstance(node, Mapping):
        for name, entry in node.entries.items():
            if name not in ("controls", "levels"):
                found = f"unknown key '{shorten(name)}' in read adjust"
                collector.add(entry.key, found, one_of(("controls", "levels"), name))
        menus = node.get("controls")
        if menus is None and not node.cut:
            collector.add(node, "no controls in read adjust", EXPECTED_ADJUST)
        if (given := node.get("levels")) is not None:
            levels = _levels(given, collector)
    named = None if menus is None else _menus(menus, collector)
    if named is None or levels is None:
        return None
    return Read("colour", adjusts=named, levels=levels)


def _menus(node: Node, collector: Collector) -> tuple[Menu, ...] | None:
    if not isinstance(node, Listing) or not node.items:
        collector.follow(node, f"read adjust: {as_shown(node)}", EXPECTED_ADJUST)
        return None
    menus: list[Menu] = []
    for item in node.items:
        name = item.text if isinstance(item, Scalar) else ""
        if name not in MENUS:
            collector.follow(item, f"read adjust: {as_shown(item)}", one_of(MENUS, name))
        elif name in menus:
            collector.add(item, f"the menu {name} a second time", "each menu once")
        else:
            menus.append(name)
    return tuple(menus) if len(menus) == len(node.items) else None


def _levels(node: Node, collector: Collector) -> tuple[float, ...] | None:
    """Greys in percent, rising; None where one of them cannot be told."""
    if not isinstance(node, Listing) or not 2 <= len(node.items) <= MOST_LEVELS:
        found = f"{len(node.items)} levels" if isinstance(node, Listing) else as_shown(node)
        expected = f"a list of 2 to {MOST_LEVELS} levels, as in [0 %, 50 %, 100 %]"
        collector.follow(node, f"levels of read adjust: {found}", expected)
        return None
    levels: list[float] = []
    for item in node.items:
        level = percent_of(item, collector)
        if level is not None and level in levels:
            collector.add(item, f"the level {as_shown(item)} a second time", "each level once")
        elif level is not None:
            levels.append(level)
    if 0 not in levels and len(levels) == len(node.items):
        collector.add(node, "levels of read adjust without 0 %", "black among them")
        return None
    return tuple(sorted(levels)) if len(levels) == len(node.items) else None


def percent_of(node: Node, collector: Collector) -> float | None:
    """A level in percent of the signal, 0 to 109; None where it is none."""
    given = node.value if isinstance(node, Scalar) else None
    try:
        level = parse_measure(given, ("%",), "50 %").number
    except ParameterError:
        level = Decimal(-1)
    if 0 <= level <= HIGHEST_LEVEL:
        return float(level)
    collector.follow(node, f"a level: {as_shown(node)}", f"0 % to {HIGHEST_LEVEL} %, as in 50 %")
    return None


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
