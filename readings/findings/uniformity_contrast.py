"""Uniformity of contrast: white against black, place by place (IDMS 8.1.3)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from readings.distance import WithDraws, non_uniformity_of
from readings.evidence import Measured
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.places import place_of
from readings.findings.share import number_of, value_of, without_colour
from readings.lights import Lights, lights_of
from readings.shown import grey_value

Picture = tuple[str, int | None, str]
"""Kind, how many points, and the codes shown: what one uniformity is made of."""


def contrasts(levels: Mapping[Picture, list[Measured]]) -> list[Finding]:
    """IDMS 8.1.3: the contrast of white to black at each place, and how much it differs."""
    findings = []
    ends: dict[tuple[str, int | None, float], list[Measured]] = {}
    for (kind, count, _), group in levels.items():
        value = grey_value(group[0])
        if kind == "uniformity" and value in (0.0, 1.0):
            ends[kind, count, value] = group
    for (kind, count, value), whites in ends.items():
        blacks = ends.get((kind, count, 0.0))
        if value == 1.0 and blacks:
            finding = _contrast_uniformity(whites, blacks)
            if finding is not None:
                findings.append(finding)
    return findings


def _contrast_uniformity(whites: Sequence[Measured], blacks: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    sides = [
        grouped(
            (r for r in without_colour(with_light(each, basis)) if place_of(r) is not None),
            place_of,
        )
        for each in (whites, blacks)
    ]
    both = [place for place in sides[0] if place in sides[1]]
    if len(both) < 2:
        return None
    # together, so that white and black of one meter draw the same gain
    lights = lights_of([side[place] for side in sides for place in both], basis)
    value = _of_contrast(lights, len(both), basis)
    return basis.finding(
        "uniformity",
        whites[0],
        title="Uniformity of contrast",
        values=[value],
        method="Contrast of white to black at each place: N = 100 % × (1 − lowest / highest).",
        source="ICDM IDMS, an edition before v1.3, 8.1.3 (seen)",
    )


def _of_contrast(lights: Lights, count: int, basis: Basis) -> Value:
    """Of whites, and then as many blacks of the same places."""
    name, label = "contrast-non-uniformity", "Non-uniformity of contrast"
    where = {"places": count}
    light, drawn = lights.luminance, lights.drawn_luminance
    if any(lights.at_floor) or light.min() <= 0:
        basis.warn(
            "Some places are at the meter's floor, or at 0, so the contrast there is not known, "
            "and neither is its uniformity."
        )
        return Value(name, label, None, "%", where=where)
    with np.errstate(divide="ignore"):
        contrast = WithDraws(light[:count] / light[count:], drawn[:, :count] / drawn[:, count:])
    found = non_uniformity_of(contrast, known=lights.knows(colour=False))
    return value_of(name, label, number_of(found), "%", where)
