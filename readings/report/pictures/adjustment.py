"""Errors of a display as found and as left, level by level, where it was adjusted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from readings.findings.base import Number, Series
from readings.report.pictures.bars import arms_of
from readings.report.pictures.paper import (
    INK,
    LINE,
    STYLES,
    Drawing,
    Labelled,
    axes_on,
    figure,
    legend,
    numbers,
    series_of,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

PANELS = 2
MOST_FLAT = 8
"""Levels whose names stand beside each other; more of them are turned."""
NAMES = (("before", "as found"), ("after", "as left"))
TRUTH = " Grey bars: as left in truth, with all that the meter may be off by."
APART = 0.14
"""How far the two of a level stand apart, of the distance between levels."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """One panel for each adjustment, at most two."""
    found = [(each, series_of(each.finding, "adjusted")) for each in labelled]
    drawn = [(each, series) for each, series in found if series is not None][:PANELS]
    if not drawn:
        return None
    turned = any(len(series.rows) > MOST_FLAT for _, series in drawn)
    each_high = (2.6 if len(drawn) == 1 else 2.3) + 0.2 * turned
    high = each_high * len(drawn)
    paper, in_truth = figure(high), False
    for place, (each, series) in enumerate(drawn):
        below = high - (place + 1) * each_high
        axes = axes_on(
            paper,
            x="",
            y=series.title.replace("Delta", "delta"),
            bottom=below + (0.62 if turned else 0.42),
            top=high - below - each_high + 0.42,
        )
        # a run may adjust in several steps: which stands first
        called = Labelled(", ".join(filter(None, (each.finding.title, each.label))), each.finding)
        axes.set_title(called.short, loc="left", pad=18)
        in_truth = _truth(axes, numbers(series, "truth")) or in_truth
        for shift, (name, words), style in zip((-APART, APART), NAMES, STYLES[1::-1], strict=True):
            _points(axes, numbers(series, name), shift, words, style)
        legend(axes, len(NAMES), columns=len(NAMES) + 1)
        axes.set_xticks(range(len(series.rows)), [row.label for row in series.rows])
        axes.tick_params(axis="x", rotation=45 if turned else 0, length=0)
        axes.set_xlim(-0.6, len(series.rows) - 0.4)
        top = _top(series)
        axes.set_ylim(-0.03 * top, top)  # a mark at 0 is seen whole
        axes.grid(visible=False, axis="x")
    return Drawing(
        paper,
        "Errors as found and as left",
        "Hollow squares: each level as it was found; filled circles: as it was left; each with "
        f"what it may be, as its meter reads it.{TRUTH * in_truth}",
        tuple(each.finding for each, _ in drawn),
    )


def _points(
    axes: Axes, found: Sequence[Number], shift: float, words: str, style: dict[str, Any]
) -> None:
    known = [
        (place, number.value, arms_of(number))
        for place, number in enumerate(found)
        if number.value is not None
    ]
    look = style | {"linestyle": "", "ecolor": INK, "elinewidth": 0.7, "capsize": 1.6}
    axes.errorbar(
        [place + shift for place, _, _ in known],
        [value for _, value, _ in known],
        yerr=[[low for _, _, (low, _) in known], [top for _, _, (_, top) in known]],
        label=words,
        **look,
    )


def _truth(axes: Axes, found: Sequence[Number]) -> bool:
    """What each level may be in truth, as left; whether the errors of its meter are known."""
    known = [(place, number.reach) for place, number in enumerate(found) if number.reach]
    if known:
        axes.bar(
            [place + APART for place, _ in known],
            [high - low for _, (low, high) in known],
            bottom=[low for _, (low, _) in known],
            width=1.1 * APART,
            color=LINE,
            label="as left in truth",
        )
    return bool(known)


def _top(series: Series) -> float:
    tops = [
        number.value + arms_of(number)[1]
        for name in (*(name for name, _ in NAMES), "truth")
        for number in numbers(series, name)
        if number.value is not None
    ]
    return max(2.0, *tops) * 1.08
