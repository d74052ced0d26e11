"""Colour volume: of an additive display with the primaries measured, and of samples of its cube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from patterns.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, uv_of, xy_of
from readings.colorimetry.volume import (
    LEVELS,
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
from readings.findings.gamut_primaries import Found, Repeats, Sample, cube_of, usable
from readings.lights import Lights, lights_of
from readings.uncertainty import written

COARSE = 5
"""Levels of the mesh that draws are worked out on: only how it varies counts."""
FINE = 41
"""Levels of the mesh of a volume in ICtCp: 0.2 % short of its limit."""
EVERY = 4
"""Of the draws, for volumes."""
DIM = 0.001
"""Share of white up to which a sample without a colour counts as a grey: it is black as good as."""
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
    whites = _sound(whites)
    ideal, shares = additive(primaries, black, even_shares(LEVELS)), even_shares(COARSE)
    rough, roughs = additive(primaries, black, shares), additive(drawn, blacks, shares)
    volume = float(lab_volume(ideal, white, LEVELS))
    part = _relative(lights, lab_volume(rough, white, COARSE), lab_volume(roughs, whites, COARSE))
    d50 = float(lab_volume_d50(ideal, white, LEVELS))
    itp = float(itp_volume(additive(primaries, black, even_shares(FINE)), FINE)) / MILLION
    part_itp = _relative(lights, itp_volume(rough, COARSE), itp_volume(roughs, COARSE))
    return [*_listed(volume, d50, itp, part, part_itp, "primaries", basis), *values], _told(
        found, has_black=has_black
    )


def _told(found: Found, *, has_black: bool) -> str:
    by = "white as measured" if found.white else "the sum of red, green and blue (no white read)"
    dark = "with the black measured, taken as neutral" if has_black else "with a black of 0"
    return (
        "Volume: that of an additive display with these primaries, "
        f"{dark}; 602 colours on the surface of its cube, 11 levels an edge, in L*a*b* relative "
        f"to {by}, and also after Bradford adaptation of that white to D50. In ICtCp it is "
        "absolute, in units of delta E ITP."
    )


def _listed(
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


def _relative(lights: Lights, value: Floats, drawn: Floats) -> float | None:
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
    moved = uv_of(xy_of(total)) - uv_of(xy_of(white))
    moves = uv_of(xy_of(totals)) - uv_of(xy_of(whites))
    shift = float(np.hypot(*moved))
    apart = np.hypot(*np.moveaxis(moves - moved, -1, 0))
    shift_spread = lights.spread_of_distance(shift, np.hypot(*np.moveaxis(moves, -1, 0)), apart)
    values = [
        _plain("additivity-luminance", "Red, green, blue together, of white", ratio, "%", spread),
        _plain(
            "additivity-chromaticity",
            "Colour of red, green and blue together, from white in u', v'",
            shift,
            "",
            shift_spread,
        ),
    ]
    off = spread is not None and abs(ratio - 100) > float(spread)
    turned = shift_spread is not None and shift > float(shift_spread)
    if off or turned:
        said = written(ratio, None if spread is None else float(spread))[0]
        distance = written(shift, None if shift_spread is None else float(shift_spread))[0]
        basis.warn(
            f"Red, green and blue together have {said} % of white's luminance, and lie {distance} "
            "from it in u', v': the display is not additive (usual with a white pixel, and where "
            "power is short), or it drifted between the readings. The volume from primaries "
            "supposes that it is; a cube, read sample by sample, does not."
        )
    return values


def _plain(name: str, label: str, value: float, unit: str, spread: Floats | None) -> Value:
    if not np.isfinite(value):
        return Value(name, label, None, unit)
    known = float(spread) if spread is not None and spread > 0 else None
    return Value(name, label, float(value), unit, known)


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
    basis.look_at_guards()
    return Finding(
        name="gamut",
        title="Colour volume, from samples of the cube",
        condition=mine[0].condition,
        run=mine[0].run,
        values=tuple(values),
        method=told,
        source=source,
        readings=basis.ids(),
        warnings=tuple(basis.warnings),
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
    whites = _sound(whites)
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
    part = _relative(lights, np.asarray(volume), lab_volume(drawn, whites, levels))
    itp = float(itp_volume(xyz, levels))
    part_itp = _relative(lights, np.asarray(itp), itp_volume(drawn, levels))
    d50 = float(lab_volume_d50(xyz, white, levels))
    values = _listed(
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


def _sound(whites: Floats) -> Floats:
    """Draws of a white (m, 3), NaN where nothing can be relative to them."""
    return np.where((whites > 0).all(-1, keepdims=True), whites, np.nan)


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
