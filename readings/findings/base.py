"""What a finding is, and its form in a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Literal, SupportsFloat

from patterns.errors import BAD_INPUT, LitfieldError
from readings.colorimetry.chromaticity import Floats
from readings.evidence.uncertainty import COVERAGE, digits, significant, written
from readings.zones.combine import written as written_count

Bound = Literal["lower", "upper"]
Verdict = Literal["good", "bad", "unsure", "open"]
"""`open` is neither good nor bad: what was found, and held against nothing."""

SERIES_DIGITS = 5
"""Significant digits of a number without an uncertainty in a series, such as a target."""


class FindingError(LitfieldError):
    """A finding was asked for that there is none of; ``str()`` is one clear sentence."""

    exit_code = BAD_INPUT


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
    """`cd/m2`, `%`, `:1`, `K`, `ms`, `s`, `min`, `°`, or nothing for a count or a pure number."""
    uncertainty: float | None = None
    """Expanded (k = 2), in the same unit; None where it is not known."""
    bound: Bound | None = None
    """`lower`: the truth is at least this; `upper`: at most."""
    where: Mapping[str, object] = field(default_factory=dict)
    """What it belongs to, such as `area_percent`."""
    among: tuple[int, ...] = ()
    """Of a count: the smallest set of counts that holds the truth with 95 %, rising. Where the
    count is not claimed, `value` is None and this says what it may be."""
    drawn: Floats | None = field(default=None, compare=False, repr=False)
    """(m,) possible truths, where they are kept (`readings.evidence.lights`): a difference from
    another value is worked out draw by draw, so that what both share cancels."""
    row: str = ""
    """The label without what differs from run to run, such as which step, or of how many; empty
    where nothing does."""
    at: str = ""
    """What the label names of that: the step, patch or channel it is of."""
    count: int | None = None
    """How many steps, patches or places were looked at for it; None where it is not of many."""
    judged: bool = True
    """Whether limits are for it: of two kinds of delta E, the one that fits the signal."""
    off: bool = False
    """Whether it says how far something lies off its target: less is nearer to it."""
    aim: float | None = None
    """The target that it lies off, on whichever side: a change of it is one of the distance."""
    titled: bool = False
    """Whether the finding's title says already what it is: one of them is enough for the eye."""

    @property
    def stem(self) -> str:
        """The label as far as it is the same in every run."""
        return self.row or self.label

    def written(self) -> str:
        """As people read it: `1140:1 ± 73`, `at most 0.01 cd/m2`, `undefined`."""
        if self.among:
            count = None if self.value is None else int(self.value)
            return written_count(count, self.among, at_least=self.bound == "lower")
        if self.value is None:
            return "undefined"
        number, spread = written(self.value, self.uncertainty)
        bound = {"lower": "at least ", "upper": "at most ", None: ""}[self.bound]
        plus = "" if spread is None else f" ± {spread}"
        if self.unit == ":1":
            return f"{bound}{number}:1{plus}"
        unit = f" {self.unit}" if self.unit else ""
        return f"{bound}{number}{plus}{unit}"

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
            "bound": self.bound,
            "set95": list(self.among),
            "where": dict(sorted(self.where.items())),
        }


@dataclass(frozen=True, slots=True)
class Column:
    """One quantity of a series."""

    name: str
    """Stable, such as `luminance`; docs/findings.md lists them."""
    label: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Number:
    """One number of a series."""

    value: float | None
    """None where it is not defined; never infinite."""
    uncertainty: float | None = None
    """Expanded (k = 2), in the unit of the column; None where it is not known, or of a target."""
    bound: Bound | None = None
    drawn: Floats | None = field(default=None, compare=False, repr=False)
    """(m,) possible truths, where they are kept: what a difference of values is worked out from."""

    @classmethod
    def of(
        cls,
        value: SupportsFloat,
        uncertainty: SupportsFloat | None = None,
        drawn: Floats | None = None,
    ) -> Number:
        """A number of arithmetic: not finite is not defined, and an uncertainty of 0 is none.

        Draws (m,) are kept where the uncertainty is known.
        """
        if not isfinite(value):
            return cls(None)
        spread = 0.0 if uncertainty is None else float(uncertainty)
        if not isfinite(spread) or spread <= 0:
            return cls(float(value))
        return cls(float(value), spread, drawn=drawn)

    def settled(self) -> dict[str, object]:
        """As plain values, with no more digits than the uncertainty allows."""
        value, spread = (None, None) if self.value is None else digits(self.value, self.uncertainty)
        if self.value is not None and spread is None:
            value = significant(self.value, SERIES_DIGITS)
        return {
            "value": None if value is None else float(value),
            "uncertainty": None if spread is None else float(spread),
            "bound": self.bound,
        }


@dataclass(frozen=True, slots=True)
class Row:
    """One step, patch or place of a series."""

    label: str
    numbers: tuple[Number, ...]
    """One for each column."""
    where: Mapping[str, object] = field(default_factory=dict)
    """What it belongs to, such as `step`, or the codes shown."""
    readings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Series:
    """Numbers by step, patch or place: what pictures are drawn of, and long tables made."""

    name: str
    """Stable, such as `greyscale`; docs/findings.md lists them."""
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]

    def column(self, name: str) -> list[Number]:
        """The numbers of one column, row by row. Raises KeyError where there is none such."""
        for place, column in enumerate(self.columns):
            if column.name == name:
                return [row.numbers[place] for row in self.rows]
        raise KeyError(name)

    def settled(self) -> dict[str, object]:
        """As plain values."""
        return {
            "name": self.name,
            "title": self.title,
            "columns": [
                {"name": column.name, "label": column.label, "unit": column.unit}
                for column in self.columns
            ],
            "rows": [
                {
                    "label": row.label,
                    "where": dict(sorted(row.where.items())),
                    "readings": list(row.readings),
                    "numbers": [number.settled() for number in row.numbers],
                }
                for row in self.rows
            ],
        }


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a finding says by itself on the front page, where no limit is for its values."""

    verdict: Verdict
    sentence: str = ""
    """Without its full stop; the finding's title where it is empty."""
    by_warnings: bool = False
    """Whether its warnings stand behind that, and not its main value."""
    answers: tuple[str, ...] = ()
    """Texts that stand behind it, and not its main value: answers in words, such as
    `Mid grey, what stands out: lines of pixels`."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """What a finding says against readings, and so against what other findings make of them.

    The front page tells such a finding before what is not good by limits.
    """

    why: str
    """What is wrong with them, after a figure: `the range that arrived was not the one set`."""
    readings: frozenset[int]
    """Their ids in the visit: those that the finding is of, and others under the same fault."""
    wholly: bool = False
    """Whether they tell nothing at all; otherwise only nothing good."""


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
    series: tuple[Series, ...] = ()
    """What stands behind the values, step by step."""
    played: tuple[str, str] = ("", "")
    """The title of the run's sequence and the transfer that was shown: what makes runs alike."""
    judgement: Judgement | None = None
    """What it says by itself; None where limits judge its values, or nothing does."""
    doubt: Doubt | None = None
    """What it puts in doubt; None where it leaves all others alone."""

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
            "series": [series.settled() for series in self.series],
            "doubted": [] if self.doubt is None else sorted(self.doubt.readings),
        }


def settle(findings: Iterable[Finding]) -> list[dict[str, object]]:
    """Findings as plain values that JSON can hold, the same for the same readings."""
    return [finding.settled() for finding in findings]
