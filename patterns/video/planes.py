"""A frame as Y', C'B and C'R, from its distinct rows and pairs of rows.

At 4:2:0 two by two pixels share one C'B and one C'R. Where the four have the same chroma, as
with edges on even pixels and with greys wherever their edges are, that pair is carried as it is,
whatever the siting. Where they differ there is no pair that would do, and the frame is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from patterns.errors import PatternError
from patterns.picture.frame import Frame, Rows
from patterns.picture.light import UNIT, Light
from patterns.signal.quantise import Quantiser
from patterns.signal.signal import Codes, Signal
from patterns.signal.ycbcr import Ycbcr
from patterns.video.settings import Settings, matrix_of

if TYPE_CHECKING:
    from av.video.frame import VideoFrame

Samples = NDArray[np.unsignedinteger[Any]]
ROWS_AT_ONCE = 64


@dataclass(frozen=True, eq=False)
class Planes:
    """Distinct rows of each plane, and their order.

    Args:
        luma: (k, width) codes of Y', uint8 at 8 bits, otherwise uint16.
        luma_order: (height,) index into ``luma``.
        chroma: two arrays (m, width or width / 2) of C'B and C'R.
        chroma_order: (height or height / 2,) index into each of ``chroma``.
    """

    luma: Samples
    luma_order: NDArray[np.uint16]
    chroma: tuple[Samples, Samples]
    chroma_order: NDArray[np.uint16]

    def rows(self) -> list[tuple[Samples, NDArray[np.uint16]]]:
        """Rows and order of Y', C'B and C'R."""
        cb, cr = self.chroma
        return [
            (self.luma, self.luma_order),
            (cb, self.chroma_order),
            (cr, self.chroma_order),
        ]

    def arrays(self) -> list[Samples]:
        """Y', C'B and C'R in full, each (height, width) of its plane."""
        return [rows[order] for rows, order in self.rows()]

    def fill(self, picture: VideoFrame) -> None:
        """Write the codes into a picture of the same size and pixel format."""
        for target, (rows, order) in zip(plane_views(picture), self.rows(), strict=True):
            np.take(rows, order, axis=0, out=target, mode="clip")

    def largest_errors(self, picture: VideoFrame) -> tuple[int, int, int]:
        """Largest difference of a decoded picture from Y', C'B and C'R, in codes."""
        found = []
        for shown, (rows, order) in zip(plane_views(picture), self.rows(), strict=True):
            worst = 0
            for top in range(0, len(order), ROWS_AT_ONCE):
                meant = rows[order[top : top + ROWS_AT_ONCE]]
                seen = shown[top : top + ROWS_AT_ONCE]
                if not np.array_equal(meant, seen):
                    gap = np.abs(seen.astype(np.int32) - meant.astype(np.int32))
                    worst = max(worst, int(gap.max()))
            found.append(worst)
        return found[0], found[1], found[2]


def _kind(bits: int) -> np.dtype[np.unsignedinteger[Any]]:
    return np.dtype(np.uint8) if bits == 8 else np.dtype(np.uint16)


def plane_views(picture: VideoFrame) -> list[Samples]:
    """The planes of a picture as arrays (height, width) over its own memory."""
    kind = _kind(picture.format.components[0].bits)
    views: list[Samples] = []
    for plane in picture.planes:
        whole = np.frombuffer(memoryview(plane), kind).reshape(plane.height, -1)
        views.append(whole[:, : plane.width])
    return views


def planes_of(frame: Frame, settings: Settings) -> Planes:
    """Convert a frame; every code is correctly rounded from the exact Y'CbCr of its R'G'B'.

    Raises:
        PatternError: pixels that share their chroma at 4:2:0 differ in it, or a colour's
            Y'CbCr lies outside the codes of video data.
    """
    ycbcr = of_rows(frame.rows, matrix_of(frame.signal), frame.signal.quantiser)
    kind = _kind(frame.signal.bits)
    luma = np.ascontiguousarray(ycbcr[..., 0]).astype(kind)
    if settings.chroma == "4:4:4":
        rows, order = ycbcr[..., 1:], frame.order
    else:
        rows, order = _shared(frame, ycbcr[..., 1:])
    cb, cr = (np.ascontiguousarray(rows[..., place]).astype(kind) for place in (0, 1))
    return Planes(luma, frame.order, (cb, cr), order)


def of_rows(rows: Rows, matrix: Ycbcr, quantiser: Quantiser) -> Rows:
    """Rows (k, width, 3) of R, G, B codes to Y', C'B, C'R codes of the same shape.

    Runs of one colour are converted once. A colour outside the video data is a PatternError;
    C' = +0.5 in full range takes the highest code, as BT.2100-3 Table 9 has it.
    """
    if np.array_equal(rows[..., 0], rows[..., 1]) and np.array_equal(rows[..., 1], rows[..., 2]):
        out = np.full(rows.shape, 1 << (quantiser.bits - 1), np.uint16)
        out[..., 0] = rows[..., 0]  # the weights add up to 1: a grey keeps its code
        return out
    flat = rows.reshape(-1, 3)
    starts = np.ones(len(flat), bool)
    np.any(flat[1:] != flat[:-1], axis=1, out=starts[1:])
    places = np.flatnonzero(starts)
    if 2 * len(places) > len(flat):
        return _by_parts(rows, lambda part: _converted(part, matrix, quantiser))
    lengths = np.diff(places, append=len(flat))
    codes = _converted(flat[places], matrix, quantiser)
    return np.repeat(codes, lengths, axis=0).reshape(rows.shape)


def _by_parts(rows: Rows, convert: Callable[[Rows], Rows]) -> Rows:
    """Some rows at a time, since the exact numbers take four times the memory."""
    out = np.empty_like(rows)
    for top in range(0, len(rows), ROWS_AT_ONCE):
        out[top : top + ROWS_AT_ONCE] = convert(rows[top : top + ROWS_AT_ONCE])
    return out


def _converted(rgb: Rows, matrix: Ycbcr, quantiser: Quantiser) -> Rows:
    exact = matrix.unclipped(rgb, quantiser)
    slack = 1 if quantiser.range == "full" else 0
    outside = ((exact < quantiser.lowest) | (exact > quantiser.highest + slack)).any(axis=-1)
    if outside.any():
        place = tuple(np.argwhere(outside)[0])
        raise PatternError(
            f"R'G'B' {_codes_text(rgb[place])} is Y'CbCr {_codes_text(exact[place])}, outside the "
            f"codes {quantiser.lowest} to {quantiser.highest} of {quantiser.bits}-bit video."
        )
    return np.minimum(exact, quantiser.highest).astype(np.uint16)


def _shared(frame: Frame, chroma: Rows) -> tuple[Rows, NDArray[np.uint16]]:
    """One C'B and C'R for two by two pixels: rows (m, width / 2, 2), order (height / 2,)."""
    if (chroma == chroma[0, 0]).all():  # greys
        return chroma[:1, 0::2], np.zeros(frame.height // 2, np.uint16)
    left, right = chroma[:, 0::2], chroma[:, 1::2]
    tops, bottoms = frame.order[0::2], frame.order[1::2]
    beside = (left != right).any(axis=2)
    pairs, first, order = np.unique(
        tops.astype(np.uint32) << np.uint32(16) | bottoms, return_index=True, return_inverse=True
    )
    uppers, lowers = (pairs >> 16).astype(np.intp), (pairs & 0xFFFF).astype(np.intp)
    for pair, (upper, lower) in enumerate(zip(uppers.tolist(), lowers.tolist(), strict=True)):
        wrong = beside[upper] | beside[lower]
        if upper != lower:
            wrong = wrong | (left[upper] != left[lower]).any(axis=1)
        if wrong.any():
            x, y = 2 * int(wrong.argmax()), 2 * int(first[pair])
            four = [frame.rows[row, x + each] for row in (upper, lower) for each in (0, 1)]
            raise PatternError(
                "At 4:2:0 two by two pixels share one chroma, and those at x "
                f"{x}, y {y} have R'G'B' {'; '.join(dict.fromkeys(map(_codes_text, four)))}; "
                "4:4:4 carries it."
            )
    return left[uppers], order.reshape(-1).astype(np.uint16)


def _codes_text(codes: NDArray[np.integer[Any]]) -> str:
    return " ".join(map(str, codes.tolist()))


def light_levels(frame: Frame) -> tuple[float, float]:
    """Largest max(R, G, B) of a frame in linear light, and its mean over the frame, cd/m2.

    For PQ, whose channels go by one curve each: the largest code is the largest light.
    """
    codes = np.arange(1 << frame.signal.bits)
    curve = frame.signal.light(np.stack([codes] * 3, axis=-1))[:, 0]
    largest = frame.rows.max(axis=2)
    weights = np.bincount(frame.order, minlength=len(frame.rows))
    total = float(curve[largest].sum(axis=1) @ weights)
    return float(curve[largest.max()]), total / (frame.width * frame.height)


def light_of_levels(levels: Iterable[tuple[float, float]], signal: Signal) -> Light | None:
    """Static metadata of frames shown as one, from :func:`light_levels` of each.

    None for transfers other than PQ, and where there is no light.
    """
    max_cll = max_fall = 0.0
    for most, mean in levels:
        max_cll, max_fall = max(max_cll, most), max(max_fall, mean)
    cll, fall = (int(UNIT * each + 0.5) for each in (max_cll, max_fall))
    if signal.transfer.name != "pq" or cll == 0:
        return None
    # as with stills: 0 would read as unknown, and the display stated shows every code
    return Light(signal.primaries, cll, max(fall, 1), ceil(cll / UNIT) * UNIT)


def light_over(frames: Iterable[Frame], signal: Signal) -> Light | None:
    """Static metadata of PQ frames shown as one, such as all pictures of a set."""
    if signal.transfer.name != "pq":
        return None
    return light_of_levels(map(light_levels, frames), signal)


def whole(units: int) -> int:
    """Units of 0.0001 cd/m2 in the whole cd/m2 of video metadata; at least 1, not unknown."""
    return max((2 * units + UNIT) // (2 * UNIT), 1)


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
