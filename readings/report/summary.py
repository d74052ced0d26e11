"""The front page: what is good, what is not, what cannot be told, and what was not measured.

Each sentence has its figures with their expanded uncertainty, the limit that they are held against,
and where that limit is from. A value is good, or not, only where its whole uncertainty lies on one
side of the limit; where it spans the limit, or is not known, the sentence says so.
"""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from patterns.words import count, figures
from readings.evidence.assumed import ASSUMED, without_promises
from readings.evidence.measured import Measured
from readings.findings import FINDINGS, Finding, Value
from readings.findings.base import Judgement, Number, Part
from readings.findings.kind import FindingKind, Limit
from readings.ranges import ranges
from readings.report.gather import VisitContents
from readings.report.missing import not_measured
from readings.report.tables import cell, thousands, value_text
from readings.report.wording import light_unit

Verdict = Literal["good", "bad", "unsure", "open"]
ORDER: tuple[Verdict, ...] = ("good", "bad", "unsure", "open")
HEADS: dict[Verdict, str] = {
    "good": "What is good",
    "bad": "What is not",
    "unsure": "What cannot be told from these readings",
    "open": "Found, and held against no limit",
}

MENDED = "Mending that, and playing it again, would tell"
NAMED = "Naming the meter, and what its maker promises, would tell"
"""What would settle what is in doubt, and what is read with a meter that nobody named."""
ENOUGH = 5
"""Steps, patches or places from which on a sentence speaks for the whole: a choice of our own."""
MOST_PARTS = 3
"""Steps or patches that a verdict on all of them names."""
MOST_DOUBTS = 3
"""Sentences against the readings of one run that the front page tells."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One value behind a sentence."""

    text: str
    """`1140:1 ± 98`, `at most 0.001 cd/m²`."""
    what: str
    """The value's label; empty where the text is a sentence by itself."""
    run: int
    condition: str
    note: str = ""
    """What keeps it from being judged."""


@dataclass(frozen=True, slots=True)
class Statement:
    """One sentence of the front page."""

    verdict: Verdict
    sentence: str
    held: str
    """`at least 1000:1 (a limit of our own)`; empty where it is held against no limit."""
    figures: tuple[Figure, ...]
    assumed: bool = False
    """Whether it rests on the meter that is assumed where nothing is promised of the real one."""
    settle: str = ""
    """What would settle it where it cannot be told, without its full stop; empty otherwise."""


@dataclass(frozen=True, slots=True)
class Summary:
    """The front page of one visit."""

    statements: tuple[Statement, ...]
    """By verdict, in the order of the limits."""
    not_measured: tuple[str, ...]
    """Sentences, of what was not worked out too."""
    missing_head: str
    """What stands over them."""
    warnings: int
    """How many warnings stand with the findings."""
    unpromised: str = ""
    """What to do where nothing is promised of a meter, or none is named, and what is assumed until
    then; empty where something is promised of all."""

    def of(self, verdict: Verdict) -> list[Statement]:
        """Those of one verdict."""
        return [each for each in self.statements if each.verdict == verdict]

    def in_short(self) -> str:
        """What is not good, in a sentence, for a page that tells of several visits."""
        bad = list(
            dict.fromkeys(
                f"{each.sentence}{' (with an assumed meter)' * each.assumed}"
                for each in self.of("bad")
            )
        )
        if bad:
            return f"Not good: {'; '.join(bad)}."
        untold = len(self.of("unsure"))
        return f"Nothing found that is not good{f'; {untold} cannot be told' * bool(untold)}."


def summary(contents: VisitContents) -> Summary:
    """The front page of a visit."""
    collected = _Statements(_Doubts(contents.findings))
    judged = _judge(contents, collected)
    _rest(contents, collected, judged)
    # what most of the rest hangs on stands first
    ordered = sorted(
        collected.statements.items(),
        key=lambda item: (ORDER.index(item[0][0]), -collected.doubted.get(item[0], 0)),
    )
    statements = tuple(
        Statement(*said[:3], tuple(found), said[3], collected.settled_by(said))
        for said, found in ordered
    )
    return Summary(
        statements,
        tuple(not_measured(contents)),
        f"What was not measured{', or not worked out' if contents.not_worked_out else ''}",
        sum(len(finding.warnings) for finding in contents.findings),
        _unpromised(contents, assumed=any(each.assumed for each in statements)),
    )


def _unpromised(contents: VisitContents, *, assumed: bool) -> str:
    """What to do about readings of whose meter nothing is promised; empty where there are none."""
    without = [reading for reading in contents.readings() if without_promises(reading)]
    unnamed = [reading for reading in without if not reading.with_meter]
    named = [reading for reading in without if reading.with_meter]
    sentences = []
    if unnamed:
        name = shlex.quote(contents.file)
        sentences.append(
            f"No meter is named for {_readings_of(unnamed)}, so their uncertainty is not known: "
            "write its name and what its maker promises into a file, and say "
            f"\u201clitfield name {name} --instrument spot-meter.yaml\u201d."
        )
    if named:
        meters = sorted({reading.instrument_name or "" for reading in named})
        sentences.append(
            f"What the maker of {' and of '.join(meters)} promises is not known, so neither is the "
            f"uncertainty of {_readings_of(named)}: write it into a file, and name that with "
            "\u201c--instrument\u201d when you measure again."
        )
    todo = " ".join(sentences)
    if not assumed:
        return todo
    todo = f"{todo} " if todo else ""
    relative = figures(100 * (ASSUMED.luminance_relative_uncertainty or 0))
    return (
        f"{todo}What rests on an assumed meter is told because it is far from its limit: it would "
        f"be so with any meter that errs by no more than {relative} % and "
        f"{figures(ASSUMED.chromaticity_uncertainty or 0)} in x and y, and may read anything up to "
        f"{figures(ASSUMED.luminance_floor or 0)} cd/m\u00b2 wrongly (an assumption of our own)."
    )


def _readings_of(readings: Sequence[Measured]) -> str:
    """`2 readings of runs 1 and 3`."""
    runs = sorted({reading.run for reading in readings})
    some = count(len(readings), "reading")
    return f"{some} of run{'s' if len(runs) > 1 else ''} {ranges(runs)}"


def limits() -> list[tuple[FindingKind, Limit]]:
    """Every limit with its finding, in the order in which the front page tells them."""
    return [(kind, limit) for kind in FINDINGS.values() for limit in kind.limits]


class _Doubts:
    """What findings of a visit say against others."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self._doubting = [(each, each.doubt) for each in findings if each.doubt is not None]

    def __bool__(self) -> bool:
        return bool(self._doubting)

    def against(self, finding: Finding, verdict: Verdict) -> str:
        """Why this verdict of a finding cannot be given; empty where it can."""
        return next(
            (
                doubt.why
                for doubting, doubt in self._doubting
                if doubting is not finding
                and not doubt.readings.isdisjoint(finding.readings)
                and (verdict == "good" or (doubt.wholly and verdict == "bad"))
            ),
            "",
        )


_Numbered = TypeVar("_Numbered", Value, Number)
_Said = tuple[Verdict, str, str, bool]
"""A statement without its figures: the verdict, the sentence, its limit, whether assumed."""


class _Statements:
    """Statements as they are made: figures of one sentence and one limit stand together."""

    def __init__(self, doubts: _Doubts) -> None:
        self.doubts = doubts
        self.statements: dict[_Said, list[Figure]] = {}
        self.doubted: dict[_Said, int] = {}
        """How many readings a statement puts in doubt, where it does."""
        self._settled: dict[_Said, str] = {}

    def settled_by(self, said: _Said) -> str:
        """What would settle a statement; empty where it is told."""
        return self._settled.get(said, "")

    def say(
        self,
        verdict: Verdict,
        sentence: str,
        held: str,
        *figures: Figure,
        doubted: int = 0,
        assumed: bool = False,
        settle: str = "",
    ) -> None:
        key = verdict, sentence, held, assumed
        if verdict == "unsure" and settle:
            self._settled.setdefault(key, settle)
        self.statements.setdefault(key, []).extend(figures)
        if doubted:
            self.doubted[key] = self.doubted.get(key, 0) + doubted


class _Without:
    """Findings with readings without promises, and what they would be with the assumed meter."""

    def __init__(self, contents: VisitContents) -> None:
        self._readings = {each.reading for each in contents.readings() if without_promises(each)}
        self._assumed = {_same_of(finding): finding for finding in contents.assumed}

    def touches(self, finding: Finding) -> bool:
        """Whether it rests on such readings."""
        return not self._readings.isdisjoint(finding.readings)

    def verdict_of(self, finding: Finding, value: Value, limit: Limit) -> Verdict | None:
        """Good or bad where it would be so with the assumed meter; None where that says nothing.

        Only a value is looked at of which nothing else is known.
        """
        assumed = self._assumed.get(_same_of(finding))
        if assumed is None or not self.touches(finding) or not _bare(value):
            return None
        same = [
            each
            for each in assumed.values
            if (each.name, each.label, each.where) == (value.name, value.label, value.where)
        ]
        verdict = verdict_of(_without_edges(same[0]), limit) if len(same) == 1 else "unsure"
        return None if verdict == "unsure" else verdict


def _without_edges(value: Value) -> Value:
    """With each bound moved by its own uncertainty, and none where that is not known."""
    parts = tuple(replace(part, number=_moved(part.number)) for part in value.parts)
    return replace(_moved(value), parts=parts)


def _moved(number: _Numbered) -> _Numbered:
    if number.bound is None or number.value is None:
        return number
    if number.uncertainty is None:
        return replace(number, value=None)
    way = -1 if number.bound == "lower" else 1
    return replace(number, value=number.value + way * number.uncertainty)


def _same_of(finding: Finding) -> tuple[object, ...]:
    """By which a finding is the same with another meter: its readings were read of one thing."""
    return finding.name, finding.run, finding.readings


def _bare(value: Value) -> bool:
    """Whether a number is told, and not what the truth may be."""
    known = value.reach is not None or (value.bound is not None and not value.assumed)
    return value.value is not None and not known and not any(p.number.reach for p in value.parts)


def _judge(contents: VisitContents, statements: _Statements) -> set[int]:
    """Hold values against their limits; the ids of the findings that were."""
    transfers = {run.run.id: str(run.run.signal_shown.get("transfer", "")) for run in contents.runs}
    titles = Counter(name for name, _ in {(f.name, f.title) for f in contents.findings})
    defined = {f.name for f in contents.findings for v in f.values[:1] if _known(v)}
    judged = []
    without = _Without(contents)
    for kind, limit in limits():
        for finding in (each for each in contents.findings if each.name == kind.name):
            for value in finding.values:
                if not limit.applies(value, transfers.get(finding.run, "")):
                    continue
                judged.append(finding)
                if not _known(value) and finding.name in defined:
                    continue  # another run tells it; its own warnings say why this one does not
                verdict = without.verdict_of(finding, value, limit)
                assumed = verdict is not None
                verdict = verdict or verdict_of(value, limit)
                assumed = assumed or (value.assumed and verdict in ("good", "bad"))
                with_title = titles[finding.name] > 1
                bare = without.touches(finding)
                settle = limit.settle
                if why := statements.doubts.against(finding, verdict):
                    verdict, assumed, settle = "unsure", False, MENDED
                    figure = _figure(finding, value, with_title=with_title)
                    figures = [replace(figure, note=why)]
                elif assumed or (bare and _bare(value)):
                    settle = NAMED
                    figures = [_figure(finding, value, with_title=with_title)]
                else:
                    figures = _figures(finding, value, limit, verdict, with_title=with_title)
                sentence = _sentence(limit, verdict, value.count)
                held = held_text(limit, finding)
                statements.say(verdict, sentence, held, *figures, assumed=assumed, settle=settle)
    return {id(finding) for finding in judged}


def _rest(contents: VisitContents, statements: _Statements, judged: set[int]) -> None:
    """What is held against no limit."""
    names = {finding.name for finding in contents.findings}
    names |= {failed.finding for failed in contents.not_worked_out}
    for kind in FINDINGS.values():
        if (
            kind.all_well
            and kind.name not in names
            and contents.readings()
            and not statements.doubts
        ):
            statements.say("good", kind.all_well, "")
    for finding in contents.findings:
        if finding.judgement is not None:
            sentence = finding.judgement.sentence or finding.title
            figures = _behind(finding, finding.judgement)
            verdict = finding.judgement.verdict
            # what speaks against readings stands, whatever else does
            why = (
                "" if finding.judgement.by_warnings else statements.doubts.against(finding, verdict)
            )
            if why:
                verdict, figures = "unsure", [replace(each, note=why) for each in figures]
            doubted = 0 if finding.doubt is None else len(finding.doubt.readings)
            statements.say(verdict, sentence, "", *figures, doubted=doubted)
        elif id(finding) not in judged and finding.values:
            figures = [_figure(finding, value) for value in _first_known(finding)]
            statements.say("open", finding.title, "", *figures)


def _sentence(limit: Limit, verdict: Verdict, judged: int | None) -> str:
    """What is said of a verdict; of few steps it speaks for those alone."""
    if verdict not in ("good", "bad"):
        return limit.unsure
    if limit.few is None or judged is None or judged >= ENOUGH:
        return limit.good if verdict == "good" else limit.bad
    sentence = limit.few.good if verdict == "good" else limit.few.bad
    return f"{sentence} at the {count(judged, limit.few.of)} read"


def verdict_of(value: Value, limit: Limit) -> Verdict:
    """Good or bad where the whole of what it may be is on one side of the limit.

    Of what is the largest of several, each is looked at: bad where any one is, good where all are.
    """
    if not value.parts:
        return _verdict(value, limit)
    verdicts = {_verdict(part.number, limit) for part in value.parts}
    if "bad" in verdicts:
        return "bad"
    return "good" if verdicts == {"good"} else "unsure"


def _verdict(number: Value | Number, limit: Limit) -> Verdict:
    """The same of one number."""
    if number.value is None:
        return "unsure"
    least = limit.way == "at least"
    if number.bound is not None:
        # all that is known is that it is at least, or at most, this; below 0, at most is a size of
        # at least so much
        lower = (number.bound == "lower") is not (limit.size and number.value < 0)
        size = abs(number.value) if limit.size else number.value
        helps = lower is least
        beyond = size >= limit.limit if lower else size <= limit.limit
        return ("good" if helps else "bad") if beyond else "unsure"
    if number.reach is None:
        return "unsure"
    low, high = number.reach
    if limit.size:
        low, high = max(low, -high, 0.0), max(-low, high)
    if low <= limit.limit < high or low < limit.limit <= high:
        kept = low >= limit.limit if least else high <= limit.limit
        return "good" if kept else "unsure"
    above = low >= limit.limit
    return "good" if above is least else "bad"


def held_text(limit: Limit, finding: Finding | None = None) -> str:
    """`at least 1000:1 (a limit of our own)`, and what of a finding's aim it hangs on."""
    number = thousands(f"{limit.limit:g}")
    unit = {"": "", ":1": ":1", "cd/m2": " cd/m²"}.get(limit.unit, f" {limit.unit}")
    held = f"{limit.way} {number}{unit} ({limit.source})"
    aimed = None if finding is None else finding.aimed
    aim = "" if aimed is None else light_unit(aimed.told(*limit.aims))
    return f"{held}; aim: {aim}" if aim else held


def _first_known(finding: Finding) -> list[Value]:
    """The main value; where that is undefined, what is known of it: columns, or rows, of zones."""
    known = [value for value in finding.values if _known(value)]
    return known[:1] or list(finding.values[:1])


def _known(value: Value) -> bool:
    return value.value is not None or bool(value.among)


def _figures(
    finding: Finding, value: Value, limit: Limit, verdict: Verdict, *, with_title: bool
) -> list[Figure]:
    """What a verdict rests on: of the largest of several, those that decide it, by their size."""
    deciding = [part for part in value.parts if _verdict(part.number, limit) == verdict]
    if verdict == "good" or not any(part.number.reach for part in deciding):
        return [_figure(finding, value, with_title=with_title, held=True)]
    deciding.sort(key=lambda part: -abs(part.number.value or 0.0))
    figures = [
        _figure(finding, _value_of(value, part), with_title=with_title)
        for part in deciding[:MOST_PARTS]
    ]
    several = f"{len(deciding)} of {len(value.parts)}"
    said = "lie beyond the limit" if verdict == "bad" else "cannot be told from it"
    if len(deciding) == 1:
        said = said.replace("lie ", "lies ")
    rest = sum(_verdict(part.number, limit) == "unsure" for part in value.parts)
    more = f"; {rest} cannot be told from it" if verdict == "bad" and rest else ""
    return [*figures, Figure(f"{several} {said}{more}", "", finding.run, finding.condition)]


def _value_of(value: Value, part: Part) -> Value:
    """One of several in the place of the largest."""
    number = part.number
    return replace(
        value,
        label=part.label,
        value=number.value,
        uncertainty=number.uncertainty,
        bound=number.bound,
        interval=number.interval,
    )


def _figure(
    finding: Finding, value: Value, *, with_title: bool = False, held: bool = False
) -> Figure:
    """A value with its label, or with the finding's title before it."""
    bare = value.value is not None and value.reach is None and value.bound is None
    note = "without its uncertainty nothing can be said for sure" if held and bare else value.note
    what = light_unit(value.label)
    if with_title:
        what = finding.title if value.titled else f"{finding.title}: {what}"
    return Figure(value_text(cell(value)), what, finding.run, finding.condition, note)


def _behind(finding: Finding, judgement: Judgement) -> list[Figure]:
    """What stands behind a finding's own judgement: answers, its warnings, or its main value."""
    if judgement.answers:
        return _sentences(finding, judgement.answers, "answers")
    if judgement.by_warnings:
        return _sentences(finding, finding.warnings, "sentences")
    return [_figure(finding, finding.values[0])]


def _sentences(finding: Finding, texts: Sequence[str], what: str) -> list[Figure]:
    """Texts as figures; of many, the rest stands with the finding."""
    kept = [light_unit(text) for text in texts]
    if len(kept) > MOST_DOUBTS + 1:
        kept[MOST_DOUBTS:] = [f"and {len(kept) - MOST_DOUBTS} {what} more, further down"]
    return [Figure(text, "", finding.run, finding.condition) for text in kept]
