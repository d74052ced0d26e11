"""Colour volume: of an additive display with the primaries measured, and of samples of its cube."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.colorimetry.volume import (
    LEVELS,
    additive,
    even_shares,
    itp_volume,
    lab_volume,
    lab_volume_d50,
)
from readings.evidence.distance import WithDraws, delta_uv_of
from readings.evidence.lights import Lights, spread_of
from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE, written
from readings.findings.base import Number, Value, written_number
from readings.findings.basis import Basis
from readings.findings.colour.gamut_primaries import Found
from readings.findings.share import number_of, value_of

COARSE = 5
"""Levels of the mesh that draws are worked out on: only how it varies counts."""
FINE = 41
"""Levels of the mesh of a volume in ICtCp: 0.2 % short of its limit."""
EVERY = 4
"""Of the draws, for volumes."""
MILLION = 1e6
NO_VOLUME = "As read, these colours enclose no volume: were readings swapped?"
SHARES = {"bt709": "BT.709", "p3-d65": "P3-D65", "bt2020": "BT.2020"}


def volume_values(
    found: Found, lights: Lights, *, has_black: bool, basis: Basis
) -> tuple[list[Value], str]:
    """Volumes of the additive model and how additive the display is; and what the method says.

    Args:
        found: the primaries, all three read.
        lights: of red, green, blue, then white and black where there are such.
        has_black: whether the last of them is black.
        basis: for warnings.
    """
    thin = slice(None, None, EVERY)
    primaries, drawn = lights.xyz[:3], lights.drawn_xyz[thin, :3]
    total, totals = primaries.sum(0), drawn.sum(1)
    level = max(float(lights.luminance[-1]), 0.0) if has_black else 0.0
    levels = lights.drawn_luminance[thin, -1] if has_black else np.zeros(len(drawn))
    if not total[1] > 0 or not totals[:, 1].all():
        basis.warn(NO_VOLUME)  # so little light that its sum is 0
        return [], ""
    # black is taken as neutral: its own colour is hardly ever read well
    black = level * total / total[1]
    blacks = levels[:, None] * totals / totals[:, 1:2]
    white, whites = total - 2 * black, totals - 2 * blacks
    values: list[Value] = []
    if found.white:
        values += _additivity(lights, white, whites, basis)
        white, whites = lights.xyz[3], lights.drawn_xyz[thin, 3]
    if found.level < 1 or not (white > 0).all():
        return values, ""
    whites = sound(whites)
    ideal, shares = additive(primaries, black, even_shares(LEVELS)), even_shares(COARSE)
    rough, roughs = additive(primaries, black, shares), additive(drawn, blacks, shares)
    volume = float(lab_volume(ideal, white, LEVELS))
    part = relative(lights, lab_volume(rough, white, COARSE), lab_volume(roughs, whites, COARSE))
    d50 = float(lab_volume_d50(ideal, white, LEVELS))
    itp = float(itp_volume(additive(primaries, black, even_shares(FINE)), FINE)) / MILLION
    part_itp = relative(lights, itp_volume(rough, COARSE), itp_volume(roughs, COARSE))
    return [*listed(volume, d50, itp, part, part_itp, "primaries", basis), *values], _method(
        found, has_black=has_black
    )


def _method(found: Found, *, has_black: bool) -> str:
    by = "white as measured" if found.white else "the sum of red, green and blue (no white read)"
    dark = "with the black measured, taken as neutral" if has_black else "with a black of 0"
    return (
        "Volume: that of an additive display with these primaries, "
        f"{dark}; 602 colours on the surface of its cube, 11 levels an edge, in L*a*b* relative "
        f"to {by}, and also after Bradford adaptation of that white to D50. In ICtCp it is "
        "absolute, in units of delta E ITP."
    )


def listed(
    volume: float,
    d50: float,
    itp: float,
    part: float | None,
    part_itp: float | None,
    origin: str,
    basis: Basis,
) -> list[Value]:
    """The volumes as values, and CIELAB's against those of the standards."""

    def value(name: str, label: str, number: float, share: float | None, **where: str) -> Value:
        unit = "%" if name.endswith("share") else ""
        if not 0 < number < math.inf or (share is not None and math.isnan(share)):
            basis.warn(NO_VOLUME)
            return Value(name, label, None, unit, where={"from": origin, **where})
        spread = None if share is None or not share > 0 else number * share
        return Value(name, label, number, unit, spread, where={"from": origin, **where})

    values = [
        value("lab-volume", "CIELAB volume, own white", volume, part, white="display"),
        value("lab-volume", "CIELAB volume, adapted to D50", d50, part, white="d50"),
        value("itp-volume", "ICtCp volume, million cubes of delta E ITP", itp, part_itp),
    ]
    for name, called in SHARES.items():
        label = f"CIELAB volume against {called}, each to its own white"
        share = 100 * volume / standard_volume(name)
        values.append(value("lab-volume-share", label, share, part, space=name))
    return values


@cache
def standard_volume(name: str) -> float:
    """CIELAB volume of a standard's primaries by the same method, relative to D65, black 0."""
    primaries = PRIMARIES[name].matrix.T
    xyz = additive(primaries, np.zeros(3), even_shares(LEVELS))
    return float(lab_volume(xyz, primaries.sum(0), LEVELS))


def relative(lights: Lights, value: Floats, drawn: Floats) -> float | None:
    """Relative expanded uncertainty; NaN where there is no volume to speak of."""
    if not float(value) > 0:
        return math.nan
    spread = lights.spread(1.0, drawn / float(value))
    return None if spread is None else float(spread)


def _additivity(lights: Lights, total: Floats, totals: Floats, basis: Basis) -> list[Value]:
    """Red, green and blue together (less the black counted twice) against white."""
    white, whites = lights.xyz[3], lights.drawn_xyz[::EVERY, 3]
    ratio, ratios = 100 * total[1] / white[1], 100 * totals[:, 1] / whites[:, 1]
    spread = lights.spread(ratio, ratios, colour=False)
    shift = delta_uv_of(
        WithDraws(xy_of(total), xy_of(totals)),
        WithDraws(xy_of(white), xy_of(whites)),
        known=lights.knows(),
    )
    turned = number_of(shift)
    values = [
        value_of(
            "additivity-luminance",
            "Red, green, blue together, of white",
            Number.of(ratio, spread),
            "%",
        ),
        value_of(
            "additivity-chromaticity",
            "Colour of red, green and blue together, from white in u', v'",
            turned,
            "",
        ),
    ]
    if _stands_clear(lights, ratio - 100, ratios - ratio, colour=False) or _stands_clear(
        lights, float(shift.value), shift.apart, colour=True
    ):
        number = written(ratio, None if spread is None else float(spread))[0]
        distance = written_number(float(shift.value), None, turned.interval)[0]
        basis.warn(
            f"Red, green and blue together have {number} % of white's luminance, and lie "
            f"{distance} from it in u', v': the display is not additive (usual with a white pixel, "
            "and where power is short), or it drifted between the readings. The volume from "
            "primaries supposes that it is; a cube, read sample by sample, does not."
        )
    return values


def _stands_clear(lights: Lights, off: float, errors: Floats, *, colour: bool) -> bool:
    """Whether something is off by more than its errors (m,) make by chance, of two looked at.

    A distance in a plane exceeds k times the root mean square of its errors less often than a
    number on a line does, whatever their shape: its k is on the safe side.
    """
    if not lights.knows(colour=colour):
        return False
    k = surely(2, lights.freedom, both=True)
    return abs(off) > k / COVERAGE * float(spread_of(0.0, errors))


def sound(whites: Floats) -> Floats:
    """Draws of a white (m, 3), NaN where nothing can be relative to them."""
    return np.where((whites > 0).all(-1, keepdims=True), whites, np.nan)
