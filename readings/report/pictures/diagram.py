"""What the two chromaticity diagrams share: the spectral locus, the triangles, the points."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from patterns.signal.primaries import PRIMARIES
from readings.findings.base import Series
from readings.report.pictures.paper import (
    INK,
    LINE,
    SOFT,
    STYLES,
    Drawing,
    Labelled,
    axes_on,
    column,
    figure,
    legend,
    room,
    series_of,
)  # fmt: skip

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Place = tuple[float, float]

LOCUS: tuple[Place, ...] = (
    (0.1741, 0.0050), (0.1714, 0.0051), (0.1644, 0.0109), (0.1566, 0.0177), (0.1440, 0.0297),
    (0.1355, 0.0399), (0.1241, 0.0578), (0.1096, 0.0868), (0.0913, 0.1327), (0.0687, 0.2007),
    (0.0454, 0.2950), (0.0235, 0.4127), (0.0082, 0.5384), (0.0039, 0.6548), (0.0139, 0.7502),
    (0.0389, 0.8120), (0.0743, 0.8338), (0.1142, 0.8262), (0.1547, 0.8059), (0.2296, 0.7543),
    (0.3016, 0.6923), (0.3731, 0.6245), (0.4441, 0.5547), (0.5125, 0.4866), (0.5752, 0.4242),
    (0.6270, 0.3725), (0.6658, 0.3340), (0.6915, 0.3083), (0.7190, 0.2809), (0.7347, 0.2653),
)  # fmt: skip
"""x, y of the spectrum, 380 to 700 nm, CIE 1931, 2 degrees; computed with colour-science 0.4.7."""
SPACES = (
    ("bt709", "BT.709", "-"),
    ("p3-d65", "P3", (0, (4, 2))),
    ("bt2020", "BT.2020", (0, (1, 1))),
)
SOURCES = (
    ("gamut", "gamut"), ("colour", "primaries"), ("colour", "chart"), ("colour", "saturation"),
    ("greyscale", "greyscale"),
)  # fmt: skip
NAMED = {"red": "R", "green": "G", "blue": "B", "cyan": "C", "magenta": "M", "yellow": "Y"}
RUNS = 2
AIM: dict[str, Any] = {
    "marker": "D", "markersize": 4.5, "markerfacecolor": "none", "markeredgecolor": INK,
    "markeredgewidth": 0.7, "linestyle": "",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Points:
    """Readings of one run and their targets, x and y."""

    label: str
    read: list[Place]
    target: list[Place | None]
    primaries: list[str | None]
    """Which primary each is, where they are to be joined to a triangle."""


def diagram(
    labelled: Sequence[Labelled], to: Callable[[Place], Place], axes_names: Place | tuple[str, str]
) -> Drawing | None:
    """The diagram in the coordinates that `to` gives for x, y."""
    by_run: dict[str, list[Points]] = {}
    used = []
    for finding, name in SOURCES:
        for each in labelled:
            series = series_of(each.finding, name) if each.finding.name == finding else None
            if series is None:
                continue
            read, aim = _places(series, "x", "y"), _places(series, "target-x", "target-y")
            kept = [
                (r, t, row.where.get("colour"))
                for r, t, row in zip(read, aim, series.rows, strict=True)
                if r
            ]
            if not kept or (each.label not in by_run and len(by_run) == RUNS):
                continue
            by_run.setdefault(each.label, []).append(
                Points(
                    each.short,
                    [place for place, _, _ in kept],
                    [meant for _, meant, _ in kept],
                    [str(colour) if name == "gamut" else None for _, _, colour in kept],
                )
            )
            used.append(each.finding)
    if all(each.name == "greyscale" for each in used):
        return None  # greys alone are one spot: the balance shows them better
    paper = figure(4.35 + room(len(by_run) + 1))
    axes = axes_on(paper, x=str(axes_names[0]), y=str(axes_names[1]), top=room(len(by_run) + 1))
    _ground(axes, to)
    axes.plot([], [], label="target", **AIM)
    for place, points in enumerate(by_run.values()):
        _points(axes, points, to, place)
    axes.set_aspect("equal", adjustable="box", anchor="SW")
    legend(axes, len(by_run) + 1)
    return Drawing(
        paper,
        "",
        "Readings (filled) and their targets (hollow diamonds), joined where both are there. "
        "Triangles: BT.709 (full line), P3 (dashed), BT.2020 (dotted). The outline is the "
        "spectrum.",
        tuple(used),
    )


def _places(series: Series, x: str, y: str) -> list[Place | None]:
    return [
        (a, b) if a is not None and b is not None else None
        for a, b in zip(column(series, x), column(series, y), strict=True)
    ]


def _ground(axes: Axes, to: Callable[[Place], Place]) -> None:
    edge = [to(place) for place in (*LOCUS, LOCUS[0])]
    axes.plot(*zip(*edge, strict=True), color=LINE, linewidth=1.2)
    for along, (name, label, line) in zip((0.75, 0.5, 0.25), SPACES, strict=True):
        primaries = PRIMARIES[name]
        corners = [
            (float(x), float(y)) for x, y in (primaries.red, primaries.green, primaries.blue)
        ]
        triangle = [to(place) for place in (*corners, corners[0])]
        axes.plot(*zip(*triangle, strict=True), color=SOFT, linewidth=0.8, linestyle=line)
        (gx, gy), (bx, by) = to(corners[1]), to(corners[2])
        axes.annotate(
            label, (gx + (bx - gx) * along, gy + (by - gy) * along), ha="center", va="center",
            color=SOFT, fontsize=6.5,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )  # fmt: skip
    white = to((0.3127, 0.3290))
    axes.plot(*white, marker="+", color=INK, markersize=7, linestyle="")
    axes.annotate("D65", white, (4, -9), textcoords="offset points", color=SOFT, fontsize=7)


def _points(axes: Axes, found: list[Points], to: Callable[[Place], Place], place: int) -> None:
    from matplotlib.collections import LineCollection

    looks = STYLES[place]
    for points in found:
        joined = [
            (to(read), to(aim))
            for read, aim in zip(points.read, points.target, strict=True)
            if aim is not None
        ]
        if joined:
            axes.add_collection(LineCollection(joined, colors=SOFT, linewidths=0.7), autolim=False)
        aims = [to(aim) for aim in points.target if aim is not None]
        if aims:
            axes.plot(*zip(*aims, strict=True), **AIM)
        found_at = [to(each) for each in points.read]
        ends: list[Place] = [
            found_at[points.primaries.index(wanted)]
            for wanted in ("red", "green", "blue")
            if wanted in points.primaries
        ]
        if len(ends) == 3:
            axes.plot(
                *zip(*[*ends, ends[0]], strict=True), color=looks["color"], linewidth=1.3,
                linestyle=looks["linestyle"],
            )  # fmt: skip
        size = 4.6 if len(found_at) < 40 else 2.6
        axes.plot(
            *zip(*found_at, strict=True), marker=looks["marker"], markersize=size, linestyle="",
            color=looks["color"],
        )  # fmt: skip
    filled = {"markersize": 4.6, "markerfacecolor": looks["color"]}
    axes.plot([], [], label=found[0].label, **looks | filled)
