"""``faults``: which answers of a step are faults of the display, as its sequence says."""

from __future__ import annotations

from patterns.faults import Faults, FaultsByRange
from patterns.quantity import LIGHT
from sequences.model import Read
from sequences.problems import Collector, as_shown, one_of
from sequences.tree import Listing, Mapping, Node, Scalar, shorten

NONE = "none"
"""What is said where no answer is a fault, and each is worth telling."""
MOST_COUNTED = 100_000
RANGES = ("full", "narrow")
"""Keys of what is said by the range of the link."""
EXPECTED = {
    "choice": "a list of choices that are faults, or none",
    "count": "{above: 0}, or another number up to which a count is no fault, or none",
}


def faults_of(node: Node, read: Read | None, collector: Collector) -> Faults | FaultsByRange | None:
    """What a step says of its answers, placeholders not yet filled; None where that is wrong.

    Args:
        node: the value of ``faults``.
        read: what the step reads; None where nothing is, or where that could not be read.
        collector: gets every problem.
    """
    if isinstance(node, Scalar) and node.value is None:
        collector.follow(node, f"faults: {as_shown(node)}", "the answers that are faults, or none")
        return None
    quantity = read.quantity if read is not None else None
    if quantity is None or quantity in (*LIGHT, "milliseconds", "tally"):
        what = "a step that reads nothing" if quantity is None else f"a reading of {quantity}"
        collector.follow(node, f"faults of {what}", "them with a choice, a count or a text")
        return None
    if isinstance(node, Mapping) and node.entries and set(node.entries) <= set(RANGES):
        said = {name: _one(entry.value, read, collector) for name, entry in node.entries.items()}
        if None in said.values():
            return None
        return FaultsByRange(said.get("full"), said.get("narrow"))
    return _one(node, read, collector)


def _one(node: Node, read: Read | None, collector: Collector) -> Faults | None:
    """What is said of one range, or of both."""
    quantity = "" if read is None else read.quantity
    if isinstance(node, Scalar) and node.value == NONE:
        return Faults()
    if read is not None and quantity == "choice" and isinstance(node, Listing) and node.items:
        return _choices(node, read.choices, collector)
    if quantity == "count" and isinstance(node, Mapping) and [*node.entries] == ["above"]:
        return _above(node.entries["above"].value, collector)
    collector.follow(node, f"faults: {as_shown(node)}", EXPECTED.get(quantity, NONE))
    return None


def _choices(node: Listing, known: tuple[str, ...], collector: Collector) -> Faults | None:
    found: list[str] = []
    for item in node.items:
        text = " ".join(str(item.value).split()) if isinstance(item, Scalar) else ""
        if text not in known:
            collector.follow(item, f"the fault {as_shown(item)}", one_of(known, text))
        elif text in found:
            collector.add(item, f"the fault '{shorten(text)}' a second time", "each fault once")
        else:
            found.append(text)
    if len(found) != len(node.items):
        return None
    if len(found) == len(known):
        collector.add(node, "every choice as a fault", "at least one choice that is none")
        return None
    return Faults(tuple(found))


def _above(node: Node, collector: Collector) -> Faults | None:
    number = node.value if isinstance(node, Scalar) else None
    if type(number) is int and 0 <= number < MOST_COUNTED:
        return Faults(above=number)
    expected = f"a whole number from 0 to {MOST_COUNTED - 1}"
    collector.follow(node, f"faults above: {as_shown(node)}", expected)
    return None
