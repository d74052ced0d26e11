"""Light around a box, distance by distance: what it adds to black, and where it falls to a half."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.profile import half_distance
from readings.evidence import Measured
from readings.findings.base import Number, Value
from readings.findings.basis import Basis
from readings.findings.share import value_of
from readings.lights import Lights
from readings.uncertainty import COVERAGE, Estimate, written

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
    told: Sequence[Ring], lights: Lights, basis: Basis, *, subtract: bool
) -> list[Value]:
    """Where the light has fallen to a half, counted from the nearest distance that is trusted.

    Args:
        told: the distances that are trusted, the nearest first.
        lights: what they are rings of.
        basis: is warned.
        subtract: whether to take off black, the last of the lights.
    """
    if len(told) < 2:
        return []
    if told[0].dim:
        basis.warn(
            "The nearest point is at the meter's floor, so no distance is given at which the "
            "light falls to a half."
        )
        return []
    curves = [ring.added(lights) if subtract else ring.light(lights) for ring in told]
    light = np.array([value for value, _ in curves])
    drawn = np.stack([draws for _, draws in curves], -1)
    near = written(told[0].distance)[0]
    name, label = "halo-half-distance", f"Distance, of the height, with half the light of {near} %"
    unit, where = "%", {"from_percent": told[0].distance}
    if light[0] <= 0:
        return []
    crossed = next((n for n, value in enumerate(light) if value <= light[0] / 2), None)
    if crossed is None:
        return [Value(name, label, told[-1].distance, unit, None, "lower", where)]
    scatter = drawn[:, crossed].std()
    if told[crossed].dim or light[crossed] <= COVERAGE * scatter:
        # its own uncertainty would decide how steep the curve looks
        return [Value(name, label, told[crossed].distance, unit, None, "upper", where)]
    places = [ring.distance for ring in told]
    value = float(half_distance(places, light))
    spread = lights.spread(value, half_distance(places, drawn), colour=False)
    # between two points the curve is not known: what the way of drawing it changes, as a rectangle
    bent = abs(value - float(half_distance(places, light, straight=True)))
    whole = None if spread is None else math.hypot(float(spread), COVERAGE * bent / math.sqrt(3))
    return [value_of(name, label, Number.of(value, whole), unit, where)]
