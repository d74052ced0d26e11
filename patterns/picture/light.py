"""What HDR files say about their light: content light level and mastering display.

Content light level (CTA-861.3-A annex): the largest max(R, G, B) of the picture and its mean over
the picture, in cd/m2, of this one file. Mastering display (SMPTE ST 2086): no pattern was graded
on a display, so the one stated is the smallest that would show every code of the picture: the
primaries and the white of the signal, and MaxCLL rounded up to whole cd/m2. Its black is stated
as 0.0001 cd/m2, the least that the field holds, since 0 reads as unknown.

A picture without light has none of this: its 0 would read as unknown.

A display may choose its tone curve by these numbers. Where every file of a set states its own, the
curve may change from file to file, and what was measured on one says nothing of the next; so an
export of a set states those of the set in every file, unless asked otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

from patterns.errors import PatternError
from patterns.picture.frame import Frame
from patterns.signal.primaries import Point, Primaries

UNIT = 10_000
"""Luminances are whole numbers of 0.0001 cd/m2."""


@dataclass(frozen=True)
class Light:
    """Static metadata of one picture; luminances in 0.0001 cd/m2, never 0."""

    primaries: Primaries
    max_cll: int
    max_fall: int
    max_mastering: int
    min_mastering: int = 1


Stated = Literal["file"] | Light | None
"""What a file states: what its own picture has, what somebody else says, or nothing."""


def light_of(frame: Frame) -> Light | None:
    """The metadata of a PQ picture; None for other transfers and for a picture without light."""
    max_cll = _units(frame.max_cll)
    if frame.signal.transfer.name != "pq" or max_cll == 0:
        return None
    # light that is there, but less than half a unit on the mean, is not to read as unknown
    max_fall = max(_units(frame.max_fall), 1)
    return Light(frame.signal.primaries, max_cll, max_fall, ceil(max_cll / UNIT) * UNIT)


def light_of_set(lights: Iterable[Light | None]) -> Light | None:
    """The metadata of a set of pictures: the largest of each number; None without any light."""
    known = [each for each in lights if each is not None]
    if not known:
        return None
    return Light(
        known[0].primaries,
        max(each.max_cll for each in known),
        max(each.max_fall for each in known),
        max(each.max_mastering for each in known),
    )


def light_by_hand(max_cll: float, max_fall: float, primaries: Primaries) -> Light:
    """Metadata as somebody wants them stated, in cd/m2, whatever the pictures hold.

    Raises:
        PatternError: not 0 < MaxFALL <= MaxCLL <= 10000.
    """
    possible = 0 < max_fall <= max_cll <= 10_000  # a number of 400 digits is no number of units
    content, frame = (_units(max_cll), _units(max_fall)) if possible else (0, 0)
    if not frame:
        raise PatternError(
            f"MaxCLL {max_cll:g} and MaxFALL {max_fall:g} cannot be stated: they lie above 0 and "
            "at most at 10000 cd/m2, and MaxFALL is the smaller one."
        )
    return Light(primaries, content, frame, ceil(content / UNIT) * UNIT)


def chromaticity_units(point: Point) -> tuple[int, int]:
    """x and y in units of 0.00002, as ST 2086 and the PNG chunk count them."""
    x, y = (floor(each * 50_000 + 1 / 2) for each in point)
    return x, y


def _units(luminance: float) -> int:
    return floor(luminance * UNIT + 0.5)
