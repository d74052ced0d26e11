"""The steps that readings of others are judged by, white and black, whatever a file says."""

from __future__ import annotations

from collections.abc import Iterable

from patterns.errors import PatternError
from patterns.picture.canvas import Canvas
from patterns.signal.signal import Signal
from player.run.expecting import Coded, coded_of
from sequences.model import Step

NAMED = frozenset({"white", "black", "background"})
OF_NAMED = ("target-", "reference-", "correction-")
"""Roles whose readings others are compared with, and what may stand before: `target-white`."""


def references_of(steps: Iterable[Step], canvas: Canvas, signal: Signal) -> frozenset[int]:
    """The numbers of the steps that others need.

    The first step of each role that is named after white, black or the background; and, of greys
    with one role and several levels, the first white and the first black, where no step has a role
    named so. Greys that are read at places are left out.
    """
    found: dict[str, int] = {}
    greys: dict[str, dict[str, int]] = {}
    for step in steps:
        if step.read is None or not step.read.of_light or step.read.adjusts:
            continue
        if _is_named(step.role):
            found.setdefault(step.role, step.number)
            continue
        if step.read.of:
            continue  # places are compared, and not levels
        level = _level(_coded(step, canvas, signal))
        greys.setdefault(step.role, {}).setdefault(level, step.number)
    named = {role.rsplit("-", 1)[-1] for role in found}
    of_greys = {
        levels[end]
        for levels in greys.values()
        if len(levels) > 1
        for end in ("white", "black")
        if end in levels and end not in named
    }
    return frozenset(found.values()) | of_greys


def _is_named(role: str) -> bool:
    return any(role.removeprefix(prefix) in NAMED for prefix in OF_NAMED)


def _level(coded: Coded | None) -> str:
    if coded is None or not coded.grey:
        return ""
    return "white" if coded.white else "black" if coded.black else "between"


def _coded(step: Step, canvas: Canvas, signal: Signal) -> Coded | None:
    try:
        return coded_of(step, step.pattern, step.pattern.frame(canvas, signal))
    except PatternError:
        return None
