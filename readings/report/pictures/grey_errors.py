"""Delta E along the grey, step by step."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.bars import bars
from readings.report.pictures.paper import (
    INK,
    Drawing,
    Labelled,
    axes_on,
    column,
    figure,
    numbers,
    pairs,
    series_of,
)  # fmt: skip

PANELS = 2
METRICS = {"delta-e-2000": "delta E 2000", "delta-e-itp": "delta E ITP"}


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each run, at most two; of the delta E that the first finding puts first."""
    metric = next(
        (m for each in labelled for v in each.finding.values for m in METRICS if m in v.name),
        "delta-e-2000",
    )
    drawn = []
    for each in labelled:
        series = series_of(each.finding, "greyscale")
        if series and any(value is not None for value in column(series, metric)):
            drawn.append((each, series))
    drawn = drawn[:PANELS]
    if not drawn:
        return None
    each_high = 2.5 if len(drawn) == 1 else 1.95
    paper = figure(0.35 + each_high * len(drawn))
    high = paper.get_size_inches()[1]
    tops = [
        (number.value or 0) + (number.uncertainty or 0)
        for _, series in drawn
        for number in numbers(series, metric)
    ]
    for place, (each, series) in enumerate(drawn):
        bottom = high - (place + 1) * each_high - 0.05 + 0.2
        axes = axes_on(
            paper,
            x="signal, %" if place == len(drawn) - 1 else "",
            y=METRICS[metric],
            bottom=bottom,
            top=high - bottom - each_high + 0.45,
        )
        axes.set_title(each.short, loc="left")
        signal = [value if value is not None else 0.0 for value in column(series, "signal")]
        bars(axes, signal, numbers(series, metric), flat=False)
        x, y = pairs(column(series, "signal"), column(series, f"{metric}-chromaticity"))
        axes.plot(x, y, color=INK, marker="D", markersize=3, markerfacecolor="white", linestyle="")
        axes.set_ylim(0, max(4.0, *tops) * 1.08)
        axes.set_xlim(-4, 104)
        axes.grid(visible=False, axis="x")
    return Drawing(
        paper,
        "Delta E of grey",
        f"Bars: {METRICS[metric]} against the target, with its expanded uncertainty; hatched above "
        "3, the dashed line. Hollow diamonds: the same of chromaticity alone, without the error of "
        "luminance.",
        tuple(each.finding for each, _ in drawn),
    )
