"""Can it flash? Patterns over time, judged by two published limits.

Rec. ITU-R BT.1702-3 (11/2023), second-hand: a pair of opposing changes counts as a flash when the
darker state is below 160 cd/m2 and the two differ by 20 cd/m2 or more, and above 160 cd/m2 (HDR)
at a Michelson contrast of 1/17 or more; changes to and from saturated red always count. Not
acceptable: more than 25 % of the screen and more than 3 flashes in any second.

WCAG 2.2 success criterion 2.3.1 (W3C), as published: a pair of opposing changes of relative
luminance by 10 % of the maximum or more, the darker state below 0.80; a red flash is a pair of
opposing changes involving a saturated red (working form: R / (R + G + B) >= 0.8 in linear light,
and 0.2 or more in CIE 1976 u'v'). Safe: at most three of either kind in any second, or an area of
at most 0.006 steradian, which depends on where the viewer sits.

Litfield is stricter than both in one point: more than three flashes a second count whatever their
area, because a viewer may sit close to a large screen.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial

import numpy as np
from numpy.typing import NDArray

from patterns.canvas import Canvas
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.signal import Signal

MOST_A_SECOND = 3
"""Flashes that both documents accept in any one second."""
DARK, STEP, MICHELSON = 160.0, 20.0, 1 / 17
"""BT.1702-3: cd/m2, cd/m2, ratio."""
RELATIVE_STEP, RELATIVE_DARK = 0.10, 0.80
"""WCAG 2.2: shares of the maximum luminance."""
RED_SHARE, RED_SHIFT = 0.8, 0.2
"""WCAG 2.2: R / (R + G + B) in linear light, and a difference in u'v'."""
LARGE_AREA = 25.0
"""BT.1702-3: percent of the screen."""
SDR_WHITE = 200.0
"""Luminance of SDR white that BT.1702-3 assumes, cd/m2."""
WATCHED = Fraction(2)
"""Seconds of a moving pattern that are looked at."""
ACROSS, DOWN = 192, 108
"""Places of the picture that are looked at; each stands for its share of the screen."""

Grid = NDArray[np.float64]
Places = NDArray[np.bool_]
Counts = Callable[[Grid, Grid], Places]
"""Which changes from a lower to a higher value, or back, count."""


@dataclass(frozen=True)
class Flashing:
    """How a pattern flashes at its worst place in its worst second.

    Args:
        flashes: most flashes in any second at one place, by either document.
        red: the same for changes involving a saturated red.
        area: percent of the screen that has more than three flashes in one and the same second.
        ever: percent of the screen that flashes at all.
    """

    flashes: int = 0
    red: int = 0
    area: float = 0.0
    ever: float = 0.0

    @property
    def over(self) -> bool:
        """Whether it is over Litfield's limit: more than three a second, whatever the area."""
        return max(self.flashes, self.red) > MOST_A_SECOND

    @property
    def over_bt1702(self) -> bool:
        """Whether it is over BT.1702-3: too often, and on more than 25 % of the screen."""
        return self.over and self.area > LARGE_AREA

    def __str__(self) -> str:
        if not max(self.flashes, self.red):
            return "does not flash"
        red = f", {self.red} of saturated red" if self.red else ""
        return (
            f"up to {max(self.flashes, self.red)} flashes a second{red}; more than three on "
            f"{self.area:.2g} % of the screen"
        )


def flashing_of(pattern: Pattern, canvas: Canvas, signal: Signal) -> Flashing:
    """Whether a pattern can flash, from its frames at the canvas's refresh over two seconds.

    Raises PatternError where a frame cannot be drawn.
    """
    if not pattern.moves:
        return Flashing()
    count = int(WATCHED * canvas.refresh)
    times = [Fraction(n) / canvas.refresh for n in range(count)]
    frames = (pattern.frame(canvas, signal, time) for time in times)
    return flashing_of_frames(zip(times, frames, strict=True))


def flashing_of_frames(shown: Iterable[tuple[Fraction, Frame]]) -> Flashing:
    """Whether frames flash that come on at the given times, in seconds and in order."""
    luminance, red = _Changes(), _Changes()
    for time, frame in shown:
        light, down, peak = _looked_at(frame)
        seen = light @ frame.signal.primaries.matrix[1]
        luminance.add(time, seen[down], partial(_general, peak))
        red.add(time, _redness(light, frame)[down], _saturated)
    seconds = luminance.most_in_a_second()
    reds = red.most_in_a_second()
    if seconds is None or reds is None:
        return Flashing()
    worst = np.maximum(seconds, reds)
    return Flashing(
        flashes=int(seconds.max()),
        red=int(reds.max()),
        area=100 * float((worst > MOST_A_SECOND).mean()),
        ever=100 * float((worst > 0).mean()),
    )


def _looked_at(frame: Frame) -> tuple[Grid, NDArray[np.intp], float]:
    """What is seen at places spread evenly.

    Linear light of the distinct rows there (k, ACROSS, 3), cd/m2, which of them stands at each
    place down (DOWN,), and the signal's peak.
    """
    ys = (np.arange(DOWN) * 2 + 1) * frame.height // (2 * DOWN)
    xs = (np.arange(ACROSS) * 2 + 1) * frame.width // (2 * ACROSS)
    used, down = np.unique(frame.order[ys], return_inverse=True)
    light = frame.signal.light(frame.rows[used][:, xs])
    peak = float(frame.signal.transfer.peak)
    if frame.signal.transfer.name == "bt1886":
        light, peak = light * (SDR_WHITE / peak), SDR_WHITE
    return light, down, peak


def _general(peak: float, low: Grid, high: Grid) -> Places:
    """Whether the change between two luminances counts by either document."""
    step = high - low
    total = np.maximum(high + low, 1e-12)
    broadcast = np.where(low < DARK, step >= STEP, step / total >= MICHELSON)
    web = (step >= RELATIVE_STEP * peak) & (low < RELATIVE_DARK * peak)
    return np.asarray(broadcast | web)


def _redness(light: Grid, frame: Frame) -> Grid:
    """How far a place is from white in u'v' where it is a saturated red; 0 elsewhere."""
    total = light.sum(axis=-1)
    lit = total > 0
    share = np.divide(light[..., 0], total, where=lit, out=np.zeros_like(total))
    xyz = light @ frame.signal.primaries.matrix.T
    under = xyz @ np.array([1.0, 15.0, 3.0])
    u = np.divide(4 * xyz[..., 0], under, where=lit, out=np.full_like(total, 0.19783))
    v = np.divide(9 * xyz[..., 1], under, where=lit, out=np.full_like(total, 0.46832))
    shift = np.hypot(u - 0.19783, v - 0.46832)
    # a red too dim to be seen as one is left out: WCAG names no limit, ours is a tenth of the step
    seen = light[..., 0] >= STEP / 10
    return np.where((share >= RED_SHARE) & seen, shift, 0.0)


def _saturated(low: Grid, high: Grid) -> Places:
    return np.asarray(high - low >= RED_SHIFT)


class _Changes:
    """Opposing changes of a quantity at each place, and when the second of each pair came."""

    def __init__(self) -> None:
        self._extreme: Grid | None = None
        self._before: Grid | None = None
        self._way = np.zeros((DOWN, ACROSS))
        self._half = np.zeros((DOWN, ACROSS), bool)
        self._flashes: list[tuple[Fraction, Places]] = []

    def add(self, time: Fraction, now: Grid, counts: Counts) -> None:
        """Take what is there from ``time`` on."""
        if self._before is not None and np.array_equal(self._before, now):
            return  # most of what moves stands still from one refresh to the next
        self._before = now
        if self._extreme is None:
            self._extreme = now
            return
        way = np.sign(now - self._extreme)
        low, high = np.minimum(self._extreme, now), np.maximum(self._extreme, now)
        turned = counts(low, high) & (way != self._way)
        # while a change goes on the same way, the extreme goes with it
        onward = (way == self._way) & (way != 0)
        # a flash is a pair: one change there, and one back
        whole = turned & self._half
        if whole.any():
            self._flashes.append((time, whole))
        self._half = np.where(turned, ~self._half, self._half)
        self._way = np.where(turned, way, self._way)
        self._extreme = np.where(turned | onward, now, self._extreme)

    def most_in_a_second(self) -> NDArray[np.int64] | None:
        """Most flashes in any window of one second, at each place; None without a frame."""
        if self._extreme is None:
            return None
        most = np.zeros((DOWN, ACROSS), np.int64)
        for index, (start, _) in enumerate(self._flashes):
            inside = [places for time, places in self._flashes[index:] if time - start < 1]
            most = np.maximum(most, np.sum(inside, axis=0))
        return most
