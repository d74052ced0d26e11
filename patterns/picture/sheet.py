"""Painting: rectangles and one-dimensional profiles onto bands of rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from fractions import Fraction
from math import ceil

import numpy as np
from numpy.typing import NDArray

from patterns.errors import ParameterPath, PatternError
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame, distinct_rows
from patterns.signal.levels import Ink
from patterns.signal.signal import Codes


@dataclass(frozen=True)
class Box:
    """A rectangle in whole pixels; x, y is its top left pixel."""

    x: int
    y: int
    width: int
    height: int

    @classmethod
    def about(cls, x: Fraction, y: Fraction, width: int, height: int) -> Box:
        """The box whose middle is nearest to a point; of two as near, the left and the top one."""
        left, top = ceil(x - Fraction(width + 1, 2)), ceil(y - Fraction(height + 1, 2))
        return cls(left, top, width, height)

    @property
    def right(self) -> int:
        """First column to the right of the box."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """First row below the box."""
        return self.y + self.height

    def lies_on(self, canvas: Canvas) -> bool:
        """Whether it has pixels, and all of them are the canvas's."""
        sides = self.width >= 1 and self.height >= 1 and self.x >= 0 and self.y >= 0
        return sides and self.right <= canvas.width and self.bottom <= canvas.height

    def misfits(
        self,
        canvas: Canvas,
        place: tuple[ParameterPath, ParameterPath],
        size: tuple[ParameterPath, ParameterPath],
    ) -> tuple[ParameterPath, ...]:
        """The parameters that keep it off a canvas; place and size are each across and down.

        A size that no place would do for is to blame alone, otherwise the place before the size.
        """
        found: list[ParameterPath] = []
        spans = ((self.x, self.width, canvas.width), (self.y, self.height, canvas.height))
        for (start, length, side), at, long in zip(spans, place, size, strict=True):
            if not 1 <= length <= side:
                found.append(long)
            elif not 0 <= start <= side - length:
                found += [at, long]
        return tuple(found)

    def __str__(self) -> str:
        return f"{self.width}x{self.height} at {self.x},{self.y}"

    def describe(self) -> dict[str, object]:
        """As a fact of a frame: each number by its name, pixels."""
        return asdict(self)

    @classmethod
    def described(cls, given: object) -> Box | None:
        """From what `describe` gave, perhaps by way of a file; None where it is no such thing."""
        if not isinstance(given, Mapping) or given.keys() != {each.name for each in fields(cls)}:
            return None
        whole = all(type(value) is int and 0 <= value < 2**31 for value in given.values())
        return cls(**given) if whole else None


class Sheet:
    """A canvas to paint on, in order; later paint covers earlier."""

    def __init__(self, canvas: Canvas, background: Codes) -> None:
        self.canvas = canvas
        self._background = background
        self._paint: list[tuple[Box, NDArray[np.uint16], bool]] = []

    def box(self, box: Box, colour: Codes) -> None:
        """Fill a box with one colour."""
        self._add(box, np.array(colour, np.uint16).reshape(1, 3), down=False)

    def across(self, box: Box, codes: NDArray[np.uint16]) -> None:
        """Fill a box with a profile along x: codes of shape (box.width, 3)."""
        if codes.shape != (box.width, 3):
            raise PatternError(f"A profile of {len(codes)} colours does not fit a box {box}.")
        self._add(box, codes, down=False)

    def down(self, box: Box, codes: NDArray[np.uint16]) -> None:
        """Fill a box with a profile along y: codes of shape (box.height, 3)."""
        if codes.shape != (box.height, 3):
            raise PatternError(f"A profile of {len(codes)} colours does not fit a box {box}.")
        self._add(box, codes, down=True)

    def _add(self, box: Box, codes: NDArray[np.uint16], *, down: bool) -> None:
        inside = 0 <= box.x and 0 <= box.y
        inside &= box.right <= self.canvas.width and box.bottom <= self.canvas.height
        if not inside or box.width < 0 or box.height < 0:
            raise PatternError(f"A box {box} does not lie on a canvas of {self.canvas}.")
        if box.width and box.height:
            self._paint.append((box, codes, down))

    def frame(self, ink: Ink, facts: dict[str, object] | None = None) -> Frame:
        """The picture so far, with what the ink mixed and clipped."""
        edges = {0, self.canvas.height}
        for box, codes, down in self._paint:
            edges |= {box.y, box.bottom}
            if down:
                steps = np.flatnonzero(np.any(codes[1:] != codes[:-1], axis=1)) + 1 + box.y
                edges.update(steps.tolist())
        tops = sorted(edges)[:-1]
        bands = np.empty((len(tops), self.canvas.width, 3), np.uint16)
        bands[:] = self._background
        for band, top in zip(bands, tops, strict=True):
            for box, codes, down in self._paint:
                if box.y <= top < box.bottom:
                    band[box.x : box.right] = codes[top - box.y] if down else codes
        heights = np.diff([*tops, self.canvas.height])
        return stack(ink, bands, np.repeat(np.arange(len(bands)), heights), facts)


def stack(
    ink: Ink,
    rows: NDArray[np.uint16],
    order: NDArray[np.integer],
    facts: dict[str, object] | None = None,
) -> Frame:
    """A frame from rows (k, width, 3), some perhaps alike or unused, and their order (height,)."""
    used, order = np.unique(order, return_inverse=True)
    distinct, places = distinct_rows(rows if len(used) == len(rows) else rows[used])
    known = dict(facts or {})
    if ink.clipped:
        known["clipped"] = list(ink.clipped)
    return Frame(distinct, places[order], ink.signal, dict(ink.codes), known)
