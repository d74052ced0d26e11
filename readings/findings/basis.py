"""What all findings start from: the readings that count, their estimates, and plain warnings."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import fmean
from typing import TypeVar
from zlib import crc32

from readings.bounds import BRIGHTEST, without_dust
from readings.evidence.aim import Aimed
from readings.evidence.measured import Measured
from readings.evidence.uncertainty import Estimate, Result, rectangular, repeatability_of
from readings.findings.base import Doubt, Finding, Series, Value, Verdict
from readings.visit.records import Specification

Warn = Callable[[str], None]
"""Takes a sentence for people."""


def estimate_of(repeats: Sequence[Measured], values: Sequence[float], warn: Warn) -> Estimate:
    """The mean of repeats by one meter, cd/m2.

    Args:
        repeats: at least one.
        values: their luminances, cd/m2.
        warn: is told what the meter's specification lacks.
    """
    first = repeats[0]
    known = first.specification or Specification()
    relative, resolution = known.luminance_relative_uncertainty, known.luminance_resolution
    if first.specification is None:
        warn("No meter is named for a reading, so its uncertainty is not known.")
    elif relative is None:
        warn(
            f"The specification of {first.instrument_name} gives no relative uncertainty of "
            "luminance, so the uncertainty is not known."
        )
    elif resolution is None:
        resolution = last_digit(repeats)
        warn(
            f"The specification of {first.instrument_name} gives no resolution: "
            + ("the last digit recorded stands for it." if resolution else "it is not known.")
        )
    made = Estimate.of(
        values,
        meter=first.meter,
        relative=relative,
        resolution=resolution,
        floor=known.luminance_floor,
        single=_single_of(fmean(values), repeats),
        seed=crc32(repr([(each.reading, each.taken_at.isoformat()) for each in repeats]).encode()),
    )
    digit = last_digit(repeats) if resolution is None else resolution
    return replace(made, linearity=known.luminance_linearity, digit=digit)


def of_one_meter(repeats: Sequence[Measured], warn: Warn) -> list[Measured]:
    """Those of the meter that read most of them, and all corrected or all as read."""
    counts = Counter(reading.meter for reading in repeats)
    if len(counts) == 1:
        return list(repeats)
    # The meter that read most; among equals the one that read first. Corrected and as read,
    # one meter counts as two: its gain is not the same.
    chosen = counts.most_common(1)[0][0]
    kept = [reading for reading in repeats if reading.meter == chosen]
    left = [reading for reading in repeats if reading.meter != chosen]
    others = sorted({_named(r) for r in left if r.instrument != kept[0].instrument})
    if others:
        warn(
            f"{kept[0].label}: read with several meters; {_named(kept[0])} counts, "
            f"{', '.join(others)} {'does' if len(others) == 1 else 'do'} not."
        )
    if any(reading.instrument == kept[0].instrument for reading in left):
        which = "corrected" if kept[0].as_read else "as read"
        warn(
            f"{kept[0].label}: only some readings of {kept[0].instrument_name} can be "
            f"corrected; the {len(kept)} {which} count."
        )
    return kept


def _single_of(luminance: float, repeats: Sequence[Measured]) -> float | None:
    """What is known of one reading by itself, standard, cd/m2: specified, or kept when it was made.

    A reading that is the mean of several keeps their standard deviation; it counts where it is
    larger than what the maker promises.
    """
    known = repeats[0].specification or Specification()
    promised = repeatability_of(luminance, known.luminance_repeatability, known.luminance_noise)
    derivations = [reading.derivation for reading in repeats]
    seen = [
        each.deviation / math.sqrt(each.count)
        for each in derivations
        if each is not None and each.deviation is not None
    ]
    if len(seen) == len(repeats):
        found = math.sqrt(fmean(each**2 for each in seen))
        return found if promised is None else max(promised, found)
    return promised


def _named(reading: Measured) -> str:
    return reading.instrument_name or "a meter without a name"


def last_digit(readings: Sequence[Measured]) -> float | None:
    """The finest last digit among plain numbers as typed or received, cd/m2; None without any."""
    found = (re.fullmatch(r"\s*[-+]?\d+(?:[.,](\d+))?\s*", reading.raw) for reading in readings)
    return min((10.0 ** -len(each[1] or "") for each in found if each), default=None)


Key = TypeVar("Key", bound=Hashable)
Found = TypeVar("Found")


@dataclass
class Basis:
    """The readings that a finding uses and the warnings it gathers on the way."""

    used: list[Measured] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    aimed: Aimed | None = None
    """What it is judged by, where something in it hangs on an aim."""

    def warn(self, sentence: str) -> None:
        """Add a warning once."""
        if sentence not in self.warnings:
            self.warnings.append(sentence)

    def estimate(self, repeats: Sequence[Measured]) -> Estimate:
        """The mean of repeats of one thing, cd/m2; readings of a second meter are left out.

        Args:
            repeats: at least one, each as `with_light` keeps it.
        """
        kept = self.one_meter(repeats)
        self.used += kept
        return estimate_of(kept, [light(reading) for reading in kept], self.warn)

    def one_meter(self, repeats: Sequence[Measured]) -> list[Measured]:
        """Those of the meter that read most of them, and all corrected or all as read."""
        return of_one_meter(repeats, self.warn)

    def ids(self) -> tuple[int, ...]:
        """The readings used, each once, in order."""
        return tuple(sorted({reading.reading for reading in self.used}))

    def look_at(self, *results: Result) -> None:
        """Warn where few repeats carry an uncertainty."""
        thin = [result.freedom for result in results if result.thin]
        if thin:
            self.warn(
                "Few repeats carry the uncertainty (effective degrees of freedom "
                f"{min(thin):.1f}): k = 2 covers less than about 95 % here."
            )

    def look_at_guards(self) -> None:
        """Warn where what reached the screen was altered or is not known."""
        unknown = 0
        used = {reading.reading: reading for reading in self.used}
        for _, reading in sorted(used.items()):
            if reading.guard == "altered":
                why = f": {reading.guard_why}" if reading.guard_why else ""
                self.warn(
                    f"Reading {reading.reading} ({reading.label}) was taken while the picture "
                    f"was altered on its way{why}."
                )
            # before a simulated display there is nothing that could alter a picture
            unknown += reading.guard == "unknown" and reading.output != "simulated"
        if unknown:
            self.warn(
                f"For {unknown} of {len(used)} readings it is not known whether the picture "
                "reached the screen unaltered."
            )

    def finding(
        self,
        name: str,
        of: Measured,
        *,
        title: str,
        values: Sequence[Value],
        method: str,
        source: str,
        series: Sequence[Series] = (),
        guards: bool = True,
    ) -> Finding:
        """What was found, with the readings used and all that was warned of until now.

        Args:
            name: its name in the registry.
            of: a reading of the run, and so of the condition, that it is about.
            title: for people.
            values: the main one first.
            method: how it was worked out, for people.
            source: the published document and clause, or that the definition is our own.
            series: what stands behind the values.
            guards: whether to warn of pictures that were altered; False where that is said already.
        """
        if guards:
            self.look_at_guards()
        return Finding(
            name=name,
            title=title,
            condition=of.condition,
            run=of.run,
            values=tuple(values),
            method=method,
            source=source,
            readings=self.ids(),
            warnings=tuple(self.warnings),
            series=tuple(series),
            aimed=self.aimed,
        )

    def nothing(
        self, name: str, of: Measured, *, title: str, value: Value, source: str
    ) -> Finding | None:
        """That nothing could be worked out, and why; None where no warning says why.

        Args:
            name: its name in the registry.
            of: a reading of the run that it is about.
            title: for people.
            value: the main one, undefined.
            source: as of any finding.
        """
        if not self.warnings:
            return None
        method = "Nothing could be worked out; the warnings say why."
        return self.finding(name, of, title=title, values=[value], method=method, source=source)


def scatter_of(estimate: Estimate, typed: float) -> float:
    """What does not cancel between codes, standard, cd/m2: below a floor nothing is promised.

    Args:
        estimate: of one code.
        typed: the last digit of the readings, cd/m2, for a meter whose resolution is not known.
    """
    digit = rectangular(typed) if estimate.resolution is None else 0.0
    return math.hypot(estimate.scatter, digit, rectangular(estimate.floor or 0.0))


def with_light(readings: Iterable[Measured], basis: Basis) -> list[Measured]:
    """Those that carry a luminance anyone could have measured."""
    kept = []
    for reading in readings:
        if reading.luminance is None:
            continue
        if abs(reading.luminance) > BRIGHTEST:
            basis.warn(
                f"Reading {reading.reading} ({reading.label}) is brighter than the sun's disc "
                "and does not count; was it mistyped?"
            )
            continue
        kept.append(reading)
    return kept


def light(reading: Measured) -> float:
    """The luminance of a reading that `with_light` kept, cd/m2.

    Raises:
        ValueError: it has none.
    """
    if reading.luminance is None:
        raise ValueError(f"reading {reading.reading} has no luminance")
    return without_dust(reading.luminance)


def grouped(
    readings: Iterable[Measured], key: Callable[[Measured], Key]
) -> dict[Key, list[Measured]]:
    """Readings by a key, in the order in which the keys appear."""
    groups: dict[Key, list[Measured]] = {}
    for reading in readings:
        groups.setdefault(key(reading), []).append(reading)
    return groups


def by_run(readings: Iterable[Measured]) -> dict[int, list[Measured]]:
    """Readings by run, both in order."""
    ordered = sorted(readings, key=lambda reading: (reading.run, reading.step, reading.reading))
    return grouped(ordered, lambda reading: reading.run)


def check_for(run: int, checks: Mapping[int, Found]) -> Found | None:
    """What a check says of a run, where checks were made in some runs of a visit.

    That is the latest one made in it or before it; where all came later, the first of them.
    """
    made = sorted(checks)
    before = [each for each in made if each <= run]
    return checks[before[-1] if before else made[0]] if made else None


def doubting(
    finding: Finding,
    found: Sequence[Finding],
    readings: Iterable[Measured],
    link: Callable[[Measured], Hashable],
    why: str,
) -> Finding:
    """A check that went badly puts in doubt what was read over its link, until one finds nothing.

    Args:
        finding: the check; left alone where it found nothing wrong.
        found: all checks of its kind.
        readings: of the visit.
        link: what a reading shares with all others that go the same way; the same within a run.
        why: what is wrong with them.
    """
    if not _judged(finding, "bad"):
        return finding
    listed = list(readings)
    links = {reading.run: link(reading) for reading in listed}
    checks = {
        each.run: each
        for each in found
        if links[each.run] == links[finding.run] and not _judged(each, "unsure")
    }
    under = frozenset(
        reading.reading
        for reading in listed
        if links[reading.run] == links[finding.run] and check_for(reading.run, checks) is finding
    )
    return replace(finding, doubt=Doubt(why, under))


def _judged(finding: Finding, verdict: Verdict) -> bool:
    return finding.judgement is not None and finding.judgement.verdict == verdict


def only_found(findings: Iterable[Finding | None]) -> list[Finding]:
    """The findings of several runs or groups, without those that found nothing."""
    return [finding for finding in findings if finding is not None]
