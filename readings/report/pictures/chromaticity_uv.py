"""Targets and readings in the CIE 1976 u', v' diagram."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from patterns.signal.colours import to_uv
from readings.report.pictures.diagram import diagram
from readings.report.pictures.paper import Drawing, Labelled


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All colours of two runs at most."""
    found = diagram(labelled, to_uv, ("u′", "v′"))
    return None if found is None else replace(found, title="Chromaticity, CIE 1976 u′ v′")
