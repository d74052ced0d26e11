"""Can it flash? Pictures over time, judged by two published limits.

Rec. ITU-R BT.1702-3 (11/2023), second-hand: a pair of opposing changes counts as a flash when the
darker state is below 160 cd/m2 and the two differ by 20 cd/m2 or more, and above 160 cd/m2 (HDR)
at a Michelson contrast of 1/17 or more; changes to and from saturated red always count. Not
acceptable: more than 25 % of the screen and more than 3 flashes in any second.

WCAG 2.2 success criterion 2.3.1 (W3C), as published: a pair of opposing changes of relative
luminance by 10 % of the maximum or more, the darker state below 0.80; a red flash is a pair of
opposing changes involving a saturated red (working form: R / (R + G + B) >= 0.8 in linear light,
and more than 0.2 in CIE 1976 u'v' from the other state). Safe: at most three of either kind in
any second, or an area of at most 0.006 steradian, which depends on where the viewer sits.

Litfield is stricter than both in three points:

- More than three flashes a second count whatever their area, down to a single pixel, because a
  viewer may sit close to a large screen.
- A change that has no partner within the second counts as half a flash: more than six changes in
  any second are too many.
- Every change to or from a saturated red counts, as BT.1702-3 has it, however near it is to the
  other state in u'v'.

A place whose picture stands still for a second begins anew: what it was before has no part in a
later flash, since no second holds both.

Every pixel is judged, and none twice: pixels that have had the same codes so far, in rows and
columns of the same kind, are one cell. A window that comes and goes has nine cells at most.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from patterns.kinds.base import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame, alike
from patterns.signal.signal import Signal

MOST_A_SECOND = 3
"""Flashes that both documents accept in any one second."""
MOST_CHANGES = 2 * MOST_A_SECOND
"""The same in changes, two of which make a flash."""
DARK, STEP, MICHELSON = 160.0, 20.0, 1 / 17
"""BT.1702-3: cd/m2, cd/m2, ratio."""
RELATIVE_STEP, RELATIVE_DARK = 0.10, 0.80
"""WCAG 2.2: shares of the maximum luminance."""
RED_SHARE = 0.8
"""WCAG 2.2: R / (R + G + B) in linear light, from which on a red is saturated."""
DIMMEST_RED = STEP / 10
"""Of a red's own light, cd/m2: neither document names a limit, this one is ours."""
SDR_WHITE = 200.0
"""Luminance of SDR white that BT.1702-3 assumes, cd/m2."""
SECOND = Fraction(1)
WATCHED = Fraction(2)
"""Seconds of a moving pattern that are looked at; it begins anew nowhere."""
KEPT = 64_000_000
"""Bytes of frames that wait to be judged together."""
TOGETHER = 64
"""Frames that do."""

Grid = NDArray[np.float64]
Places = NDArray[np.bool_]
Index = NDArray[np.intp]
Lighting = Callable[[Signal, NDArray[np.uint16]], Grid]


@dataclass(frozen=True)
class Flashing:
    """How something flashes at its worst place in its worst second.

    Args:
        flashes: most flashes in any second at one place, by either document.
        red: the same for changes to and from a saturated red.
        area: percent of the screen that has more than three flashes in one and the same second,
            at most.
        since: where the first second with more than three flashes begins, in seconds; None
            without one.
    """

    flashes: int = 0
    red: int = 0
    area: float = 0.0
    since: Fraction | None = None

    @property
    def most(self) -> int:
        """Most flashes of either sort in any second."""
        return max(self.flashes, self.red)

    @property
    def over(self) -> bool:
        """Whether it is over Litfield's limit: more than three a second, whatever the area."""
        return self.most > MOST_A_SECOND

    def __str__(self) -> str:
        if not self.most:
            return "does not flash"
        red = f", {self.red} of saturated red" if self.red else ""
        often = f"up to {self.most} flash{'es' * (self.most > 1)} a second{red}"
        return f"{often}; more than three on {_share(self.area)}" if self.over else often


def _share(percent: float) -> str:
    """A part of the screen in words: 100 % is all of it, and next to nothing is not 0 %."""
    if percent >= 100:
        return "all of the screen"
    if percent < 0.01:
        return "less than 0.01 % of the screen"
    # never rounded up to the whole
    digits = 3 if 99.5 <= percent else 0 if percent >= 10 else 2
    return f"{min(round(percent, digits), 99.999):g} % of the screen"


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
    judge = Judge()
    for time, frame in shown:
        judge.add(time, frame)
    return judge.found()


class Judge:
    """Takes frames of one size and signal, one after another, and tells how they flash.

    ``light`` gives the light of codes (..., 3) that are not all grey, in cd/m2, where it is not
    quite that of the signal: what is carried in another form has its roundings.
    """

    def __init__(self, light: Lighting = Signal.light) -> None:
        self._changes = _Changes(light)
        self._waiting: list[tuple[Fraction, Frame]] = []
        self._last: tuple[Fraction, Frame] | None = None

    def add(self, time: Fraction, frame: Frame) -> None:
        """Take what is on screen from ``time`` on, in seconds."""
        if self._last is not None:
            before, shown = self._last
            if shown is frame or alike(shown, frame):
                return
            if time - before >= SECOND:
                self._judge()
                self._changes.rest()
                self._waiting = [self._last]
        self._last = time, frame
        self._waiting.append(self._last)
        if len(self._waiting) >= TOGETHER or sum(_size(each) for _, each in self._waiting) > KEPT:
            self._judge()

    def found(self) -> Flashing:
        """How they flash so far."""
        self._judge()
        return self._changes.found()

    def _judge(self) -> None:
        if self._waiting and not (self._changes.resting and len(self._waiting) == 1):
            self._changes.refine([frame for _, frame in self._waiting])
            for time, frame in self._waiting:
                self._changes.add(time, frame)
            self._waiting = []


def _size(frame: Frame) -> int:
    return frame.rows.nbytes + frame.order.nbytes


@dataclass(frozen=True)
class _Seen:
    """What is seen in the cells: ``kind`` (R,) says which row of the others each row has.

    ``colours`` (k, C) are numbers of which different codes have different ones, ``luminance``
    (k, C) is in cd/m2, ``red`` (k, C) says where it is a saturated red.
    """

    kind: Index
    colours: NDArray[np.uint64]
    luminance: Grid
    red: Places
    peak: float


def _seen(frame: Frame, places: Index, columns: Index, lighting: Lighting) -> _Seen:
    """A frame at the first pixel of each cell: rows at ``places`` down, ``columns`` across."""
    used, kind = np.unique(frame.order[places], return_inverse=True)
    codes = frame.rows[used][:, columns]
    signal = frame.signal
    peak = float(signal.transfer.peak)
    scale = SDR_WHITE / peak if signal.transfer.name == "bt1886" else 1.0
    r, g, b = (np.ascontiguousarray(codes[..., channel]) for channel in range(3))
    if np.array_equal(r, g) and np.array_equal(r, b):
        luminance, red = _greys(signal)[r] * scale, np.zeros(r.shape, bool)
    else:
        light = lighting(signal, codes) * scale
        luminance = light @ signal.primaries.matrix[1]
        total = light.sum(axis=-1)
        red = (light[..., 0] >= RED_SHARE * total) & (light[..., 0] >= DIMMEST_RED)
    colours = r.astype(np.uint64) << np.uint64(32)
    colours |= g.astype(np.uint64) << np.uint64(16) | b
    return _Seen(kind, colours, luminance, red, peak * scale)


@lru_cache(maxsize=4)
def _greys(signal: Signal) -> Grid:
    """Luminance of every code as a grey, cd/m2."""
    codes = np.arange(1 << signal.bits, dtype=np.uint32)
    return signal.luminance(np.stack([codes] * 3, axis=-1))


def _counts(low: Grid, high: Grid, peak: float) -> Places:
    """Whether the change between two luminances counts by either document."""
    step = high - low
    total = np.maximum(high + low, 1e-12)
    broadcast = np.where(low < DARK, step >= STEP, step / total >= MICHELSON)
    web = (step >= RELATIVE_STEP * peak) & (low < RELATIVE_DARK * peak)
    return np.asarray((broadcast | web) & (step > 0))


def _classes(keys: Index) -> Index:
    """Numbers from 0 of what is alike among the keys."""
    _, classes = np.unique(keys, return_inverse=True)
    return classes.astype(np.intp)


class _Recent:
    """Changes of the last second at each cell, and the most that there were."""

    def __init__(self) -> None:
        self.most = 0
        self.rest()

    def rest(self) -> None:
        """Forget where they were."""
        self.counts = np.zeros(0, np.int32)
        self.events: deque[tuple[Fraction, Index]] = deque()

    def let_go(self, time: Fraction) -> None:
        """Drop what was a second before ``time`` or earlier."""
        while self.events and time - self.events[0][0] >= SECOND:
            self.counts[self.events.popleft()[1]] -= 1

    def add(self, time: Fraction, cells: Index) -> None:
        """Count a change at these cells."""
        if cells.size:
            self.events.append((time, cells))
            self.counts[cells] += 1
            self.most = max(self.most, int(self.counts[cells].max()))

    @property
    def flashes(self) -> int:
        """The most in flashes; a change alone in its second is none."""
        return (self.most + 1) // 2 if self.most > 1 else 0


class _Changes:
    """Changes of luminance, and to and from saturated red, in cells of (R, C) rows and columns.

    The arrays of a cell's state are flat. ``low`` and ``high`` are the extremes since the last
    change that counted, cd/m2, and ``way`` is where that went: 1 up, -1 down, 0 for none yet.
    ``moved`` is the number of the time when the cell last changed at all.
    """

    def __init__(self, light: Lighting) -> None:
        self.light = light
        self.general, self.reds = _Recent(), _Recent()
        self.area = 0.0
        self.since: Fraction | None = None
        self.rest()

    def rest(self) -> None:
        """Begin anew after a second in which nothing changed anywhere."""
        self.resting = True
        self.before: _Seen | None = None
        self.width = 0
        self.frame: Frame | None = None
        self.row_of: Index = np.zeros(0, np.intp)
        self.places: Index = np.zeros(0, np.intp)
        self.columns: Index = np.zeros(0, np.intp)
        self.low = self.high = np.zeros(0)
        self.way = np.zeros(0, np.int8)
        self.moved = np.zeros(0, np.int32)
        self.times: list[Fraction] = []
        self.general.rest()
        self.reds.rest()

    def refine(self, frames: list[Frame]) -> None:
        """Part the screen into cells so that each has one colour in every one of these frames."""
        if self.resting:
            self.resting = False
            self.width = frames[0].width
            self.row_of = np.zeros(frames[0].height, np.intp)
            self.places, self.columns = np.zeros(1, np.intp), np.zeros(1, np.intp)
            self._reshape(np.zeros(1, np.intp))
        parted = np.zeros(self.width, bool)
        parted[self.columns] = True
        rows = self.row_of
        for frame in frames:
            parted[1:] |= (frame.rows[:, 1:] != frame.rows[:, :-1]).any(axis=0).any(axis=-1)
            rows = _classes(rows * len(frame.rows) + frame.order)
        _, places = np.unique(rows, return_index=True)
        columns = np.flatnonzero(parted)
        if len(places) == len(self.places) and len(columns) == len(self.columns):
            return
        from_rows = self.row_of[places]
        from_columns = np.searchsorted(self.columns, columns, side="right") - 1
        parents = (from_rows[:, None] * len(self.columns) + from_columns).ravel()
        self.row_of, self.places, self.columns = rows, places, columns
        self._reshape(parents)
        if self.frame is not None:
            self.before = _seen(self.frame, places, columns, self.light)

    def _reshape(self, parents: Index) -> None:
        """Give each new cell the state of the cell that it was part of."""
        if not self.way.size:
            cells = parents.size
            self.low, self.high = np.zeros(cells), np.zeros(cells)
            self.way, self.moved = np.zeros(cells, np.int8), np.zeros(cells, np.int32)
            self.general.counts = np.zeros(cells, np.int32)
            self.reds.counts = np.zeros(cells, np.int32)
            return
        self.low, self.high = self.low[parents], self.high[parents]
        self.way, self.moved = self.way[parents], self.moved[parents]
        for recent in (self.general, self.reds):
            known = len(recent.counts)
            for number, (time, changed) in enumerate(recent.events):
                there = np.zeros(known, bool)
                there[changed] = True
                recent.events[number] = time, np.flatnonzero(there[parents])
            recent.counts = recent.counts[parents]

    def add(self, time: Fraction, frame: Frame) -> None:
        """Take the next frame, which :meth:`refine` has seen."""
        now = _seen(frame, self.places, self.columns, self.light)
        before, self.before, self.frame = self.before, now, frame
        self.times.append(time)
        if before is None:
            self.low, self.high = (now.luminance[now.kind].ravel() for _ in range(2))
            return
        self.general.let_go(time)
        self.reds.let_go(time)
        # rows that went from one kind to the same other kind are compared once
        kinds = before.kind * len(now.luminance) + now.kind
        pairs, pair = np.unique(kinds, return_inverse=True)
        old, new = pairs // len(now.luminance), pairs % len(now.luminance)
        if before.red.any() or now.red.any():
            self.reds.add(time, np.flatnonzero((before.red[old] != now.red[new])[pair]))
        cells = np.flatnonzero((before.colours[old] != now.colours[new])[pair])
        if cells.size:
            row, column = np.divmod(cells, len(self.columns))
            was = before.luminance[before.kind[row], column]
            self._follow(time, cells, was, now.luminance[now.kind[row], column], now.peak)
        self._measure()

    def _follow(self, time: Fraction, cells: Index, was: Grid, value: Grid, peak: float) -> None:
        """Cells whose luminance changed from ``was`` to ``value``."""
        low, high, way = self.low[cells], self.high[cells], self.way[cells]
        number = len(self.times) - 1
        # what stood still for a second begins anew
        stale = self.moved[cells] < bisect_right(self.times, time - SECOND)
        low, high = np.where(stale, was, low), np.where(stale, was, high)
        way = np.where(stale, np.int8(0), way)
        up = (way <= 0) & _counts(low, value, peak)
        down = (way >= 0) & _counts(value, high, peak)
        self.general.add(time, cells[up | down])
        # from a change that counted on, the extreme is looked for on its other side
        self.low[cells] = np.where(up | down, value, np.minimum(low, value))
        self.high[cells] = np.where(up | down, value, np.maximum(high, value))
        self.way[cells] = np.where(up, 1, np.where(down, -1, way))
        self.moved[cells] = number

    def _measure(self) -> None:
        """Where there are too many changes now, and on how much of the screen."""
        if max(self.general.most, self.reds.most) <= MOST_CHANGES:
            return
        over = (self.general.counts > MOST_CHANGES) | (self.reds.counts > MOST_CHANGES)
        if not over.any():
            return
        if self.since is None:
            self.since = min(r.events[0][0] for r in (self.general, self.reds) if r.events)
        widths = np.diff(self.columns, append=self.width)
        heights = np.bincount(self.row_of, minlength=len(self.places))
        found = heights @ over.reshape(len(heights), len(widths)) @ widths
        self.area = max(self.area, 100 * int(found) / (self.width * len(self.row_of)))

    def found(self) -> Flashing:
        """How it flashed so far."""
        return Flashing(self.general.flashes, self.reds.flashes, self.area, self.since)
