"""The picture of a zone count: a bar for each count, as high as it is likely."""

from __future__ import annotations

from player.windows.board import EDGE, STRONG, TEXT, Board
from player.windows.counting import ZonePicture

TALL = 92
"""Units of the highest bar."""
FLAT = 0.05
"""Chance of the likeliest count below which its bar is less than that high."""


def draw_count(board: Board, picture: ZonePicture, x: float, y: float, wide: float) -> None:
    """Draw the title below y, the bars and their names.

    The likeliest bar is the highest; a line below marks the counts of the 95 % set, so that
    nothing rests on colour.
    """
    whole = board.broken(picture.title, 34, wide * board.scale, 2, bold=True)
    size, lines = (34, 1) if len(whole) == 1 else (27, 2)
    y = board.text(picture.title, x, y, size, STRONG, width=wide, lines=lines, bold=True)
    base = y + 8 + TALL
    each = wide / len(picture.bars)
    gap = min(each * 0.25, 6.0)
    # where nothing is known all bars are alike, and low
    highest = max(FLAT, *(chance for _, chance in picture.bars))
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
    taken: list[tuple[float, float]] = []
    for count in dict.fromkeys((best, picture.bars[0][0], picture.bars[-1][0])):
        place = count - picture.bars[0][0]
        middle = x + (place + 0.5) * each
        name = str(count)
        half = board.measure(name, 24) / board.scale / 2
        begins = min(max(middle - half, x), x + wide - 2 * half)
        ends = begins + 2 * half
        # the likeliest count is named; the outermost ones only where they stand clear of it
        if all(ends + 8 < left or begins > right + 8 for left, right in taken):
            board.text(name, begins, base + 10, 24, TEXT)
            taken.append((begins, ends))
