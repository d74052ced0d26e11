"""Skin tones of the reference charts, one patch at a time."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

from pydantic import Field as Parameter

from patterns.charts import ChartPatch, skin_tones
from patterns.kinds.patches import ChartPattern


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
