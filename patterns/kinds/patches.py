"""What single colour patches share: a window on a background, and how strong its colour is."""

from __future__ import annotations

from abc import abstractmethod
from fractions import Fraction
from typing import ClassVar, Literal, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.areas import Shape, nearest_rectangle
from patterns.canvas import Canvas
from patterns.charts import (
    Adaptation,
    ChartPatch,
    chart_facts,
    chart_light,
    reference_white,
)
from patterns.colours import light_at, luminance_of
from patterns.errors import ParameterPath, PatternError
from patterns.exact import to_decimal
from patterns.frame import Frame
from patterns.kinds.base import Pattern
from patterns.kinds.window import Place, Size, Window
from patterns.levels import Ink, Level
from patterns.measures import Area, Grey, Luminance, Measure, percent, px
from patterns.primaries import Point
from patterns.sheet import Box, Sheet
from patterns.spots import Spot
from patterns.transfer import Light

PrimariesName = Literal["bt709", "p3-d65", "bt2020"]
Facts = dict[str, object]


class PatchPattern(Pattern):
    """One colour in a window; what follows says only which colour."""

    background: Level = Parameter(percent(0), description="level around the patch")
    area: Area | None = Parameter(
        None, description="share of the canvas (10 % unless size is given)"
    )
    size: Size | None = Parameter(None, description="{width:, height:} instead of area")
    shape: Shape = Parameter(
        "picture", description="picture (the canvas's own) or square, with area"
    )
    at: Place | None = Parameter(None, description="{x:, y:} of the patch's centre (the middle)")

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if self.area is not None and self.size is not None:
            raise ValueError("a patch has an area or a size, not both")
        return self

    def box(self, canvas: Canvas) -> Box:
        """The patch in whole pixels; by its area on even ones, for 4:2:0 to carry its colour."""
        if self.size is not None:
            return Window(size=self.size, at=self.at).box(canvas)
        share = (self.area or percent(10)).exact / 100
        width, height = nearest_rectangle(canvas, share, self.shape, step=2)
        box = Window(size=Size(width=px(width), height=px(height)), at=self.at).box(canvas)
        return Box(box.x - box.x % 2, box.y - box.y % 2, width, height)

    def spots(self, canvas: Canvas) -> dict[str, Spot]:
        return {"patch": Spot.middle_of(self.box(canvas))}

    @abstractmethod
    def mix(self, ink: Ink) -> Facts:
        """Mix the ink ``level``, and say what is true of it."""

    def draw(self, canvas: Canvas, ink: Ink, time: Fraction) -> Frame:
        box = self.box(canvas)
        facts = self.mix(ink)
        sheet = Sheet(canvas, ink("background", self.background))
        sheet.box(box, ink.codes["level"])
        area = 100 * box.width * box.height / canvas.pixels
        return sheet.frame(ink, {"box": str(box), "area_percent": area} | facts)


class ColourPattern(PatchPattern):
    """A patch of some chromaticity, as strong as a level or a luminance says."""

    usual: ClassVar[Measure] = percent(75)
    """The level where neither level nor luminance is given."""

    level: Grey | None = Parameter(
        None,
        description="signal of the patch's strongest channel, 0 to 100 % (75 % unless luminance is "
        "given); cd/m2 count as those of the grey with that signal",
    )
    luminance: Luminance | None = Parameter(None, description="luminance of the patch, not level")

    @model_validator(mode="after")
    def _one_strength(self) -> Self:
        if self.level is not None and self.luminance is not None:
            raise ValueError("a patch has a level or a luminance, not both")
        return self

    def strength(self, ink: Ink) -> Fraction:
        """E' of the strongest channel; an error beyond 100 %, as light there has no colour."""
        level = self.level or self.usual
        share = ink.share("level", level)
        if share > 1:
            raise PatternError(
                f"A colour is told up to 100 % of the signal, not at {level}.", ("level",)
            )
        return share

    def light(self, ink: Ink, point: Point) -> Light:
        """Light of R, G, B in cd/m2 of the chromaticity at the pattern's strength."""
        if self.luminance is not None:
            return ink.signal.channel_light(*point, self.luminance.exact)
        return light_at(ink.signal, point, self.strength(ink))


class ChartPattern(PatchPattern):
    """A patch of a reference chart."""

    white: Luminance | None = Parameter(
        None,
        description="luminance of a perfect diffuser; 100 % signal unless given, 203 cd/m2 in PQ, "
        "75 % signal in HLG",
    )
    adaptation: Adaptation = Parameter(
        "bradford", description="from the data's D50 to the signal's white: bradford or cat02"
    )

    chosen_by: ClassVar[tuple[ParameterPath, ...]]
    """The parameters that say which patch it is."""

    @abstractmethod
    def patch_of(self) -> ChartPatch:
        """The patch that is shown."""

    def mix(self, ink: Ink) -> Facts:
        patch = self.patch_of()
        white = chart_white(ink, self.white)
        light, point, luminance = chart_light(ink.signal, patch, self.adaptation, white)
        ink.light("level", light, str(patch), colour=self.chosen_by, strength=(("white",),))
        return told(str(patch), point, luminance) | chart_facts(self.adaptation, white)


def told(colour: str, point: Point, luminance: Fraction) -> Facts:
    """Facts of a colour as it was asked for, before its codes were rounded."""
    return {
        "colour": colour,
        "x": float(point[0]),
        "y": float(point[1]),
        "luminance_cd_m2": float(luminance),
    }


def chart_white(ink: Ink, white: Measure | None) -> Fraction:
    """Luminance of a perfect diffuser in cd/m2: as asked, or the signal's reference white."""
    return reference_white(ink.signal) if white is None else white.exact


def mixed(ink: Ink, light: Light, colour: str, point: Point, *parameters: ParameterPath) -> Facts:
    """Mix the ink ``level`` of a :class:`ColourPattern` from light, and say what was asked.

    ``parameters`` are those that the chromaticity comes from.
    """
    luminance = luminance_of(ink.signal, light)
    x, y = (f"{float(each):.4f}" for each in point)
    said = f"{colour} (x {x}, y {y}) at {to_decimal(luminance):.4g} cd/m2"
    ink.light("level", light, said, colour=parameters, strength=(("luminance",), ("level",)))
    return told(colour, point, luminance)
