"""One patch: primaries, secondaries, white, or a grey of any chromaticity."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Parameter

from patterns.errors import ParameterPath, PatternError, about
from patterns.kinds.base import Pattern
from patterns.kinds.ladder import CHANNELS
from patterns.kinds.window import Place, Size, Window
from patterns.picture.canvas import Canvas, Shape, nearest_rectangle
from patterns.picture.charts import (
    Adaptation,
    ChartPatch,
    chart_facts,
    chart_light,
    reference_white,
    skin_tones,
)
from patterns.picture.frame import Frame
from patterns.picture.sheet import Box, Sheet
from patterns.picture.spots import Spot
from patterns.signal import colours
from patterns.signal.colours import Diagram, along, chromaticity, light_at, luminance_of
from patterns.signal.exact import to_decimal
from patterns.signal.levels import Ink, Level, Mix
from patterns.signal.measures import Area, Grey, Luminance, Measure, Share, percent, px
from patterns.signal.primaries import PRIMARIES, Point, Primaries
from patterns.signal.transfer import Light
from patterns.words import figures

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
        return sheet.frame(ink, {"box": box.describe(), "area_percent": area} | facts)


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
        return facts_asked(str(patch), point, luminance) | chart_facts(self.adaptation, white)


def facts_asked(colour: str, point: Point, luminance: Fraction) -> Facts:
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
    called = f"{colour} (x {x}, y {y}) at {figures(to_decimal(luminance))} cd/m2"
    ink.light("level", light, called, colour=parameters, strength=(("luminance",), ("level",)))
    return facts_asked(colour, point, luminance)


Name = Literal["white", "red", "green", "blue", "cyan", "magenta", "yellow"]


class Chromaticity(BaseModel):
    """A point in the CIE 1931 diagram."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)
    x: Annotated[float, Parameter(ge=0, le=1)]
    y: Annotated[float, Parameter(gt=0, le=1)]


class Patch(ColourPattern):
    """A colour by its name or its chromaticity.

    A named colour of the signal's own primaries is a matter of codes: the level in the channels
    that make it, 0 % in the others. Of other primaries, and at a luminance, it is a chromaticity:
    that of the primary, or of equal parts of two.
    """

    kind: ClassVar[str] = "patch"
    summary: ClassVar[str] = "one patch of a primary, a secondary, white or any chromaticity"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"colour": "red"},
        {"colour": "cyan", "primaries": "bt709", "level": "75 %", "shape": "square"},
        {"chromaticity": {"x": 0.3457, "y": 0.3585}, "level": "50 %", "background": "10 %"},
    )
    usual: ClassVar[Measure] = percent(100)

    level: Grey | None = Parameter(
        None,
        description="signal of the patch's strongest channel (100 % unless luminance is given); "
        "cd/m2 count as those of the grey with that signal",
    )
    colour: Name | None = Parameter(
        None,
        description="white (unless chromaticity is given), red, green, blue, cyan, magenta, yellow",
    )
    chromaticity: Chromaticity | None = Parameter(
        None, description="{x:, y:} of CIE 1931, instead of a name"
    )
    primaries: PrimariesName | None = Parameter(
        None, description="whose colours the names are: the signal's, or bt709, p3-d65, bt2020"
    )

    @model_validator(mode="after")
    def _one_colour(self) -> Self:
        if self.chromaticity is not None and (self.colour or self.primaries):
            raise ValueError("a patch has a colour by its name or by its chromaticity, not both")
        return self

    def mix(self, ink: Ink) -> Facts:
        signal = ink.signal
        if self.chromaticity is not None:
            point = Fraction(str(self.chromaticity.x)), Fraction(str(self.chromaticity.y))
            with about(("chromaticity",)):
                light = self.light(ink, point)
            return mixed(ink, light, "chromaticity", point, ("chromaticity",))
        primaries = signal.primaries if self.primaries is None else PRIMARIES[self.primaries]
        name = self.colour or "white"
        called, mix = f"{name} of {primaries.name}", CHANNELS[name]
        point = colours.chromaticity(primaries, mix)
        if self.luminance is None and primaries == signal.primaries:
            return self._by_channel(ink, called, mix, point)
        return mixed(ink, self.light(ink, point), called, point, ("primaries",), ("colour",))

    def _by_channel(self, ink: Ink, called: str, mix: tuple[int, int, int], point: Point) -> Facts:
        level = self.level or self.usual
        red, green, blue = (level if part else percent(0) for part in mix)
        codes = ink("level", Mix(r=red, g=green, b=blue), (("level",),))
        luminance = Fraction(float(ink.signal.luminance(np.array(codes, np.uint16))))
        if ink.signal.transfer.floor > 0:
            # the other channels still give some light, so the colour is not quite the primary
            return {"colour": called, "luminance_cd_m2": float(luminance)}
        return facts_asked(called, point, luminance)


class Saturation(ColourPattern):
    """One patch of a sweep.

    Saturation is the share of the straight line from the signal's white to the colour, in CIE 1976
    u', v' or in CIE 1931 x, y. This is a definition of our own: u', v' is the diagram in which
    equal steps look more alike. Sweeps of other makers may have other steps in between; 0 % and
    100 % are the same for all.

    At constant luminance every step has that of 100 % saturation at the level, so that only the
    colour changes. At constant code the strongest channel stays at the level, and the others rise
    towards white.
    """

    kind: ClassVar[str] = "saturation"
    summary: ClassVar[str] = "one patch between white and a primary or secondary"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"colour": "red", "saturation": "60 %"},
        {"colour": "blue", "saturation": "40 %", "constant": "code", "primaries": "bt709"},
        {"colour": "cyan", "saturation": "80 %", "diagram": "xy", "level": "50 %"},
    )

    colour: Literal["red", "green", "blue", "cyan", "magenta", "yellow"] = Parameter(
        "red", description="where the sweep ends: red, green, blue, cyan, magenta or yellow"
    )
    saturation: Share = Parameter(
        percent(100), description="share of the line from white (0 %) to the colour (100 %)"
    )
    diagram: Diagram = Parameter(
        "uv", description="where the line is straight: uv (CIE 1976 u', v') or xy (CIE 1931)"
    )
    constant: Literal["luminance", "code"] = Parameter(
        "luminance", description="what all saturations share: luminance, or the strongest code"
    )
    primaries: PrimariesName | None = Parameter(
        None, description="whose colour it is: the signal's own, or bt709, p3-d65, bt2020"
    )

    @model_validator(mode="after")
    def _luminance_is_constant(self) -> Self:
        if self.constant == "code" and self.luminance is not None:
            raise ValueError("at constant code a sweep has a level, not a luminance")
        return self

    def light(self, ink: Ink, point: Point) -> Light:
        signal = ink.signal
        if self.constant == "code" or self.luminance is not None:
            return super().light(ink, point)
        full = light_at(signal, self._end(ink), self.strength(ink))
        return signal.channel_light(*point, luminance_of(signal, full))

    def mix(self, ink: Ink) -> Facts:
        share = self.saturation.exact / 100
        point = along(ink.signal.primaries.white, self._end(ink), share, self.diagram)
        primaries = self.primaries or ink.signal.primaries.name
        called = f"{self.saturation} saturated {self.colour} of {primaries}"
        blamed = ("primaries",), ("saturation",), ("colour",)
        return mixed(ink, self.light(ink, point), called, point, *blamed)

    def _end(self, ink: Ink) -> Point:
        primaries = ink.signal.primaries if self.primaries is None else PRIMARIES[self.primaries]
        return chromaticity(primaries, CHANNELS[self.colour])


class Skin(ChartPattern):
    """One of sixteen skin tones: fourteen of the 140-patch chart and the two of the 24-patch chart.

    The numbers are our own: 1 is the lightest and 16 the darkest.
    """

    kind: ClassVar[str] = "skin"
    summary: ClassVar[str] = "one of sixteen skin tones of the reference charts"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = ({"tone": 4}, {"tone": 16})

    chosen_by = (("tone",),)

    tone: Annotated[int, Parameter(ge=1, le=16)] = Parameter(
        1, description="number of the skin tone, 1 (lightest) to 16 (darkest)"
    )

    def patch_of(self) -> ChartPatch:
        return skin_tones()[self.tone - 1]


class GamutWalk(ColourPattern):
    """One point of the triangle of the primaries in CIE 1931 x, y.

    Points are counted from red by way of green and blue back to red; they divide each edge evenly
    in x, y, and the first point of an edge is the primary that it starts from.
    """

    kind: ClassVar[str] = "gamut-walk"
    summary: ClassVar[str] = "one patch on the boundary of a gamut"
    family: ClassVar[str] = "colour"
    examples: ClassVar[tuple[Mapping[str, Any], ...]] = (
        {"points": 4, "point": 3},
        {"points": 6, "point": 10, "primaries": "bt709", "level": "50 %"},
    )

    points: Annotated[int, Parameter(ge=1, le=1000)] = Parameter(
        8, description="points on each of the three edges"
    )
    point: Annotated[int, Parameter(ge=1)] = Parameter(
        1, description="number of the point: 1 is red, 1 + points green, 1 + 2 points blue"
    )
    primaries: PrimariesName | None = Parameter(
        None, description="whose gamut it is: the signal's own, or bt709, p3-d65, bt2020"
    )

    @model_validator(mode="after")
    def _on_the_way(self) -> Self:
        if self.point > 3 * self.points:
            raise ValueError(
                f"a walk of {self.points} points an edge has points 1 to {3 * self.points}, "
                f"not {self.point}"
            )
        return self

    def mix(self, ink: Ink) -> Facts:
        primaries = ink.signal.primaries if self.primaries is None else PRIMARIES[self.primaries]
        point = boundary_point(primaries, self.points, self.point)
        called = f"point {self.point} of {3 * self.points} along {primaries.name}"
        blamed = ("primaries",), ("point",), ("points",)
        return mixed(ink, self.light(ink, point), called, point, *blamed)


def boundary_point(primaries: Primaries, per_edge: int, number: int) -> Point:
    """x, y of a point (from 1) of the walk with so many points an edge."""
    corners = (primaries.red, primaries.green, primaries.blue, primaries.red)
    edge, step = divmod(number - 1, per_edge)
    return along(corners[edge], corners[edge + 1], Fraction(step, per_edge), "xy")
