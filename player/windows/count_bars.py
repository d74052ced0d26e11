"""The picture of a zone count: a bar for each count, as high as it is likely."""

from __future__ import annotations

from player.windows.board import EDGE, STRONG, TEXT, Board
from player.windows.counting import ZonePicture

TALL = 92
"""Units of the highest bar."""


def draw_count(board: Board, picture: ZonePicture, x: float, y: float, wide: float) -> None:
    """Draw the title below y, the bars and their names.

    The likeliest bar is the highest; a line below marks the counts of the 95 % set, so that
    nothing rests on colour.
    """
    y = board.text(picture.title, x, y, 34, STRONG, width=wide, bold=True)
    base = y + 8 + TALL
    each = wide / len(picture.bars)
    gap = min(each * 0.25, 6.0)
    highest = max(chance for _, chance in picture.bars)
    best = max(picture.bars, key=lambda bar: bar[1])[0]
    board.box(x, base, wide, 2, EDGE)
    for place, (count, chance) in enumerate(picture.bars):
        left = x + place * each
        tall = TALL * chance / highest
        if tall >= 1:
            tone = STRONG if count == best else TEXT
            board.box(left + gap / 2, base - tall, max(each - gap, 1.0), tall, tone)
        if count in picture.held:
            board.box(left, base + 5, each, 4, STRONG)
    for count in {picture.bars[0][0], best, picture.bars[-1][0]}:
        place = count - picture.bars[0][0]
        middle = x + (place + 0.5) * each
        name = str(count)
        half = board.measure(name, 24) / board.scale / 2
        board.text(name, min(max(middle - half, x), x + wide - 2 * half), base + 10, 24, TEXT)
