"""Saturation sweeps: a colour on its way from white to a primary or a secondary."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar, Literal, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.colours import Diagram, along, chromaticity, light_at, luminance_of
from patterns.kinds.patches import ColourPattern, Facts, PrimariesName, mixed
from patterns.kinds.ramp import CHANNELS
from patterns.levels import Ink
from patterns.measures import Share, percent
from patterns.primaries import PRIMARIES, Point
from patterns.transfer import Light


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
        said = f"{self.saturation} saturated {self.colour} of {primaries}"
        blamed = ("primaries",), ("saturation",), ("colour",)
        return mixed(ink, self.light(ink, point), said, point, *blamed)

    def _end(self, ink: Ink) -> Point:
        primaries = ink.signal.primaries if self.primaries is None else PRIMARIES[self.primaries]
        return chromaticity(primaries, CHANNELS[self.colour])
