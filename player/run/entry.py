"""What the operator types, read as a value: decimal comma and point, and no guessing."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from patterns.errors import BAD_INPUT, LitfieldError
from player.keys import LONGEST_LINE
from readings.bounds import DARK, ROOM, is_chromaticity, no_light, without_dust
from readings.visit.records import Value
from sequences.model import Read

UNITS = {
    "luminance": "cd/m2",
    "colour": "Y x y  (cd/m2, CIE 1931)",
    "count": "a whole number, or ? where you can't tell",
    "milliseconds": "ms",
    "choice": "one of the choices",
    "text": "a few words",
    "tally": "presses of the space bar",
}

CANNOT_TELL = "can't tell"
"""What is kept of a count that the operator cannot give."""
MOST_COUNTED = 100_000
"""Of zones or presses: more than anybody counts."""
LONGEST_TIME = 3_600_000.0
"""Milliseconds: an hour."""
_SUFFIXES = re.compile(r"\s*(cd/m2|cd/m²|ms)\s*$")
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")


class EntryError(LitfieldError, ValueError):
    """What was typed cannot be read as asked; ``str()`` is one sentence for the operator."""

    exit_code = BAD_INPUT


def expected(read: Read) -> str:
    """What to type, in a few words."""
    if read.quantity == "choice" and read.choices:
        return "a number of these, or its words"
    return UNITS[read.quantity]


def parse_number(text: str) -> float:
    """A number with a decimal comma or point; separators of thousands are refused."""
    plain = text.strip()
    if not _NUMBER.fullmatch(plain):
        if re.fullmatch(r"[+-]?\d[\d.,'’ ]*", plain):
            raise EntryError(f"{plain!r} can be read in two ways; leave out what groups thousands.")
        raise EntryError(f"{plain!r} is not a number.")
    value = float(plain.replace(",", "."))
    if not math.isfinite(value):
        raise EntryError(f"{plain!r} is too large to be a reading.")
    return value


def parse_entry(text: str, read: Read, room: float = ROOM) -> Value:
    """Read typed text as the quantity that the step asks for.

    Args:
        text: what was typed.
        read: what the step asks for.
        room: how far x and y may each lie outside what light can be: as far as the meter errs.

    Raises:
        EntryError: it cannot be read so.
    """
    if len(text) > LONGEST_LINE:
        raise EntryError("That is too long for a reading; a note holds longer text.")
    plain = _SUFFIXES.sub("", text.strip())
    if read.quantity == "colour":
        return _colour(text, plain, room)
    return _PARSERS[read.quantity](text, plain, read)


def _luminance(text: str, plain: str, _: Read) -> Value:
    return Value(quantity="luminance", raw=text, luminance=_light(plain))


def _colour(text: str, plain: str, room: float) -> Value:
    parts = [part for part in re.split(r"[;\s]+", plain) if part]
    if len(parts) not in (1, 3):
        raise EntryError(
            "A colour is three numbers with spaces between: Y x y, such as 100.2 0.3127 0.329; or "
            "Y alone where the meter gives no x and y."
        )
    luminance = _light(parts[0])
    if len(parts) == 1:
        return Value(quantity="colour", raw=text, luminance=luminance)
    x, y = (parse_number(part) for part in parts[1:])
    if x <= 0 or not is_chromaticity(x, y, room):
        raise EntryError(
            f"x {parts[1]}, y {parts[2]} is not a chromaticity; type Y first, then x and y."
        )
    return Value(quantity="colour", raw=text, luminance=luminance, x=x, y=y)


def _count(text: str, plain: str, _: Read) -> Value:
    if plain.casefold() in ("?", CANNOT_TELL):
        return Value(quantity="count", raw=text, text=CANNOT_TELL)
    return Value(quantity="count", raw=text, number=_whole(plain, "A count"))


def _tally(text: str, plain: str, _: Read) -> Value:
    return Value(quantity="tally", raw=text, number=_whole(plain, "A number of presses"))


def _milliseconds(text: str, plain: str, _: Read) -> Value:
    return Value(quantity="milliseconds", raw=text, number=_between(plain, "A time", LONGEST_TIME))


def _text(text: str, plain: str, _: Read) -> Value:
    if not plain:
        raise EntryError("Type a few words, or go on with the right arrow to skip.")
    return Value(quantity="text", raw=text, text=text.strip())


def _choice(text: str, plain: str, read: Read) -> Value:
    return Value(quantity="choice", raw=text, text=_chosen(plain, read.choices))


_PARSERS: dict[str, Callable[[str, str, Read], Value]] = {
    "luminance": _luminance,
    "count": _count,
    "milliseconds": _milliseconds,
    "choice": _choice,
    "text": _text,
    "tally": _tally,
}


def _light(text: str) -> float:
    """A luminance in cd/m2, as a meter may show it: slightly below zero where it is dark."""
    value = parse_number(text)
    if value < -DARK:
        raise EntryError(
            f"A luminance is 0 or more, or down to {-DARK:g} where the meter shows that, not "
            f"{text.strip()}."
        )
    if why := no_light(value):
        raise EntryError(f"{value:.3g} cd/m2 is no luminance: {why}.")
    return without_dust(value)


def _between(text: str, what: str, most: float) -> float:
    value = parse_number(text)
    if value < 0:
        raise EntryError(f"{what} is 0 or more, not {text.strip()}.")
    if value > most:
        raise EntryError(f"{what} is at most {most:.0f}, not {value:.7g}.")
    return value


def _whole(text: str, what: str) -> float:
    value = _between(text, what, MOST_COUNTED)
    if value != int(value):
        raise EntryError(f"{what} is a whole number, not {text}.")
    return value


def _chosen(plain: str, choices: tuple[str, ...]) -> str:
    if not choices:
        if not plain:
            raise EntryError("Type the choice.")
        return plain
    if plain.isdecimal() and 1 <= int(plain) <= len(choices):
        return choices[int(plain) - 1]
    found = [choice for choice in choices if choice.casefold() == plain.casefold()]
    if not found:
        raise EntryError(
            f"{plain!r} is none of the choices: type a number from 1 to {len(choices)}, or the "
            "words of one."
        )
    return found[0]
