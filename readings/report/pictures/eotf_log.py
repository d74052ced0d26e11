"""The EOTF on an axis of powers of ten: where dark steps can be seen."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.eotf import drawn_of, says, tracks
from readings.report.pictures.paper import (
    Drawing,
    Labelled,
    axes_on,
    figure,
    legend,
    log_axis,
    room,
)  # fmt: skip


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, each with its target."""
    drawn = drawn_of(labelled)
    if not drawn:
        return None
    entries = len(drawn) + 1 + any(each.bent for each in drawn)
    paper = figure(2.75 + room(entries))
    axes = axes_on(paper, x="signal, %", y="luminance, cd/m²", left=0.72, top=room(entries))
    axes.set_yscale("log")
    tracks(axes, drawn)
    log_axis(axes.yaxis)
    axes.set_xlim(0, 104)
    legend(axes, entries)
    return Drawing(paper, "EOTF, logarithmic", says(drawn), tuple(e.finding for e in drawn))
