"""``aim`` of a sequence or a plan: what the display is meant to do."""

from __future__ import annotations

from pydantic import ValidationError

from patterns.aim import NOT_STATED, Aim
from patterns.signal.signal import Signal
from sequences.grammar import AimParts
from sequences.messages import public_names, tell
from sequences.problems import Collector, as_shown
from sequences.tree import Mapping, Node, plain


def aim_of(node: Node | None, signal: Signal | None, collector: Collector) -> Aim:
    """What a file states; nothing where that cannot be told, which the collector then knows.

    Args:
        node: what stands under ``aim``.
        signal: of the sequence that states it; None where several may be meant.
        collector: for its problems.
    """
    if node is None or node.broken:
        return NOT_STATED
    if not isinstance(node, Mapping):
        expected = f"a mapping with {', '.join(public_names(AimParts))}"
        collector.follow(node, f"aim: {as_shown(node)}", expected)
        return NOT_STATED
    try:
        aim = AimParts.model_validate(plain(node)).aim()
    except ValidationError as error:
        tell(error, AimParts, node, collector, "aim")
        return NOT_STATED
    if signal is not None:
        for name in aim.idle_in(signal.transfer.name):
            at = node.get(name) or node
            what = f"{name} in aim, of a signal of {signal.transfer.name}"
            collector.add(at, what, "none, as the signal says it itself")
    return aim
