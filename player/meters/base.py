"""What the run asks of anything that measures light."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, Protocol

from patterns.errors import LitfieldError
from patterns.place import Place
from readings.bounds import (
    DARK,
    ROOM,
    STRAY,
    is_chromaticity,
    no_light,
    outside,
    room_of,
    without_dust,
)
from readings.visit.derivation import Derivation
from readings.visit.records import Specification, Triple

Moves = Literal["yes", "no", "ask"]
"""Whether a meter comes to the place that is to be read where nobody points it: by itself, not at
all, or once somebody who is asked has pointed it."""


class MeterError(LitfieldError):
    """The meter gave no usable reading; the text is one sentence for the operator."""


@dataclass(frozen=True)
class MeterReading:
    """One reading.

    `raw` is the text as received from the meter, never edited. `luminance` is in cd/m2;
    `x` and `y` are CIE 1931 chromaticity coordinates. None means "not given", never zero.
    """

    raw: str
    luminance: float | None
    x: float | None
    y: float | None
    tristimulus: Triple | None = None
    """CIE 1931 X Y Z as measured, Y in cd/m2, before anything was subtracted."""
    derivation: Derivation | None = None
    """How the values came from the raw text, where it holds more than the one number."""


class Meter(Protocol):
    """An instrument.

    `specification` holds what its maker promises; what is not known stays None. A meter may
    also have a `role` (it is a spot meter without one), `moves` (it does not without one),
    `aim()`, which takes the place that is read next, or None where it is not known,
    `give_up()`, which ends the measurement under way in another thread, `progress`, which says how
    far that is, and `close()`, which lets go of the instrument. A meter that makes more of another
    one's readings has it as `inner`.
    """

    name: str
    specification: Specification

    def measure(self) -> MeterReading:
        """Take one reading of what the meter looks at now, or raise MeterError."""
        ...


def reading_of(meter: Meter) -> MeterReading:
    """One reading that can be light. Raises MeterError, whatever the instrument fails at."""
    try:
        return believable(meter.measure(), "The meter", room_for(meter))
    except MeterError:
        raise
    except Exception as error:
        # a program or a driver of any kind: whatever it fails at must not end the run
        what = f"{type(error).__name__}: {error}".removesuffix(": ")
        raise MeterError(f"The meter failed ({what}).") from error


def room_for(meter: Meter) -> float:
    """How far x and y of its readings may each lie outside what light can be."""
    return room_of(meter.specification.chromaticity_uncertainty)


def believable(reading: MeterReading, who: str, room: float = ROOM) -> MeterReading:
    """The reading where it can be that of a light; `who` gave it, for the sentence.

    What no meter tells from zero is zero. In the dark an impossible chromaticity is left out; in
    the light, where X Y Z are no colour for the error of filters, `derivation` says so.

    Args:
        reading: as the meter gave it.
        who: gave it, to begin a sentence with.
        room: how far x and y may each lie outside what light can be.

    Raises:
        MeterError: it can be no light.
    """
    light = reading.luminance
    if light is None:
        return reading
    if why := no_light(light):
        raise MeterError(f"{who} gave {light:g} cd/m2, which is no light: {why}.")
    if reading.tristimulus is not None:
        _require_light(reading.tristimulus, who)
        big_x, big_y, big_z = map(without_dust, reading.tristimulus)
        reading = replace(reading, tristimulus=(big_x, big_y, big_z))
    reading, dust = replace(reading, luminance=without_dust(light)), not without_dust(light)
    x, y = reading.x, reading.y
    if x is None or y is None:
        return _without_colour(reading, room)
    if is_chromaticity(x, y, room) and not (dust and light):
        return reading
    if light >= DARK:
        raise MeterError(f"{who} gave x {x:g}, y {y:g}, which is no chromaticity.")
    return replace(reading, x=None, y=None)


def _without_colour(reading: MeterReading, room: float) -> MeterReading:
    """The reading, saying how far its X Y Z are from any colour where that took x and y away."""
    xyz, derivation = reading.tristimulus, reading.derivation or Derivation()
    if xyz is None or not reading.luminance or reading.luminance < DARK or sum(xyz) <= 0:
        return reading
    beyond = outside(xyz[0] / sum(xyz), xyz[1] / sum(xyz))
    if beyond <= room or derivation.dark is not None:
        return reading  # what was measured has a colour, what is left without the dark has none
    return replace(reading, derivation=replace(derivation, outside=beyond))


def _require_light(xyz: Triple, who: str) -> None:
    """Refuse X Y Z of which one is beyond all light, or below zero by more than filters err."""
    lowest = -DARK - STRAY * max(xyz[1], 0.0)
    for name, value in zip("XYZ", xyz, strict=True):
        why = no_light(max(value, 0.0))
        if not value >= lowest:
            why = f"beside Y {xyz[1]:g} it is {lowest:g} or more"
        if why:
            raise MeterError(f"{who} gave {name} {value:g}, which is no light: {why}.")


def innermost(meter: Meter) -> Meter:
    """The instrument itself, without what is made of its readings."""
    while (inner := getattr(meter, "inner", None)) is not None:
        meter = inner
    return meter


def moves_of(meter: Meter) -> Moves:
    """Whether it comes to the place that is to be read; one that says nothing does not."""
    moves: Moves = getattr(innermost(meter), "moves", "no")
    return moves


def aim(meter: Meter, place: Place | None) -> None:
    """Tell a meter the place that is read next, where it wants to know; None where that is unknown.

    Raises MeterError where it can never be read.
    """
    aiming = getattr(innermost(meter), "aim", None)
    if aiming is not None:
        aiming(place)


def place_fields(place: Place) -> dict[str, str]:
    """What a meter is told of a place, by name: its number, its label, x and y.

    The number is empty where it is none of the pattern's places. Percent are those of the width and
    of the height, pixels those of the canvas, both from the top left corner, with three decimals at
    most.
    """
    x, y = place.shares
    return {
        "place": "" if place.number is None else str(place.number),
        "label": place.label,
        "x_percent": _short(100 * x),
        "y_percent": _short(100 * y),
        "x_px": _short(float(place.x)),
        "y_px": _short(float(place.y)),
    }


def _short(number: float) -> str:
    return f"{number:.3f}".rstrip("0").rstrip(".")


def give_up(meter: Meter) -> None:
    """End the measurement under way, where the meter can."""
    for each in _layers(meter):
        ending = getattr(each, "give_up", None)
        if ending is not None:
            ending()


def close(meter: Meter) -> None:
    """Let go of the instrument, where it is held."""
    ending = getattr(innermost(meter), "close", None)
    if ending is not None:
        ending()


def progress(meter: Meter) -> str:
    """How far the measurement under way has come, such as "reading 4"; empty where it is one."""
    return next((text for each in _layers(meter) if (text := getattr(each, "progress", ""))), "")


def _layers(meter: Meter) -> list[Meter]:
    layers = [meter]
    while (inner := getattr(layers[-1], "inner", None)) is not None:
        layers.append(inner)
    return layers


def xyz_of(reading: MeterReading) -> Triple | None:
    """X Y Z of a reading, given or from Y x y (CIE 15:2018, 7.3, from memory); None without."""
    if reading.tristimulus is not None:
        return reading.tristimulus
    if reading.luminance is None or reading.x is None or not reading.y:
        return None
    share = reading.luminance / reading.y
    return reading.x * share, reading.luminance, (1 - reading.x - reading.y) * share


def xy_of(xyz: Triple, room: float = ROOM) -> tuple[float, float] | None:
    """x and y; None where X Y Z are not those of a light, as noise in the dark may make them.

    X or Z may lie below zero by as much as leaves x and y no more than `room` outside.
    """
    total = sum(xyz)
    if total <= 0 or xyz[1] <= 0:
        return None
    x, y = xyz[0] / total, xyz[1] / total
    if min(xyz) < 0 and not is_chromaticity(x, y, room):
        return None
    return x, y
