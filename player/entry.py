"""What the operator types, read as a value: decimal comma and point, and no guessing."""

from __future__ import annotations

import math
import re

from readings.records import Value
from sequences.model import Read

UNITS = {
    "luminance": "cd/m2",
    "colour": "Y x y  (cd/m2, CIE 1931)",
    "count": "a whole number",
    "milliseconds": "ms",
    "choice": "one of the choices",
    "text": "a few words",
    "tally": "presses of the space bar",
}

_SUFFIXES = re.compile(r"\s*(cd/m2|cd/m²|ms)\s*$")
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")


class EntryError(ValueError):
    """What was typed cannot be read as asked; ``str()`` is one sentence for the operator."""


def expected(read: Read) -> str:
    """What to type, in a few words."""
    if read.quantity == "choice" and read.choices:
        return " / ".join(f"{n} {choice}" for n, choice in enumerate(read.choices, 1))
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


def _not_negative(text: str, what: str) -> float:
    value = parse_number(text)
    if value < 0:
        raise EntryError(f"{what} is 0 or more, not {text.strip()}.")
    return value


def parse_entry(text: str, read: Read) -> Value:
    """Read typed text as the quantity that the step asks for, or raise EntryError."""
    if len(text) > 2000:
        raise EntryError("That is too long for a reading; a note holds longer text.")
    plain = _SUFFIXES.sub("", text.strip())
    match read.quantity:
        case "luminance":
            return Value(quantity="luminance", raw=text, luminance=_not_negative(plain, "A luminance"))
        case "colour":
            return _colour(text, plain)
        case "count":
            number = _not_negative(plain, "A count")
            if number != int(number):
                raise EntryError(f"A count is a whole number, not {plain}.")
            return Value(quantity="count", raw=text, number=number)
        case "milliseconds":
            return Value(
                quantity="milliseconds", raw=text, number=_not_negative(plain, "A time")
            )
        case "choice":
            return Value(quantity="choice", raw=text, text=_choice(plain, read.choices))
        case "text":
            if not plain:
                raise EntryError("Type a few words, or go on with the right arrow to skip.")
            return Value(quantity="text", raw=text, text=text.strip())
        case "tally":
            number = _not_negative(plain, "A number of presses")
            if number != int(number):
                raise EntryError(f"A number of presses is a whole number, not {plain}.")
            return Value(quantity="tally", raw=text, number=number)
        case other:
            raise EntryError(f"A reading of {other!r} is not known.")


def _colour(text: str, plain: str) -> Value:
    parts = [part for part in re.split(r"[;\s]+", plain) if part]
    if len(parts) != 3:
        raise EntryError("A colour is three numbers with spaces between: Y x y, 100.2 0.3127 0.329.")
    luminance = _not_negative(parts[0], "A luminance")
    x, y = (parse_number(part) for part in parts[1:])
    if not (0 < x < 1 and 0 < y < 1 and x + y <= 1):
        raise EntryError(f"x {parts[1]}, y {parts[2]} is not a chromaticity; type Y first, then x, y.")
    return Value(quantity="colour", raw=text, luminance=luminance, x=x, y=y)


def _choice(plain: str, choices: tuple[str, ...]) -> str:
    if not choices:
        if not plain:
            raise EntryError("Type the choice.")
        return plain
    if plain.isdecimal() and 1 <= int(plain) <= len(choices):
        return choices[int(plain) - 1]
    found = [choice for choice in choices if choice.casefold() == plain.casefold()]
    if not found:
        raise EntryError(f"Type a number from 1 to {len(choices)}, or one of {', '.join(choices)}.")
    return found[0]
