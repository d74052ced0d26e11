"""Colour differences: CIEDE2000 with its parts, and delta E ITP.

CIEDE2000: CIE 15:2018 (second-hand), by colour-science; CIE 1976 L*a*b* relative to a white that
is named. Delta E ITP: Rec. ITU-R BT.2124-0 (01/2019), 720 sqrt(dI^2 + dT^2 + dP^2) with T = CT / 2
and P = CP of the ICtCp of Rec. ITU-R BT.2100-3, table 7 (PQ), both second-hand; about 1 is just
visible.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, xy_of

VISIBLE = 3.0
"""Delta E above which an error usually counts as plain to see: common practice, no source."""
ITP_SCALE = 720 * np.array([1.0, 0.5, 1.0])
"""ICtCp to the axes of delta E ITP."""


def lab_of(xyz: ArrayLike, white: ArrayLike) -> Floats:
    """CIE 1976 L*a*b* (..., 3) of XYZ (..., 3) relative to the XYZ (..., 3) of a white.

    Args:
        xyz: cd/m2.
        white: cd/m2, Y more than 0; its luminance is L* 100.
    """
    from colour.models import XYZ_to_Lab

    by = np.asarray(white, np.float64)
    return np.asarray(XYZ_to_Lab(np.asarray(xyz, np.float64) / by[..., 1:2], xy_of(by)), np.float64)


def delta_e_2000(xyz: ArrayLike, target: ArrayLike, white: ArrayLike) -> Floats:
    """CIEDE2000 (...) of two colours in XYZ (..., 3), relative to a white (..., 3); cd/m2."""
    return ciede2000(lab_of(xyz, white), lab_of(target, white))


def ciede2000(lab: ArrayLike, target: ArrayLike) -> Floats:
    """The same (...) of two colours in L*a*b* (..., 3)."""
    from colour.difference import delta_E_CIE2000

    return np.asarray(delta_E_CIE2000(lab, target), np.float64)


def lightness_chroma_hue(xyz: ArrayLike, target: ArrayLike, white: ArrayLike) -> Floats:
    """Differences dL*, dC*ab, dH*ab (..., 3): a colour less its target (CIE 15:2018, 8.2.1, the
    clause from memory).

    dH*ab has the sign of the turn from the target's hue angle; it is 0 where either is neutral.
    """
    lab, aim = lab_of(xyz, white), lab_of(target, white)
    chroma, meant = np.hypot(lab[..., 1], lab[..., 2]), np.hypot(aim[..., 1], aim[..., 2])
    turned = aim[..., 1] * lab[..., 2] - aim[..., 2] * lab[..., 1]
    along = aim[..., 1] * lab[..., 1] + aim[..., 2] * lab[..., 2]
    hue = np.sign(turned) * np.sqrt(np.maximum(2 * (chroma * meant - along), 0))
    return np.stack([lab[..., 0] - aim[..., 0], chroma - meant, hue], -1)


def ictcp_of(xyz: ArrayLike) -> Floats:
    """ICtCp (..., 3) of BT.2100 PQ of XYZ (..., 3) in cd/m2; light outside BT.2020 is cut at 0."""
    from colour.models import RGB_to_ICtCp

    light = np.asarray(xyz, np.float64) @ np.linalg.inv(PRIMARIES["bt2020"].matrix).T
    return np.asarray(RGB_to_ICtCp(np.maximum(light, 0.0)), np.float64)


def itp_of(xyz: ArrayLike) -> Floats:
    """I, T, P (..., 3) of XYZ (..., 3) in cd/m2, in units of delta E ITP."""
    return np.asarray(ictcp_of(xyz) * ITP_SCALE)


def delta_e_itp(xyz: ArrayLike, target: ArrayLike) -> Floats:
    """Delta E ITP (...) of two colours in XYZ (..., 3), cd/m2."""
    apart = itp_of(xyz) - itp_of(target)
    return np.asarray(np.sqrt((apart**2).sum(-1)), np.float64)
