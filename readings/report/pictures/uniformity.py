"""A map of the screen: the luminance at each place as a share of the brightest."""

from __future__ import annotations

from collections.abc import Sequence

from readings.report.pictures.paper import (
    INK,
    Drawing,
    Labelled,
    axes_on,
    column,
    figure,
    plain,
    series_of,
)  # fmt: skip

SHAPE = 9 / 16


def draw(labelled: Sequence[Labelled]) -> Drawing | None:
    """The map of the first run that has one."""
    for each in labelled:
        series = series_of(each.finding, "uniformity")
        if series is None:
            continue
        rows = list(
            zip(
                column(series, "place-x"), column(series, "place-y"), column(series, "share"),
                column(series, "delta-uv"), strict=True,
            )
        )  # fmt: skip
        found = [
            (x, y, share, uv)
            for x, y, share, uv in rows
            if x is not None and y is not None and share is not None
        ]
        if found:
            return _map(each, found)
    return None


def _map(each: Labelled, found: Sequence[tuple[float, float, float, float | None]]) -> Drawing:
    small = len(found) > 13
    paper = figure(3.3 if small else 3.05)
    axes = axes_on(paper, x="", y="", left=0.15, right=0.15, bottom=0.12, top=0.38)
    axes.set_title(each.short, loc="left")
    axes.set(xlim=(0, 100), ylim=(100, 0), xticks=[], yticks=[])
    axes.grid(visible=False)
    for side in ("top", "right"):
        axes.spines[side].set_visible(True)
    shares = [share for _, _, share, _ in found]
    low, high = min(shares), max(shares)
    spread = (high - low) or 1.0
    axes.scatter(
        [x for x, _, _, _ in found], [y for _, y, _, _ in found], s=(21 if small else 30) ** 2,
        c=[(0.55 + 0.4 * (share - low) / spread if high > low else 0.95,) * 3 for share in shares],
        edgecolors=INK, linewidths=[1.6 if share == low else 0.6 for share in shares],
        clip_on=False,
    )  # fmt: skip
    for x, y, share, shift in found:
        text = plain(round(share)) if small else f"{plain(round(share))} %"
        axes.annotate(
            text, (x, y), ha="center", va="center", fontsize=8,
            weight="bold" if share in {low, high} else "normal",
        )  # fmt: skip
        if shift is not None:
            axes.annotate(
                f"{shift:.4f}", (x, y), (0, -15 if small else -21),
                textcoords="offset points", ha="center", va="center", fontsize=6.5,
            )  # fmt: skip
    return Drawing(
        paper,
        "Uniformity",
        "Luminance at each place in % of the brightest; the darker the disc, the darker the place, "
        "and the darkest has a heavy rim. Small figures: delta u′v′ from the centre.",
        (each.finding,),
    )
