"""Patches against what their codes stand for: differences of colour, and draws of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats, xy_of, xyz_of
from readings.colorimetry.difference import itp_of, lightness_chroma_hue
from readings.evidence.aim import aimed_xyz
from readings.evidence.distance import Distance, WithDraws, delta_e_2000_of, delta_e_itp_of
from readings.evidence.lights import Ends, Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.shown import signal_of, values_of
from readings.findings.basis import Basis

TINY = 1e-4
"""Below it a difference of lightness, chroma or hue is none."""
Measures = tuple[Floats, Floats | None]
"""A number for each patch, and its expanded uncertainty."""


@dataclass(frozen=True, eq=False)
class Judged:
    """n patches, what they should have been, and how far they are from it."""

    lights: Lights
    target: Floats
    """(n, 3) XYZ, cd/m2; NaN where it is not known."""
    itp: Distance
    de2000: Distance | None
    """None under PQ and HLG, and without a white."""
    parts: Floats
    """(n, 3) differences of lightness, chroma and hue: of L*a*b*, or of I, T, P."""
    drawn_parts: Floats
    """(m, n, 3)"""
    reached: NDArray[np.bool_]
    """(n,): which of them ask for no more than the display's white gives; the others count in no
    average, as PQ can ask for far more than there is."""

    @property
    def count(self) -> int:
        """How many patches."""
        return len(self.target)


def judged(
    patches: Sequence[Sequence[Measured]],
    white: Sequence[Measured],
    black: Sequence[Measured],
    basis: Basis,
) -> Judged:
    """Judge patches (at least one, each with its repeats) by a white and a black, if there are.

    PQ has targets without either; BT.1886 and HLG have none without a white, and take a black
    that was not read as 0.
    """
    things = [*patches, *(each for each in (white, black) if each)]
    lights = lights_of(things, basis)
    count, known = len(patches), lights.knows()
    first = lights.first[:count]
    transfer = first[0].signal.get("transfer")
    ends = Ends(lights, count if white else None, len(things) - 1 if black else None)
    lit = np.nan if ends.white is None or ends.white <= ends.black else ends.white
    seen = WithDraws(lights.xyz[:count], lights.drawn_xyz[:, :count])
    aim = WithDraws(
        aimed_xyz(first, lit, ends.black), aimed_xyz(first, ends.drawn_white, ends.drawn_black)
    )
    if transfer == "bt1886" and lit > 0:
        by = WithDraws(np.asarray(lit), ends.drawn_white)
        white_xy = first[0].aim.white_xy
        de2000: Distance | None = delta_e_2000_of(seen, aim, by, known=known, white_xy=white_xy)
        unit = xyz_of(1.0, white_xy)
        parts = lightness_chroma_hue(seen.read, aim.read, lit * unit)
        drawn_parts = lightness_chroma_hue(
            seen.draws, aim.draws, ends.drawn_white[:, None, None] * unit
        )
    else:
        de2000 = None
        parts, drawn_parts = _itp_parts(seen.read, aim.read), _itp_parts(seen.draws, aim.draws)
    reached = _reached(first, lit) if transfer == "pq" else np.full(count, True)
    itp = delta_e_itp_of(seen, aim, known=known)
    return Judged(lights, aim.read, itp, de2000, _clean(parts), drawn_parts, reached)


def _clean(parts: Floats) -> Floats:
    """Without what arithmetic leaves of the hue of a grey."""
    return np.where(np.abs(parts) < TINY, 0.0, parts)


def _reached(shown: Sequence[Measured], white: float) -> NDArray[np.bool_]:
    """Whether no channel is asked for more light than white gives; True where nothing is known."""
    signal = signal_of(shown[0])
    if signal is None or not white > 0:
        return np.full(len(shown), True)
    values = [values_of(reading) for reading in shown]
    asked = [0.0 if each is None else float(signal.transfer.decode(each).max()) for each in values]
    return np.array(asked) <= white


def _itp_parts(xyz: Floats, target: Floats) -> Floats:
    """Differences (..., 3) of intensity, chroma and hue, in units of delta E ITP."""
    point, aim = itp_of(xyz), itp_of(target)
    chroma, meant = np.hypot(point[..., 1], point[..., 2]), np.hypot(aim[..., 1], aim[..., 2])
    # so that hue turns the same way round as in L*a*b*: P is towards red, T towards blue
    turned = aim[..., 1] * point[..., 2] - aim[..., 2] * point[..., 1]
    along = aim[..., 1] * point[..., 1] + aim[..., 2] * point[..., 2]
    hue = np.sign(turned) * np.sqrt(np.maximum(2 * (chroma * meant - along), 0.0))
    return np.stack([point[..., 0] - aim[..., 0], chroma - meant, hue], -1)


def xy_with_spread(found: Judged) -> tuple[Measures, Measures]:
    """x and y of the patches."""
    lights, count = found.lights, found.count
    drawn = xy_of(lights.drawn_xyz[:, :count])
    point = lights.xy[:count]
    return (
        (point[:, 0], lights.spread(point[:, 0], drawn[..., 0])),
        (point[:, 1], lights.spread(point[:, 1], drawn[..., 1])),
    )
