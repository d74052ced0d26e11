"""What all pictures share: the paper, its inks, marks and lines, and the way from figure to SVG.

Colour is never the only code: what differs in colour differs in its mark and its line too, and is
named beside it. A picture is as wide as a phone's screen or half a sheet of paper, so that its
letters can be read on either.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Any

from patterns.plain import plain as printable
from readings.evidence.measured import Measured
from readings.findings import Finding
from readings.findings.base import Number, Series

if TYPE_CHECKING:  # matplotlib is imported where it is used
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.typing import RcKeyType

WIDE, HIGH = 4.7, 3.2
"""Inches of a picture."""
INK, SOFT, LINE = "#1c1d1f", "#5a5f66", "#c9cdd2"
STYLES: tuple[dict[str, Any], ...] = (
    {"color": "#17454f", "marker": "o", "linestyle": "-"},
    {
        "color": "#b3541e", "marker": "s", "linestyle": (0, (5, 2)),
        "markersize": 5.0, "markerfacecolor": "none",
    },
    {
        "color": "#6b4fa0", "marker": "^", "linestyle": (0, (1.5, 1.5)),
        "markersize": 7.5, "markerfacecolor": "none",
    },
)  # fmt: skip
"""One for each run in a picture; a picture holds no more. The later marks are hollow and larger, so
that curves which coincide are all seen."""
MOST_RUNS = len(STYLES)
TARGET: dict[str, Any] = {"color": INK, "linestyle": (0, (3, 2)), "linewidth": 0.8}
LIMIT: dict[str, Any] = {"color": "#8a4b00", "linestyle": (0, (7, 4)), "linewidth": 0.9}
LONGEST_LABEL = 58
"""Characters of a run's name in a picture."""
SETTINGS: dict[RcKeyType, Any] = {
    "svg.hashsalt": "litfield",
    "svg.fonttype": "none",
    "font.family": ["DejaVu Sans"],
    "font.size": 8.5,
    "text.usetex": False,
    "text.parse_math": False,
    "axes.edgecolor": SOFT,
    "axes.linewidth": 0.7,
    "axes.labelcolor": INK,
    "axes.titlesize": 9,
    "axes.formatter.useoffset": False,
    "axes.unicode_minus": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#e3e6e8",
    "grid.linewidth": 0.6,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "lines.linewidth": 1.1,
    "lines.markersize": 3.6,
    "hatch.linewidth": 0.6,
    "legend.frameon": False,
    "legend.fontsize": 8,
    "legend.handlelength": 2.8,
    "legend.borderaxespad": 0.2,
    "legend.labelspacing": 0.25,
    "path.simplify": True,
}


@dataclass(frozen=True, slots=True)
class Labelled:
    """A finding, how its run is called in a picture, and what was read in that run."""

    label: str
    finding: Finding
    readings: tuple[Measured, ...] = ()

    @property
    def short(self) -> str:
        """The label, cut where it would not fit."""
        return (
            self.label
            if len(self.label) <= LONGEST_LABEL
            else f"{self.label[: LONGEST_LABEL - 1]}…"
        )


@dataclass(frozen=True, slots=True)
class Drawing:
    """What a picture's file gives: a figure and what is said of it."""

    figure: Figure
    title: str
    says: str
    """How to read it, in a sentence or two; also what a reader who cannot see it is told."""
    used: tuple[Finding, ...]
    """The findings that are drawn."""


def figure(high: float = HIGH) -> Figure:
    """A sheet of the usual width, so many inches high."""
    from matplotlib.figure import Figure

    return Figure(figsize=(WIDE, high), facecolor="white")


def axes_on(
    paper: Figure,
    *,
    x: str,
    y: str,
    left: float = 0.62,
    bottom: float = 0.48,
    right: float = 0.2,
    top: float = 0.16,
) -> Axes:
    """Axes with margins in inches; nothing is measured, so that it is quick and always the same."""
    from matplotlib.ticker import MaxNLocator

    wide, high = paper.get_size_inches()
    box = (left / wide, bottom / high, 1 - (left + right) / wide, 1 - (bottom + top) / high)
    axes = paper.add_axes(box)
    axes.set_xlabel(x)
    axes.set_ylabel(y)
    for axis in (axes.xaxis, axes.yaxis):  # each tick takes a millisecond
        axis.set_major_locator(MaxNLocator(4, steps=[1, 2, 2.5, 5, 10]))
    return axes


def legend(axes: Axes, entries: int, *, columns: int = 1) -> None:
    """Names with their lines and marks, in rows above the axes; `top` has to leave room."""
    if entries:
        axes.legend(loc="lower left", bbox_to_anchor=(0, 1.0), ncols=columns)


def room(entries: int, columns: int = 1) -> float:
    """Inches above the axes that a legend of so many entries takes."""
    rows = -(-entries // columns)
    return 0.16 + 0.165 * rows


def log_axis(axis: Any) -> None:
    """Powers of ten as people write them: 0.01, 1, 1 000."""
    from matplotlib.ticker import FuncFormatter, LogLocator, NullLocator

    axis.set_major_locator(LogLocator(base=10, numticks=9))
    axis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))
    axis.set_minor_locator(NullLocator())


def plain(value: float) -> str:
    """A tick as people write it."""
    if value == 0:
        return "0"
    if not 1e-9 <= abs(value) < 1e12:
        return f"{value:g}".replace("-", "−")
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    whole, point, rest = text.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", "\u202f")
    return (whole + point + rest).replace("-", "−")


def series_of(finding: Finding, *names: str) -> Series | None:
    """The first series of one of these names that has rows."""
    return next((s for name in names for s in finding.series if s.name == name and s.rows), None)


def column(series: Series, name: str) -> list[float | None]:
    """The values of a column, row by row; a column that is not there is all None."""
    return [number.value for number in numbers(series, name)]


def numbers(series: Series, name: str) -> Sequence[Number]:
    """The numbers of a column, row by row; a column that is not there is all undefined."""
    try:
        return series.column(name)
    except KeyError:
        return [Number(None)] * len(series.rows)


def pairs(
    first: Sequence[float | None], second: Sequence[float | None]
) -> tuple[list[float], list[float]]:
    """Two columns without the rows where either is undefined."""
    both = [(a, b) for a, b in zip(first, second, strict=True) if a is not None and b is not None]
    return [a for a, _ in both], [b for _, b in both]


def positive(
    first: Sequence[float | None], second: Sequence[float | None]
) -> tuple[list[float], list[float]]:
    """The same without rows where the second is not above 0: for a log axis."""
    both = [(a, b) for a, b in zip(*pairs(first, second), strict=True) if b > 0]
    return [a for a, _ in both], [b for _, b in both]


def svg_of(paper: Figure, mark: str) -> str:
    """The figure as an SVG element that can stand in a page beside others.

    Args:
        mark: begins every id in it, so that those of two pictures differ.
    """
    out = StringIO()
    nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
    paper.savefig(out, format="svg", metadata=nothing)
    text = printable(out.getvalue())
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text, flags=re.DOTALL)
    text = re.sub(r"<style.*?</style>\s*", "", text, flags=re.DOTALL)  # it would style the page
    text = re.sub(r' xmlns(:xlink)?="[^"]*"', "", text)
    text = re.sub(r' id="([^"]*)"', rf' id="{mark}\1"', text)
    text = re.sub(r'href="#([^"]*)"', rf'href="#{mark}\1"', text)
    text = re.sub(r"url\(#([^)]*)\)", rf"url(#{mark}\1)", text)
    text = text.replace("'DejaVu Sans'", "'DejaVu Sans', Verdana, sans-serif")
    return re.sub(r"\s*\n\s*", "\n", text).strip()
