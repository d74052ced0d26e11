"""Colour volume from samples of the surface of the RGB cube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.volume import (
    additive,
    even_shares,
    itp_volume,
    lab_volume,
    lab_volume_d50,
    surface,
)
from readings.evidence import Measured
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, with_light
from readings.findings.gamut_primaries import Repeats, Sample, cube_of, usable
from readings.findings.gamut_volume import EVERY, FINE, MILLION, listed, relative, sound
from readings.lights import lights_of

DIM = 0.001
"""Share of white up to which a sample without a colour counts as a grey: it is black as good as."""


def cube_volume(mine: Sequence[Measured], source: str) -> Finding | None:
    """Volume of the cube's surface as sampled."""
    samples = cube_of(mine)
    if not samples:
        return None
    basis = Basis()
    values = [Value("lab-volume", "CIELAB volume, own white", None, "", where={"from": "cube"})]
    told = (
        "The samples on the surface of the RGB cube make a mesh of flat faces; its volume in "
        "L*a*b* is relative to the white sample, and also after Bradford adaptation of it to D50; "
        "in ICtCp it is absolute, in units of delta E ITP."
    )
    steps = sorted({value for sample in samples for value in sample})
    points, _ = surface(max(len(steps), 2))
    wanted: list[Sample] = (
        [] if len(steps) < 2 else [(steps[r], steps[g], steps[b]) for r, g, b in points.tolist()]
    )
    missing = [sample for sample in wanted if sample not in samples]
    if missing or not wanted:
        which = (
            _samples(len(missing), "is", "are")
            if missing
            else "All samples of the cube's surface but one are"
        )
        basis.warn(f"{which} missing, so there is no volume.")
    else:
        values, more = _sampled([samples[each] for each in wanted], len(steps), values, basis)
        told += more
    return basis.finding(
        "gamut",
        mine[0],
        title="Colour volume, from samples of the cube",
        values=values,
        method=told,
        source=source,
    )


def _sampled(
    samples: Sequence[Repeats], levels: int, nothing: list[Value], basis: Basis
) -> tuple[list[Value], str]:
    """Values from all samples of the surface, in the order of `surface(levels)`."""
    things = [[_sane(reading) for reading in with_light(each, basis)] for each in samples]
    if not all(things):
        basis.warn("A sample of the cube's surface has no luminance, so there is no volume.")
        return nothing, ""
    lights = lights_of(things, basis)
    white, whites = lights.xyz[-1], lights.drawn_xyz[::EVERY, -1]
    if not lights.coloured[-1] or not (white > 0).all():
        basis.warn("White, the last sample of the cube, has no colour: there is no volume.")
        return nothing, ""
    whites = sound(whites)
    dim = ~lights.coloured & (lights.luminance <= DIM * white[1])
    lost = int((~lights.coloured & ~dim).sum())
    if lost:
        basis.warn(f"{_samples(lost, 'has', 'have')} no colour, so there is no volume.")
        return nothing, ""
    xyz, drawn = lights.xyz.copy(), lights.drawn_xyz[::EVERY].copy()
    xyz[dim] = np.maximum(lights.luminance[dim], 0.0)[:, None] * white / white[1]
    drawn[:, dim] = (
        lights.drawn_luminance[::EVERY, dim][..., None] * (whites / whites[:, 1:2])[:, None]
    )
    factor, factor_itp = _found_by_mesh(xyz, white, levels)
    volume = float(lab_volume(xyz, white, levels))
    part = relative(lights, np.asarray(volume), lab_volume(drawn, whites, levels))
    itp = float(itp_volume(xyz, levels))
    part_itp = relative(lights, np.asarray(itp), itp_volume(drawn, levels))
    d50 = float(lab_volume_d50(xyz, white, levels))
    values = listed(
        volume / factor,
        d50 / factor,
        itp / factor_itp / MILLION,
        _with_correction(part, factor),
        _with_correction(part_itp, factor_itp),
        "cube",
        basis,
    )
    told = (
        f" With {levels} levels an edge such a mesh finds too little: of an additive display with "
        f"the same corners and steps {100 * factor:.1f} % in L*a*b* and {100 * factor_itp:.1f} % "
        "in ICtCp. The volumes are divided by that, and what this adds counts as uncertain by its "
        "own size (a rectangle)."
    )
    return values, told


def _samples(count: int, one: str, several: str) -> str:
    many = count != 1
    return f"{count} sample{'s' * many} of the cube's surface {several if many else one}"


def _sane(reading: Measured) -> Measured:
    """A reading whose colour is none that light can have, without it."""
    return reading if usable(reading) else replace(reading, x=None, y=None)


def _found_by_mesh(xyz: Floats, white: Floats, levels: int) -> tuple[float, float]:
    """What share of an additive display's volume its mesh finds, in L*a*b* and in ICtCp.

    The display has the cube's own corners, and the steps of light that its channels show.
    """
    points = surface(levels)[0]
    place = {tuple(point): n for n, point in enumerate(points.tolist())}
    last = levels - 1
    ends = [place[(last, 0, 0)], place[(0, last, 0)], place[(0, 0, last)]]
    black, primaries = xyz[place[(0, 0, 0)]], xyz[ends]
    steps = np.empty((3, levels))
    for channel in range(3):
        for level in range(levels):
            point = [0, 0, 0]
            point[channel] = level
            steps[channel, level] = xyz[place[(point[0], point[1], point[2])], 1] - black[1]
    with np.errstate(invalid="ignore", divide="ignore"):
        steps = np.clip(np.nan_to_num(steps / steps[:, -1:]), 0.0, 1.0)
    shares = np.stack([steps[channel, points[:, channel]] for channel in range(3)], -1)
    mesh, ideal = additive(primaries, black, shares), additive(primaries, black, even_shares(FINE))
    found = lab_volume(mesh, white, levels) / lab_volume(ideal, white, FINE)
    found_itp = itp_volume(mesh, levels) / itp_volume(ideal, FINE)
    return _share(float(found)), _share(float(found_itp))


def _share(found: float) -> float:
    """A share that a volume can be divided by; 1 where the corners enclose nothing."""
    return found if np.isfinite(found) and 0.2 < found < 2 else 1.0


def _with_correction(part: float | None, factor: float) -> float | None:
    if part is None:
        return None
    return math.hypot(part, 2 * abs(1 / factor - 1) / math.sqrt(12))
