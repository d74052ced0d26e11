"""Colour differences: CIEDE2000 with its parts, and delta E ITP.

CIEDE2000: CIE 15:2018 (second-hand), by colour-science; CIE 1976 L*a*b* relative to a white that
is named. Delta E ITP: Rec. ITU-R BT.2124-0 (01/2019), 720 sqrt(dI^2 + dT^2 + dP^2) with T = CT / 2
and P = CP of the ICtCp of Rec. ITU-R BT.2100-3, table 7 (PQ), both second-hand; about 1 is just
visible.

A colour outside BT.2020 has linear red, green or blue below 0. What PQ makes of less than no light
is in neither Recommendation, as far as is known at second hand. Nothing is cut: the numbers go
signed through the matrix to L, M, S, and where one of these is below 0 too, it gets PQ of its size
with its sign, which is our own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from patterns.signal.primaries import PRIMARIES
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.colorimetry.library import load_colour

VISIBLE = 3.0
"""Delta E above which an error usually counts as plain to see: common practice, no source."""
ITP_SCALE = 720 * np.array([1.0, 0.5, 1.0])
"""ICtCp to the axes of delta E ITP."""
OUTSIDE = (
    "Delta E ITP cuts nothing off a colour outside BT.2020: linear red, green and blue below 0 go "
    "signed through the matrix, and PQ is taken of the size, with its sign."
)
"""For people, where a method rests on it."""


def lab_of(xyz: ArrayLike, white: ArrayLike) -> Floats:
    """CIE 1976 L*a*b* (..., 3) of XYZ (..., 3) relative to the XYZ (..., 3) of a white.

    Args:
        xyz: cd/m2.
        white: cd/m2, Y more than 0; its luminance is L* 100.
    """
    load_colour()
    from colour.models import XYZ_to_Lab

    by = np.asarray(white, np.float64)
    return np.asarray(XYZ_to_Lab(np.asarray(xyz, np.float64) / by[..., 1:2], xy_of(by)), np.float64)


def delta_e_2000(xyz: ArrayLike, target: ArrayLike, white: ArrayLike) -> Floats:
    """CIEDE2000 (...) of two colours in XYZ (..., 3), relative to a white (..., 3); cd/m2."""
    return ciede2000(lab_of(xyz, white), lab_of(target, white))


def ciede2000(lab: ArrayLike, target: ArrayLike) -> Floats:
    """The same (...) of two colours in L*a*b* (..., 3)."""
    load_colour()
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
    """ICtCp (..., 3) of BT.2100 PQ of XYZ (..., 3) in cd/m2, also of colours outside BT.2020."""
    load_colour()
    from colour.models.rgb.ictcp import MATRIX_ICTCP_LMS_P_TO_ICTCP, MATRIX_ICTCP_RGB_TO_LMS
    from colour.models.rgb.transfer_functions import eotf_inverse_ST2084

    light = np.asarray(xyz, np.float64) @ np.linalg.inv(PRIMARIES["bt2020"].matrix).T
    cones = light @ MATRIX_ICTCP_RGB_TO_LMS.T
    # PQ of 0 is a little more than 0, so 0 counts with what is above it
    coded = np.where(cones < 0, -1.0, 1.0) * eotf_inverse_ST2084(np.abs(cones))
    return np.asarray(coded @ MATRIX_ICTCP_LMS_P_TO_ICTCP.T, np.float64)


def itp_of(xyz: ArrayLike) -> Floats:
    """I, T, P (..., 3) of XYZ (..., 3) in cd/m2, in units of delta E ITP."""
    return np.asarray(ictcp_of(xyz) * ITP_SCALE)


def delta_e_itp(xyz: ArrayLike, target: ArrayLike) -> Floats:
    """Delta E ITP (...) of two colours in XYZ (..., 3), cd/m2."""
    apart = itp_of(xyz) - itp_of(target)
    return np.asarray(np.sqrt((apart**2).sum(-1)), np.float64)
