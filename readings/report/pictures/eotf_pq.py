"""The EOTF on the axis of PQ: equal steps look about equally far apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from patterns.transfer.pq import eotf
from readings.colorimetry.chromaticity import Floats
from readings.report.pictures.eotf import drawn_of, says, tracks
from readings.report.pictures.paper import (
    Drawing,
    Labelled,
    axes_on,
    figure,
    legend,
    plain,
    room,
)  # fmt: skip

GRID = np.linspace(0.0, 1.0, 4001)
LIGHT = eotf(GRID)
TICKS = (0.0, 0.1, 1.0, 10.0, 100.0, 1000.0, 10000.0)


def of_pq(luminance: ArrayLike) -> Floats:
    """cd/m2 to E' of PQ, near enough for a picture (ITU-R BT.2100-3, table 4)."""
    return np.interp(np.asarray(luminance, np.float64), LIGHT, GRID)


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, each with its target."""
    drawn = drawn_of(labelled)
    if not drawn:
        return None
    entries = len(drawn) + 1 + any(each.bent for each in drawn)
    paper = figure(2.75 + room(entries))
    axes = axes_on(paper, x="signal, %", y="luminance, cd/m²", left=0.72, top=room(entries))
    top = tracks(axes, drawn, lambda values: list(of_pq(values)))
    places = of_pq(TICKS)
    axes.set_yticks(places, [plain(tick) for tick in TICKS])
    axes.set_ylim(0, min(1.02, top * 1.05))
    axes.set_xlim(0, 104)
    legend(axes, entries)
    return Drawing(
        paper,
        "EOTF, on the scale of PQ",
        f"{says(drawn)} The scale is that of PQ (ITU-R BT.2100-3, table 4), on which equal steps "
        "look about equally large.",
        tuple(each.finding for each in drawn),
    )
