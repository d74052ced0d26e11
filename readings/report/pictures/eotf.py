"""What the two pictures of the EOTF share: measured steps, targets and the reference curve."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from readings.findings import Finding
from readings.report.pictures.paper import (
    MOST,
    SOFT,
    STYLES,
    TARGET,
    Labelled,
    column,
    positive,
    series_of,
)  # fmt: skip

if TYPE_CHECKING:
    from matplotlib.axes import Axes

NAMES = ("tone", "greyscale", "near-black")


@dataclass(frozen=True, slots=True)
class Track:
    """One run's steps: signal in % and luminances in cd/m2, all above 0."""

    label: str
    finding: Finding
    read: tuple[list[float], list[float]]
    target: tuple[list[float], list[float]]
    bent: tuple[list[float], list[float]] | None
    """The reference curve of BT.2390 for this display, where the finding has one."""


def drawn_of(labelled: Sequence[Labelled]) -> list[Track]:
    """The runs with steps; of several findings of one run, the one with most."""
    best: dict[int | str, Track] = {}
    for each in labelled:
        series = series_of(each.finding, *NAMES)
        if series is None:
            continue
        signal = column(series, "signal")
        read = positive(signal, column(series, "luminance"))
        if len(read[0]) < 2:
            continue
        bent = positive(signal, column(series, "reference-curve-luminance"))
        target = positive(signal, column(series, "target-luminance"))
        track = Track(each.short, each.finding, read, target, bent if bent[0] else None)
        before = best.get(each.label)
        if before is None or len(before.read[0]) < len(read[0]):
            best[each.label] = track
    return list(best.values())[:MOST]


def tracks(
    axes: Axes,
    drawn: Sequence[Track],
    scale: Callable[[list[float]], list[float]] = lambda values: values,
) -> float:
    """Draw them; the highest place of all is given back."""
    top = 0.0
    for place, each in enumerate(drawn):
        first = place == 0
        for points, looks, name in (
            (each.target, TARGET, "target"),
            (each.bent, TARGET | {"color": SOFT, "linestyle": (0, (1, 1))}, "BT.2390 curve"),
        ):
            if points and points[0]:
                x, y = _ordered(points)
                axes.plot(x, scale(y), label=name if first else None, **looks)
        x, y = _ordered(each.read)
        height = scale(y)
        axes.plot(x, height, label=each.label, **STYLES[place])
        top = max(top, *height)
        if each.target[0]:
            top = max(top, *scale(each.target[1]))
    return top


def _ordered(points: tuple[list[float], list[float]]) -> tuple[list[float], list[float]]:
    both = sorted(zip(*points, strict=True))
    return [x for x, _ in both], [y for _, y in both]


def says(drawn: Sequence[Track]) -> str:
    """How to read it."""
    bent = any(each.bent for each in drawn)
    return (
        "Luminance read at each signal level (marks), and the target for the codes that were shown "
        "(thin and dashed, without marks)"
        + (", and the curve by which BT.2390 would fit the signal to this display (dotted)." * bent)
        + ("" if bent else ".")
        + " Steps that read 0 or less are left out."
    )
