"""The EOTF on an axis of powers of ten: where dark steps can be seen."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.eotf import axes_for_tracks, draw_tracks, says, tracks_of
from readings.report.pictures.paper import MOST_RUNS, Drawing, Labelled, log_axis

BY_TRANSFER = True
"""Drawn for each transfer by itself: their curves have nothing in common."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, each with its target."""
    drawn = tracks_of(labelled)[:MOST_RUNS]
    if not drawn:
        return None
    paper, axes = axes_for_tracks(drawn)
    axes.set_yscale("log")
    draw_tracks(axes, drawn)
    log_axis(axes.yaxis)
    used = tuple(each.read.run.finding for each in drawn)
    return Drawing(paper, "EOTF, logarithmic", says(drawn), used)
