"""Whether a condition is meant as one of before: a slip in typing makes two things of one.

Runs are compared, taken up and told side by side by their condition, letter by letter. What is
nearly like an earlier condition is therefore asked about before a run begins. Nothing here asks:
the command line and the windows do, each in its way.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Literal

SHORT, LONG = 3, 8
"""Letters: in words of up to SHORT, one may be missing or too many, or two be swapped, as one that
differs makes another word of it; from LONG on a word may have two slips, and one in between. All
of these are choices of our own."""
MOST_SLIPS = 2
"""In all of a condition."""
_PART = re.compile(r"[+\-\u2212]?\d+(?:[.,]\d+)*|[^\W\d_]+")
"""A number with its sign, or a word; what stands between them tells nothing apart."""


@dataclass(frozen=True)
class Earlier:
    """A run of before, as far as it matters here."""

    run: int
    condition: str
    same_sequence: bool
    left_at: int | None = None
    """The step at which it would go on, where it was not finished and can be taken up."""


@dataclass(frozen=True)
class Question:
    """What is to be asked before a run begins; with yes, it is under `condition`."""

    about: Literal["alike", "none named", "left"]
    condition: str
    run: int
    """The latest run under that condition."""
    step: int | None = None
    """Where it goes on, where it was left."""

    def __str__(self) -> str:
        return f"{self.found} {'Go on with it?' if self.about == 'left' else 'Is this the same?'}"

    @property
    def found(self) -> str:
        """What there is, as a sentence."""
        if self.about == "left":
            under = f"under '{self.condition}'" if self.condition else "without a condition"
            return f"Run {self.run} of this sequence was left at step {self.step} {under}."
        if self.about == "none named":
            return f"Earlier runs of this sequence say '{self.condition}', and this one nothing."
        return f"Earlier runs say '{self.condition}'."


def questions(condition: str, earlier: Sequence[Earlier]) -> list[Question]:
    """What is to be asked of a condition, the likeliest first; the first yes answers it.

    Args:
        condition: as it was typed; may be empty.
        earlier: the runs of the visit that count, in their order.
    """
    latest = {each.condition: each for each in earlier}
    found = list(_named_alike(condition, latest.values()))
    mine = {each.condition: each for each in earlier if each.same_sequence}
    asked = {each.condition for each in found}
    lefts = [each for each in mine.values() if each.left_at is not None]
    if not any(each.condition == condition for each in lefts):
        found += [
            Question("left", each.condition, each.run, each.left_at)
            for each in sorted(lefts, key=lambda each: -each.run)
            if each.condition not in asked
        ]
    if not condition and "" not in mine:
        asked |= {each.condition for each in found}
        found += [
            Question("none named", each.condition, each.run)
            for each in sorted(mine.values(), key=lambda each: -each.run)
            if each.condition not in asked
        ]
    return found


def _named_alike(condition: str, latest: Iterable[Earlier]) -> Iterator[Question]:
    """The conditions that are nearly like this one; none where a run has this very one."""
    latest = list(latest)
    if any(each.condition == condition for each in latest):
        return
    near = [(slips(condition, each.condition), each) for each in latest]
    for _, each in sorted(
        ((many, each) for many, each in near if many is not None),
        key=lambda pair: (pair[0], -pair[1].run),
    ):
        yield Question("alike", each.condition, each.run)


def slips(first: str, second: str) -> int | None:
    """How many slips lie between two conditions; None where they are different ones.

    Spaces, capitals and punctuation are none. Numbers are never slips: they tell conditions apart.
    """
    one, other = _parts(first), _parts(second)
    if not one or not other:
        return 0 if first.strip() and first.split() == second.split() else None
    if _joined(one) == _joined(other):
        return 0
    total = 0
    for mine, theirs in zip_longest(one, other):
        many = None if mine is None or theirs is None else _slips_in_word(mine, theirs)
        if many is None:
            return None
        total += many
    return total if total <= MOST_SLIPS else None


def _parts(text: str) -> list[str]:
    return _PART.findall(unicodedata.normalize("NFKC", text).casefold())


def _joined(parts: Iterable[str]) -> str:
    return "".join(part if part.isalpha() else f" {part} " for part in parts)


def _slips_in_word(first: str, second: str) -> int | None:
    if first == second:
        return 0
    if not (first.isalpha() and second.isalpha()):
        return None
    many, shorter = distance(first, second), min(len(first), len(second))
    if shorter <= SHORT:
        replaced = len(first) == len(second) and sorted(first) != sorted(second)
        return many if many == 1 and not replaced else None
    return many if many <= (2 if shorter >= LONG else 1) else None


def distance(first: str, second: str) -> int:
    """Letters to leave out, add, replace, or swap with the next, to make one text of the other.

    The optimal string alignment distance: F. J. Damerau, Comm. ACM 7 (1964) 171, by the table of
    R. A. Wagner and M. J. Fischer, J. ACM 21 (1974) 168 (both from memory).
    """
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, letter in enumerate(first, 1):
        above, earlier = row, before
        row = [i]
        for j, other in enumerate(second, 1):
            best = min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (letter != other))
            swapped = i > 1 and j > 1 and letter == second[j - 2] and first[i - 2] == other
            row.append(min(best, earlier[j - 2] + 1) if swapped else best)
        before = above
    return row[-1]
