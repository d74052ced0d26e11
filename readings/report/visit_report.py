"""What is made of a visit for people, once, for the page and for the printed sheets."""

from __future__ import annotations

from dataclasses import dataclass

from readings.findings import Finding
from readings.findings.base import Series
from readings.report.gather import VisitContents
from readings.report.pictures import Labelled, Picture, Undrawn, pictures_of
from readings.report.pictures.paper import LONGEST_LABEL
from readings.report.summary import Summary, summary
from readings.report.tables import LongTable, Topic, long_table, topics


@dataclass(frozen=True, slots=True)
class VisitReport:
    """One visit, and all that is made of it for people."""

    contents: VisitContents
    summary: Summary
    topics: list[Topic]
    pictures: list[Picture]
    undrawn: list[Undrawn]
    long_tables: dict[int, LongTable]
    """By `id` of the series, made once for both."""

    def long(self, series: Series) -> LongTable:
        """A series of this visit as a table."""
        return self.long_tables[id(series)]

    def pictures_of(self, topic: Topic) -> list[Picture]:
        """The pictures that stand with a topic."""
        return [each for each in self.pictures if (each.topic, each.heading) == _key(topic)]

    def undrawn_of(self, topic: Topic) -> list[str]:
        """A sentence for each picture that should stand with a topic and cannot be drawn."""
        return [each.says for each in self.undrawn if (each.topic, each.heading) == _key(topic)]


def _key(topic: Topic) -> tuple[str, str]:
    return topic.findings[0].name, topic.title


def visit_report(contents: VisitContents, number: int = 1) -> VisitReport:
    """All of it.

    Args:
        contents: the visit.
        number: which of the report's visits it is, 1 for the first.
    """
    read = {run.run.id: tuple(run.measured) for run in contents.runs}
    labelled = [
        Labelled(label_of(finding), finding, read.get(finding.run, ()))
        for finding in contents.findings
    ]
    pictures, undrawn = pictures_of(labelled, f"v{number}")
    return VisitReport(
        contents,
        summary(contents),
        topics(contents.findings),
        pictures,
        undrawn,
        {id(each): long_table(each) for found in contents.findings for each in found.series},
    )


LEAST_OF_TITLE = 16
"""Characters of a sequence's title that are left where the condition would not fit beside it."""


def label_of(finding: Finding) -> str:
    """A run in a picture: `run 4: Greyscale in 21 steps, local dimming on`."""
    run, sequence, condition = f"run {finding.run}", finding.played[0], finding.condition
    free = max(LONGEST_LABEL - len(f"{run}: , {condition}"), LEAST_OF_TITLE)
    if condition and len(sequence) > free:
        sequence = f"{sequence[: free - 1].rstrip()}…"
    called = ", ".join(part for part in (sequence, condition) if part)
    return f"{run}: {called}" if called else run
