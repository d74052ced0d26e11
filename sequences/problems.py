"""What is wrong with a sequence or a plan: where, what was found, and what was expected there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from patterns.errors import BAD_INPUT, LitfieldError
from sequences.tree import Listing, Mapping, Node, Scalar, shorten

What = Literal["sequence", "plan", "control list"]
MOST_PROBLEMS = 100
"""Problems told of one file; a number says how many more there are."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong. ``line`` and ``column`` count from 1; None means the whole file."""

    source: str
    line: int | None
    column: int | None
    found: str
    expected: str

    def __str__(self) -> str:
        where = self.source
        if self.line is not None:
            where += f":{self.line}:{self.column}"
        return f"{where}: found {self.found}; expected {self.expected}"


class SequenceError(LitfieldError):
    """A sequence or a plan that cannot be used; ``str()`` has one line per problem."""

    exit_code = BAD_INPUT
    listed = True

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


class Collector:
    """Gathers the problems of one file, each once.

    Args:
        source: what problems call the file.
        what: what it is meant to be.
    """

    def __init__(self, source: str, what: What = "sequence") -> None:
        self.source = source
        self.what = what
        self._problems: dict[Problem, None] = {}

    def add(self, at: Node | None, found: str, expected: str) -> None:
        """Note a problem at a node, or of the whole file."""
        line, column = (at.line, at.column) if at is not None else (None, None)
        self._problems.setdefault(Problem(self.source, line, column, found, expected))

    def follow(self, at: Node, found: str, expected: str) -> None:
        """Note a problem unless the node has one already, of which this is only a consequence."""
        if not at.broken:
            self.add(at, found, expected)

    def __len__(self) -> int:
        return len(self._problems)

    def listed(self) -> list[Problem]:
        """The problems in the order of the file, the first hundred of them."""
        ordered = sorted(self._problems, key=lambda each: (each.line or 0, each.column or 0))
        more = len(ordered) - MOST_PROBLEMS
        if more > 0:
            rest = Problem(self.source, None, None, f"{more} more problems", "none")
            return [*ordered[:MOST_PROBLEMS], rest]
        return ordered


def one_of(names: Iterable[str], wrong: str = "") -> str:
    """``a, b or c``, and the one that was probably meant."""
    known = list(names)
    text = known[0] if len(known) == 1 else f"{', '.join(known[:-1])} or {known[-1]}"
    close = _like(wrong, known, 1)
    return f"{text} (did you mean {close[0]}?)" if close else text


def one_of_many(what: str, names: Iterable[str], wrong: str, where: str) -> str:
    """``a kind``, the few that may have been meant, and where the rest are listed."""
    close = _like(wrong, list(names), 3)
    meant = f" such as {', '.join(close)}" if close else ""
    return f"{what}{meant} ({where} lists all)"


def _like(wrong: str, names: list[str], most: int) -> list[str]:
    """The names that may have been meant, the likeliest first."""
    import difflib

    lower = {name.lower(): name for name in names}
    return [lower[each] for each in difflib.get_close_matches(wrong[:40].lower(), lower, most)]


def as_shown(node: Node) -> str:
    """A node as an error shows it: the text as written, shortened, or what it is."""
    if isinstance(node, Scalar):
        return "nothing" if node.value is None else shorten(node.text) or "an empty text"
    empty = isinstance(node, Listing | Mapping) and not len(node)
    return node.what.replace("a ", "an empty ") if empty else node.what
