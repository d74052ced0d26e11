"""Places of a uniformity: where the meter was pointed, and whose places they are."""

from __future__ import annotations

import re
from typing import cast

import numpy as np

from patterns.picture.spots import POINTS, SOURCES, Count
from readings.evidence import Measured
from readings.shown import grey_value
from readings.uncertainty import written

Place = tuple[float, float]
"""% of the width and of the height."""


def place_of(reading: Measured) -> Place | None:
    """Where the meter was pointed, from the number of the point or place."""
    number: int | None
    if reading.kind == "window":
        number = whole_number(reading.parameters.get("place"))
        points = POINTS[25]
    else:
        if reading.kind == "ebu-square":
            count, number = 13, whole_number(reading.parameters.get("point"))
        else:
            found = re.search(r"\bpoint\s+(\d{1,3})\b", reading.of or "", re.IGNORECASE)
            count = whole_number(reading.parameters.get("points")) or 0
            number = int(found[1]) if found else whole_number(reading.variables.get("point"))
        points = POINTS.get(cast(Count, count), ())
    if number is None or not 1 <= number <= len(points):
        return None
    x, y = points[number - 1]
    return float(100 * x), float(100 * y)


def whole_number(value: object) -> int | None:
    """A number of one to three digits, however it was written."""
    text = str(value).strip()
    return int(text) if text.isdecimal() and len(text) < 4 else None


def how_many(reading: Measured) -> int | None:
    """How many places the picture has; None where it is not told."""
    return {"window": 25, "ebu-square": 13}.get(
        reading.kind, whole_number(reading.parameters.get("points"))
    )


def of_idms(reading: Measured) -> bool:
    """Whether the places are those of IDMS 8.1."""
    return reading.kind == "uniformity" and how_many(reading) in {5, 9}


def source_of(reading: Measured) -> str:
    """Whose places they are, for the method."""
    if reading.kind == "window":
        return "a window in one box of a 5 x 5 grid after the other, our own"
    if reading.kind == "ebu-square":
        return "squares of EBU_3, EBU Tech 3325 v2.0 (2022), second-hand"
    return SOURCES.get(cast(Count, how_many(reading)), "not known")


def level_of(reading: Measured) -> str:
    """What was shown, and at how many places, for people."""
    value = grey_value(reading)
    size = f", {how_many(reading)} places" if how_many(reading) else ""
    if value is None:
        codes = max(reading.inks.values(), key=sum, default=())
        return f"codes {', '.join(map(str, codes))}{size}"
    name = {1.0: "white", 0.0: "black"}.get(value, f"grey {written(100 * value)[0]} %")
    return f"{name}{size}"


def where_of(place: Place, reading: Measured) -> dict[str, object]:
    """The place and the signal, for a value or a row."""
    value = grey_value(reading)
    signal = {} if value is None else {"signal_percent": round(100 * value, 3)}
    return {"place_x_percent": place[0], "place_y_percent": place[1], **signal}


def off_centre(place: Place) -> float:
    """Distance from the centre, in percent of width and height."""
    return float(np.hypot(place[0] - 50, place[1] - 50))
