"""Luminance against the lit area."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.paper import (
    INK,
    MOST,
    STYLES,
    Drawing,
    Labelled,
    axes_on,
    figure,
    legend,
    plain,
    room,
)  # fmt: skip

TICKS = (1, 2, 5, 10, 18, 25, 50, 100)


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """All runs in one picture, with the spread of each reading."""
    drawn = []
    for each in labelled:
        found = []
        for value in each.finding.values:
            area = value.where.get("area_percent")
            if value.name != "window-luminance" or value.value is None:
                continue
            if isinstance(area, (int, float)) and area > 0:
                found.append((float(area), value.value, value.uncertainty or 0.0))
        if len(found) > 1:
            drawn.append((each, sorted(found)))
    drawn = drawn[:MOST]
    if not drawn:
        return None
    paper = figure(2.6 + room(len(drawn)))
    axes = axes_on(
        paper, x="lit area, % of the screen", y="luminance, cd/m²", left=0.72, top=room(len(drawn))
    )
    axes.set_xscale("log")
    for place, (each, found) in enumerate(drawn):
        x, y, spread = zip(*found, strict=True)
        axes.errorbar(
            x, y, spread, label=each.short, ecolor=INK, elinewidth=0.7, capsize=2, capthick=0.7,
            **STYLES[place],
        )  # fmt: skip
    least = min(found[0][0] for _, found in drawn)
    ticks = [tick for tick in TICKS if tick >= least * 0.9]
    axes.set_xticks(ticks, [plain(tick) for tick in ticks])
    axes.set_xticks([], minor=True)
    axes.set_xlim(least * 0.85, 118)
    axes.set_ylim(0, None)
    legend(axes, len(drawn))
    return Drawing(
        paper,
        "Peak luminance by window area",
        "Luminance in white windows of several areas, with its expanded uncertainty.",
        tuple(each.finding for each, _ in drawn),
    )
