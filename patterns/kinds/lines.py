"""Lines of whole pixels at an even pitch."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, ClassVar, Literal, Self

import numpy as np
from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.chroma_lines import carried_at
from patterns.levels import Ink, Level
from patterns.measures import percent
from patterns.sheet import stack


class Lines(Pattern):
    """Lines from edge to edge; pixel n along the other axis is lit where (n - first) mod pitch <
    width.
    """

    kind: ClassVar[str] = "lines"
    summary: ClassVar[str] = "upright or level lines of whole pixels at an even pitch"
    family: ClassVar[str] = "geometry and path"
    detail: ClassVar[bool] = True
    examples = ({}, {"direction": "horizontal"}, {"pitch": 16, "width": 1, "first": 8})

    direction: Literal["vertical", "horizontal"] = Parameter(
        "vertical", description="which way the lines run"
    )
    pitch: Annotated[int, Parameter(ge=2)] = Parameter(
        2, description="pixels from the start of a line to the start of the next"
    )
    width: Annotated[int, Parameter(ge=1)] = Parameter(1, description="width of a line in pixels")
    first: Annotated[int, Parameter(ge=0)] = Parameter(
        0, description="where a line starts: pixels from the left or top edge"
    )
    level: Level = Parameter(percent(100), description="level of the lines")
    background: Level = Parameter(percent(0), description="level between them")

    @model_validator(mode="after")
    def _gap(self) -> Self:
        if self.width >= self.pitch:
            raise ValueError(
                f"lines {self.width} pixels wide at a pitch of {self.pitch} leave nothing between"
            )
        return self

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        side = canvas.width if self.direction == "vertical" else canvas.height
        for parameter, name, value in (
            ("pitch", "pitch", self.pitch),
            ("first", "first line", self.first + 1),
        ):
            if value > side:
                raise PatternError(
                    f"A {name} at {value} pixels does not lie within the {side} pixels of a canvas "
                    f"of {canvas}.",
                    (parameter,),
                )
        pair = np.array([ink("background", self.background), ink("level", self.level)], np.uint16)
        lit = ((np.arange(side) - self.first) % self.pitch < self.width).astype(np.intp)
        facts = carried_at(ink.codes["background"], ink.codes["level"])
        if self.direction == "vertical":
            return stack(ink, pair[lit][None], np.zeros(canvas.height, np.intp), facts)
        return stack(ink, np.repeat(pair[:, None], canvas.width, axis=1), lit, facts)
