"""Gamut and colour volume, from primaries, a walk along the boundary, and samples of the cube."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.colorimetry.gamut import area_ratio, coverage, in_diagram, triangle_of
from readings.colorimetry.volume import (
    additive,
    even_shares,
    itp_volume,
    lab_volume,
    lab_volume_d50,
    surface,
)
from readings.evidence.distance import Distance
from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.references import black_of
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, only_found, with_light
from readings.findings.colour.channel_order import warn_of_order
from readings.findings.colour.gamut_primaries import (
    NAMES,
    Found,
    Repeats,
    Sample,
    boundary_of,
    cube_of,
    primaries_of,
    usable,
)
from readings.findings.colour.gamut_volume import (
    EVERY,
    FINE,
    MILLION,
    listed,
    relative,
    sound,
    volume_values,
)
from readings.findings.kind import OWN, Drawn, FindingKind, Limit, Reads
from readings.findings.share import value_of

DIM = 0.001
"""Share of white up to which a sample without a colour counts as a grey: it is black as good as."""


def cube_volume(mine: Sequence[Measured], source: str) -> Finding | None:
    """Volume of the cube's surface as sampled."""
    samples = cube_of(mine)
    if not samples:
        return None
    basis = Basis()
    values = [Value("lab-volume", "CIELAB volume, own white", None, "", where={"from": "cube"})]
    method = (
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
        warn_of_order(mine, basis)
        values, more = _sampled([samples[each] for each in wanted], len(steps), values, basis)
        method += more
    return basis.finding(
        "gamut",
        mine[0],
        title="Colour volume, from samples of the cube",
        values=values,
        method=method,
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
    method = (
        f" With {levels} levels an edge such a mesh finds too little: of an additive display with "
        f"the same corners and steps {100 * factor:.1f} % in L*a*b* and {100 * factor_itp:.1f} % "
        "in ICtCp. The volumes are divided by that, and what this adds counts as uncertain by its "
        "own size (a rectangle)."
    )
    return values, method


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


FINEST_COVERAGE = 0.1
"""Percent: no coverage is stated finer, though none can be above 100 %. A choice of our own."""
EVERY_FOR_AREAS = 2
"""Of the draws, for areas."""
CALLED = {"bt709": "BT.709", "p3-d65": "P3-D65", "bt2020": "BT.2020"}
DIAGRAMS = {"xy": "x, y", "uv": "u', v'"}
SOURCE = (
    "Areas: ICDM IDMS, an edition before v1.3, 5.18 (seen); primaries: Rec. ITU-R BT.709-6, "
    "BT.2020-2, SMPTE EG 432-1 (second-hand); u', v': CIE 15:2018; CIELAB volume: IDMS v1.3, 5.32 "
    "(from memory); axes of delta E ITP: Rec. ITU-R BT.2124-0 (second-hand); additivity and the "
    "volume in ICtCp: our own"
)


class Gamut(FindingKind):
    """Coverage, area and volume, per run: from primaries, along the boundary, from the cube.

    Reads the roles `red`, `green`, `blue` (or a cube's corners), `gamut-boundary`, and `cube`.
    """

    name = "gamut"
    subject = "the gamut"
    reads = (
        Reads(
            ("red", "green", "blue"),
            "a `patch` of one channel alone",
            ("colour",),
            together=True,
            beside=("white", "black"),
        ),
        Reads(("gamut-boundary",), "a `gamut-walk`", ("colour",)),
        Reads(("cube",), "a `cube`, all samples of its surface", ("colour",)),
        Reads(("ebu-primary",), "an `ebu-colour` of one channel alone", ("colour",)),
    )
    limits = (
        Limit(
            ("coverage-xy",),
            "at least",
            95.0,
            "%",
            OWN,
            "The colours of BT.709 are there",
            "Some colours of BT.709 are missing",
            "Whether all colours of BT.709 are there cannot be told",
            where=(("space", "bt709"),),
        ),
        Limit(
            ("coverage-xy",),
            "at least",
            90.0,
            "%",
            OWN,
            "The colours of P3 are there",
            "Many colours of P3 are missing",
            "Whether the colours of P3 are there cannot be told",
            transfers=("pq", "hlg"),
            where=(("space", "p3-d65"),),
        ),
    )
    pictures = (Drawn("chromaticity_uv"), Drawn("chromaticity_xy"))
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(
            each
            for mine in by_run(readings).values()
            for each in (
                _from_primaries(mine, readings),
                _along_boundary(mine),
                cube_volume(mine, SOURCE),
            )
        )


def _from_primaries(mine: Sequence[Measured], readings: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    found = primaries_of(mine, basis)
    if found is None:
        return None
    title = "Gamut and colour volume, from the primaries"
    method = (
        "The triangle of red, green and blue as measured, cut with that of each standard. "
        "Coverage: the part of the standard's triangle that it covers; area ratio: its area over "
        "the standard's, wherever it lies."
    )
    if found.missing:
        basis.warn(
            f"No {' and no '.join(found.missing)} was read with its colour at one level with the "
            "others, so there is no gamut."
        )
        values = [_undefined()]
        basis.used += [reading for each in found.primaries for reading in each]
        return _finding(mine, title, values, method, basis, ())
    # without its colour, which is hardly ever read well
    dark = with_light(black_of(mine, readings).readings, basis)
    black = [replace(each, x=None, y=None) for each in dark]
    things = [*found.primaries, *(each for each in (found.white, black) if each)]
    lights = lights_of(things, basis)
    warn_of_order(mine, basis)
    _warn_of_primaries(found, lights, basis)
    own = _own(mine)
    values = _areas(lights, slice(0, 3), own, "primaries")
    if own != "bt2020":
        method += (
            f" Shown in a signal of {CALLED[own]}, which asks for no colour beyond it: how much "
            "more of a larger standard the display could show in another signal is not known."
        )
    more, volume_method = volume_values(found, lights, has_black=bool(black), basis=basis)
    named = (*NAMES, "white") if found.white else NAMES
    series = _series(lights, [(name, {"colour": name}) for name in named])
    return _finding(mine, title, [*values, *more], f"{method} {volume_method}", basis, (series,))


def _along_boundary(mine: Sequence[Measured]) -> Finding | None:
    if not any(r.role == "gamut-boundary" and r.luminance is not None for r in mine):
        return None
    basis = Basis()
    points = boundary_of(mine, basis)
    title = "Gamut along its boundary"
    method = (
        "The polygon of the points read along the boundary, in the order in which their codes "
        "should lie around white, cut with the triangle of each standard. Where it covers less "
        "than the triangle of the primaries, the display loses colours between them."
    )
    if len(points) < 3:
        basis.warn("Fewer than three points of the boundary were read, so it encloses nothing.")
        basis.used += [reading for each in points for reading in each]
        return _finding(mine, title, [_undefined()], method, basis, ())
    _warn_of_gaps(points, basis)
    warn_of_order(mine, basis)
    lights = lights_of(points, basis)
    values = _areas(lights, slice(None), _own(mine), "boundary")
    series = _series(lights, [(each[0].label, {"point": n}) for n, each in enumerate(points, 1)])
    return _finding(mine, title, values, method, basis, (series,))


def _finding(
    mine: Sequence[Measured],
    title: str,
    values: Sequence[Value],
    method: str,
    basis: Basis,
    series: tuple[Series, ...],
) -> Finding:
    return basis.finding(
        "gamut",
        mine[0],
        title=title,
        values=values,
        method=method,
        source=SOURCE,
        series=series,
    )


def _undefined() -> Value:
    return Value("coverage-xy", "Coverage", None, "%")


def _own(mine: Sequence[Measured]) -> str:
    """The primaries of the run's signal."""
    name = str(mine[0].signal.get("primaries"))
    return name if name in PRIMARIES else "bt709"


def _areas(lights: Lights, which: slice, own: str, origin: str) -> list[Value]:
    """Coverage and area ratio of each standard, the signal's own first."""
    corners, drawn = lights.xy[which], xy_of(lights.drawn_xyz[::EVERY_FOR_AREAS, which])
    values = []
    for name in (own, *(each for each in CALLED if each != own)):
        for diagram, called in DIAGRAMS.items():
            standard = triangle_of(name, diagram)
            shape, shapes = in_diagram(corners, diagram), in_diagram(drawn, diagram)
            where = {"space": name, "from": origin}
            label = f"{CALLED[name]} in {called}"
            covered = _coverage(lights, shape, shapes, standard)
            values.append(
                value_of(f"coverage-{diagram}", f"Coverage of {label}", covered, "%", where)
            )
            share = 100 * float(area_ratio(shape, standard))
            draws = 100 * area_ratio(shapes, standard)
            spread = lights.spread(share, draws)
            least = None if spread is None else max(float(spread), FINEST_COVERAGE)
            ratio = Number.of(share, least, None if spread is None else draws)
            values.append(
                value_of(f"area-ratio-{diagram}", f"Area against {label}", ratio, "%", where)
            )
    return values


def _coverage(lights: Lights, shape: Floats, shapes: Floats, standard: Floats) -> Number:
    """Percent of a standard's area that is covered, with what it may be.

    Errors can only take from a display that just fills the standard: what is missing is never below
    0, and is told like a distance. On such a display the errors alone would find missing what they
    take from the standard itself.
    """
    share, draws = 100 * float(coverage(shape, standard)), 100 * coverage(shapes, standard)
    if not lights.knows():
        return Number.of(share)
    missing, drawn = np.asarray(100 - share), 100 - draws
    apart = np.abs(drawn - missing)
    if shape.shape == standard.shape:
        alone = 100 * (1 - coverage(standard + (shapes - shape), standard))
        apart = np.maximum(apart, alone)
    ends = Distance(missing, drawn, apart, known=True).interval()
    assert ends is not None  # noqa: S101 - it is known
    low, high = (100 - float(each) for each in reversed(ends))
    low, high = min(low, share - FINEST_COVERAGE), max(high, share + FINEST_COVERAGE)
    return Number.of(share, None, draws, (max(low, 0.0), min(high, 100.0)))


def _series(lights: Lights, named: Sequence[tuple[str, dict[str, object]]]) -> Series:
    count = len(named)
    point, drawn = lights.xy[:count], xy_of(lights.drawn_xyz[:, :count])
    spread = lights.spread(point, drawn)
    rows = []
    for n, (label, where) in enumerate(named):
        numbers = tuple(
            Number.of(float(point[n, axis]), None if spread is None else float(spread[n, axis]))
            for axis in (0, 1)
        )
        ids = tuple(sorted(reading.reading for reading in lights.things[n]))
        rows.append(Row(label, numbers, where, ids))
    return Series("gamut", "Chromaticities", (Column("x", "x"), Column("y", "y")), tuple(rows))


def _warn_of_primaries(found: Found, lights: Lights, basis: Basis) -> None:
    if not found.pure:
        basis.warn(
            "Red, green and blue as shown are mixed of several channels: this is the gamut of the "
            "colours shown, and the display may reach further."
        )
    if found.level < 1:
        basis.warn(
            f"Primaries were read at {100 * found.level:.0f} % of the signal only: there is no "
            "colour volume."
        )
    if any(lights.at_floor[:3]):
        basis.warn("A primary is no brighter than the meter is specified for.")
    red, green, blue = lights.xy[:3]
    first, second = green - red, blue - red
    if first[0] * second[1] - first[1] * second[0] <= 0:
        basis.warn(
            "Red, green and blue do not follow one another as colours of light do: were two "
            "readings swapped?"
        )


def _warn_of_gaps(points: Sequence[Repeats], basis: Basis) -> None:
    per_edge = points[0][0].parameters.get("points")
    if isinstance(per_edge, int) and len(points) < 3 * per_edge:
        basis.warn(
            f"{len(points)} of {3 * per_edge} points of the boundary were read: the polygon goes "
            "straight from one to the next."
        )
