"""The EOTF on the axis of PQ: equal steps look about equally far apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from patterns.signal.transfer.pq import eotf
from readings.colorimetry.chromaticity import Floats
from readings.report.pictures.eotf import axes_for_tracks, draw_tracks, says, tracks_of
from readings.report.pictures.paper import MOST_RUNS, Drawing, Labelled, plain

GRID = np.linspace(0.0, 1.0, 4001)
LIGHT = eotf(GRID)
TICKS = (0.0, 0.1, 1.0, 10.0, 100.0, 1000.0, 10000.0)


def of_pq(luminance: ArrayLike) -> Floats:
    """cd/m2 to E' of PQ, near enough for a picture (ITU-R BT.2100-3, table 4)."""
    return np.interp(np.asarray(luminance, np.float64), LIGHT, GRID)


BY_TRANSFER = True
"""Drawn for each transfer by itself: their curves have nothing in common."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs of PQ and HLG in one picture, each with its target."""
    drawn = tracks_of([e for e in labelled if e.finding.played[1] != "bt1886"])[:MOST_RUNS]
    if not drawn:
        return None
    paper, axes = axes_for_tracks(drawn)
    top = draw_tracks(axes, drawn, lambda values: list(of_pq(list(values))))
    axes.set_yticks(of_pq(TICKS), [plain(tick) for tick in TICKS])
    axes.set_ylim(0, min(1.02, top * 1.05))
    return Drawing(
        paper,
        "EOTF, on the scale of PQ",
        f"{says(drawn)} The scale is that of PQ (ITU-R BT.2100-3, table 4), on which equal steps "
        "look about equally large.",
        tuple(each.read.run.finding for each in drawn),
    )
