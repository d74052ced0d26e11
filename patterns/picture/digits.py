"""Digits drawn as pixels, of straight strokes one unit thick."""

from __future__ import annotations

from patterns.picture.sheet import Box

STROKES = ("abcdef", "hid", "abged", "abkcd", "fgbc", "afgcd", "afgedc", "alj", "abcdefg", "abcdfg")
"""Those of 0 to 9: a on top, then b to f clockwise, g across the middle, and h to l for the digits
that would be mistaken for another with these alone."""


def strokes(digit: int, width: int, height: int) -> list[Box]:
    """The strokes of a digit in a field of so many units.

    Args:
        digit: 0 to 9.
        width: odd, 3 or more.
        height: odd, 5 or more.
    """
    middle, half = width // 2, height // 2
    places = {
        "a": Box(0, 0, width, 1),
        "b": Box(width - 1, 0, 1, half + 1),
        "c": Box(width - 1, half, 1, half + 1),
        "d": Box(0, height - 1, width, 1),
        "e": Box(0, half, 1, half + 1),
        "f": Box(0, 0, 1, half + 1),
        "g": Box(0, half, width, 1),
        "h": Box(middle, 0, 1, height),
        "i": Box(middle - 1, 1, 1, 1),
        "j": Box(middle, half, 1, half + 1),
        "k": Box(middle, half, width - middle, 1),
        "l": Box(width - 1, 0, 1, half),
    }
    return [places[name] for name in STROKES[digit]]
