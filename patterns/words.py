"""Numbers and times as people say them, the same everywhere."""

from __future__ import annotations

from math import floor, isfinite, log10
from typing import SupportsFloat


def duration(seconds: float, *, minutes_from: float = 60.0, seconds_too: bool = False) -> str:
    """A time, cut to the last unit told: `12 s`, `5 min`, `1 h 05 min`.

    Args:
        seconds: 0 or more; who wants them rounded, or up, gives them so.
        minutes_from: seconds from which on minutes are told.
        seconds_too: whether minutes below an hour are told with their seconds: `4 min 05 s`.
    """
    if seconds < minutes_from:
        return f"{int(seconds)} s"
    minutes, rest = divmod(int(seconds), 60)
    if minutes >= 60:
        return f"{minutes // 60} h {minutes % 60:02d} min"
    return f"{minutes} min {rest:02d} s" if seconds_too else f"{minutes} min"


def count(number: int, thing: str) -> str:
    """A number of things: `1 step`, `2 steps`, `2 patches`."""
    if number == 1:
        return f"{number} {thing}"
    return f"{number} {thing}{'es' if thing.endswith(('s', 'x', 'ch', 'sh')) else 's'}"


def figures(number: SupportsFloat, most: int = 4) -> str:
    """A number in so many significant figures at most, never with an exponent: `10000`, `0.00002`.

    What stands before the point is told whole: 12345 in two figures is `12345`.
    """
    value = float(number)
    if not value or not isfinite(value):
        return f"{value:g}".removeprefix("-") if not value else str(value)
    places = max(most - 1 - floor(log10(abs(value))), 0)
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if places else text


def signed(number: SupportsFloat, most: int = 4) -> str:
    """The same with its sign, also where it is above 0: `+130`."""
    text = figures(number, most)
    return f"+{text}" if float(number) > 0 else text
