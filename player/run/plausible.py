"""Whether a typed reading can be true: doubts that are asked once, and never a refusal.

The limits are the project's own: they are to find slips of the finger, a wrong range and a
capped meter, and to leave ordinary displays in peace.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot, log10

from patterns.signal.colours import to_uv
from patterns.words import figures
from player.run.expecting import Coded, Expected, Past, short
from readings.bounds import DARK, why_no_light_has
from readings.visit.records import Reading, Value

BRIGHTER = 1.05
"""By what factor a darker level must read brighter before it is doubted."""
ABOVE_CODE = 1.2
"""By what factor a PQ level may read above the luminance that its code stands for."""
NEAR_TEN = 0.1
"""How near a ratio lies to a power of ten, in decades, to look like a slip."""
FAR_OFF = 5.0
"""Times what is expected, or such a part of it, that hardly any display or picture explains."""
SURE, SURE_HDR = 0.05, 10.0
"""Share of white, and cd/m2 of PQ, below which stray light and black could explain even that."""
EVERY_HDR = 100.0
"""cd/m2 that every display of PQ reaches: a tenth of less than this is a slip, not a limit."""
BLACKEST = 10.0
"""cd/m2 above which no black is, also with a lit room reflected in it."""
DIMMEST, OF_DIMMEST = 1.0, 100.0
"""cd/m2 that every display shows at least, where so many are coded; of less, in proportion."""
WORTH = 0.01
"""Share of white below which the transfer foretells little: a real black is in the way."""
COLOURED = 1.0
"""cd/m2 below which the colour of a grey is the meter's noise."""
OFF_WHITE, CHANGED_OVER = 0.03, 0.01
"""Distances in CIE 1976 u'v' from the white point."""
MOST_DECADES = 18
"""Between the darkest and the brightest light that can be read: see `readings.bounds`."""

TIMES = {1: "Ten times", 2: "A hundred times", 3: "A thousand times"}
PARTS = {1: "A tenth of", 2: "A hundredth of", 3: "A thousandth of"}

_FEWEST = 0.005
"""u'v' within which the exchanged x and y are white."""


def doubts(
    value: Value,
    *,
    coded: Coded | None,
    like: str,
    expected: Expected | None,
    past: Iterable[Past],
    before: Reading | None,
    absolute: bool,
) -> tuple[str, ...]:
    """What speaks against a reading, in sentences; empty where nothing does.

    Args:
        value: what was typed.
        coded: what is coded where it was read; None where that cannot be said.
        like: what the picture is apart from its level.
        expected: what it should come to.
        past: the current readings of the run, those of this step left out.
        before: the reading that it takes the place of.
        absolute: whether codes stand for cd/m2, as in PQ.
    """
    if not value.of_light or value.luminance is None:
        return _against_number(value, before)
    read = value.luminance
    # displays dim large pictures and lift black beside light: only alike pictures compare closely
    readings = list(past)
    alike = [each for each in readings if each.like == like]
    found = [
        _dark(read, coded),
        _slip(read, coded, expected, readings, like, before, absolute=absolute),
        _above(read, coded) if absolute else "",
        _order(read, coded, alike),
        _no_colour(value),
        _colour(value, coded),
    ]
    told = tuple(each for each in found if each)
    # where nothing is there to compare with, or nothing alike, only what is far off all displays
    return told or tuple(
        each for each in (_bare(read, coded), _contrast(read, coded, past)) if each
    )


def _bare(read: float, coded: Coded | None) -> str:
    """A black and a light that no display has, whatever was read before."""
    if coded is None:
        return ""
    if coded.black and read > BLACKEST:
        return f"{short(read)} cd/m2 is a great deal for black: mistyped, or light on the screen?"
    lit = min(coded.luminance / OF_DIMMEST, 1.0)
    if lit >= SURE and 0 < read < DIMMEST * lit:
        what = "white" if coded.white else "what is coded"
        return f"{short(read)} cd/m2 is very little for {what}: mistyped, or is the meter capped?"
    return ""


def _contrast(read: float, coded: Coded | None, past: Iterable[Past]) -> str:
    """Black and white that are hardly apart, in whatever pictures."""
    if coded is None or not (coded.black or coded.white):
        return ""
    for other in reversed(list(past)):
        apart = other.coded.white if coded.black else other.coded.black
        dark, light = (read, other.luminance) if coded.black else (other.luminance, read)
        if apart and dark * FAR_OFF > light:
            name, its = ("white", "Black") if coded.black else ("black", "White")
            return (
                f"{its} is hardly apart from {name}: step {other.number} ({other.label}) read "
                f"{short(other.luminance)}: mistyped?"
            )
    return ""


def _against_number(value: Value, before: Reading | None) -> tuple[str, ...]:
    if value.number is None or before is None or before.number is None:
        return ()
    said = _power(value.number, before.number)
    return (f"{said} the earlier reading of this step: mistyped?",) if said else ()


def _dark(read: float, coded: Coded | None) -> str:
    if read == 0 and coded is not None and coded.share >= WORTH:
        return "No light at all, where light is coded: is the meter capped or looking past it?"
    return ""


def _slip(
    read: float,
    coded: Coded | None,
    expected: Expected | None,
    past: list[Past],
    like: str,
    before: Reading | None,
    *,
    absolute: bool,
) -> str:
    """A decimal point in the wrong place: ten times what it should be, or a tenth; or far off."""
    if before is not None and before.luminance is not None:
        said = _power(read, before.luminance)
        return f"{said} the earlier reading of this step: mistyped?" if said else ""
    if coded is None:
        return ""
    alike = [each for each in past if each.like == like]
    same = [each for each in alike if abs(each.coded.share - coded.share) <= WORTH * coded.share]
    last = next((each for each in reversed(same) if each.coded.grey == coded.grey), None)
    if last is not None and (said := _power(read, last.luminance)):
        return f"{said} step {last.number}, which has the same level: mistyped?"
    if coded.white and not absolute:
        return _white(read, alike or past)
    return _expected(read, coded, expected, absolute=absolute) if expected is not None else ""


def _white(read: float, past: list[Past]) -> str:
    """A white that is far from another one, also from one in a picture that is not alike."""
    white = next((each for each in reversed(past) if each.coded.white), None)
    said = _far(read, white.luminance) if white is not None else ""
    return f"{said} step {white.number}, which is white too: mistyped?" if white and said else ""


def _expected(read: float, coded: Coded, expected: Expected, *, absolute: bool) -> str:
    should = expected.luminance
    if absolute and read < should and should > EVERY_HDR:
        return ""  # a display that stops short of what is coded
    said = _power(read, should) if expected.alike and (absolute or coded.share >= WORTH) else ""
    # in PQ, what is far above its code is told by that
    sure = read < should and should >= SURE_HDR if absolute else coded.share >= SURE
    if sure and not said:
        said = _far(read, should)
    return f"{said} what is expected, {short(should)} cd/m2: mistyped?" if said else ""


def _far(new: float, old: float) -> str:
    """How many times, or what part, where that is too much; empty otherwise."""
    if new <= 0 or old <= 0 or 1 / FAR_OFF < new / old < FAR_OFF:
        return ""
    if said := _power(new, old):
        return said
    decades = _decades(new, old)
    times = figures(10 ** abs(decades), 2) if abs(decades) < MOST_DECADES else f"1e{MOST_DECADES}"
    return f"{times} times" if new > old else f"1/{times} of"


def _decades(new: float, old: float) -> float:
    """The logarithm of new by old, also where the ratio itself is no number; 0 without light."""
    return log10(new) - log10(old) if new > 0 and old > 0 else 0.0


def _power(new: float, old: float) -> str:
    decades = _decades(new, old)
    power = round(decades)
    if abs(decades - power) > NEAR_TEN:
        return ""
    return TIMES.get(power, "") or PARTS.get(-power, "")


def _above(read: float, coded: Coded | None) -> str:
    if coded is None or coded.luminance < 1 or read <= ABOVE_CODE * coded.luminance:
        return ""
    more = 100 * (read / coded.luminance - 1)
    return (
        f"{more:.0f} % more than the code stands for, {short(coded.luminance)} cd/m2: is the range "
        "of the link right?"
    )


def _order(read: float, coded: Coded | None, past: list[Past]) -> str:
    """Black brighter than the step above it, and the like, in pictures that are alike."""
    if coded is None or not coded.grey:
        return ""
    name = "Black" if coded.black else "White" if coded.white else "This"
    for other in reversed(past):
        if not other.coded.grey:
            continue
        against = f"step {other.number} ({other.label}) read {short(other.luminance)}"
        if coded.share < other.coded.share and read > BRIGHTER * other.luminance:
            return f"{name} is brighter than a step above it: {against}."
        if coded.share > other.coded.share and BRIGHTER * read < other.luminance:
            return f"{name} is darker than a step below it: {against}."
    return ""


def _no_colour(value: Value) -> str:
    """A colour that no light has: by no more than the meter errs, or the reading had none of it."""
    if value.luminance is None or value.luminance < DARK:
        return ""
    if value.x is not None and value.y is not None:
        wrong = why_no_light_has(value.x, value.y)
        return f"{wrong}: the meter's error, or mistyped?" if wrong else ""
    if value.derivation is not None and value.derivation.outside is not None:
        return (
            f"X, Y, Z are those of no light, by {value.derivation.outside:.4f} in x and y, so the "
            "luminance is kept alone: is the meter's calibration right?"
        )
    return ""


def _colour(value: Value, coded: Coded | None) -> str:
    """A colour without x and y where a meter gives them, or a grey that is far from white."""
    lit = coded is None or coded.share >= WORTH
    lost = value.derivation is not None and value.derivation.outside is not None
    if value.quantity == "colour" and value.x is None and lit and not lost:
        return "x and y are missing: is it a luminance alone?"
    if coded is None or not coded.grey or coded.black or (value.luminance or 0) < COLOURED:
        return ""
    if value.x is None or value.y is None or coded.x is None or coded.y is None:
        return ""
    white = to_uv((coded.x, coded.y))
    away = _apart(to_uv((value.x, value.y)), white)
    exchanged = _apart(to_uv((value.y, value.x)), white)
    if away > CHANGED_OVER and exchanged < _FEWEST:
        return "Far off white, and white once x and y change places: mixed up?"
    if away > OFF_WHITE:
        return (
            f"Far off white for a grey: x {value.x:.4g}, y {value.y:.4g}, where "
            f"{coded.x:.4f}, {coded.y:.4f} is coded."
        )
    return ""


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
