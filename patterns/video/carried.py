"""What Y'CbCr does to a colour: the error of one flat patch, from R'G'B' there and back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from patterns.errors import PatternError
from patterns.signal import Codes, Signal
from patterns.video.settings import matrix_of


@dataclass(frozen=True)
class Carried:
    """A patch as video carries it.

    Args:
        ycbcr: codes Y', C'B, C'R.
        rgb: R'G'B' that a display makes of them, in codes, not rounded.
        code_errors: ``rgb`` less the codes meant, for R, G and B.
        luminance_error: of the light shown, percent of that meant; None where none is meant.
    """

    ycbcr: Codes
    rgb: tuple[float, float, float]
    code_errors: tuple[float, float, float]
    luminance_error: float | None


def carried(codes: Codes, signal: Signal) -> Carried:
    """R'G'B' codes to Y'CbCr codes, back to R'G'B' and to light, by the signal's matrix.

    The display is taken to convert with exact numbers and not to round R'G'B' again.

    Raises:
        PatternError: the colour's Y'CbCr lies outside the codes of video data.
    """
    matrix, quantiser = matrix_of(signal), signal.quantiser
    meant = np.array(codes)
    exact = matrix.unclipped(meant, quantiser)
    y, cb, cr = matrix.of_codes(meant, quantiser).tolist()
    # in full range C' = +0.5 would be one code above the highest
    if int(np.abs(exact - (y, cb, cr)).max()) > (1 if quantiser.range == "full" else 0):
        raise PatternError(
            f"R'G'B' {' '.join(map(str, codes))} is outside the Y'CbCr of "
            f"{quantiser.bits}-bit video."
        )
    span = quantiser.white - quantiser.black
    shares = matrix.shares((y, cb, cr), quantiser)
    red, green, blue = (float(quantiser.black + share * span) for share in shares)
    off_red, off_green, off_blue = (
        float(quantiser.black + share * span - code)
        for share, code in zip(shares, codes, strict=True)
    )
    light = signal.transfer.decode(np.array([float(share) for share in shares]))
    shown = float(light @ signal.primaries.matrix[1])
    wanted = float(signal.luminance(meant))
    error = 100 * (shown / wanted - 1) if wanted > 0 else None
    return Carried((y, cb, cr), (red, green, blue), (off_red, off_green, off_blue), error)
