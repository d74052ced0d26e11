"""Light that is watched, and nothing of it kept: figures that stand still as long as it does.

A mean grows as long as the light stays the same, and begins anew once it really changed. What is
told of it is told after 1, 2, 4, 8 and 16 readings, and then of the last 16 after every 4.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from math import hypot, sqrt
from statistics import fmean, median
from typing import TYPE_CHECKING

from player.run.expecting import short
from readings.colorimetry.chromaticity import uv_distance
from readings.evidence.repeatability import Repeatability

if TYPE_CHECKING:
    from player.run.aiming import SeenLight

MOST = 16
"""Readings of one mean."""
EVERY = 4
"""Readings after which the mean of that many is told anew."""
TOLD_AFTER = (1, 2, 4, 8, 16)
LAST = (1, 2, 4, 8)
"""Last readings that are held against those before, where the light may have changed."""
AT_ONCE, TOGETHER = 4.3, 3.7
"""Standard deviations by which one reading, or the mean of the last few, lies off the mean of those
before where the light has changed; by trial (docs/playing.md)."""
FEWEST, REMEMBERED = 8, 60
"""Differences of successive readings from which their scatter is known, and how many count."""
BEFOREHAND = 4
"""So many differences weighs what is taken beforehand, where fewer scatter less than that."""
MEDIAN = 0.6745
"""Of the size of a normal deviate, in standard deviations: changes of the light leave a median
alone."""
SMALLEST, LARGEST = 0.25, 4.0
"""Bounds of what the meter scatters, times what is taken of it beforehand."""


@dataclass(frozen=True, slots=True)
class Light:
    """One reading, or the mean of some."""

    luminance: float
    """cd/m2."""
    x: float | None
    """CIE 1931; None where no colour was read, as in the dark."""
    y: float | None


@dataclass(frozen=True, slots=True)
class Steady:
    """What is told: a mean, and what it is a mean of."""

    light: Light
    count: int
    """Readings in it."""
    seconds: float
    """Time from the beginning of the first to the end of the last."""
    spread: Light
    """Expanded uncertainty of the mean by the meter's scatter alone, k = 2, of each in its unit."""
    anew: bool
    """Whether the light has changed since the very first mean."""

    @property
    def mean_of(self) -> str:
        """`mean of 4 readings, 6 s`."""
        seconds = f"{self.seconds:.0f} s" if self.seconds >= 2.95 else f"{self.seconds:.1f} s"
        return (
            f"one reading, {seconds}"
            if self.count == 1
            else (f"mean of {self.count} readings, {seconds}")
        )


@dataclass(frozen=True, slots=True)
class _Taken:
    light: Light
    began: float
    ended: float


class Steadying:
    """Takes readings as they come, and says what may be told of them.

    Args:
        scatter: what the meter's readings scatter by, as far as is known beforehand.
    """

    def __init__(self, scatter: Repeatability) -> None:
        self._scatter = scatter
        self._mean: list[_Taken] = []
        self._since = 0
        self._differences: tuple[deque[float], ...] = tuple(
            deque(maxlen=REMEMBERED) for _ in range(3)
        )
        self._last: Light | None = None
        self._first: Steady | None = None
        self.count = 0
        """Readings taken so far."""
        self.steady: Steady | None = None
        """What is told; None before the first reading."""

    @property
    def first(self) -> Steady | None:
        """What was told at the beginning: the mean up to the first change; None before it."""
        return self._first

    def begin_anew(self) -> None:
        """The picture was away, or something else is known to have changed the light."""
        self._mean.clear()
        self._since = 0
        self._last = None

    def add(self, light: Light, began: float, ended: float) -> bool:
        """Take a reading; whether what is told is another now.

        Args:
            light: what was read.
            began, ended: seconds of a clock that never goes back.
        """
        self.count += 1
        self._learn(light)
        anew = bool(self.steady is not None and (self.steady.anew or not self._mean))
        self._mean.append(_Taken(light, began, ended))
        changed = self._changed()
        if changed:
            self._mean = self._mean[-changed:]
            self._since = len(self._mean)
            anew = True
        else:
            self._since += 1
        del self._mean[:-MOST]
        told = self._since in TOLD_AFTER or (self._since > MOST and not self._since % EVERY)
        if told or changed:
            self.steady = self._told(anew=anew)
            if not anew and self._since <= MOST:
                self._first = self.steady
        return told or bool(changed)

    def _told(self, *, anew: bool) -> Steady:
        light = _mean_of([each.light for each in self._mean])
        many = len(self._mean)
        luminance, x, y = (2 * each / sqrt(many) for each in self._deviations(light))
        return Steady(
            light,
            many,
            self._mean[-1].ended - self._mean[0].began,
            Light(luminance, x, y),
            anew,
        )

    def _changed(self) -> int:
        """How many of the last readings are of another light than those before; 0 for none."""
        worst, found = 1.0, 0
        lights = [each.light for each in self._mean]
        for last in (each for each in LAST if each < len(lights)):
            before, after = _mean_of(lights[:-last]), _mean_of(lights[-last:])
            limit = (AT_ONCE if last == 1 else TOGETHER) * sqrt(1 / last + 1 / (len(lights) - last))
            pairs = zip(_numbers(before), _numbers(after), self._deviations(before), strict=True)
            for one, other, deviation in pairs:
                if one is None or other is None:
                    continue
                off = abs(other - one) / (limit * deviation)
                if off > worst:
                    worst, found = off, last
        return found

    def _learn(self, light: Light) -> None:
        if self._last is not None:
            usual = self._usual(self._last)
            known = zip(
                self._differences, _numbers(self._last), _numbers(light), usual, strict=True
            )
            for differences, before, now, deviation in known:
                if before is not None and now is not None:
                    differences.append(abs(now - before) / (sqrt(2) * deviation))
        self._last = light

    def _usual(self, light: Light) -> tuple[float, float, float]:
        return self._scatter.deviations(light.luminance, light.y)

    def _deviations(self, light: Light) -> list[float]:
        """Standard deviations of one reading of such a light, by what was seen so far."""
        found = []
        for usual, differences in zip(self._usual(light), self._differences, strict=True):
            many, times = len(differences), 1.0
            if many >= FEWEST:
                times = min(max(median(differences) / MEDIAN, SMALLEST), LARGEST)
                times = times ** (many / (many + BEFOREHAND)) if times < 1 else times
            found.append(usual * times)
        return found


def _numbers(light: Light) -> tuple[float, float | None, float | None]:
    return light.luminance, light.x, light.y


def _mean_of(lights: list[Light]) -> Light:
    """The mean; without a colour where one of them has none."""
    xs = [each.x for each in lights if each.x is not None]
    ys = [each.y for each in lights if each.y is not None]
    whole = len(xs) == len(ys) == len(lights)
    luminance = fmean(each.luminance for each in lights)
    return Light(luminance, fmean(xs) if whole else None, fmean(ys) if whole else None)


@dataclass(frozen=True)
class Live:
    """What is told of light that is watched, in words."""

    luminance: str = ""
    """`448.8 cd/m2`; empty before the first reading."""
    target: str = ""
    """`target 405`; empty where no luminance is aimed at."""
    light: str = ""
    """How far the luminance is from it: `1.7 % too bright`, `there`."""
    colour: str = ""
    """`x 0.3127, y 0.3290`; empty without a colour."""
    off: str = ""
    """How far x and y are from the target's: `off by +0.0014, +0.0012`."""
    apart: str = ""
    """`delta E 2000 1.8`."""
    hue: str = ""
    """`a little too blue`, `there`."""
    balance: tuple[float, float, float] | None = None
    """Red, green and blue of a grey in shares of what is wanted."""
    within: tuple[float, float, float] | None = None
    """How far these may be off by the meter's scatter, k = 2."""
    change: str = ""
    """The difference to the beginning."""
    mean_of: str = ""
    """`mean of 4 readings, 6 s`."""
    waits: str = ""
    """What is waited for; empty where the meter reads."""


def live_of(steady: Steady, seen: SeenLight, first: Steady, first_seen: SeenLight) -> Live:
    """What is told of a mean.

    Args:
        steady: the mean.
        seen: what it comes to.
        first: the mean at the beginning.
        first_seen: what that came to.
    """
    told = seen.told
    off = ""
    wanted = None if told is None else told.target.xy
    if wanted is not None and seen.x is not None and seen.y is not None:
        off = f"off by {_signed(seen.x - wanted[0])}, {_signed(seen.y - wanted[1])}"
    corrected = ", corrected" if seen.corrected else ""
    return Live(
        luminance=f"{short(seen.luminance)} cd/m2",
        target=told.target.figure if told is not None and told.light else "",
        light="" if told is None else told.light,
        colour="" if seen.x is None else f"x {seen.x:.4f}, y {seen.y:.4f}",
        off=off,
        apart="" if told is None else told.colour,
        hue="" if told is None else told.hue,
        balance=seen.balance,
        within=seen.balance_spread,
        change=_change(steady, seen, first, first_seen),
        mean_of=f"{steady.mean_of}{corrected}",
    )


def _signed(number: float) -> str:
    """Four decimals with a sign; none before zero."""
    text = f"{number:+.4f}".replace("-", "\N{MINUS SIGN}")
    return text if float(f"{number:.4f}") else text[1:]


def _change(steady: Steady, seen: SeenLight, first: Steady, before: SeenLight) -> str:
    """How the light has changed since the beginning; less than the meter's scatter is nothing."""
    if steady is first:
        return "What changes from here on is told"
    said = []
    if before.luminance > 0:
        percent = 100 * (seen.luminance / before.luminance - 1)
        if abs(seen.luminance - before.luminance) > hypot(
            steady.spread.luminance, first.spread.luminance
        ):
            text = f"{abs(percent):.1f}" if abs(percent) < 9.95 else f"{abs(percent):.0f}"
            said.append(f"{text} % {'brighter' if percent > 0 else 'darker'}")
        else:
            said.append("as bright")
    if None not in (before.x, before.y, seen.x, seen.y):
        said.append(_moved(steady, seen, first, before))
    return f"Since the beginning: {'; '.join(said)}" if said else ""


def _moved(steady: Steady, seen: SeenLight, first: Steady, before: SeenLight) -> str:
    now, then = (seen.x or 0.0, seen.y or 0.0), (before.x or 0.0, before.y or 0.0)
    may = hypot(steady.spread.x or 0.0, first.spread.x or 0.0)
    if max(abs(one - other) for one, other in zip(now, then, strict=True)) <= may:
        return "the same colour"
    return f"colour moved by {float(uv_distance(now, then)):.4f} in u'v'"
