"""The points of a step that adjusts: what is read on the way, and the picture of each."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from patterns.control import CHANNELS, PRIMARIES, Channel
from patterns.kinds import Pattern
from player.run.by_hand import changes, with_changes
from readings.adjusting.goal import Point, greys
from sequences.model import Step

SECONDARIES: dict[Channel, tuple[Channel, Channel]] = {
    "cyan": ("green", "blue"),
    "magenta": ("red", "blue"),
    "yellow": ("red", "green"),
}
"""Of which primaries each is made."""


class Points:
    """The points of a step: its greys, with black and a white, and its colours.

    Args:
        step: one that adjusts.
    """

    def __init__(self, step: Step) -> None:
        read = step.read
        assert read is not None  # noqa: S101 - a step that adjusts reads
        levels = {0.0, *read.levels}
        if len(levels) == 1:
            levels.add(100.0)
        found: list[tuple[Point, dict[str, object]]] = [
            (point, {"level": _percent(point)}) for point in greys(sorted(levels))
        ]
        if "six-colour" in read.adjusts:
            found += [(_colour(step.pattern, each), {"colour": each}) for each in CHANNELS]
        self.all: tuple[Point, ...] = tuple(point for point, _ in found)
        self._plan = step.pattern
        self._pictures = [with_changes(step.pattern, changed) for _, changed in found]
        self._places = {self._key(each): place for place, each in enumerate(self._pictures)}

    def picture(self, place: int) -> Pattern:
        """The picture of a point."""
        return self._pictures[place]

    def of_picture(self, pattern: Pattern | None) -> int | None:
        """The point that a picture is of; None for any other picture."""
        return None if pattern is None else self._places.get(self._key(pattern))

    def of_facts(self, facts: Mapping[str, object]) -> int | None:
        """The point that a picture was of, by what was kept of it."""
        changed = facts.get("changed")
        return self._places.get(_text(changed if isinstance(changed, Mapping) else {}))

    def _key(self, pattern: Pattern) -> str:
        return _text(changes(self._plan, pattern))


def _text(changed: Mapping[str, object]) -> str:
    return json.dumps(changed, sort_keys=True)


def _percent(grey: Point) -> str:
    return f"{100 * grey.signal[0]:.10g} %"


def _colour(pattern: Pattern, channel: Channel) -> Point:
    """The point of one of the six colours, at the level of a patch."""
    patch: Any = pattern
    strength = float((patch.level or patch.usual).exact / 100)
    parts = SECONDARIES.get(channel, (channel,))
    red, green, blue = (strength if each in parts else 0.0 for each in PRIMARIES)
    return Point(channel, (red, green, blue))
