"""What a task has given, in plain words: the front page's sentences of one run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from readings.report.gather import VisitContents
from readings.report.summary import Statement, Verdict, summary

WORDS: dict[Verdict, str] = {
    "bad": "NOT GOOD",
    "unsure": "CANNOT TELL",
    "open": "FOUND",
    "good": "GOOD",
}
ORDER: tuple[Verdict, ...] = ("bad", "unsure", "open", "good")


@dataclass(frozen=True)
class Said:
    """One sentence on what a run gave."""

    verdict: Verdict
    sentence: str
    figures: tuple[str, ...]
    settle: str
    """What would settle it, where it cannot be told; empty otherwise."""

    @property
    def word(self) -> str:
        """The verdict, so that it does not rest on colour."""
        return WORDS[self.verdict]


@dataclass(frozen=True)
class Given:
    """What one run gave."""

    said: tuple[Said, ...]
    unread: int
    """Steps that ask for a reading and have none."""
    warnings: tuple[str, ...]

    def in_short(self) -> str:
        """One line: the worst first."""
        counts = [
            f"{sum(each.verdict == verdict for each in self.said)} {WORDS[verdict].lower()}"
            for verdict in ORDER
            if any(each.verdict == verdict for each in self.said)
        ]
        parts = [*counts, *([f"{self.unread} not read"] if self.unread else [])]
        first = next((each for each in self.said if each.verdict in ("bad", "open")), None)
        words = f"{first.sentence}: {first.figures[0]}" if first and first.figures else ""
        return "; ".join(filter(None, (words, ", ".join(parts)))) or "read, and nothing found"


def given_of(contents: VisitContents) -> dict[int, Given]:
    """What each run of a visit gave, as the report's front page tells it, by the run's id."""
    told = summary(contents).statements
    return {each.run.id: _given(contents, told, each.run.id) for each in contents.runs}


def _given(contents: VisitContents, told: Sequence[Statement], run: int) -> Given:
    said = [found for each in told if (found := _of_run(each, run)) is not None]
    said.sort(key=lambda each: ORDER.index(each.verdict))
    mine = next((each for each in contents.runs if each.run.id == run), None)
    warnings = dict.fromkeys(
        warning for each in contents.findings if each.run == run for warning in each.warnings
    )
    unread = 0 if mine is None else sum(1 for _ in mine.unread())
    return Given(tuple(said), unread, tuple(warnings))


def _of_run(statement: Statement, run: int) -> Said | None:
    figures = [each for each in statement.figures if each.run == run]
    if not figures:
        return None
    told = [f"{each.what}: {each.text}" if each.what else each.text for each in figures]
    settle = statement.settle if statement.verdict == "unsure" else ""
    return Said(statement.verdict, statement.sentence, _short(told), settle)


def _short(told: Sequence[str], most: int = 3) -> tuple[str, ...]:
    return tuple(told[:most])
