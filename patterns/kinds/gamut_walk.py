"""A walk along the boundary of a gamut, one patch at a time."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Self

from pydantic import Field as Parameter
from pydantic import model_validator

from patterns.colours import along
from patterns.kinds.patches import ColourPattern, Facts, PrimariesName, mixed
from patterns.levels import Ink
from patterns.primaries import PRIMARIES, Point, Primaries


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
        said = f"point {self.point} of {3 * self.points} along {primaries.name}"
        blamed = ("primaries",), ("point",), ("points",)
        return mixed(ink, self.light(ink, point), said, point, *blamed)


def boundary_point(primaries: Primaries, per_edge: int, number: int) -> Point:
    """x, y of a point (from 1) of the walk with so many points an edge."""
    corners = (primaries.red, primaries.green, primaries.blue, primaries.red)
    edge, step = divmod(number - 1, per_edge)
    return along(corners[edge], corners[edge + 1], Fraction(step, per_edge), "xy")
