"""Luminance of an unchanged picture against time: how it drops, recovers, and warms up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from patterns.words import duration
from readings.colorimetry.profile import settled_from
from readings.evidence.measured import Measured
from readings.evidence.uncertainty import Estimate
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import OWN, Drawn, FindingKind, Limit, Reads
from readings.findings.ratio import level_number
from readings.findings.share import of_the_highest, percent_of, value_of

TITLES = {
    "over-time": "Luminance over time",
    "warm-up": "Warm-up",
}
NEAR = 0.02
"""Within this share of the last reading, luminance counts as settled: a limit of our own."""
BRIEF = 3.0
"""s: less than a display or a reading takes."""
APART, APART_BY = 2.0, 0.5
"""s, and share of the first: times since the picture came on that differ by more are not alike."""
LONG = 600.0
"""s: from there on times are told in minutes."""
SOURCE = "Our own definitions; no published one was seen"
COLUMNS = (
    Column("time", "Time since the picture came on", "s"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("share", "Share of the highest", "%"),
)


@dataclass(frozen=True, slots=True)
class Moment:
    """One reading."""

    reading: Measured
    time: float
    """Seconds since the picture came on."""
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Stretch:
    """One time that the picture stood unchanged, and what was read while it did."""

    moments: tuple[Moment, ...]

    @property
    def values(self) -> list[float]:
        """cd/m2, in order of time."""
        return [moment.estimate.value for moment in self.moments]


class OverTime(FindingKind):
    """Drop, recovery and warm-up, per run and picture.

    Reads the roles `over-time` and `warm-up`; what lies between two stretches of the same picture
    is a rest, whatever its role.
    """

    name = "over-time"
    subject = "luminance over time"
    reads = (Reads(tuple(TITLES), "any picture that stands unchanged over several steps"),)
    limits = (
        Limit(
            ("drop",),
            "at most",
            10.0,
            "%",
            OWN,
            "A standing picture keeps its luminance",
            "A standing picture changes its luminance",
            "Whether a standing picture keeps its luminance cannot be told",
            size=True,
        ),
    )
    pictures = (Drawn("over_time"),)
    changing = frozenset(TITLES)

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(
            _finding(role, group)
            for mine in by_run(readings).values()
            for (role, _), group in grouped(
                (r for r in mine if r.role in TITLES), lambda r: (str(r.role), _picture(r))
            ).items()
        )


def _picture(reading: Measured) -> str:
    return f"{reading.kind} {sorted(reading.inks.items())} {reading.facts.get('box', '')}"


def _finding(role: str, group: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    lit = with_light(group, basis)
    if not lit:
        return None
    kept = basis.one_meter(lit)
    stretches = _stretches(kept, basis)
    everything = [moment for stretch in stretches for moment in stretch.moments]
    highest = max(everything, key=lambda moment: moment.estimate.value)
    values = _values(role, stretches, basis)
    return basis.finding(
        "over-time",
        kept[0],
        title=TITLES[role],
        values=values,
        method=(
            "Luminance of a picture that does not change, against the time since it came on. "
            "Shares are of the highest reading. Drop: (first reading − last) / first, before the "
            "first rest. Recovery: the first reading after a rest over the first one "
            f"before it. Settled: from that reading on, all lie within {100 * NEAR:.0f} % of the "
            "last; when exactly between two readings is not known."
        ),
        source=SOURCE,
        series=(_series(stretches, highest),),
    )


def _stretches(kept: Sequence[Measured], basis: Basis) -> list[Stretch]:
    """The readings by when their picture came on, in order."""
    if any(reading.came_on is None for reading in kept):
        basis.warn(
            "When the picture came on was not kept for every reading; there, time counts from the "
            "first of them."
        )
    first = min(reading.taken_at for reading in kept)
    found = grouped(kept, lambda reading: reading.came_on or first)
    return [
        Stretch(tuple(_moment(reading, start, basis) for reading in sorted(part, key=_when)))
        for start, part in sorted(found.items())
    ]


def _when(reading: Measured) -> tuple[datetime, int]:
    return reading.taken_at, reading.reading


def _moment(reading: Measured, start: datetime, basis: Basis) -> Moment:
    seconds = max((reading.taken_at - start).total_seconds(), 0.0)
    return Moment(reading, seconds, basis.estimate([reading]))


def _values(role: str, stretches: Sequence[Stretch], basis: Basis) -> list[Value]:
    first = stretches[0]
    values: list[Value] = []
    if len(first.moments) < 2:
        basis.warn("Only one reading was taken before anything else was shown.")
    elif role == "warm-up":
        values += [*_settling(first, basis), _change(first, basis, falls=False)]
    else:
        values += [_change(first, basis, falls=True), *_settling(first, basis)]
    if len(first.moments) > 1 and first.moments[-1].time < BRIEF:
        basis.warn(
            f"All readings before the first rest were taken within {first.moments[-1].time:.1f} s: "
            "too short to see a change in. A simulated display does not wait, so its times are "
            "not those of a display."
        )
    values += _recovery(stretches, basis)
    everything = [moment for stretch in stretches for moment in stretch.moments]
    highest = max(everything, key=lambda moment: moment.estimate.value)
    for name, label, moment in (
        ("highest-luminance", "Highest reading", highest),
        ("first-luminance", "First reading", first.moments[0]),
        ("last-luminance", "Last reading", first.moments[-1]),
    ):
        light = level_number([moment.estimate])
        where = {"time_s": round(moment.time, 1)}
        values.append(value_of(name, f"{label}, after {_span(moment.time)}", light, "cd/m2", where))
    return values


def _change(stretch: Stretch, basis: Basis, *, falls: bool) -> Value:
    """From the first reading to the last; a drop counts downwards, a warm-up upwards."""
    start, end = stretch.moments[0], stretch.moments[-1]
    name, word = ("drop", "Drop") if falls else ("warm-up-change", "Change")
    label = f"{word} from {_span(start.time)} to {_span(end.time)}"
    where = {"from_s": round(start.time, 1), "to_s": round(end.time, 1)}
    share = percent_of([end.estimate], [start.estimate], basis, "the first reading")
    if share.value is None:
        return Value(name, label, None, "%", where=where)
    if not falls:
        number = Number(share.value - 100, share.uncertainty, share.bound)
    else:
        number = Number(100 - share.value, share.uncertainty, "lower" if share.bound else None)
    return value_of(name, label, number, "%", where)


def _settling(stretch: Stretch, basis: Basis) -> list[Value]:
    """From when on luminance stays near its last reading: at most the time of a reading."""
    values = stretch.values
    if values[-1] <= 0 or stretch.moments[-1].estimate.at_floor:
        return []
    since = settled_from(values, NEAR)
    name, label = "settled", f"Within {100 * NEAR:.0f} % of the last reading"
    moment = stretch.moments[since]
    unit, by = ("min", 60.0) if stretch.moments[-1].time >= LONG else ("s", 1.0)
    if since >= len(values) - 1:
        basis.warn(
            f"Luminance still changed by more than {100 * NEAR:.0f} % up to the last reading: it "
            "had not settled, and took longer than was looked at."
        )
        return [Value(name, label, moment.time / by, unit, None, "lower")]
    where = {"after_s": round(stretch.moments[since - 1].time, 1)} if since else {}
    return [Value(name, label, moment.time / by, unit, None, "upper", where)]


def _recovery(stretches: Sequence[Stretch], basis: Basis) -> list[Value]:
    """What the first reading after each rest is of the first one of all."""
    start = stretches[0].moments[0]
    values = []
    for before, after in pairwise(stretches):
        first = after.moments[0]
        seen = first.reading.came_on, before.moments[-1].reading.taken_at
        rest = 0.0 if seen[0] is None else max((seen[0] - seen[1]).total_seconds(), 0.0)
        share = percent_of([first.estimate], [start.estimate], basis, "the first reading")
        if abs(first.time - start.time) > max(APART, APART_BY * start.time):
            basis.warn(
                f"The first reading after the rest was taken {_span(first.time)} after the "
                f"picture came on, the first of all {_span(start.time)} after: the recovery "
                "compares two different moments."
            )
        where = {"rest_s": round(rest, 1), "time_s": round(first.time, 1)}
        label = f"Recovered after a rest of {_span(rest)}"
        values.append(value_of("recovery", label, share, "%", where))
    return values


def _series(stretches: Sequence[Stretch], highest: Moment) -> Series:
    quiet = Basis()  # where the highest gives no light, that is said of the first reading
    rows = []
    everything = [moment.estimate for stretch in stretches for moment in stretch.moments]
    for number, stretch in enumerate(stretches, 1):
        for moment in stretch.moments:
            share = Number(100.0)
            if moment is not highest:
                share = percent_of([moment.estimate], [highest.estimate], quiet, "the highest")
                share = of_the_highest(share, moment.estimate, highest.estimate, everything)
            light = level_number([moment.estimate])
            label = f"{_span(moment.time)}" + (f", time {number}" if len(stretches) > 1 else "")
            rows.append(
                Row(
                    label,
                    (Number(round(moment.time, 1)), light, share),
                    {"stretch": number},
                    (moment.reading.reading,),
                )
            )
    return Series("over-time", "Luminance over time", COLUMNS, tuple(rows))


def _span(seconds: float) -> str:
    """A time as people say it: `0.4 s`, `8 s`, `12 min`."""
    if seconds < 2:
        return f"{seconds:.1f} s"
    whole = 60 * round(seconds / 60) if seconds >= 120 else round(seconds)
    return duration(whole, minutes_from=120)
