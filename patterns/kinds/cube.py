"""Samples of the RGB cube, for colour volume: one patch at a time, or all on one sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import product
from typing import Annotated, Any, ClassVar, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.errors import PatternError
from patterns.kinds.base import Pattern
from patterns.kinds.patch import Facts, PatchPattern
from patterns.picture.canvas import Canvas
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal.levels import Ink, Level
from patterns.signal.measures import percent

Levels = Annotated[int, Parameter(ge=2, le=17)]
Sample = tuple[int, int, int]


def samples(levels: int, surface: bool) -> Iterator[Sample]:
    """R, G, B as 0 to levels - 1, blue changing fastest; only the cube's surface where asked.

    The surface of 11 levels has 602 samples, as many as the CIELAB volume of the ICDM's IDMS v1.3
    clause 5.32 takes (that clause from memory; the number computed).
    """
    ends = {0, levels - 1}
    every = range(levels)
    for sample in product(every, every, every):
        if not surface or ends & set(sample):
            yield sample


def number_of_samples(levels: int, surface: bool) -> int:
    """How many samples there are."""
    return levels**3 - (max(levels - 2, 0) ** 3 if surface else 0)


class Cube(PatchPattern):
    """One sample: channels at levels evenly spaced in signal, 0 % to 100 %.

    Samples are counted from 1 (black) to levels^3 (white); blue changes fastest, then green.
    """

    kind: ClassVar[str] = "cube"
    summary: ClassVar[str] = "one sample of the RGB cube in a window"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"levels": 5, "sample": 95},
        {"levels": 11, "surface": True, "sample": 400},
    )

    levels: Levels = Parameter(5, description="levels of a channel, 0 % to 100 %")
    surface: bool = Parameter(
        False, description="only the cube's surface: samples with a channel at 0 % or 100 %"
    )
    sample: Annotated[int, Parameter(ge=1)] = Parameter(
        1, description="number of the sample: 1 is black, the last is white, blue changes fastest"
    )

    @model_validator(mode="after")
    def _in_the_cube(self) -> Self:
        count = number_of_samples(self.levels, self.surface)
        if self.sample > count:
            raise ValueError(
                f"{self.levels} levels a channel make samples 1 to {count}, not {self.sample}"
            )
        return self

    def mix(self, ink: Ink) -> Facts:
        codes = ink.between("level", percent(0), percent(100), self.levels)
        wanted = self.sample - 1
        red, green, blue = next(
            sample
            for place, sample in enumerate(samples(self.levels, self.surface))
            if place == wanted
        )
        ink.codes["level"] = (codes[red], codes[green], codes[blue])
        count = number_of_samples(self.levels, self.surface)
        return {"sample": f"{self.sample} of {count}, at {red}, {green}, {blue} of R, G, B"}


class CubeSheet(Pattern):
    """All samples of the cube: a square for each level of red, blue across, green down."""

    kind: ClassVar[str] = "cube-sheet"
    summary: ClassVar[str] = "all samples of the RGB cube on one sheet"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({}, {"levels": 9, "background": "20 %"})

    levels: Levels = Parameter(5, description="levels of a channel, 0 % to 100 %")
    background: Level = Parameter(percent(0), description="level around the squares")

    def layout(self, canvas: Canvas) -> tuple[int, list[tuple[int, int]]]:
        """Side of a sample in pixels, and the top left pixel of the square for each red level."""
        best = (0, 1)
        for columns in range(1, self.levels + 1):
            rows = -(-self.levels // columns)
            # a gap of one sample between the squares and around them
            across, down = (n * (self.levels + 1) + 1 for n in (columns, rows))
            side = min(canvas.width // across, canvas.height // down)
            best = max(best, (side, -columns))
        side, columns = best[0], -best[1]
        if side < 2:
            raise PatternError(
                f"A sheet of {self.levels} levels a channel does not fit on a canvas of {canvas}.",
                ("levels",),
            )
        rows, pitch = -(-self.levels // columns), side * (self.levels + 1)
        left = (canvas.width - columns * pitch + side) // 2
        top = (canvas.height - rows * pitch + side) // 2
        places = (divmod(red, columns) for red in range(self.levels))
        return side, [(left + column * pitch, top + row * pitch) for row, column in places]

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        side, corners = self.layout(canvas)
        found = {}
        for number, (red, green, blue) in enumerate(samples(self.levels, surface=False), 1):
            x, y = corners[red]
            box = Box(x + blue * side, y + green * side, side, side)
            found[f"sample {number}"] = Spot.middle_of(box)
        return found

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side, corners = self.layout(canvas)
        codes = ink.between("level", percent(0), percent(100), self.levels)
        ink.codes.update({f"level {n}": (code,) * 3 for n, code in enumerate(codes, 1)})
        sheet = Sheet(canvas, ink("background", self.background))
        across = side * self.levels
        for red, (x, y) in enumerate(corners):
            for green, code in enumerate(codes):
                row = _row(codes[red], code, np.repeat(np.array(codes, np.uint16), side))
                sheet.across(Box(x, y + green * side, across, side), row)
        return sheet.frame(ink, {"samples": self.levels**3, "side": side})


def _row(red: int, green: int, blues: NDArray[np.uint16]) -> NDArray[np.uint16]:
    row = np.empty((len(blues), 3), np.uint16)
    row[:, 0], row[:, 1], row[:, 2] = red, green, blues
    return row
