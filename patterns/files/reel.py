"""Pictures that play in files: how they flash, from one to the next and round again.

Media players begin a clip anew when it ends, and show the clips of a folder one after another. So
a clip is judged over its whole length and across its end, and all the pictures of a set in a row
are, too.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain
from math import ceil

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.files.base import Item
from patterns.flashing import WATCHED, Flashing, Judge
from patterns.picture.frame import Frame
from patterns.signal.signal import Signal
from patterns.words import figures

Shown = Iterator[tuple[Fraction, Frame]]
"""Frames that come on at times in seconds."""


@dataclass(frozen=True)
class Played:
    """How something that plays flashes.

    Args:
        what: plays, such as ``the film``.
        flashing: how it flashes.
        step: the number of the picture on screen where it is first over the limit; None where it
            is not, and where there is no other picture.
    """

    what: str
    flashing: Flashing
    step: int | None = None

    def __str__(self) -> str:
        since = self.flashing.since
        at = "" if since is None else f", from {figures(since)} s on"
        where = "" if self.step is None else f", first at step {self.step}"
        return f"{self.what} has {self.flashing}{at}{where}"


class FlashingError(PatternError):
    """Files that would flash more than three times a second, which nobody has confirmed."""

    def __init__(self, found: Sequence[Played]) -> None:
        self.found = tuple(found)
        more = f" (and {len(found) - 1} more such)" if len(found) > 1 else ""
        super().__init__(f"{found[0]}{more}.")


class Reel:
    """Pictures one after another, which begin anew when they have ended."""

    def __init__(self) -> None:
        self._judge = Judge(light_in_video)
        self._starts: list[tuple[Fraction, int]] = []
        self._length = Fraction(0)

    def begin(self, item: Item) -> None:
        """Let a picture follow, whose frames are shown next."""
        self._starts.append((self._length, item.number))
        self._length += lasts(item)

    def show(self, time: Fraction, frame: Frame) -> None:
        """Take a frame of the last picture, ``time`` seconds after its beginning."""
        self._judge.add(self._starts[-1][0] + time, frame)

    def found(self, what: str, again: Callable[[], Shown]) -> Played:
        """How it flashes; ``again`` shows all of it once more, from 0 s."""
        start, end = self._length, self._length + WATCHED
        while start < end:
            for time, frame in again():
                if start + time >= end:
                    break
                self._judge.add(start + time, frame)
            start += self._length
        flashing = self._judge.found()
        step = None
        if flashing.since is not None and len(self._starts) > 1:
            at = flashing.since % self._length
            step = [number for begun, number in self._starts if begun <= at][-1]
        return Played(what, flashing, step)


def light_in_video(signal: Signal, codes: NDArray[np.uint16]) -> NDArray[np.float64]:
    """Light of R'G'B' codes (..., 3) that are carried as Y'CbCr codes, cd/m2.

    The display is taken to convert with exact numbers. A grey keeps its code.
    """
    from patterns.video import matrix_of

    matrix, quantiser = matrix_of(signal), signal.quantiser
    carried = np.minimum(matrix.unclipped(codes, quantiser), quantiser.highest)
    span = quantiser.white - quantiser.black
    swing = span * 224 / 219 if quantiser.range == "narrow" else span
    luma = (carried[..., 0] - quantiser.black) / span
    blue, red = ((carried[..., place] - (1 << quantiser.bits - 1)) / swing for place in (1, 2))
    of_red, of_blue = matrix.red / 10_000, matrix.blue / 10_000
    r, b = luma + 2 * (1 - of_red) * red, luma + 2 * (1 - of_blue) * blue
    g = (luma - of_red * r - of_blue * b) / (1 - of_red - of_blue)
    return signal.transfer.decode(np.maximum(np.stack([r, g, b], axis=-1), 0.0))


def reel_of(items: Collection[Item], what: str, *, brief: bool = False) -> Played:
    """How pictures flash when they play one after another, as :func:`frames_of` shows them."""
    reel = Reel()
    for item in items:
        reel.begin(item)
        for time, frame in frames_of(item, brief=brief):
            reel.show(time, frame)
    return reel.found(what, lambda: round_of(items, brief=brief))


def clip_of(item: Item, *, brief: bool = False) -> Played:
    """How a picture flashes as a clip of its own, as :func:`frames_of` shows it."""
    what = f"the clip of step {item.steps}"
    return reel_of([item], what, brief=brief) if item.pattern.moves else Played(what, Flashing())


def lasts(item: Item) -> Fraction:
    """Seconds that a picture lasts in a file, in whole frames."""
    return item.pictures / item.refresh


def frames_of(item: Item, *, brief: bool = False) -> Shown:
    """The frames of a picture, from 0 s on; of one that stands still, the first.

    Where it is to be ``brief``, the middle of what moves for long is left out: its first second
    and its last are shown, and stand for what comes before and after it.
    """
    yield Fraction(0), item.frame
    if not item.pattern.moves:
        return
    count = item.pictures
    early, late = ceil(item.refresh), count - ceil(item.refresh)
    # what is left out is a second or more, so that the judge begins anew after it
    gap = brief and late - early >= item.refresh
    for number in chain(range(1, early if gap else count), range(late if gap else count, count)):
        time = number / item.refresh
        yield time, item.pattern.frame(item.canvas, item.frame.signal, time)


def round_of(items: Iterable[Item], *, brief: bool = False) -> Shown:
    """The frames of all pictures, one after another, from 0 s on."""
    start = Fraction(0)
    for item in items:
        for time, frame in frames_of(item, brief=brief):
            yield start + time, frame
        start += lasts(item)
        del item  # a large picture is let go before the next one is drawn
