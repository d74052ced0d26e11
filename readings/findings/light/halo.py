"""Halo: the light beside a bright box, and how far it reaches."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.profile import half_distance
from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.shown import codes_of
from readings.evidence.uncertainty import COVERAGE, Estimate, written
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import Drawn, FindingKind, Reads
from readings.findings.ratio import level_number, level_value
from readings.findings.share import percent_of, value_of, without_colour

CLIFF = 20.0
"""A fall from one distance to the next that a halo hardly has, but the edge of a spot does: a limit
of our own."""
STEEPER = 5.0
"""By what factor the fall at such an edge is steeper than the next one: a limit of our own."""
LEAK = 0.005
"""Share of the box that no panel leaks beside it: a contrast of 200:1. A limit of our own."""


@dataclass(frozen=True, slots=True)
class Ring:
    """All that was read at one distance."""

    distance: float
    """% of the height, from the box's edge."""
    places: tuple[int, ...]
    """Which of the lights."""
    readings: tuple[int, ...]
    estimates: tuple[Estimate, ...]

    @property
    def dim(self) -> bool:
        """Whether the meter's floor is in the way."""
        return any(estimate.at_floor for estimate in self.estimates)

    def light(self, lights: Lights) -> tuple[float, Floats]:
        """The mean over its points, cd/m2, and that of each draw (m,)."""
        places = list(self.places)
        return float(lights.luminance[places].mean()), lights.drawn_luminance[:, places].mean(-1)

    def added(self, lights: Lights) -> tuple[float, Floats]:
        """What the box adds to black, which is the last of the lights: likewise."""
        value, drawn = self.light(lights)
        return value - float(lights.luminance[-1]), drawn - lights.drawn_luminance[:, -1]


def rings_of(placed: Mapping[tuple[float, str], Sequence[Measured]], lights: Lights) -> list[Ring]:
    """All distances, the nearest first.

    Args:
        placed: readings by their distance, percent of the height, and the name of their point.
        lights: the same readings, in the same order.
    """
    rings = []
    for distance in sorted({distance for distance, _ in placed}):
        places = tuple(n for n, (far, _) in enumerate(placed) if far == distance)
        used = (reading.reading for n in places for reading in lights.things[n])
        estimates = tuple(lights.estimates[n] for n in places)
        rings.append(Ring(distance, places, tuple(sorted(used)), estimates))
    return rings


def off_the_box(rings: Sequence[Ring], box: Estimate | None, basis: Basis) -> list[Ring]:
    """Without distances so near that the meter's spot seems to have lain on the box itself."""
    if box is None or box.value <= 0:
        return list(rings)
    means = [float(np.mean([e.value for e in ring.estimates])) for ring in rings]
    first = 0
    for n in range(len(rings) - 2):
        if means[n + 2] <= 0 or means[n + 1] <= 0:
            break
        fall, after = means[n] / means[n + 1], means[n + 1] / means[n + 2]
        bright = means[n] > LEAK * box.value
        if bright and fall > CLIFF and fall > STEEPER * after:
            first = n + 1
    if first:
        near, far = (written(rings[n].distance)[0] for n in (first - 1, first))
        basis.warn(
            f"From {near} % to {far} % of the height the light falls to "
            f"1/{written(means[first - 1] / means[first])[0]}, far more than beyond: the meter's "
            "spot may have lain on the box itself at the nearer points. They do not count for the "
            "distance at which the light is halved."
        )
    return list(rings[first:])


def half_values(
    rings: Sequence[Ring], lights: Lights, basis: Basis, *, subtract: bool
) -> list[Value]:
    """Where the light has fallen to a half, counted from the nearest distance that is trusted.

    Args:
        told: the distances that are trusted, the nearest first.
        lights: what they are rings of.
        basis: is warned.
        subtract: whether to take off black, the last of the lights.
    """
    if len(rings) < 2:
        return []
    if rings[0].dim:
        basis.warn(
            "The nearest point is at the meter's floor, so no distance is given at which the "
            "light falls to a half."
        )
        return []
    curves = [ring.added(lights) if subtract else ring.light(lights) for ring in rings]
    light = np.array([value for value, _ in curves])
    drawn = np.stack([draws for _, draws in curves], -1)
    near = written(rings[0].distance)[0]
    name, label = "halo-half-distance", f"Distance, of the height, with half the light of {near} %"
    unit, where = "%", {"from_percent": rings[0].distance}
    if light[0] <= 0:
        return []
    crossed = next((n for n, value in enumerate(light) if value <= light[0] / 2), None)
    if crossed is None:
        return [Value(name, label, rings[-1].distance, unit, None, "lower", where)]
    scatter = drawn[:, crossed].std()
    if rings[crossed].dim or light[crossed] <= COVERAGE * scatter:
        # its own uncertainty would decide how steep the curve looks
        return [Value(name, label, rings[crossed].distance, unit, None, "upper", where)]
    places = [ring.distance for ring in rings]
    value = float(half_distance(places, light))
    spread = lights.spread(value, half_distance(places, drawn), colour=False)
    # between two points the curve is not known: what the way of drawing it changes, as a rectangle
    bent = abs(value - float(half_distance(places, light, straight=True)))
    whole = None if spread is None else math.hypot(float(spread), COVERAGE * bent / math.sqrt(3))
    return [value_of(name, label, Number.of(value, whole), unit, where)]


ROLES = {"halo-box", "halo", "halo-ring", "halo-look"}
TITLE = "Halo around a bright box"
SOURCE = "Our own definition and geometry; no published one was seen"
COLUMNS = (
    Column("distance", "Distance from the box", "% of the height"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("share", "Share of the box", "%"),
    Column("added", "Added to black", "cd/m2"),
)


class Halo(FindingKind):
    """Light beside the box against distance, per run and level of the box.

    Reads the roles `halo-box`, `halo`, `halo-ring`, `halo-look`, and `black` beside them.
    """

    name = "halo"
    subject = "the halo around bright boxes"
    reads = (
        Reads(
            ("halo-box", "halo"),
            "a `halo`, with `box`, `point 1`, `point 2` ... in what is read",
            together=True,
            beside=("black",),
        ),
        Reads(("halo-ring",), "a `halo`"),
        Reads(("halo-look",), "a `halo`", ("choice", "text")),
    )
    limits = ()
    pictures = (Drawn("halo"),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(
            _finding(group, mine)
            for mine in by_run(readings).values()
            for group in grouped(
                (r for r in mine if r.role in ROLES and r.kind == "halo"),
                codes_of,
            ).values()
        )


def _finding(group: Sequence[Measured], mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    lit = without_colour(with_light([r for r in group if r.role != "halo-look"], basis))
    boxes = [r for r in lit if r.role == "halo-box"]
    points = grouped((r for r in lit if r.role == "halo"), _point)
    placed = {place: repeats for place, repeats in points.items() if place is not None}
    ring = grouped((r for r in lit if r.role == "halo-ring"), lambda r: (r.label, r.of))
    if None in points:
        basis.warn("Some points do not say how far from the box they lie and do not count.")
    if not (boxes or placed or ring):
        unknown = Value("halo-share", "Light beside the box", None, "%")
        return basis.nothing("halo", group[0], title=TITLE, value=unknown, source=SOURCE)
    blacks = without_colour(with_light([r for r in mine if r.role == "black"], basis))
    black = basis.estimate(blacks) if blacks else None
    box = basis.estimate(boxes) if boxes else None
    values: list[Value] = []
    series: tuple[Series, ...] = ()
    note = ""
    if placed:
        lights = lights_of([*placed.values(), *([blacks] if blacks else [])], basis)
        rings = rings_of(placed, lights)
        subtract, note = _subtraction(black)
        trusted = off_the_box(rings, box, basis)
        values, series = _beside(rings, len(rings) - len(trusted), lights, box, subtract, basis)
        values += half_values(trusted, lights, basis, subtract=subtract)
    else:
        basis.warn("No point beside the box was read, so there is no halo against distance.")
    if box is None:
        basis.warn("The box itself was not read, so the halo is no share of anything.")
    else:
        values.append(level_value("halo-box-luminance", "The box", [box]))
    if black is not None:
        values.append(level_value("halo-black-luminance", "Full black", [black]))
    values += _ring(ring, box, basis)
    looks = [r for r in group if r.role == "halo-look" and r.text]
    basis.used += looks
    by_eye = "; ".join(dict.fromkeys(str(look.text) for look in looks))
    return basis.finding(
        "halo",
        group[0],
        title=TITLE,
        values=values,
        method=(
            "Luminance in the dark beside a bright box, the mean of the directions read, over the "
            "luminance of the box; black is not subtracted from it. Distance counts from the "
            f"edge of the box, in percent of the picture's height.{note} What the meter's lens "
            "scatters reads as halo, and is not told apart from it."
            + (f" By eye: {by_eye}." if by_eye else "")
        ),
        source=SOURCE,
        series=series,
    )


def _point(reading: Measured) -> tuple[float, str] | None:
    """Distance in % of the height, and which point; None where either is not told."""
    number = re.search(r"\bpoint\s+(\d{1,6})\b", f"{reading.of or ''} point", re.IGNORECASE)
    name = f"point {number[1] if number else reading.variables.get('point', '')}"
    points = reading.facts.get("points")
    kept = points.get(name) if isinstance(points, dict) else None
    distance = kept.get("distance_px") if isinstance(kept, dict) else None
    if not isinstance(distance, int | float) or not 0 < distance < math.inf:
        return None
    return round(100 * float(distance) / reading.canvas[1], 6), name


def _subtraction(black: Estimate | None) -> tuple[bool, str]:
    """Whether black can be taken off, and what the method says of it."""
    if black is None:
        return False, " No black was read beside it, so nothing is said of what the box adds."
    if black.at_floor or black.value < 0:
        return False, " Black is at the meter's floor, and so small that it is not subtracted."
    return True, " What the box adds is the luminance less that of full black."


def _beside(
    rings: Sequence[Ring],
    doubted: int,
    lights: Lights,
    box: Estimate | None,
    subtract: bool,
    basis: Basis,
) -> tuple[list[Value], tuple[Series, ...]]:
    """Values, those of the nearest `doubted` distances last, and the series."""
    values, rows = [], []
    for n, ring in enumerate(rings):
        share = Number(None) if box is None else percent_of(ring.estimates, [box], basis, "the box")
        far = f"{written(ring.distance)[0]} %"
        where = {"distance_percent": ring.distance, "points": len(ring.places)}
        label = f"Light beside the box, of the box's, {far} of the height away"
        label += " (meter's spot on the box?)" if n < doubted else ""
        values.append(value_of("halo-share", label, share, "%", where))
        light = level_number(ring.estimates)
        added = Number(None)
        if subtract and not ring.dim:
            value, drawn = ring.added(lights)
            spread = lights.spread(value, drawn, colour=False)
            added = Number.of(value, spread)
        rows.append(
            Row(f"{far} away", (Number(ring.distance), light, share, added), where, ring.readings)
        )
    values = values[doubted:] + values[:doubted]
    return values, (Series("halo", "Light beside the box", COLUMNS, tuple(rows)),)


def _ring(
    ring: dict[tuple[str, str | None], list[Measured]], box: Estimate | None, basis: Basis
) -> list[Value]:
    """A dark ring in a lit picture."""
    values = []
    for (label, _), repeats in ring.items():
        estimate = basis.estimate(repeats)
        where = {"step": label}
        values.append(level_value("halo-ring-luminance", label, [estimate], where, at=label))
        if box is not None:
            share = percent_of([estimate], [box], basis, "the box")
            values.append(
                value_of("halo-ring-share", f"{label}, of the box", share, "%", where, at=label)
            )
    return values
