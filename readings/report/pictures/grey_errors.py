"""Delta E along the grey, step by step."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.bars import arms_of, bars
from readings.report.pictures.panels import axes_of, panels_of
from readings.report.pictures.paper import INK, Drawing, Labelled, column, numbers, pairs

METRICS = {"delta-e-2000": "delta E 2000", "delta-e-itp": "delta E ITP"}


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each run, at most two; of the delta E that the first finding puts first."""
    metric = next(
        (m for each in labelled for v in each.finding.values for m in METRICS if m in v.name),
        "delta-e-2000",
    )
    drawn = panels_of(labelled, metric)
    if not drawn:
        return None
    tops = [
        (number.value or 0) + arms_of(number)[1]
        for _, series in drawn
        for number in numbers(series, metric)
    ]
    paper, each_axes = axes_of(drawn, y=METRICS[metric])
    for axes, (_, series) in zip(each_axes, drawn, strict=True):
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
        f"Bars: {METRICS[metric]} against the target, with what it may be; hatched above "
        "3, the dashed line. Hollow diamonds: the same of chromaticity alone, without the error of "
        "luminance.",
        tuple(each.finding for each, _ in drawn),
    )
