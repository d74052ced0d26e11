"""Crushed blacks: dark codes that are shown as black, and from which code on light comes.

A reading at the meter's floor says that there is at most so much light. Where the signal asks for
far more, that is evidence of the display, and no gap in the measurement.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats
from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE
from readings.findings.base import Finding, Judgement, Value
from readings.findings.grey.greys import Greys

SHARE = 0.25
"""A grey is crushed that has less than this share of the light above black that it is asked for,
as the best of its run is shown: a limit of our own. A gamma of 2.6 in place of 2.4 leaves more of
all greys from 0.1 % of the signal on."""
LIT = 0.5
"""E' of greys that are lit wherever there is a picture at all."""
METHOD = (
    f" A grey is crushed where it surely has less than {100 * SHARE:g} % of the light above black "
    "that its code asks for, compared with the grey of the run that has most of it; crushed blacks "
    "go from black to the last such grey before one that surely has more."
)


def crushed_values(greys: Greys) -> list[Value]:
    """Up to which code greys are shown as black, and from which on they are not; or nothing."""
    last = last_crushed(greys)
    if last is None:
        return []
    label = "Crushed: shown as black up to"
    values = [greys.level_at("crushed-up-to", label, last, "lower")]
    if last + 1 < greys.count:
        values.append(greys.level_at("crushed-below", "Crushed: no more at", last + 1, "upper"))
    return values


def last_crushed(greys: Greys) -> int | None:
    """The place of the brightest grey that is shown as black; None where none surely is."""
    dark, lit = _sides(greys)
    end = int(np.flatnonzero(lit)[0]) if lit.any() else greys.count
    found = np.flatnonzero(dark[:end])
    if not found.size or (dark & (greys.values >= LIT)).any():
        return None  # not even bright greys are lit: that is no matter of blacks
    return int(found[-1])


def with_crushed(finding: Finding) -> Finding:
    """The finding, which says by itself where blacks are crushed."""
    if finding.value("crushed-up-to") is None:
        return finding
    sentence = "Blacks are crushed: dark steps are shown as black"
    return replace(finding, judgement=Judgement("bad", sentence))


def _sides(greys: Greys) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(n,) which greys above black are surely crushed, and which surely are not."""
    none = np.zeros(greys.count, bool)
    share, drawn = _share(greys), _drawn_share(greys)
    spread = greys.lights.spread(share, drawn, colour=False)
    if spread is None:
        return none, none  # nothing is known of the meter
    clear = greys.clear & np.isfinite(share)
    best = min(1.0, share[clear].max()) if clear.any() and share[clear].max() > 0 else 1.0
    usable = (greys.values > 0) & np.isfinite(share)
    room = surely(int(usable.sum()), greys.lights.freedom) / COVERAGE * spread
    with np.errstate(invalid="ignore"):
        high = np.where(greys.bounded, np.nanmax(drawn, 0, initial=0.0), share + room)
        dark = usable & greys.comparable & (high < SHARE * best)
        return dark, usable & greys.clear & (share - room > SHARE * best)


def _share(greys: Greys) -> Floats:
    """(n,) light above black over what is asked for above black; NaN where that is nothing."""
    return _over(greys.taken - greys.black, greys.target - greys.black)


def _drawn_share(greys: Greys) -> Floats:
    """(m, n) likewise."""
    black = greys.drawn_black[:, None]
    return _over(greys.drawn_taken - black, greys.drawn_target - black)


def _over(light: Floats, asked: Floats) -> Floats:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(light / np.where(asked > 0, asked, np.nan))
