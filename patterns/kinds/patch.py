"""One patch: primaries, secondaries, white, or a grey of any chromaticity."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import BaseModel, ConfigDict, model_validator
from pydantic import Field as Parameter

from patterns import colours
from patterns.errors import about
from patterns.kinds.patches import ColourPattern, Facts, PrimariesName, mixed, told
from patterns.kinds.ramp import CHANNELS
from patterns.levels import Ink, Mix
from patterns.measures import Grey, Measure, percent
from patterns.primaries import PRIMARIES, Point

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
        said, mix = f"{name} of {primaries.name}", CHANNELS[name]
        point = colours.chromaticity(primaries, mix)
        if self.luminance is None and primaries == signal.primaries:
            return self._by_channel(ink, said, mix, point)
        return mixed(ink, self.light(ink, point), said, point, ("primaries",), ("colour",))

    def _by_channel(self, ink: Ink, said: str, mix: tuple[int, int, int], point: Point) -> Facts:
        level = self.level or self.usual
        red, green, blue = (level if part else percent(0) for part in mix)
        codes = ink("level", Mix(r=red, g=green, b=blue), ("level",))
        luminance = Fraction(float(ink.signal.luminance(np.array(codes, np.uint16))))
        if ink.signal.transfer.floor > 0:
            # the other channels still give some light, so the colour is not quite the primary
            return {"colour": said, "luminance_cd_m2": float(luminance)}
        return told(said, point, luminance)
