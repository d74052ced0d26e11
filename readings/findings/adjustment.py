"""Adjusting by the display's own controls: each as found and as left, and what became of errors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise

import numpy as np

from patterns.aim import Aim
from patterns.control import ADJUSTING, Control
from patterns.signal.signal import Signal
from patterns.words import figures
from readings.adjusting.advice import Noticed
from readings.adjusting.goal import Goal, Point, peak_of
from readings.adjusting.words import noticed
from readings.colorimetry.chromaticity import Floats
from readings.evidence.aim import Aimed, light_of
from readings.evidence.distance import (
    Distance,
    WithDraws,
    change_of,
    delta_e_2000_of,
    delta_e_itp_of,
)
from readings.evidence.lights import DRAWS, Lights, lights_of
from readings.evidence.measured import Adjusting, Measured, NoticedControl
from readings.evidence.shown import signal_of, values_of
from readings.findings.base import (
    Column,
    Finding,
    Judgement,
    Number,
    Part,
    Row,
    Series,
    Value,
    Verdict,
    written_interval,
)
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import Drawn, FindingKind, Reads
from readings.findings.ratio import level_value
from readings.findings.share import distances_of, number_of, value_of, with_possible_colour
from readings.visit.records import AdjustmentEnd

PLACES = 4
"""Decimal places of E' that tell points apart."""
ANYWHERE = (0.5, 0.5, 0.5)
"""E' of a point of which only the name is known, and told."""
PAUSE = timedelta(minutes=30)
"""Longer without a reading or a turn is no adjusting: a choice of our own."""
TAKES = 10 / 60
"""min: how long a reading may take, at the end of which it is kept; a choice of our own."""
SOURCE = (
    "Rec. ITU-R BT.1886 (03/2011) Annex 1 and BT.2100-3 (second-hand); CIEDE2000: CIE 15:2018; "
    "delta E ITP: Rec. ITU-R BT.2124-0 (both second-hand); what is compared, and how, is our own"
)
ENDED: dict[AdjustmentEnd, str] = {
    "reached": "every error was believed to be below its limit",
    "within the meter": "what was left was less than the meter can tell",
    "not worth the time": "what was left was not worth the time it would have taken",
    "nothing left": "no control was known to help any more",
    "ended by hand": "it was ended by hand",
    "gone on": "it was gone on with, and not ended since",
}
WAYS = {
    ("down", "down"): "errors are smaller than they were",
    ("down", ""): "the largest error is smaller than it was, and the mean error perhaps",
    ("", "down"): "the mean error is smaller than it was, and the largest error perhaps",
    ("up", "up"): "errors are larger than they were found",
    ("up", ""): "the largest error is larger than it was found",
    ("", "up"): "the mean error is larger than it was found",
    (
        "up",
        "down",
    ): "the largest error is larger than it was found, though the mean error is smaller",
    (
        "down",
        "up",
    ): "the mean error is larger than it was found, though the largest error is smaller",
    ("", ""): "whether errors are smaller than they were cannot be told",
}
"""By which way the largest and the mean error surely went."""
NOT_ENDED = "it was not ended"
UNKNOWN_COLOUR = (
    "Adjusted to {}, and by how much its x and y are off is not stated: that is in the white, and "
    "how large the largest error is in truth is not known. Correct it against a reference"
)
BY_ONE = (
    "As read is against the target as its meter would read that: what one meter errs by alike in "
    "everything it reads cancels, and how it repeats does not. A colour that the meter itself sees "
    "wrongly it cannot see here, so it was adjusted into the display: in truth is with all that it "
    "may be off by."
)
BY_SEVERAL = "What the meters err by is in the intervals, and does not cancel."
SEVERAL = (
    "As found and as left were not read with one meter, or not all corrected alike, so what each "
    "errs by does not cancel."
)
ERRORS = (
    Column("before", "As found"),
    Column("after", "As left"),
    Column("change", "Change"),
    Column("truth", "As left in truth"),
    Column("luminance-before", "Luminance as found", "cd/m2"),
    Column("luminance-after", "Luminance as left", "cd/m2"),
    Column("target-luminance", "Target luminance", "cd/m2"),
)
CONTROLS = (
    Column("found", "As found"),
    Column("left", "As left"),
    Column("clicks", "Clicks"),
    Column("turns", "Times turned"),
)
COLOURS = {
    (1, 0, 0): "red",
    (0, 1, 0): "green",
    (0, 0, 1): "blue",
    (0, 1, 1): "cyan",
    (1, 0, 1): "magenta",
    (1, 1, 0): "yellow",
}
"""By the channels that carry most of a colour."""


class Adjusted(FindingKind):
    """What adjusting a display by its own controls came to: one finding for each such step.

    Reads the role `adjusting`, with the controls that were turned in between.
    """

    name = "adjustment"
    subject = "adjusting by the display's own controls"
    reads = (Reads((ADJUSTING,), "a `window`, a `field` or a `patch`", ("colour",)),)
    limits = ()
    pictures = (Drawn("adjustment"),)
    changing = frozenset({ADJUSTING})
    wanted = False

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        found = list[Finding | None]()
        for mine in by_run(r for r in readings if r.role == ADJUSTING).values():
            steps = grouped(mine, lambda reading: reading.step)
            found += [_finding(group) for group in steps.values()]
        return only_found(found)


@dataclass(frozen=True)
class _Seen:
    """One point, as it was found and as it was left."""

    point: Point
    before: tuple[Measured, ...]
    """Its readings before anything was turned; without any, the first."""
    after: tuple[Measured, ...]
    """Its readings since the last turn; without any, the last. Empty where it was read once."""


def _finding(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis(aimed=Aimed.of(mine[0]))
    adjusting = mine[0].adjusting or Adjusting((), (), ())
    ordered = sorted(mine, key=lambda each: (each.taken_at, each.reading))
    kept = with_possible_colour(with_light(ordered, basis))
    moved = _moved(adjusting)
    points = _points(kept, moved)
    compared = _Compared.of(points, basis) if points else None
    values = [] if compared is None else compared.values()
    if not values:
        values = [Value("adjusted-largest", "Largest error, as left", None, "")]
        basis.warn("No level was read both before and after something was turned, in colour.")
    else:
        assert compared is not None  # noqa: S101 - it gave them
        _say_what_changed(compared, basis)
    _warn(adjusting, points, moved, basis)
    _warn_of_controls(adjusting, basis)
    if compared is not None and compared.meter is not None and compared.may_be_off is None:
        basis.warn(f"{UNKNOWN_COLOUR.format(compared.meter)}.")
    basis.used += kept
    ended = _ended(adjusting)
    values += _course(adjusting, ordered, moved)
    finding = basis.finding(
        "adjustment",
        mine[0],
        title=f"Adjusted: {mine[0].label}",
        values=values,
        method=_method(compared, mine[0], ended),
        source=SOURCE,
        series=_series(adjusting, compared, moved),
    )
    return _judged(finding, compared, moved, ended)


# ---- what was turned


@dataclass(frozen=True)
class _Move:
    """A control that was really turned: its menu read something else then."""

    control: int
    value: float
    at: datetime


def _moved(adjusting: Adjusting) -> list[_Move]:
    now = [control.found for control in adjusting.controls]
    moves = []
    for turned in adjusting.turned:
        if turned.value is not None and turned.value != now[turned.control]:
            now[turned.control] = turned.value
            moves.append(_Move(turned.control, turned.value, turned.at))
    return moves


def _left(adjusting: Adjusting, moves: Iterable[_Move]) -> list[float]:
    """What each menu reads in the end."""
    now = [control.found for control in adjusting.controls]
    for move in moves:
        now[move.control] = move.value
    return now


def _ended(adjusting: Adjusting) -> str:
    """Why it ended, as a part of a sentence, with what was written down about it."""
    if not adjusting.ends:
        return NOT_ENDED
    last = adjusting.ends[-1]
    said = " ".join(last.text.split()).rstrip(".")
    return f"{ENDED[last.why]} ({said})" if said else ENDED[last.why]


def _course(
    adjusting: Adjusting, ordered: Sequence[Measured], moves: Sequence[_Move]
) -> list[Value]:
    """How long it took, how much was turned and how much was read."""
    times = [each.taken_at for each in ordered] + [each.at for each in adjusting.turned]
    times += [each.at for each in adjusting.ends if each.ended]
    times.sort()
    gaps = [b - a for a, b in pairwise(times) if b - a <= PAUSE]
    minutes = sum(gaps, timedelta()).total_seconds() / 60
    turned = len({move.control for move in moves})
    return [
        value_of("adjusting-minutes", "Time it took", Number(minutes, TAKES), "min"),
        _count("adjusting-changes", "Changes in the menu", len(moves)),
        _count("adjusting-controls", "Controls turned", turned),
        _count("adjusting-readings", "Readings on the way", len(ordered)),
    ]


def _count(name: str, label: str, number: int) -> Value:
    return Value(name, label, number, "", among=(number,))


# ---- what was read


def _points(readings: Sequence[Measured], moves: Sequence[_Move]) -> list[_Seen]:
    """The points that were read with a colour, in the order of their signal."""
    first = min((move.at for move in moves), default=None)
    last = max((move.at for move in moves), default=None)
    groups: dict[tuple[float, ...], list[Measured]] = {}
    for reading in readings:
        values = values_of(reading)
        if values is not None and reading.x is not None:
            key = tuple(float(each) for each in np.round(values, PLACES))
            groups.setdefault(key, []).append(reading)
    seen = []
    for key in sorted(groups, key=lambda each: (len(set(each)) > 1, sum(each), each)):
        mine = groups[key]
        early = [each for each in mine if first is None or each.taken_at <= first]
        late = [each for each in mine if last is not None and each.taken_at > last]
        before = early or mine[:1]
        rest = [each for each in mine if each not in before]
        after = [each for each in late if each not in before] or rest[-1:]
        point = Point(_label(mine[0], key), (key[0], key[1], key[2]))
        seen.append(_Seen(point, tuple(before), tuple(after)))
    return seen


def _label(reading: Measured, values: tuple[float, ...]) -> str:
    """`70 %` as it was asked for, or what its codes come to; `red` of a colour."""
    if len(set(values)) == 1:
        changed = reading.facts.get("changed")
        asked = changed.get("level") if isinstance(changed, dict) else None
        return asked if isinstance(asked, str) else f"{100 * values[0]:.0f} %"
    most = max(values)
    middle = (most + min(values)) / 2
    red, green, blue = (int(each > middle) for each in values)
    return COLOURS[red, green, blue]


def _warn(
    adjusting: Adjusting, points: Sequence[_Seen], moves: Sequence[_Move], basis: Basis
) -> None:
    """Say what the comparison cannot tell."""
    if moves:
        first, last = moves[0].at, max(move.at for move in moves)
        twice = [each for each in points if each.after]
        late = [p.point.label for p in twice if p.before[0].taken_at > first]
        early = [p.point.label for p in twice if p.after[-1].taken_at <= last]
        if late:
            basis.warn(f"First read after something had been turned: {', '.join(late)}.")
        if early:
            basis.warn(f"Not read again after the last turn: {', '.join(early)}.")
    elif adjusting.controls:
        basis.warn("Nothing was turned.")
    once = [each.point.label for each in points if not each.after]
    if once and moves:
        basis.warn(f"Read only once, so not compared: {', '.join(once)}.")
    if len(points) == 1:
        basis.warn(f"Only {points[0].point.label} was read; nothing is known of other levels.")


def _warn_of_controls(adjusting: Adjusting, basis: Basis) -> None:
    """Say which controls were left out, and why; and what was found out about them."""
    out: dict[int, str] = {}
    for turned in adjusting.turned:
        if turned.event == "left out":
            out[turned.control] = " ".join(turned.why.split()).rstrip(".")
        elif turned.event == "taken in":
            out.pop(turned.control, None)
    for place, why in out.items():
        name = adjusting.controls[place].name
        basis.warn(f"{name} was left out{f': {why}' if why else ''}.")
    for each in adjusting.noticed:
        found = Noticed(
            adjusting.controls[each.control], each.what, None if each.point is None else 0
        )
        basis.warn(noticed(found, [Point(each.point or "", ANYWHERE)]))


@dataclass(frozen=True, eq=False)
class _Compared:
    """Errors before and after, of the points that were read twice and can be aimed at."""

    goal: Goal
    seen: tuple[_Seen, ...]
    places: tuple[int, ...]
    """Of each of them among the goal's points."""
    lights: Lights
    """Of the points before, then of those after."""
    meter: str | None
    """Which read them all, as people call it; None where that was not one."""
    before: Distance
    after: Distance
    truth: Distance
    """As left, with all that the meter may err by."""

    @classmethod
    def of(cls, points: Sequence[_Seen], basis: Basis) -> _Compared | None:
        """None where nothing can be aimed at, or nothing was read twice."""
        first = points[0].before[0]
        signal, aim = signal_of(first), first.aim
        greys = [each for each in points if each.point.grey]
        if signal is None or not greys or not any(each.after for each in points):
            return None
        white = greys[-1]
        black = next((each for each in greys if each.point.black), None)
        if white is black:
            basis.warn("No grey was read that is brighter than black, so there is no target.")
            return None
        if black is None:
            basis.warn("No black was read, so targets start from no light at all.")
        ends = [white.before] + ([] if black is None else [black.before])
        found = lights_of(ends, basis)
        lit = found.xyz[0]
        dark = np.zeros(3) if black is None else found.xyz[1]
        dark = np.where(np.isfinite(dark), dark, 0.0)
        try:
            goal = Goal.of([each.point for each in points], signal, lit, dark, aim)
        except ValueError as error:
            basis.warn(f"There is no target: {error}.")
            return None
        left = [each.point.label for each in points if each.point not in goal.points]
        if left:
            basis.warn(f"Brighter than the display can be, so without a target: {', '.join(left)}.")
        twice = [each for each in points if each.after and each.point in goal.points]
        if not twice:
            return None
        aims = goal.xyz[[goal.points.index(each.point) for each in twice]]
        things = [each.before for each in twice] + [each.after for each in twice]
        lights = lights_of(things, basis)
        clear = lights.coloured & ~np.array(lights.at_floor)
        count = len(twice)
        kept = [n for n in range(count) if clear[n] and clear[count + n]]
        if dim := [twice[n].point.label for n in range(count) if n not in kept]:
            basis.warn(f"Too dark for the meter, so not compared: {', '.join(dim)}.")
        if not kept:
            return None
        seen = tuple(twice[n] for n in kept)
        places = tuple(goal.points.index(each.point) for each in seen)
        which = [*kept, *(count + n for n in kept)]
        wanted = _Wanted.of(goal, places, signal, found, aim)
        truth = wanted.errors(goal, lights, [n + count for n in kept], aim)
        near, meter = lights, None
        if len({lights.estimates[n].meter for n in which} | {found.estimates[0].meter}) == 1:
            near = lights_of(things, basis, np.concatenate([aims, aims]))
            found = lights_of(ends, basis, _own_of_meter(found))
            wanted = _Wanted.of(goal, places, signal, found, aim)
            meter = _called(lights.first[which[0]])
        else:
            basis.warn(SEVERAL)
        before = wanted.errors(goal, near, kept, aim)
        after = wanted.errors(goal, near, [n + count for n in kept], aim)
        return cls(goal, seen, places, _some(lights, which), meter, before, after, truth)

    def rows(self) -> list[Row]:
        """One for each point that is compared."""
        count, aims = len(self.seen), self.goal.xyz[list(self.places), 1]
        columns = (
            distances_of(self.before),
            distances_of(self.after),
            self.changes(),
            distances_of(self.truth),
        )
        found = []
        for n, each in enumerate(self.seen):
            light = (self.lights.estimates[n], self.lights.estimates[count + n])
            numbers = (
                *(column[n] for column in columns),
                *(Number.of(estimate.value, estimate.expanded) for estimate in light),
                Number.of(float(aims[n])),
            )
            where: dict[str, object] = {"signal": list(each.point.signal)}
            readings = sorted({r.reading for r in (*each.before, *each.after)})
            found.append(Row(each.point.label, numbers, where, tuple(readings)))
        return found

    @property
    def called(self) -> str:
        """What errors are, and whose: `Delta E 2000 as read`."""
        return self.kind if self.meter is None else f"{self.kind} as read"

    @property
    def kind(self) -> str:
        return "Delta E ITP" if self.goal.itp else "Delta E 2000"

    @property
    def may_be_off(self) -> float | None:
        """How far x and y of the meter may be off, k = 2; None where that is not stated."""
        specification = self.lights.first[0].specification
        return None if specification is None else specification.chromaticity_uncertainty

    def values(self) -> list[Value]:
        """Largest and mean error as left, as found, and how they changed."""
        count, values = len(self.seen), list[Value]()
        for name, label, errors, most in (
            ("adjusted-largest", f"{self.called}, largest, as left", self.after, self.largest[1]),
            (
                "adjusted-largest-before",
                f"{self.called}, largest, as found",
                self.before,
                self.largest[0],
            ),
        ):
            worst = errors.largest()
            at = self.seen[worst].point.label
            numbers = distances_of(errors)
            parts = tuple(
                Part(f"{label}: {each.point.label}", number)
                for each, number in zip(self.seen, numbers, strict=True)
            )
            number = number_of(most)
            values.append(
                value_of(
                    name, f"{label}: {at}", number, "", row=label, at=at, count=count,
                    parts=parts, off=True,
                )
            )  # fmt: skip
        for name, label, mean in (
            ("adjusted-average", f"{self.called}, mean, as left", self.average[1]),
            ("adjusted-average-before", f"{self.called}, mean, as found", self.average[0]),
        ):
            values.append(value_of(name, label, number_of(mean), "", count=count, off=True))
        values += [
            value_of(
                "adjusted-largest-change", "Change of the largest", _change(*self.largest), ""
            ),
            value_of("adjusted-average-change", "Change of the mean", _change(*self.average), ""),
        ]
        values += self._in_truth()
        white = max(range(count), key=lambda n: sum(self.seen[n].point.signal))
        if self.seen[white].point.grey:
            at = self.seen[white].point.label
            for name, label, place in (
                ("adjusted-white", "Brightest grey, as left", count + white),
                ("adjusted-white-before", "Brightest grey, as found", white),
            ):
                estimate = self.lights.estimates[place]
                values.append(level_value(name, f"{label}: {at}", [estimate], row=label, at=at))
        return values

    def _in_truth(self) -> list[Value]:
        """What the largest error may be in truth, and by how much the meter's colour may be off."""
        truth = number_of(self.truth.most())
        label = f"{self.kind} in truth, largest, as left"
        values = [value_of("adjusted-truth", label, truth, "", count=len(self.seen), off=True)]
        if self.meter is None or self.may_be_off is None:
            return values
        corrected = self.lights.first[0].as_read
        where: dict[str, object] = {"stated_by": "specification"}
        if corrected is not None:
            where = {"stated_by": "correction", "correction": corrected.correction}
        label = f"By how much x and y of {self.meter} are off"
        return [
            *values,
            Value("adjusted-meter", label, self.may_be_off, "", bound="upper", where=where),
        ]

    @cached_property
    def largest(self) -> tuple[Distance, Distance]:
        """As found and as left, whichever point it is of."""
        return self.before.most(), self.after.most()

    @cached_property
    def average(self) -> tuple[Distance, Distance]:
        """As found and as left."""
        return self.before.mean(), self.after.mean()

    def changes(self) -> list[Number]:
        """Of each error."""
        ends = change_of(self.before, self.after)
        value, drawn = self.after.value - self.before.value, self.after.drawn - self.before.drawn
        return [
            Number.of(
                each,
                None,
                drawn[:, n],
                None if ends is None else (float(ends[0][n]), float(ends[1][n])),
            )
            for n, each in enumerate(value)
        ]


def _change(before: Distance, after: Distance) -> Number:
    """How much larger one error became."""
    ends = change_of(before, after)
    interval = None if ends is None else (float(ends[0]), float(ends[1]))
    return Number.of(after.value - before.value, None, after.drawn - before.drawn, interval)


def _called(reading: Measured) -> str:
    """The meter of a reading, with what it is corrected to."""
    name = f"the {reading.instrument_name}" if reading.instrument_name else "the meter"
    return (
        name if reading.as_read is None else f"{name}, corrected to the {reading.as_read.reference}"
    )


def _own_of_meter(ends: Lights) -> Floats:
    """(n, 3) XYZ of white and black, of those that white's meter read; NaN of another's."""
    mine = [each.meter == ends.estimates[0].meter for each in ends.estimates]
    return np.where(np.array(mine)[:, None], ends.xyz, np.nan)


def _some(lights: Lights, which: Sequence[int]) -> Lights:
    """Lights of some things alone."""
    which = list(which)
    return Lights(
        tuple(lights.things[n] for n in which),
        tuple(lights.estimates[n] for n in which),
        lights.xy[which],
        lights.drawn_luminance[:, which],
        lights.drawn_xyz[:, which],
        lights.known,
        lights.colour_known,
    )


@dataclass(frozen=True, eq=False)
class _Wanted:
    """What is wanted of the points that are compared, and of white."""

    xyz: WithDraws
    """(n, 3), cd/m2."""
    white: WithDraws
    """Luminance (), cd/m2."""

    @classmethod
    def of(
        cls, goal: Goal, places: Sequence[int], signal: Signal, ends: Lights, aim: Aim
    ) -> _Wanted:
        """From the goal, and what white and black as found, `ends`, may really have been.

        Where white's luminance was not stated, what the meter's gain has wrong is wrong in the
        target alike, and cancels.
        """
        peak = float(goal.white[1])
        drawn_peak = np.full(DRAWS, peak)
        if aim.white is None and signal.transfer.name != "pq":
            drawn_peak = peak_of(ends.drawn_xyz[:, 0], goal.matrix)
        dark = ends.drawn_xyz[:, 1] if len(ends.estimates) > 1 else np.zeros((DRAWS, 3))
        dark = np.where(np.isfinite(dark), dark, 0.0)
        floor = np.clip(dark[:, 1], 0.0, 0.5 * drawn_peak)
        points = [goal.points[place] for place in places]
        values = np.array([point.signal for point in points])
        light = light_of(signal, values, drawn_peak, floor, aim)
        drawn = light @ goal.matrix.T
        for place, point in enumerate(points):
            if point.black:
                drawn[:, place] = dark
        return cls(
            WithDraws(goal.xyz[list(places)], drawn), WithDraws(np.asarray(peak), drawn_peak)
        )

    def errors(self, goal: Goal, lights: Lights, which: Sequence[int], aim: Aim) -> Distance:
        """Of some of the lights, one for each point."""
        seen = WithDraws(lights.xyz[list(which)], lights.drawn_xyz[:, list(which)])
        if goal.itp:
            return delta_e_itp_of(seen, self.xyz, known=lights.knows())
        known = lights.knows()
        return delta_e_2000_of(seen, self.xyz, self.white, known=known, white_xy=aim.white_xy)


# ---- what is said of it


def _series(
    adjusting: Adjusting, compared: _Compared | None, moves: Sequence[_Move]
) -> list[Series]:
    found = []
    if adjusting.controls:
        left = _left(adjusting, moves)
        rows = tuple(
            _control_row(
                control,
                left[place],
                sum(move.control == place for move in moves),
                [each for each in adjusting.noticed if each.control == place],
            )
            for place, control in enumerate(adjusting.controls)
        )
        found.append(Series("controls", "Controls, as found and as left", CONTROLS, rows))
    if compared is not None:
        found.append(Series("adjusted", compared.called, ERRORS, tuple(compared.rows())))
    return found


def _control_row(
    control: Control, left: float, turns: int, noticed: Sequence[NoticedControl]
) -> Row:
    where: dict[str, object] = {"does": control.does}
    if control.channel is not None:
        where["channel"] = control.channel
    if control.level is not None:
        where["level_percent"] = control.level
    if noticed:
        where["noticed"] = [{"what": each.what, "point": each.point} for each in noticed]
    clicks = round(control.clicks(left), 3)
    numbers = tuple(Number(float(each)) for each in (control.found, left, clicks, turns))
    return Row(control.name, numbers, where)


def _say_what_changed(compared: _Compared, basis: Basis) -> None:
    """Say where an error is not surely smaller than it was."""
    for what, change in (
        ("largest", _change(*compared.largest)),
        ("mean", _change(*compared.average)),
    ):
        low, high = change.reach or (None, None)
        if low is None or high is None:
            basis.warn(f"Whether the {what} error changed is not known, as the meter's errors are.")
        elif low > 0:
            basis.warn(f"The {what} error is larger than as found.")
        elif high >= 0:
            basis.warn(
                f"The {what} error is not smaller than as found by more than the meter can tell."
            )


def _judged(
    finding: Finding, compared: _Compared | None, moves: Sequence[_Move], ended: str
) -> Finding:
    """What the front page says: never that it is good, as that is said of what is read after."""
    answers = [f"Why it ended: {ended}"]
    verdict: Verdict = "open"
    if compared is None:
        verdict, what = "unsure", "what it came to cannot be told"
        if not moves:
            verdict, what = "open", "nothing was turned"
        judgement = Judgement(verdict, f"{finding.title}: {what}", answers=tuple(answers))
        return replace(finding, judgement=judgement)
    answers[:0] = [
        *(_before_and_after(finding, compared.called, of) for of in ("largest", "average")),
        *_told_of_the_meter(finding, compared),
    ]
    largest, average = _way(_change(*compared.largest)), _way(_change(*compared.average))
    said = WAYS[largest, average]
    if not moves:
        said = "nothing was turned"
    elif "up" in (largest, average):
        verdict = "open" if "down" in (largest, average) else "bad"
    elif "down" not in (largest, average):
        verdict = "unsure"
    told = moves and verdict != "unsure" and compared.meter is not None
    by = f", as seen by {compared.meter}" if told else ""
    sentence = f"{finding.title}: {said}{by}"
    return replace(finding, judgement=Judgement(verdict, sentence, answers=tuple(answers)))


def _before_and_after(finding: Finding, called: str, of: str) -> str:
    """`Delta E 2000 as read, largest: 3.6 (3.2 to 4.0) as found, 1.0 (0.4 to 1.5) as left`."""
    names = (f"adjusted-{of}-before", f"adjusted-{of}", f"adjusted-{of}-change")
    before, after, change = (
        value.written() for name in names if (value := finding.value(name)) is not None
    )
    word = {"largest": "largest", "average": "mean"}[of]
    return (
        f"{called}, {word}: {before} as found, {after} as left; change {change.replace('-', '−')}"
    )


def _told_of_the_meter(finding: Finding, compared: _Compared) -> list[str]:
    """What a wrong colour of the meter means here; nothing where several meters read."""
    truth = finding.value("adjusted-truth")
    if compared.meter is None or truth is None:
        return []
    if compared.may_be_off is None:
        return [UNKNOWN_COLOUR.format(compared.meter)]
    off = figures(compared.may_be_off, 2)
    ends = None
    if truth.value is not None and truth.interval is not None:
        _, ends = written_interval(truth.value, truth.interval)
    if ends is None:
        known = "how large the largest error is in truth is not known"
    else:
        least, most = ends
        between = f"at most {most}" if least == "0" else f"between {least} and {most}"
        known = f"in truth the largest error as left is {between}"
    told = (
        f"Adjusted to {compared.meter}, whose x and y may be off by {off}, and that is in the white"
    )
    return [f"{told}: {known}"]


def _way(change: Number) -> str:
    """Which way it surely went; empty where that cannot be told."""
    if change.reach is None:
        return ""
    low, high = change.reach
    return "up" if low > 0 else "down" if high < 0 else ""


def _method(compared: _Compared | None, first: Measured, ended: str) -> str:
    how = "Nothing could be compared."
    if compared is not None:
        aimed = Aimed.of(first)
        white = aimed.aim.told_white_point()
        curve = aimed.told_curve("white as wanted", "black as found")
        meant = (
            ""
            if aimed.transfer == "pq"
            else " White is wanted as bright as was stated."
            if aimed.aim.white is not None
            else " White is wanted as bright as it was found, without what its strong channels "
            "have too much of; black as it was found."
        )
        how = (
            f"{compared.called} of each level against {curve}, with white {white}.{meant} As found "
            "are the readings of a level before anything was turned (without any, its first), as "
            "left those since the last turn (without any, its last); levels that were read once "
            "are not compared. "
        )
        how += BY_ONE if compared.meter is not None else BY_SEVERAL
    return f"{how} It ended because {ended}." if ended != NOT_ENDED else f"{how} It was not ended."
