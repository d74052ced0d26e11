"""Contrasts of all kinds as bars on one axis of powers of ten."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings import Value
from readings.report.pictures.paper import (
    INK,
    MOST,
    STYLES,
    Drawing,
    Labelled,
    axes_on,
    figure,
    legend,
    log_axis,
    plain,
    room,
)  # fmt: skip
from readings.uncertainty import written

MARK = "at-floor"
"""Ends the name of a value that is the lower bound of the one beside it."""
HATCHES = ("", "///", "\\\\\\")
ROWS = 8


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One group of bars for each kind of contrast, one bar for each run."""
    table: dict[str, dict[str, Value]] = {}
    runs: dict[str, Labelled] = {}
    used = []
    for each in labelled:
        found = {v.label: v for v in each.finding.values if v.unit == ":1" and v.value}
        if not found or (each.label not in runs and len(runs) == MOST):
            continue
        runs.setdefault(each.label, each)
        used.append(each.finding)
        for label, value in found.items():
            if value.value and value.value > 0:
                table.setdefault(label, {})[each.label] = value
    rows = list(table)[:ROWS]
    if not rows:
        return None
    thick = 0.8 / len(runs)
    paper = figure(0.75 + 0.2 * len(rows) * (1 + len(runs)) + room(len(runs)))
    axes = axes_on(paper, x="contrast, :1", y="", left=0.2, right=0.75, top=room(len(runs)))
    axes.set_xscale("log")
    lowest = min(v.value or 1 for by in table.values() for v in by.values())
    start = 10 ** (len(str(int(lowest))) - 2) if lowest >= 10 else 1.0
    for number, (name, each) in enumerate(runs.items()):
        looks = STYLES[number]
        named: str | None = each.short
        for row, label in enumerate(rows):
            bar = table[label].get(name)
            if bar is None or bar.value is None:
                continue
            high, spread = bar.value, bar.uncertainty or 0.0
            at = -row - 0.02 - (number + 0.5) * thick * 0.8 - 0.18
            axes.barh(
                at, high - start, thick * 0.7, left=start, facecolor=looks["color"],
                hatch=HATCHES[number], edgecolor="white", linewidth=0, label=named,
                xerr=[[min(spread, high * 0.99)], [spread]],
                error_kw={"ecolor": INK, "elinewidth": 0.7, "capsize": 2},
            )  # fmt: skip
            named = None
            text = ("≥ " if bar.bound == "lower" else "") + _number(bar)
            end = high + spread
            axes.annotate(
                text, (end, at), (4, 0), textcoords="offset points", va="center", fontsize=8
            )
    for row, label in enumerate(rows):
        axes.annotate(
            label[:58], (0, -row), xycoords=("axes fraction", "data"), xytext=(3, -1),
            textcoords="offset points", va="center", fontsize=8,
        )  # fmt: skip
    axes.set_ylim(-len(rows) + 0.02, 0.3)
    axes.set_xlim(start, None)
    axes.set_yticks([])
    log_axis(axes.xaxis)
    axes.grid(visible=False, axis="y")
    legend(axes, len(runs))
    return Drawing(
        paper,
        "Contrast",
        "Each kind of contrast that was read, with its expanded uncertainty; ≥ marks a lower "
        "bound, where black is at the meter's floor.",
        tuple(used),
    )


def _number(value: Value) -> str:
    text, _ = written(value.value or 0.0, value.uncertainty)
    return plain(float(text))
