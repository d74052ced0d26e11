"""What the operator types, read as a value: decimal comma and point, and no guessing."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from patterns.errors import BAD_INPUT, LitfieldError
from player.keys import LONGEST_LINE
from player.run.typed_colour import Chromaticity, Order, chosen, split, ways_of
from readings.bounds import DARK, ROOM, no_light, without_dust
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
_MAY_GROUP = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
"""A number whose comma may be a decimal's or group thousands: `1,013`."""
Comma = Literal["", "decimal", "unsure"]
"""What the commas of typed numbers are: there is none; surely those of decimals; or perhaps what
groups thousands."""


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
            raise EntryError(_two_ways(plain))
        raise EntryError(f"{plain!r} is not a number.")
    value = float(plain.replace(",", "."))
    if not math.isfinite(value):
        raise EntryError(f"{plain!r} is too large to be a reading.")
    return value


def parse_without_groups(text: str) -> float:
    """The same of what hardly ever has three decimals: there `1,013` is refused, too."""
    if _MAY_GROUP.fullmatch(text.strip()):
        raise EntryError(_two_ways(text.strip()))
    return parse_number(text)


def comma_of(text: str) -> Comma:
    """What the commas of several numbers are, with spaces between them.

    Raises:
        EntryError: a comma groups thousands, since other decimals have a point.
    """
    parts = [part for part in re.split(r"[;\s]+", text) if _NUMBER.fullmatch(part)]
    with_comma = [part for part in parts if "," in part]
    grouped = [part for part in with_comma if _MAY_GROUP.fullmatch(part)]
    if grouped and any("." in part for part in parts):
        raise EntryError(_two_ways(grouped[0]))
    if not with_comma:
        return ""
    return "unsure" if len(grouped) == len(with_comma) else "decimal"


def _two_ways(text: str) -> str:
    return f"{text!r} can be read in two ways; leave out what groups thousands."


@dataclass(frozen=True)
class Entry:
    """What was typed, read as a value."""

    value: Value
    order: Order | None = None
    """Of three numbers, in which order they were taken."""
    sure: bool = True
    """Whether they can be nothing else."""
    comma: Comma = ""
    """What its commas are."""


def parse_entry(text: str, read: Read, room: float = ROOM) -> Value:
    """Read typed text as the quantity that the step asks for.

    Args:
        text: what was typed.
        read: what the step asks for.
        room: how far x and y may each lie outside what light can be: as far as the meter errs.

    Raises:
        EntryError: it cannot be read so.
    """
    return entered(text, read, room).value


def entered(
    text: str,
    read: Read,
    room: float = ROOM,
    coded: Chromaticity | None = None,
    before: Order | None = None,
) -> Entry:
    """The same, with the order of three numbers.

    Args:
        text, read, room: as above.
        coded: CIE 1931 x and y that are coded where it was read, where that is known.
        before: the order of the readings before, where that is known.

    Raises:
        EntryError: it cannot be read so.
    """
    if len(text) > LONGEST_LINE:
        raise EntryError("That is too long for a reading; a note holds longer text.")
    plain = _SUFFIXES.sub("", text.strip())
    comma = comma_of(plain) if read.of_light or read.quantity == "milliseconds" else ""
    if read.of_light:
        parts, named = split(plain)
        if len(parts) == 3:
            found = _colour(text, read, parts, room, coded, before, named)
            return replace(found, comma=comma)
    if read.quantity == "colour":
        return Entry(_luminance_alone(text, plain), comma=comma)
    return Entry(_PARSERS[read.quantity](text, plain, read), comma=comma)


def _luminance(text: str, plain: str, _: Read) -> Value:
    return Value(quantity="luminance", raw=text, luminance=_light(plain))


def _luminance_alone(text: str, plain: str) -> Value:
    """Of a colour."""
    if len(split(plain)[0]) != 1:
        raise EntryError(
            "A colour is three numbers with spaces between: Y x y, such as 100.2 0.3127 0.329, or "
            "x y Y; or Y alone where the meter gives no x and y."
        )
    return Value(quantity="colour", raw=text, luminance=_light(plain))


def _colour(
    text: str,
    read: Read,
    parts: list[str],
    room: float,
    coded: Chromaticity | None,
    before: Order | None,
    named: Order | None,
) -> Entry:
    for part in parts:
        parse_number(part)
    ways = tuple(way for way in ways_of(parts, room) if named in (None, way.order))
    if not ways:
        raise EntryError(
            f"x {parts[1]}, y {parts[2]} is not a chromaticity, nor is x {parts[0]}, y {parts[1]}; "
            "type Y x y or x y Y."
        )
    way, sure = chosen(ways, coded, before)
    value = Value(
        quantity=read.quantity, raw=text, luminance=_light(way.luminance), x=way.x, y=way.y
    )
    return Entry(value, way.order, sure)


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
    parse_without_groups(text)
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
