"""What a reading should come to: what is coded where the meter looks, and what white has read."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from patterns.kinds import Pattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.spots import Spot, named_in
from patterns.words import figures
from readings.visit.records import Codes, Value
from sequences.model import Step

FLAT = 400
"""A picture is flat where a square of 2 / FLAT of its height about the place has one colour."""
SMALLEST = 1e-12
"""A share below which a reading is nothing beside another."""
FEW = 3.0
"""Times within which readings one after the other are compared."""
FULL, NONE = 0.9995, 1e-9
"""Shares of the signal's white that count as white, and as black."""


@dataclass(frozen=True)
class Coded:
    """The light that the codes stand for at the place that is measured."""

    luminance: float
    """cd/m2, as the signal has it."""
    share: float
    """Of the luminance of the signal's white, 0 to 1 (above in narrow range's headroom)."""
    x: float | None
    y: float | None
    """CIE 1931; None for black."""
    grey: bool
    codes: Codes | None = None
    """Red, green, blue."""

    @property
    def white(self) -> bool:
        """Whether it is the signal's white."""
        return self.grey and self.share >= FULL

    @property
    def black(self) -> bool:
        """Whether it is black, or below."""
        return self.share <= NONE


@dataclass(frozen=True)
class Past:
    """A reading of light in this run, and what was coded there."""

    number: int
    label: str
    value: Value
    coded: Coded
    like: str
    """What the picture is apart from its level: readings of alike pictures can be compared."""

    @property
    def luminance(self) -> float:
        """What was read, cd/m2."""
        return self.value.luminance or 0.0


@dataclass(frozen=True)
class Expected:
    """What a reading should come to, roughly, and why."""

    luminance: float
    """cd/m2."""
    x: float | None
    y: float | None
    alike: bool
    """Whether it comes from the codes alone, or from the white of an alike picture."""
    white: float | None = None
    """cd/m2 that white read, from which it comes; None where it comes from the codes alone."""

    @property
    def figure(self) -> str:
        """For the operator, with the unit left out: `coded 203`, `about 21.3`."""
        return f"{'coded' if self.white is None else 'about'} {short(self.luminance)}"

    @property
    def basis(self) -> str:
        """Where it is from: `from white 98.4`; empty of the codes."""
        return "" if self.white is None else f"from white {short(self.white)}"


def coded_of(step: Step, pattern: Pattern, frame: Frame) -> Coded | None:
    """What is coded where a step is measured; None where no one colour is."""
    if step.read is None or not step.read.of_light or pattern.moves:
        return None
    spot = _spot(pattern, step.read.of, Canvas(frame.width, frame.height))
    if spot is None:
        return None
    around = max(1, frame.height // FLAT)
    x = min(max(int(spot.x), around), frame.width - 1 - around)
    y = min(max(int(spot.y), around), frame.height - 1 - around)
    square = frame.rows[frame.order[y - around : y + around + 1], x - around : x + around + 1]
    codes = square.reshape(-1, 3)
    if not len(codes) or (codes != codes[0]).any():
        return None
    signal = frame.signal
    white = float(signal.luminance(np.full(3, signal.quantiser.white)))
    black = float(signal.luminance(np.full(3, signal.quantiser.black)))
    luminance = float(signal.luminance(codes[0]))
    xyz = signal.xyz(codes[0])
    total = float(xyz.sum())
    share = (luminance - black) / (white - black)
    lit = total > 0 and share > NONE
    return Coded(
        luminance=luminance,
        share=max(share, 0.0),
        x=float(xyz[0]) / total if lit else None,
        y=float(xyz[1]) / total if lit else None,
        grey=bool((codes[0] == codes[0][0]).all()),
        codes=(int(codes[0][0]), int(codes[0][1]), int(codes[0][2])),
    )


def _spot(pattern: Pattern, of: str, canvas: Canvas) -> Spot | None:
    spots = pattern.spots(canvas)
    if not spots:
        return Spot(Fraction(canvas.width, 2), Fraction(canvas.height, 2))
    named = next(iter(spots)) if len(spots) == 1 else named_in(of, spots)
    return None if named is None else spots[named]


def likeness(pattern: Pattern) -> str:
    """The picture apart from its level, as text: equal for pictures that can be compared."""
    rest = {name: value for name, value in pattern.parameters().items() if name != "level"}
    return f"{pattern.kind} {json.dumps(rest, sort_keys=True, default=str)}"


def expected_of(
    coded: Coded | None, like: str, past: Iterable[Past], *, absolute: bool
) -> Expected | None:
    """What a reading should come to.

    Args:
        coded: what is coded there.
        like: what the picture is apart from its level.
        past: the current readings of the run, in their order.
        absolute: whether codes stand for cd/m2 (PQ); otherwise for shares of the white that was
            read, and of the black, in alike pictures where there are some.

    Returns:
        None where that cannot be said.
    """
    if coded is None:
        return None
    if absolute:
        return Expected(coded.luminance, coded.x, coded.y, True)
    readings = list(past)
    white = _latest([each for each in readings if each.coded.white], like)
    if white is None or coded.white:
        return None
    black = _latest([each for each in readings if each.coded.black and each.like == like], like)
    floor = black.luminance if black is not None else 0.0
    if coded.black:
        return None
    luminance = floor + coded.share * (white.luminance - floor)
    return Expected(luminance, coded.x, coded.y, white.like == like, white.luminance)


def _latest(found: list[Past], like: str) -> Past | None:
    """The latest one of an alike picture, otherwise the latest."""
    alike = [each for each in found if each.like == like]
    chosen = alike or found
    return chosen[-1] if chosen else None


def short(number: float) -> str:
    """A number in at most four digits, never with an exponent."""
    if number == 0:
        return "0"
    if number >= 1000:
        return f"{number:.0f}"
    return f"{float(f'{number:.3g}' if number < 1 else f'{number:.4g}'):.9f}".rstrip("0").rstrip(
        "."
    )


@dataclass(frozen=True)
class Difference:
    """How far a reading is from another."""

    figure: str
    """`2.1 % above`, `12 times`, `0.023 % of`: what comes before the name of the other."""

    near: bool
    """Whether they are within a few times of each other."""

    def from_(self, name: str) -> str:
        """`2.1 % above step 4`, `12 times step 4`, `0.023 % of step 4`."""
        return f"{self.figure} {name}"


def difference(new: float, old: float) -> Difference | None:
    """How far a reading is from another; None from zero, and where it is nothing beside it."""
    ratio = new / old if old > 0 else 0.0
    if not SMALLEST < ratio < math.inf:
        return None
    if ratio >= 9.95:
        return Difference(f"{ratio:.0f} times", near=False)
    if ratio < 0.1:
        return Difference(f"{figures(100 * ratio, 2)} % of", near=False)
    percent = 100 * (ratio - 1)
    text = f"{abs(percent):.1f}" if abs(percent) < 9.95 else f"{abs(percent):.0f}"
    if float(text) == 0:
        return Difference("equal to", near=True)
    which = "above" if percent > 0 else "below"
    return Difference(f"{text} % {which}", near=1 / FEW < ratio < FEW)
