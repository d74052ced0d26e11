"""What a finding is, and its form in a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from readings.uncertainty import COVERAGE, digits, written
from readings.zones.saying import written as written_count

Bound = Literal["lower", "upper"]


class FindingError(Exception):
    """A finding was asked for that there is none of; ``str()`` is one clear sentence."""


@dataclass(frozen=True, slots=True)
class Value:
    """One number that a finding gives."""

    name: str
    """Stable, such as `peak-luminance`; docs/findings.md lists them."""
    label: str
    """For people, such as `10 % window`."""
    value: float | None
    """None where it is not defined; never infinite."""
    unit: str
    """`cd/m2`, `%`, `:1`, or nothing for a count."""
    uncertainty: float | None = None
    """Expanded (k = 2), in the same unit; None where it is not known."""
    bound: Bound | None = None
    """`lower`: the truth is at least this; `upper`: at most."""
    where: Mapping[str, object] = field(default_factory=dict)
    """What it belongs to, such as `area_percent`."""
    among: tuple[int, ...] = ()
    """Of a count: the smallest set of counts that holds the truth with 95 %, rising. Where the
    count is not claimed, `value` is None and this says what it may be."""

    def written(self) -> str:
        """As people read it: `1140:1 ± 73`, `at most 0.01 cd/m2`, `undefined`."""
        if self.among:
            return written_count(None if self.value is None else int(self.value), self.among)
        if self.value is None:
            return "undefined"
        number, spread = written(self.value, self.uncertainty)
        bound = {"lower": "at least ", "upper": "at most ", None: ""}[self.bound]
        plus = "" if spread is None else f" ± {spread}"
        if self.unit == ":1":
            return f"{bound}{number}:1{plus}"
        return f"{bound}{number}{plus} {self.unit}"

    def settled(self) -> dict[str, object]:
        """As plain values, with no more digits than the uncertainty allows."""
        if self.among:
            return self._counted()
        value, spread = (None, None) if self.value is None else digits(self.value, self.uncertainty)
        return {
            "name": self.name,
            "label": self.label,
            "value": None if value is None else float(value),
            "unit": self.unit,
            "uncertainty": None if spread is None else float(spread),
            "coverage_factor": None if spread is None else COVERAGE,
            "bound": self.bound,
            "where": dict(sorted(self.where.items())),
        }

    def _counted(self) -> dict[str, object]:
        """A count as plain values: whole, with the set that stands for an uncertainty."""
        return {
            "name": self.name,
            "label": self.label,
            "value": None if self.value is None else int(self.value),
            "unit": self.unit,
            "uncertainty": None,
            "coverage_factor": None,
            "bound": None,
            "set95": list(self.among),
            "where": dict(sorted(self.where.items())),
        }


@dataclass(frozen=True, slots=True)
class Finding:
    """What readings of one run mean."""

    name: str
    """Its name in the registry."""
    title: str
    condition: str
    run: int
    values: tuple[Value, ...]
    """The main one first."""
    method: str
    """How it was worked out, for people."""
    source: str
    """The published document and clause, or that the definition is our own."""
    readings: tuple[int, ...]
    """The ids of the readings it used, in order."""
    warnings: tuple[str, ...] = ()

    def value(self, name: str) -> Value | None:
        """The first value of this name."""
        return next((value for value in self.values if value.name == name), None)

    def settled(self) -> dict[str, object]:
        """As plain values."""
        return {
            "name": self.name,
            "title": self.title,
            "run": self.run,
            "condition": self.condition,
            "values": [value.settled() for value in self.values],
            "method": self.method,
            "source": self.source,
            "readings": list(self.readings),
            "warnings": list(self.warnings),
        }


def settle(findings: Iterable[Finding]) -> list[dict[str, object]]:
    """Findings as plain values that JSON can hold, the same for the same readings."""
    return [finding.settled() for finding in findings]
