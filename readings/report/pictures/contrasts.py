"""Contrasts of all kinds as bars on one axis of powers of ten."""

from __future__ import annotations

import math
from collections.abc import Sequence

from readings.findings import Value
from readings.findings.base import written_number
from readings.findings.ratio import AS_READ
from readings.report.pictures.paper import (
    INK,
    MOST_RUNS,
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

HATCHES = ("", "///", "\\\\\\")
ROWS = 8
LEAST_CONTRAST, MOST_CONTRAST = 0.01, 1e9
"""Contrasts outside are none that anyone measured."""
LONGEST_NAME = 58
"""Characters of a label over its bars."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One group of bars for each kind of contrast, one bar for each run."""
    table: dict[str, dict[str, Value]] = {}
    runs: dict[str, Labelled] = {}
    used = []
    for each in labelled:
        found = {v.label: v for v in each.finding.values if _drawn(v)}
        if not found or (each.label not in runs and len(runs) == MOST_RUNS):
            continue
        runs.setdefault(each.label, each)
        used.append(each.finding)
        for label, value in found.items():
            if value.value and LEAST_CONTRAST < value.value < MOST_CONTRAST:
                table.setdefault(label, {})[each.label] = value
    rows = list(table)[:ROWS]
    if not rows:
        return None
    names = sorted(runs, key=lambda name: runs[name].finding.run)
    lines = sum(1 + len(table[label]) for label in rows)
    paper = figure(0.75 + 0.19 * lines + 0.08 * len(rows) + room(len(runs)))
    axes = axes_on(paper, x="contrast, :1", y="", left=0.2, right=0.75, top=room(len(runs)))
    axes.set_xscale("log")
    lowest = min(v.value or 1.0 for by in table.values() for v in by.values())
    start = 10.0 ** (math.floor(math.log10(lowest)) - 1)
    for number, name in enumerate(names):  # so that their names come in order
        axes.barh(
            0, 0, 0, left=start, facecolor=STYLES[number]["color"], hatch=HATCHES[number],
            edgecolor="white", linewidth=0, label=runs[name].short,
        )  # fmt: skip
    at = 0.0
    for label in rows:
        axes.annotate(
            label[:LONGEST_NAME], (0, at), xycoords=("axes fraction", "data"), xytext=(3, -1),
            textcoords="offset points", va="center", fontsize=8,
        )  # fmt: skip
        for number, name in enumerate(names):
            bar = table[label].get(name)
            if bar is None or bar.value is None:
                continue
            at -= 1.0
            high = bar.value
            low, top = bar.reach or (high, high)
            axes.barh(
                at, high - start, 0.8, left=start, facecolor=STYLES[number]["color"],
                hatch=HATCHES[number], edgecolor="white", linewidth=0,
                xerr=[[min(high - low, high * 0.99)], [top - high]],
                error_kw={"ecolor": INK, "elinewidth": 0.7, "capsize": 2},
            )  # fmt: skip
            text = ("≥ " if bar.bound == "lower" else "") + _number(bar)
            axes.annotate(
                text, (top, at), (4, 0), textcoords="offset points", va="center",
                fontsize=8,
            )  # fmt: skip
        at -= 1.4
    axes.set_ylim(at + 0.7, 0.6)
    axes.set_xlim(start, None)
    axes.set_yticks([])
    log_axis(axes.xaxis)
    axes.grid(visible=False, axis="y")
    legend(axes, len(runs))
    return Drawing(
        paper,
        "Contrast",
        "Each kind of contrast that was read, with its uncertainty; ≥ marks a lower bound, where "
        "black is at the meter's floor or stray light is in what was read.",
        tuple(used),
    )


def _drawn(value: Value) -> bool:
    """Not what a lower bound is of: it would stand beside it as if it were another contrast."""
    return value.unit == ":1" and bool(value.value) and not value.name.endswith(AS_READ)


def _number(value: Value) -> str:
    text, _ = written_number(value.value or 0.0, value.uncertainty, value.interval)
    return plain(float(text))
