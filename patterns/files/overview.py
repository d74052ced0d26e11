"""Small pictures of frames for people, and the sheet of them that goes with an export.

These are for finding one's way, not for measuring. Averages over the pixels of a thumbnail are
taken of the signal; then light in cd/m2, to BT.709 primaries (what lies outside is clipped), and
to an ordinary screen: SDR in proportion to its white; PQ and HLG with the global curve of
Reinhard et al., "Photographic tone reproduction for digital images" (2002), equation 4, on the
largest channel, from memory: v = m (1 + m / p**2) / (1 + m) with m in units of 203 cd/m2 (the
reference white of Report ITU-R BT.2408) and p the signal's peak. 203 cd/m2 comes out about half
as bright as the peak. The curve of the screen is sRGB's, IEC 61966-2-1.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, overload

import numpy as np
from numpy.typing import NDArray

from patterns.picture.frame import Frame
from patterns.signal.primaries import BT709

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageFont import FreeTypeFont, ImageFont

Picture = NDArray[np.uint8]

OVERVIEW = "overview.png"
SIDE = 320
"""Longest side of a thumbnail, pixels."""
GAP, COLUMNS, TEXT = 28, 5, 15
CAPTION = 2 * TEXT + 14
PAPER, LINE, NUMBER, WORDS = "#14161a", "#4a4f58", "#8fa3bf", "#d6d9de"
REFERENCE_WHITE = 203.0
AT_ONCE = 64
"""Rows of a frame that are summed up together."""


@dataclass(frozen=True)
class Thumbnail:
    """A small picture, (height, width, 3) sRGB, with its number and label."""

    number: int
    label: str
    picture: Picture


class Thumbnails(Sequence[Thumbnail]):
    """Many thumbnails, each packed until it is looked at: hundreds of them would take 50 MB."""

    def __init__(self) -> None:
        self._packed: list[tuple[int, str, tuple[int, ...], bytes]] = []

    def append(self, each: Thumbnail) -> None:
        """Add one."""
        packed = zlib.compress(each.picture.tobytes(), 1)
        self._packed.append((each.number, each.label, each.picture.shape, packed))

    def __len__(self) -> int:
        return len(self._packed)

    @overload
    def __getitem__(self, place: int) -> Thumbnail: ...
    @overload
    def __getitem__(self, place: slice) -> list[Thumbnail]: ...
    def __getitem__(self, place: int | slice) -> Thumbnail | list[Thumbnail]:
        if isinstance(place, slice):
            return [self[each] for each in range(*place.indices(len(self)))]
        number, label, shape, packed = self._packed[place]
        picture = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(shape)
        return Thumbnail(number, label, picture)


def thumbnail(frame: Frame, side: int = SIDE) -> Picture:
    """The frame as a small sRGB picture; its longest side has ``side`` pixels or fewer."""
    longest = max(frame.width, frame.height)
    side = min(side, longest)
    width = max(1, frame.width * side // longest)
    height = max(1, frame.height * side // longest)
    columns, spans = _bins(frame.width, width)
    # (k, width, 3): first along the distinct rows, then down by how often each is used
    across = np.empty((len(frame.rows), width, 3))
    for top in range(0, len(frame.rows), AT_ONCE):  # the sums need the rows at twice their size
        part = frame.rows[top : top + AT_ONCE]
        across[top : top + AT_ONCE] = np.add.reduceat(part, columns, axis=1, dtype=np.uint32)
    across /= spans[:, None]
    _, depths = _bins(frame.height, height)
    uses = np.zeros((height, len(frame.rows)))
    np.add.at(uses, (np.repeat(np.arange(height), depths), frame.order), 1)
    # most lines of a thumbnail are alike, too
    mixes, order = np.unique(uses / depths[:, None], axis=0, return_inverse=True)
    return _for_screen(frame, np.tensordot(mixes, across, axes=1))[order]


def _bins(length: int, parts: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    edges = np.arange(parts + 1, dtype=np.intp) * length // parts
    return edges[:-1], np.diff(edges)


def _for_screen(frame: Frame, codes: NDArray[np.float64]) -> Picture:
    signal, quantiser = frame.signal, frame.signal.quantiser
    shares = (codes - quantiser.black) / (quantiser.white - quantiser.black)
    light = signal.transfer.decode(shares)
    to_709 = np.array([[float(cell) for cell in row] for row in BT709.xyz_to_rgb])
    linear = np.maximum(light @ (to_709 @ signal.primaries.matrix).T, 0)
    peak = float(signal.transfer.peak)
    if signal.transfer.name == "bt1886":
        shown = linear / peak
    else:
        relative, end = linear / REFERENCE_WHITE, peak / REFERENCE_WHITE
        most = relative.max(axis=-1, keepdims=True)
        shown = relative * (1 + most / end**2) / (1 + most)
    shown = np.clip(shown, 0, 1)
    curve = np.where(shown <= 0.0031308, 12.92 * shown, 1.055 * shown ** (1 / 2.4) - 0.055)
    return np.floor(255 * curve + 0.5).astype(np.uint8)


def overview(thumbnails: Sequence[Thumbnail]) -> Image:
    """All thumbnails on one sheet, in order, each in a fine frame, since most are black."""
    from PIL import Image, ImageDraw, ImageFont

    cell = max((each.picture.shape[0] for each in thumbnails), default=SIDE)
    columns = max(1, min(COLUMNS, len(thumbnails)))
    lines = -(-len(thumbnails) // columns)
    across, down = SIDE + GAP, cell + CAPTION + GAP
    sheet = Image.new("RGB", (GAP + columns * across, GAP + lines * down), PAPER)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.load_default(TEXT)
    for index, each in enumerate(thumbnails):
        height, width = each.picture.shape[:2]
        x = GAP + index % columns * across
        y = GAP + index // columns * down
        left, top = x + (SIDE - width) // 2, y + (cell - height) // 2
        sheet.paste(Image.fromarray(each.picture), (left, top))
        draw.rectangle((left - 1, top - 1, left + width, top + height), outline=LINE)
        number = f"{each.number:03d}"
        draw.text((x, y + cell + 8), number, NUMBER, font)
        indent = font.getlength(number) + 10
        for line, text in enumerate(_lines(each.label, font, SIDE - indent)):
            draw.text((x + indent, y + cell + 8 + line * (TEXT + 3)), text, WORDS, font)
    return sheet


def _lines(label: str, font: FreeTypeFont | ImageFont, width: float) -> list[str]:
    """The label in two lines at most; what does not fit ends in dots."""
    lines: list[str] = [""]
    for word in label.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and font.getlength(longer) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    if len(lines) > 2:
        lines = [lines[0], f"{lines[1]} ..."]
    return [_short(line, font, width) for line in lines]


def _short(text: str, font: FreeTypeFont | ImageFont, width: float) -> str:
    if font.getlength(text) <= width:
        return text
    while text and font.getlength(text + "...") > width:
        text = text[:-1]
    return text.removesuffix("...").rstrip() + "..."
