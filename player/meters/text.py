"""What a meter's program printed, as a reading.

Accepted, on the last line that is not empty (or as JSON over several lines):

- `XYZ 95.0 100.0 108.9`, `Yxy 100.0 0.3127 0.3290`, `xyY 0.3127 0.3290 100.0`, `Y 100.0`: a label
  first, which always counts;
- `X=95.0 Y=100.0 Z=108.9`, `Y: 100.0 x: 0.3127 y: 0.3290`: every number named, in any order;
- `{"Y": 100.0, "x": 0.3127, "y": 0.3290}`, `{"X": ..., "Y": ..., "Z": ...}`, `{"Y": ...}`: JSON,
  where other names are passed over;
- one number: luminance;
- three numbers: X Y Z or Y x y, whichever alone can be light of a display. In dim light both can
  be; such a reading is refused unless the order is known.

Numbers have a decimal point or a decimal comma; spaces, tabs, semicolons, and commas where they
cannot be decimal ones, part them. Luminance is in cd/m2. In the dark, below 0.1 cd/m2, an
impossible chromaticity is left out; in the light it makes the reading an error, where it lies
farther outside than the meter errs.
"""

from __future__ import annotations

import json
import re
from math import isfinite
from typing import Literal

from player.meters.base import MeterError, MeterReading, believable, xy_of
from readings.bounds import ROOM, is_chromaticity
from readings.visit.records import Triple

Order = Literal["XYZ", "Yxy", "xyY"]
LONGEST_LINE = 1000
"""Characters of a line from a meter; what is longer is no reading."""
ORDERS: tuple[Order, ...] = ("XYZ", "Yxy", "xyY")
_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?"
_LABELLED = re.compile(r"(XYZ|Yxy|xyY|Y)(?:\s*[:=]\s*|\s+)(.*)")
_NAMED = re.compile(rf"([XYZxy])\s*[:=]?\s*({_NUMBER})[\s;,]*")
_UNIT = re.compile(r"(?<=[\d.,\s])(?:cd/m2|cd/m²)(?=[\s;,]|$)")


def parse_reading(
    text: str, order: Order | None = None, room: float = ROOM
) -> tuple[MeterReading, Order | None]:
    """The reading in a program's output, and the order in which bare numbers are now known to be.

    Args:
        text: what was printed.
        order: that of earlier readings, or None. Labels and JSON count whatever it is.
        room: how far x and y may each lie outside what light can be.

    Raises:
        MeterError: there is no reading in the text; one sentence.
    """
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if not lines:
        raise MeterError("The meter's program printed nothing.")
    if lines[0].startswith("{"):
        return reading_from(_json(text), text, room=room), order
    if lines[-1].startswith("{"):
        return reading_from(_json(lines[-1]), text, room=room), order
    if len(lines[-1]) > LONGEST_LINE:
        raise MeterError(
            f"The meter's program printed {short(lines[-1])}, in a line of more than "
            f"{LONGEST_LINE} characters, which is no reading."
        )
    line = _UNIT.sub(" ", lines[-1]).strip()
    labelled = _LABELLED.fullmatch(line)
    numbers = _numbers(labelled[2]) if labelled else None
    if labelled and numbers is not None and len(numbers) == len(labelled[1]):
        named = dict(zip(labelled[1], numbers, strict=True))
        return reading_from(named, text, room=room), order
    named_numbers = _named(line)
    if named_numbers is not None:
        return reading_from(named_numbers, text, room=room), order
    bare = _numbers(line)
    if bare is None or len(bare) not in (1, 3):
        raise MeterError(f"The meter's program printed {short(lines[-1])}, which is no reading.")
    if len(bare) == 1:
        return reading_from({"Y": bare[0]}, text, room=room), order
    known = _order(bare, order, lines[-1], room)
    return reading_from(dict(zip(known, bare, strict=True)), text, room=room), known


def _order(numbers: list[float], known: Order | None, line: str, room: float) -> Order:
    """The order of three bare numbers. Raises MeterError where it cannot be told."""
    if known is not None:
        other = not _possible(numbers, "XYZ", room) and _possible(numbers, "Yxy", room)
        if known == "XYZ" and other:
            raise MeterError(
                f"The meter's program printed {short(line)}, which looks like Y x y after "
                "readings in X Y Z."
            )
        return known
    able: list[Order] = [order for order in ("XYZ", "Yxy") if _possible(numbers, order, room)]
    if len(able) == 1:
        return able[0]
    if not able:
        raise MeterError(f"The meter's program printed {short(line)}, which is no reading.")
    raise MeterError(
        f"The meter's program printed {short(line)}, which can be X Y Z or Y x y: let it print a "
        "label before the numbers, or write command:XYZ: or command:Yxy: before the program."
    )


def _possible(numbers: list[float], order: Order, room: float) -> bool:
    """Whether the numbers can be a display's light in this order."""
    named = dict(zip(order, numbers, strict=True))
    if named["Y"] < 0:
        return False
    if order != "XYZ":
        return _visible(named["x"], named["y"], room)
    total = sum(numbers)
    return total > 0 and _visible(named["X"] / total, named["Y"] / total, room)


def _visible(x: float, y: float, room: float) -> bool:
    """Whether a chromaticity lies within straight lines about all colours that displays make.

    They run somewhat outside the spectrum locus and the purple line of CIE 1931; they are ours.
    """
    return x >= 0.01 and 0.01 <= y <= 0.87 and is_chromaticity(x, y, room) and y >= 0.46 * x - 0.1


def reading_from(
    named: dict[str, float], text: str, who: str = "The meter's program", room: float = ROOM
) -> MeterReading:
    """A reading from numbers by name: X Y Z, or Y with or without x y. Raises MeterError."""
    raw = text.strip()
    if (
        "Y" not in named
        or len(named.keys() & {"X", "Z"}) == 1
        or len(named.keys() & {"x", "y"}) == 1
    ):
        raise MeterError(f"{who} printed {short(raw)}, which lacks a part of X Y Z or Y x y.")
    luminance = named["Y"]
    x, y = named.get("x"), named.get("y")
    tristimulus: Triple | None = None
    if x is None and "X" in named:
        tristimulus = (named["X"], luminance, named["Z"])
        x, y = xy_of(tristimulus, room) or (None, None)
    return believable(MeterReading(raw, luminance, x, y, tristimulus), who, room)


def _json(text: str) -> dict[str, float]:
    """The numbers X, Y, Z, x, y of a JSON object."""
    try:
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise MeterError(f"The meter's program printed broken JSON: {short(text)}.") from error
    named = {}
    for name in "XYZxy":
        value = content.get(name)
        if value is None:
            continue
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise MeterError(f"The meter's program gave {name} as {short(str(value))}: no number.")
        try:
            named[name] = _finite(float(value))
        except OverflowError as error:
            raise MeterError(f"The meter's program gave {name} far too large.") from error
    return named


def _named(line: str) -> dict[str, float] | None:
    """Numbers that each have their name before them; None where the line is something else."""
    named: dict[str, float] = {}
    at = 0
    while at < len(line):
        found = _NAMED.match(line, at)
        if found is None or found[1] in named:
            return None
        named[found[1]] = number_of(found[2])
        at = found.end()
    return named


def _numbers(text: str) -> list[float] | None:
    """All numbers of a text; None where something in it is none."""
    text = re.sub(r",(?=\s|$)", " ", text)
    if "." in text or re.search(r"\d,\d+,\d", text):
        text = text.replace(",", " ")
    parts = re.split(r"[\s;]+", text.strip("; \t"))
    if not all(re.fullmatch(_NUMBER, part) for part in parts):
        return None
    return [number_of(part) for part in parts]


def number_of(text: str) -> float:
    """A number with decimal point or comma. Raises ValueError, or MeterError where infinite."""
    return _finite(float(text.replace(",", ".")))


def _finite(value: float) -> float:
    if not isfinite(value):
        raise MeterError(f"The meter's program gave {value}, which is no reading.")
    return value


def short(text: str) -> str:
    """At most 60 characters of it, printable, in quotes."""
    text = " ".join(text.split())
    return repr(text if len(text) <= 60 else f"{text[:57]}...")
