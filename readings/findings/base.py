"""What a finding is, and its form in a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Literal, SupportsFloat

from patterns.errors import BAD_INPUT, LitfieldError
from readings.colorimetry.chromaticity import Floats
from readings.evidence.aim import Aimed
from readings.evidence.uncertainty import COVERAGE, digits, significant, written
from readings.zones.combine import written as written_count

Bound = Literal["lower", "upper"]
Verdict = Literal["good", "bad", "unsure", "open"]
"""`open` is neither good nor bad: what was found, and held against nothing."""
Interval = tuple[float, float]
"""A lower and an upper end."""

SERIES_DIGITS = 5
"""Significant digits of a number without an uncertainty in a series, such as a target."""


class FindingError(LitfieldError):
    """A finding was asked for that there is none of; ``str()`` is one clear sentence."""

    exit_code = BAD_INPUT


def reach_of(
    value: float | None, uncertainty: float | None, interval: Interval | None
) -> Interval | None:
    """The ends of an interval, or of a value ± its uncertainty; None where neither is known."""
    if interval is not None or value is None or uncertainty is None:
        return interval
    return value - uncertainty, value + uncertainty


def written_number(
    value: float, uncertainty: float | None, interval: Interval | None
) -> tuple[str, str]:
    """A number with the digits that what is known of it allows, and that: `± 73`, `(0 to 1.7)`."""
    if interval is None:
        number, spread = written(value, uncertainty)
        return number, "" if spread is None else f"± {spread}"
    number, ends = written_interval(value, interval)
    return number, f"({ends[0]} to {ends[1]})" if ends else ""


def written_interval(value: float, interval: Interval) -> tuple[str, tuple[str, str] | None]:
    """A value and the ends of its interval, with the digits that half of its width allows.

    No ends where errors cannot move it, such as 0 by its own definition.
    """
    half = (interval[1] - interval[0]) / 2
    if not half:
        return written(value, None)[0], None
    low, high = (written(each, half)[0] if each else "0" for each in interval)
    return written(value, half)[0], (low, high)


def settled_number(
    value: float | None, uncertainty: float | None, interval: Interval | None
) -> tuple[float | None, float | None, list[float] | None]:
    """The same as plain numbers: the value, its expanded uncertainty, the ends of its interval."""
    if value is None:
        return None, None, None
    if interval is None:
        number, spread = digits(value, uncertainty)
        return float(number), None if spread is None else float(spread), None
    half = (interval[1] - interval[0]) / 2 or None
    return float(digits(value, half)[0]), None, [float(digits(each, half)[0]) for each in interval]


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
    """Expanded (k = 2), in the same unit; None where it is not known, or told by `interval`."""
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
    interval: Interval | None = None
    """What the truth may be, with 95 %, in the same unit, where no ± round the value tells it: of
    what cannot be below 0, or above a whole, and of a contrast with its stray light taken off. None
    where ± tells it, or it is unknown."""
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
    parts: tuple[Part, ...] = ()
    """Of what is the largest of several: each of them, so that a verdict may look at all."""
    titled: bool = False
    """Whether the finding's title says already what it is: one of them is enough for the eye."""
    assumed: bool = False
    """Whether it rests on what is assumed of a meter (`readings.evidence.assumed`): a bound alone
    does, of what is darker than a meter shows of which no floor is known."""
    note: str = ""
    """What stands beside it on the front page, such as why it is a bound, and what to do."""

    @property
    def reach(self) -> Interval | None:
        """The ends of what the truth may be, with about 95 %; None where that is not known."""
        return reach_of(self.value, self.uncertainty, self.interval)

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
        number, plus = written_number(self.value, self.uncertainty, self.interval)
        bound = {"lower": "at least ", "upper": "at most ", None: ""}[self.bound]
        plus = f" {plus}" if plus else ""
        if self.unit == ":1":
            return f"{bound}{number}:1{plus}"
        unit = f" {self.unit}" if self.unit else ""
        return f"{bound}{number}{plus}{unit}"

    def settled(self) -> dict[str, object]:
        """As plain values, with no more digits than the uncertainty allows."""
        if self.among:
            return self._counted()
        value, spread, ends = settled_number(self.value, self.uncertainty, self.interval)
        return {
            "name": self.name,
            "label": self.label,
            "value": value,
            "unit": self.unit,
            "uncertainty": spread,
            "coverage_factor": None if spread is None else COVERAGE,
            "bound": self.bound,
            **({} if ends is None else {"interval95": ends}),
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
    interval: Interval | None = None
    """As of a value."""
    drawn: Floats | None = field(default=None, compare=False, repr=False)
    """(m,) possible truths, where they are kept: what a difference of values is worked out from."""

    @classmethod
    def of(
        cls,
        value: SupportsFloat,
        uncertainty: SupportsFloat | None = None,
        drawn: Floats | None = None,
        interval: Interval | None = None,
    ) -> Number:
        """A number of arithmetic: not finite is not defined, and an uncertainty of 0 is none.

        Draws (m,) are kept where the uncertainty is known.
        """
        if not isfinite(value):
            return cls(None)
        if interval is not None and all(map(isfinite, interval)) and interval[1] >= interval[0]:
            return cls(float(value), interval=interval, drawn=drawn)
        spread = 0.0 if uncertainty is None else float(uncertainty)
        if not isfinite(spread) or spread <= 0:
            return cls(float(value))
        return cls(float(value), spread, drawn=drawn)

    @property
    def reach(self) -> Interval | None:
        """As of a value."""
        return reach_of(self.value, self.uncertainty, self.interval)

    def settled(self) -> dict[str, object]:
        """As plain values, with no more digits than the uncertainty allows."""
        value, spread, ends = settled_number(self.value, self.uncertainty, self.interval)
        if self.value is not None and spread is None and ends is None:
            value = float(significant(self.value, SERIES_DIGITS))
        return {
            "value": value,
            "uncertainty": spread,
            "bound": self.bound,
            **({} if ends is None else {"interval95": ends}),
        }


@dataclass(frozen=True, slots=True)
class Part:
    """One of several that a value is the largest of."""

    label: str
    """As of a value: what it is, and of which step or patch."""
    number: Number


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
    aimed: Aimed | None = None
    """What it is judged by; None where nothing in it hangs on an aim."""

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
            "aim": None if self.aimed is None else self.aimed.settled(),
            "doubted": [] if self.doubt is None else sorted(self.doubt.readings),
        }


def settle(findings: Iterable[Finding]) -> list[dict[str, object]]:
    """Findings as plain values that JSON can hold, the same for the same readings."""
    return [finding.settled() for finding in findings]
