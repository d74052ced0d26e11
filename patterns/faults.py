"""Which answers to a picture are faults of a display: what sequences say, and visits keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self


@dataclass(frozen=True, slots=True)
class Faults:
    """The answers of one step that are faults; with neither, none of what is seen there is one.

    Raises ValueError where it says both.
    """

    choices: tuple[str, ...] = ()
    """Of a choice."""
    above: int | None = None
    """Of a count: whatever is more than this."""

    def __post_init__(self) -> None:
        if self.choices and self.above is not None:
            raise ValueError("a step has a choice or a count, not both")

    def on(self, _range: str) -> Self:
        """The same on a link of either range."""
        return self

    @property
    def named(self) -> bool:
        """Whether some answer is a fault."""
        return bool(self.choices) or self.above is not None

    def holds(self, *, number: float | None, text: str | None) -> bool | None:
        """Whether an answer is a fault; None where it says nothing, as a count nobody can tell."""
        if self.above is not None:
            return None if number is None else number > self.above
        return None if text is None else text in self.choices

    def describe(self) -> dict[str, object]:
        """As a visit keeps it; what is not said is left out."""
        told: dict[str, object] = {"choices": list(self.choices)} if self.choices else {}
        return told if self.above is None else {"above": self.above}

    @classmethod
    def described(cls, given: Mapping[str, Any]) -> Self:
        """From what `describe` gave. Raises ValueError where it is no such thing."""
        choices, above = given.get("choices", []), given.get("above")
        sound = isinstance(choices, list) and all(isinstance(each, str) for each in choices)
        if not sound or (above is not None and type(above) is not int):
            raise ValueError(f"no faults are said so: {given!r}")
        return cls(tuple(choices), above)


@dataclass(frozen=True, slots=True)
class FaultsByRange:
    """The same for a picture that looks otherwise on a link of full and of narrow range."""

    full: Faults | None = None
    """None where nothing is said of that range."""
    narrow: Faults | None = None

    def on(self, range_: str) -> Faults | None:
        """Which answers are faults on a link of that range, `full` or `narrow`."""
        return self.full if range_ == "full" else self.narrow
