"""A ramp that steps through single codes, each of them equally wide."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field as Parameter

from patterns.areas import split
from patterns.canvas import Canvas
from patterns.errors import PatternError
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.ramp import CHANNELS
from patterns.levels import Ink
from patterns.measures import Grey, percent
from patterns.sheet import stack


class CodeRamp(Pattern):
    """Every code from one level to another, once each, in steps of one code and equal width.

    Where the steps do not fit beside each other, they go on in the next row from the left, as
    writing does. What is left of the canvas at either side, and after the last step, is black.
    An error in one code of a path, or a lost one, shows as a step that is missing or out of place.
    """

    kind: ClassVar[str] = "code-ramp"
    summary: ClassVar[str] = "every code from one level to another, one step each"
    family: ClassVar[str] = "geometry and path"
    examples = (
        {},
        {"from": "0 %", "to": "10 %", "back": True},
        {"from": "60 %", "to": "40 %", "step": 8, "channel": "green"},
    )

    start: Grey = Parameter(percent(0), alias="from", description="level of the first step")
    end: Grey = Parameter(percent(100), alias="to", description="level of the last step")
    step: Annotated[int, Parameter(ge=1)] | None = Parameter(
        None, description="width of a step in pixels; as wide as fits in one row if left out"
    )
    back: bool = Parameter(
        False, description="the same again below, from right to left, so that both ways are seen"
    )
    channel: Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "white", description="which channels run; the others stay at 0 %"
    )

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        black = ink("background", percent(0))[0]
        first, last = ink("from", self.start)[0], ink("to", self.end)[0]
        codes = np.arange(first, last + 1) if first <= last else np.arange(first, last - 1, -1)
        step = self.step or max(1, canvas.width // len(codes))
        in_row = min(len(codes), canvas.width // step)
        if in_row == 0:
            raise PatternError(
                f"A step of {step} pixels does not fit on a canvas of {canvas}.", ("step",)
            )
        count = -(-len(codes) // in_row)
        bands = count * (2 if self.back else 1)
        if bands > canvas.height:
            fewest = -(-len(codes) // canvas.width) * (2 if self.back else 1)
            raise PatternError(
                f"{len(codes)} codes in steps of {step} pixels need {bands} rows, and a canvas of "
                f"{canvas} has {canvas.height}.",
                # steps of one pixel need the fewest rows
                *([("step",)] if fewest <= canvas.height else []),
                *(("from",), ("to",), ("back",)),
            )
        greys = np.full(count * in_row, black, np.uint16)
        greys[: len(codes)] = codes
        profile = np.repeat(greys.reshape(count, in_row), step, axis=1)
        if self.back:
            profile = np.concatenate([profile, profile[:, ::-1]])
        rows = np.full((bands, canvas.width, 3), black, np.uint16)
        left = (canvas.width - in_row * step) // 2
        used = CHANNELS[self.channel]
        for channel in np.flatnonzero(used):
            rows[:, left : left + in_row * step, channel] = profile
        for name, code in (("from", first), ("to", last)):
            red, green, blue = (code if on else black for on in used)
            ink.codes[name] = (red, green, blue)
        order = np.repeat(np.arange(bands), np.diff(split(canvas.height, bands)))
        facts: dict[str, object] = {
            "codes": [first, last],
            "step_px": step,
            "steps_in_a_row": in_row,
            "rows": bands,
        }
        return stack(ink, rows, order, facts)
