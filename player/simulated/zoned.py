"""What is known about a backlight of zones: where they lie, how they are driven, what they light.

Lengths are in percent of the picture's height or in zones of the usual pitch, times in seconds.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from player.simulated.parts import Part, Share

MOST_ZONES = 5_000
"""Columns times rows: what backlights have, and what is calculated in good time."""
Tint = Annotated[float, Parameter(ge=0, le=10)]
# YAML has lists and no tuples: strict inside, not about the brackets
Tints = Annotated[tuple[Tint, Tint, Tint], Parameter(strict=False)]
EndWidth = Annotated[float, Parameter(ge=0.1, le=2)]
TimeConstant = Annotated[float, Parameter(ge=0, le=60)]


class Halo(Part):
    """One part of the light that a zone's LEDs throw: round, Gaussian."""

    radius: Annotated[float, Parameter(gt=0, le=1000)]
    """Standard deviation, percent of the picture's height."""
    share: Annotated[float, Parameter(gt=0, le=1)]
    """Share of the zone's light; the shares of all halos make 1."""


class Ends(Part):
    """Widths of the outermost zones, in zones of the usual pitch: all alike is 1 everywhere.

    The zones between them share what is left equally. An axis of one zone has no ends.
    """

    left: EndWidth = 1.0
    right: EndWidth = 1.0
    top: EndWidth = 1.0
    bottom: EndWidth = 1.0


class Zoned(Part):
    """A backlight of zones behind a panel that never closes altogether."""

    kind: Literal["zoned"]
    contrast: Annotated[float, Parameter(gt=1, le=10_000_000)]
    """Of the panel alone: open to closed, the same light behind it."""
    tint: Tints = (1.0, 1.0, 1.0)
    """Of what leaks through the closed panel, red, green, blue; only their ratio counts."""
    columns: Annotated[int, Parameter(ge=1, le=256)]
    rows: Annotated[int, Parameter(ge=1, le=256)]
    """Columns times rows is MOST_ZONES at most."""
    ends: Ends = Ends()
    dimming: bool = True
    """Whether the zones follow the picture; otherwise all are fully on."""
    halos: Annotated[list[Halo], Parameter(min_length=1, max_length=6)]
    brightest: Share = 0.7
    """How much a zone heeds its brightest pixel; the rest is its mean."""
    lift: Annotated[float, Parameter(gt=0, le=1)] = 0.5
    """A zone's LEDs are driven by its content to this power: below 1, dim content gets more
    light than it needs."""
    threshold: Share = 0.0
    """Content below this, share of the mode's white, counts as none: the zone stays dark."""
    lowest: Share = 0.0
    """Drive of a zone with nothing to show, share of fully on."""
    rise: TimeConstant = 0.0
    """Time constant of a zone that gets brighter, s; 0 follows the picture at once."""
    fall: TimeConstant = 0.0
    """Time constant of a zone that gets darker, s."""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.columns * self.rows > MOST_ZONES:
            raise ValueError(
                f"a backlight has at most {MOST_ZONES} zones, not {self.columns} x {self.rows} = "
                f"{self.columns * self.rows}"
            )
        if abs(sum(halo.share for halo in self.halos) - 1) > 1e-6:
            raise ValueError("the shares of the halos do not make 1")
        if max(self.tint) == 0:
            raise ValueError("a tint needs one channel above 0")
        return self

    @property
    def across(self) -> tuple[float, float]:
        """Widths of the first and the last column, in zones of the usual pitch."""
        return self.ends.left, self.ends.right

    @property
    def down(self) -> tuple[float, float]:
        """Heights of the first and the last row, in zones of the usual pitch."""
        return self.ends.top, self.ends.bottom
