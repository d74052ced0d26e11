"""Targets and readings in the CIE 1976 u', v' diagram."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from readings.report.pictures.diagram import Place, diagram
from readings.report.pictures.paper import Drawing, Labelled


def uv(place: Place) -> Place:
    """u', v' of x, y (CIE 15)."""
    x, y = place
    under = -2 * x + 12 * y + 3
    return 4 * x / under, 9 * y / under


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All colours of two runs at most."""
    found = diagram(labelled, uv, ("u′", "v′"))
    return None if found is None else replace(found, title="Chromaticity, CIE 1976 u′ v′")
