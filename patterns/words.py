"""Numbers and times as people say them, the same everywhere."""

from __future__ import annotations


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
    """A number of things: `1 step`, `2 steps`."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
