"""The roles by which findings know the readings of a sequence, and what a misspelt one costs.

Which findings there are and what they read is known to `readings`, which this room does not know:
whoever loads a sequence says it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from typing import Protocol

from patterns.control import ADJUSTING
from sequences.model import Step
from sequences.problems import Collector, one_of
from sequences.tree import Listing, Node, Scalar, shorten

Way = tuple[str, ...]
"""Roles that a finding has to have all of to be worked out in one way."""


class Reader(Protocol):
    """What reads the readings of a sequence by their roles: a finding."""

    def roles(self) -> frozenset[str]:
        """Every role that it reads, needed or not."""

    def ways(self) -> tuple[Way, ...]:
        """What it needs of a sequence: one of these; without any, it reads every role."""

    def without_role(self) -> frozenset[tuple[str, str]]:
        """Pattern kind and quantity that it knows whatever their role."""


Readers = Mapping[str, Reader]
"""By the name that stands in `finds`."""
CORRECTION = "correction-"
"""How the roles begin that ``litfield correct`` reads."""
MASKED = "stray-masked"
"""The role of a place that is read through a mask with a hole, which has to be at hand for it."""
CLOSE = 0.75
"""How alike a role and a known one are (difflib's ratio) where a slip is likely: gray and grey."""


def require_roles(
    finds: Node | None, steps: Sequence[Step], readers: Readers, collector: Collector
) -> None:
    """Note every entry of ``finds`` that is none, and every one of which no step can tell."""
    for node in finds.items if isinstance(finds, Listing) else ():
        if not isinstance(node, Scalar) or node.broken:
            continue
        name = node.text
        if name not in readers:
            collector.add(node, f"the finding {shorten(name, 40)!r}", one_of(sorted(readers), name))
        elif readers[name].ways() and not _can_tell(readers[name], steps):
            collector.add(node, *_missing(name, readers[name].ways(), steps, known(readers)))


def known(readers: Readers) -> frozenset[str]:
    """Every role that one of them reads."""
    return frozenset[str]().union(*(reader.roles() for reader in readers.values()))


def _can_tell(reader: Reader, steps: Sequence[Step]) -> bool:
    read = [step for step in steps if step.read is not None]
    roles = {step.role for step in read}
    shown = {(step.pattern.kind, step.read.quantity) for step in read if step.read is not None}
    return bool(reader.without_role() & shown) or any(
        roles.issuperset(way) for way in reader.ways()
    )


def _missing(
    finding: str, ways: Sequence[Way], steps: Sequence[Step], known: frozenset[str]
) -> tuple[str, str]:
    """What was found and what was expected; of several ways, the one that was probably meant."""
    roles = {step.role for step in steps if step.read is not None}
    slips = {step.role: step.line for step in steps if step.role and step.role not in known}

    def meant(way: Way) -> dict[str, str]:
        close = {role: get_close_matches(role, slips, 1, CLOSE) for role in way}
        return {role: found[0] for role, found in close.items() if found and role not in roles}

    way = max(ways, key=lambda way: len(meant(way)) + len(roles.intersection(way)))
    lacking = [role for role in way if role not in roles]
    slipped = meant(way)
    if not slipped and len(lacking) == len(way):
        what = "a role that it reads"
    else:
        what = f"the role{'s' * (len(lacking) > 1)} {_listed(lacking, 'and')}"
    expected = _listed([_listed(way, "and") for way in ways], "or")
    if slipped:
        sentences = [
            f"{role} for {shorten(slip, 40)} on line {slips[slip]}"
            for role, slip in slipped.items()
        ]
        expected += f" (did you mean {_listed(sentences, 'and')}?)"
    return f"finds: {finding}, but no step that is read has {what}", expected


def remarks(steps: Iterable[Step], readers: Readers) -> list[str]:
    """Sentences about roles that none of them reads: likely slips one by one, then all others."""
    roles = sorted(known(readers))
    slips: dict[str, str] = {}
    own: dict[str, None] = {}
    for step in steps:
        known_so = step.role in roles or step.role == ADJUSTING
        if not step.role or known_so or step.role.startswith(CORRECTION):
            continue
        # a slip seldom takes the first letter; an answer in words is for people, and so is its role
        by_eye = step.read is None or step.read.quantity in ("choice", "text", "tally")
        alike = [] if by_eye else [each for each in roles if each[0] == step.role[0]]
        if close := get_close_matches(step.role, alike, 1, CLOSE):
            slips.setdefault(
                step.role,
                f"Step {step.number}: no finding looks for the role {step.role} "
                f"(did you mean {close[0]}?).",
            )
        else:
            own[step.role] = None
    sentences = list(slips.values())
    if own:
        named = _listed(list(own), "or")
        sentences.append(f"No finding looks for the role {named}: yours to mark readings with.")
    return sentences


def _listed(names: Sequence[str], last: str) -> str:
    """``a, b and c``."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}"
