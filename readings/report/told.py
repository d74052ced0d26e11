"""What is made of a visit for people, once, for the page and for the printed sheets."""

from __future__ import annotations

from dataclasses import dataclass

from readings.findings import Finding
from readings.findings.base import Series
from readings.report.gather import VisitContents
from readings.report.pictures import Labelled, Picture, pictures_of
from readings.report.summary import Summary, summary
from readings.report.tables import LongTable, Topic, long_table, topics


@dataclass(frozen=True, slots=True)
class Told:
    """One visit, and all that is made of it for people."""

    contents: VisitContents
    summary: Summary
    topics: list[Topic]
    pictures: list[Picture]
    long_tables: dict[int, LongTable]
    """By `id` of the series, made once for both."""

    def long(self, series: Series) -> LongTable:
        """A series of this visit as a table."""
        return self.long_tables[id(series)]

    def pictures_of(self, topic: Topic) -> list[Picture]:
        """The pictures that stand with a topic: with the first of those of one finding."""
        name = topic.findings[0].name
        first = next(each for each in self.topics if each.findings[0].name == name)
        return [p for p in self.pictures if p.topic == name] if first is topic else []


def told(contents: VisitContents, number: int = 1) -> Told:
    """All of it.

    Args:
        contents: the visit.
        number: which of the report's visits it is, 1 for the first.
    """
    labelled = [Labelled(_label(finding), finding) for finding in contents.findings]
    return Told(
        contents,
        summary(contents),
        topics(contents.findings),
        pictures_of(labelled, contents.readings(), f"v{number}"),
        {id(each): long_table(each) for found in contents.findings for each in found.series},
    )


def _label(finding: Finding) -> str:
    condition = f": {finding.condition}" if finding.condition else ""
    return f"run {finding.run}{condition}"
