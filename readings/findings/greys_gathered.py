"""Greys out of the readings of a run, with the white and the black that they are judged against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from readings.draws import DRAWS
from readings.evidence import Measured
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.greys import Greys
from readings.findings.ratio import ALIKE
from readings.findings.share import has_colour
from readings.lights import Ends, lights_of
from readings.references import Reference, black_of, white_of
from readings.shown import area_of, grey_value, signal_of
from readings.uncertainty import written

WHITE, BLACK = 1.0, 0.0
PLACES = 9
"""Decimal places of E' that tell codes of 16 bits apart."""


def gathered(
    group: Sequence[Measured],
    mine: Sequence[Measured],
    everything: Sequence[Measured],
    basis: Basis,
) -> Greys | None:
    """Greys out of a group of readings of one run; None where there is none with a luminance.

    Args:
        group: the readings to work with.
        mine: all readings of their run, among which white and black are looked for first.
        everything: all readings of the visit.
        basis: keeps what is used, and is warned.
    """
    lit = [_possible(reading, basis) for reading in with_light(group, basis)]
    greys = [reading for reading in lit if grey_value(reading) is not None]
    left = len(lit) - len(greys)
    if left:
        basis.warn(
            f"{left} of {len(lit)} readings that should be of greys were not of a known grey, and "
            "do not count."
        )
    signal = signal_of(greys[0]) if greys else None
    if signal is None:
        return None
    listed = grouped(greys, lambda reading: round(grey_value(reading) or 0.0, PLACES))
    values = sorted(listed)
    things = [listed[value] for value in values]
    ours = {reading.reading for reading in greys}
    beside = [r for r in mine if r.reading not in ours and area_of(r) is not None]
    pool = [*greys, *(r for r in beside if grey_value(r) in (WHITE, BLACK))]
    ordered = sorted(everything, key=lambda r: (r.run, r.step, r.reading))
    white, black = white_of(pool, ordered), black_of(pool, ordered)
    at_white = _place(white, things, basis)
    at_black = _place(black, things, basis)
    lights = lights_of(things, basis)
    found = Ends(lights, at_white, at_black)
    lit_white = found.white
    if lit_white is not None and lit_white <= found.black:
        basis.warn(
            f"White ({written(lit_white)[0]} cd/m2) reads no higher than black "
            f"({written(found.black)[0]} cd/m2): were they swapped? There is nothing to judge "
            "greys against."
        )
        lit_white = None
    elif lit_white is not None and lit_white <= ALIKE * found.black:
        basis.warn(
            "White is hardly brighter than black: is the display showing the patterns? What the "
            "codes stand for means little."
        )
    return Greys(
        signal=signal,
        values=np.array(values),
        lights=lights,
        white=lit_white,
        black=found.black,
        drawn_white=found.drawn_white if lit_white is not None else np.full(DRAWS, np.nan),
        drawn_black=found.drawn_black,
        at_white=at_white,
        at_black=at_black,
        white_from=white,
        black_from=black,
    )


def warn_of_references(greys: Greys, basis: Basis, *, dark: bool = True) -> None:
    """Say what is missing of white and black, or taken from elsewhere.

    Args:
        greys: what white and black are for.
        basis: is warned.
        dark: whether black matters to them.
    """
    relative = greys.transfer != "pq"
    if greys.white is None and relative and not greys.white_from.readings:
        basis.warn(
            "No 100 % white was read under this condition, so what the greys should have been is "
            "not known."
        )
    for needed, reference in ((relative, greys.white_from), (dark, greys.black_from)):
        if needed and reference.elsewhere is not None:
            basis.warn(f"Judged against the {reference.called}, as there is none in this run.")
    if not dark:
        return
    if greys.at_black is None:
        if relative:
            basis.warn("No 0 % black was read under this condition: it is taken as 0 cd/m2.")
    elif greys.black <= 0:
        basis.warn("Black reads 0 cd/m2 or less: it is taken as 0.")
    elif greys.lights.at_floor[greys.at_black]:
        basis.warn(
            "Black is at or below the lowest luminance that the meter is specified for: targets "
            "of the darkest greys rest on it."
        )


def _place(found: Reference, things: list[list[Measured]], basis: Basis) -> int | None:
    """Where a white or a black stands among things; added at the end where it does not yet."""
    if not found.readings:
        return None
    wanted = {reading.reading for reading in found.readings}
    for place, thing in enumerate(things):
        if wanted & {reading.reading for reading in thing}:
            return place
    things.append([_possible(r, basis) for r in with_light(found.readings, basis)])
    if not things[-1]:
        things.pop()
        return None
    return len(things) - 1


def _possible(reading: Measured, basis: Basis) -> Measured:
    """The reading, without a chromaticity that no light has."""
    if reading.x is None or reading.y is None or has_colour(reading):
        return reading
    basis.warn(
        f"Reading {reading.reading} ({reading.label}) has x {reading.x:g}, y {reading.y:g}, which "
        "no light has: its colour does not count. Were numbers swapped?"
    )
    return replace(reading, x=None, y=None)
