"""What is known about a simulated display: the parameters, and reading them from a YAML file.

Every field says its unit. Chromaticities are CIE 1931 x, y; luminance is in cd/m2; lengths are
in percent of the picture's height, so that they do not depend on its resolution.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import Annotated, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import AfterValidator, model_validator
from pydantic import Field as Parameter

from patterns.signal.primaries import D65, Primaries
from player.described import one_line
from player.simulated.menu import (
    EXPONENTS,
    MOST_CONTROLS,
    SimulatedControl,
    each_once,
    within_exponents,
)
from player.simulated.parts import Part, Share
from player.simulated.zoned import Zoned

Luminance = Annotated[float, Parameter(gt=0, le=100_000)]
Gain = Annotated[float, Parameter(ge=0, le=2)]
Offset = Annotated[float, Parameter(ge=-0.5, le=0.5)]
# YAML has lists and no tuples: strict inside, not about the brackets
Point = Annotated[
    tuple[
        Annotated[float, Parameter(ge=0, le=1)],
        Annotated[float, Parameter(gt=0, le=1)],
    ],
    Parameter(strict=False),
]
Gains = Annotated[tuple[Gain, Gain, Gain], Parameter(strict=False)]
Offsets = Annotated[tuple[Offset, Offset, Offset], Parameter(strict=False)]


class Link(Part):
    """How the display takes the code values that arrive."""

    bits: Literal[8, 10, 12, 16] = 10
    """Deeper codes are rounded to this depth."""
    range: Literal["follow", "narrow", "full"] = "follow"
    """`follow` takes the range that is sent; the others take every signal for that range, so
    that a mismatch shows."""


class Gamut(Part):
    """The display's own primaries and white."""

    red: Point = (0.640, 0.330)
    green: Point = (0.300, 0.600)
    blue: Point = (0.150, 0.060)
    white: Point = (0.3127, 0.3290)

    @model_validator(mode="after")
    def _white_inside(self) -> Self:
        corners = np.array([[*point, 1.0] for point in (self.red, self.green, self.blue)])
        if abs(np.linalg.det(corners)) < 1e-3:
            raise ValueError("the three primaries lie on a line")
        if np.linalg.solve(corners.T, np.array([*self.white, 1.0])).min() <= 0:
            raise ValueError("the white lies outside the triangle of the primaries")
        return self

    @cached_property
    def to_xyz(self) -> NDArray[np.float64]:
        """(3, 3): the channels' light to XYZ; 1, 1, 1 is the display's own white with Y = 1."""
        return self._primaries(_exact(self.white)).matrix

    def from_signal(self, signal: Primaries) -> NDArray[np.float64]:
        """(3, 3): linear RGB of a signal to linear RGB of the display; white stays 1, 1, 1.

        The display's processor takes its own white for D65: an error of white stays visible.
        """
        return np.linalg.inv(self._primaries(D65).matrix) @ signal.matrix

    def _primaries(self, white: tuple[Fraction, Fraction]) -> Primaries:
        red, green, blue = (_exact(point) for point in (self.red, self.green, self.blue))
        return Primaries("display", 2, red, green, blue, white)


def _exact(point: tuple[float, float]) -> tuple[Fraction, Fraction]:
    return Fraction(str(point[0])), Fraction(str(point[1]))


class Response(Part):
    """How the display answers one transfer: its picture mode for SDR, for PQ, for HLG."""

    white: Luminance
    """Luminance that the mode gives at most, cd/m2; for `bt1886` also that of 100 % signal.
    A zoned display turns its backlight down to this."""
    exponent: Annotated[float, Parameter(ge=1, le=4)] = 2.4
    """Of the power law; `bt1886` only."""
    top: Literal["clip", "roll off"] = "clip"
    """What happens to light above `white`; `pq` and `hlg` only."""
    knee: Share = 0.7
    """Where the roll-off starts, share of `white`."""
    gain: Gains = (1.0, 1.0, 1.0)
    """Of the light of red, green, blue: errors of a bright grey."""
    offset: Offsets = (0.0, 0.0, 0.0)
    """Added to the signal E' of red, green, blue: errors of a dark grey."""
    convert: bool = True
    """Whether the signal's primaries are converted to the display's; otherwise each channel
    drives the display's own primary."""


class Responses(Part):
    """One response or more; a transfer without one is shown by the first there is."""

    bt1886: Response | None = None
    pq: Response | None = None
    hlg: Response | None = None

    @model_validator(mode="after")
    def _one_at_least(self) -> Self:
        if not self.all():
            raise ValueError("a display answers at least one of bt1886, pq and hlg")
        return self

    def all(self) -> dict[str, Response]:
        """The responses there are, by transfer."""
        pairs = (("bt1886", self.bt1886), ("pq", self.pq), ("hlg", self.hlg))
        return {name: response for name, response in pairs if response is not None}

    def named(self, transfer: str) -> tuple[str, Response]:
        """The response to a transfer, and the transfer that the display takes it for."""
        known = self.all()
        name = transfer if transfer in known else next(iter(known))
        return name, known[name]


class Emissive(Part):
    """Pixels that make their own light."""

    kind: Literal["emissive"]
    leakage: Annotated[float, Parameter(ge=0, le=10)] = 0.0
    """Light of a pixel that is off, cd/m2."""


class PowerPoint(Part):
    """How bright white may be when this much of the display's light is on."""

    lit: Annotated[float, Parameter(ge=0, le=100)]
    """Mean light, percent of the whole screen at `peak`: a full white window's area."""
    white: Luminance
    """cd/m2."""


class Time(Part):
    """How the light settles."""

    settle: Annotated[float, Parameter(ge=0, le=600)] = 0.3
    """Time constant after a change of picture, s."""
    cold: Annotated[float, Parameter(gt=0, le=2)] = 1.0
    """Light when just switched on, share of the light when warm."""
    warm_up: Annotated[float, Parameter(gt=0, le=36_000)] = 900.0
    """Time constant of the warm-up, s."""


class DisplayParameters(Part):
    """A display as the simulation knows it."""

    name: Annotated[str, Parameter(min_length=1, max_length=80), AfterValidator(one_line)]
    about: Annotated[str, Parameter(max_length=500)] = ""
    peak: Luminance
    """White with everything fully on and no power limit, cd/m2."""
    link: Link = Link()
    gamut: Gamut = Gamut()
    responses: Responses
    light: Annotated[Zoned | Emissive, Parameter(discriminator="kind")]
    power: list[PowerPoint] = Parameter([], max_length=32)
    """Straight lines between the points, `lit` rising and `white` not; level outside them."""
    reflected: Annotated[float, Parameter(ge=0, le=100)] = 0.0
    """Light of the room that the screen throws back, cd/m2."""
    time: Time = Time()
    controls: Annotated[list[SimulatedControl], AfterValidator(each_once)] = Parameter(
        [], max_length=MOST_CONTROLS
    )
    """The display's own menu, in its order; what they do starts from `found`."""

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        for name, response in self.responses.all().items():
            if response.white > self.peak:
                raise ValueError(f"the white of {name} is above the display's peak")
            if not within_exponents(self.controls, response.exponent):
                least, most = EXPONENTS
                raise ValueError(
                    f"the tone preset takes the exponent of {name} out of {least:g} to {most:g}"
                )
        lit = [point.lit for point in self.power]
        white = [point.white for point in self.power]
        if any(b <= a for a, b in pairwise(lit)):
            raise ValueError("the power points are not in order of lit")
        if any(b > a for a, b in pairwise(white)):
            raise ValueError("more light on may not make white brighter (power)")
        return self

    def power_limit(self, lit: float) -> float:
        """The brightest white, cd/m2, with this share (0 to 1) of all light on."""
        if not self.power:
            return self.peak
        at = [point.lit for point in self.power]
        return float(np.interp(100 * lit, at, [point.white for point in self.power]))
