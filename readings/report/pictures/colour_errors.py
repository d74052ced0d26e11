"""Delta E of patches, the largest first."""

from __future__ import annotations

from collections.abc import Sequence

from readings.findings.base import Number
from readings.report.pictures.bars import bars
from readings.report.pictures.paper import Drawing, Labelled, axes_on, figure, numbers, series_of

ROWS = 24
"""Patches that are drawn; of more, those with the largest delta E."""
LONGEST_NAME = 18
METRICS = (("delta-e-2000", "delta E 2000"), ("delta-e-itp", "delta E ITP"))
"""The first that has numbers: delta E 2000 is not given under PQ and HLG."""


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """The chart of the first run that has one; else its saturations, else its primaries."""
    for each in labelled:
        for name in ("chart", "saturation", "primaries"):
            series = series_of(each.finding, name)
            if series is None:
                continue
            for metric, kind in METRICS:
                pairs = zip(series.rows, numbers(series, metric), strict=True)
                found = [(row.label, number) for row, number in pairs if number.value is not None]
                if found:
                    return _drawing(each, found, kind)
    return None


def _drawing(each: Labelled, found: list[tuple[str, Number]], kind: str) -> Drawing:
    ordered = sorted(found, key=lambda pair: -(pair[1].value or 0))
    shown = ordered[:ROWS]
    paper = figure(0.95 + 0.16 * len(shown))
    axes = axes_on(paper, x=kind, y="", left=1.45, top=0.36)
    axes.set_title(each.short, loc="left", x=-0.45)
    places = [float(-place) for place in range(len(shown))]
    bars(axes, places[::-1], [number for _, number in shown][::-1], flat=True)
    begins = {label.rpartition(", ")[0] for label, _ in shown}
    named = [label.rpartition(", ")[2] if len(begins) == 1 else label for label, _ in shown]
    names = [_fitting(label) for label in named]
    axes.set_yticks(places, names)
    axes.set_ylim(-len(shown) + 0.4, 0.6)
    axes.set_xlim(0, None)
    axes.tick_params(axis="y", length=0)
    axes.grid(visible=False, axis="y")
    which = f"the {ROWS} largest of {len(ordered)}" if len(ordered) > ROWS else "the largest first"
    return Drawing(
        paper,
        f"D{kind[1:]}: {each.finding.title[:1].lower()}{each.finding.title[1:]}",
        f"D{kind[1:]} of each patch with what it may be, {which}; hatched above 3, the "
        "dashed line.",
        (each.finding,),
    )


def _fitting(label: str) -> str:
    """A patch's name as far as it fits: first without what stands in brackets, then cut."""
    kept = label if len(label) <= LONGEST_NAME else label.partition(" (")[0]
    return kept if len(kept) <= LONGEST_NAME else f"{kept[: LONGEST_NAME - 1]}…"
