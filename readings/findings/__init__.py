"""What readings mean. A finding more is one file more and one line in `FINDINGS`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from patterns.control import ADJUSTING
from readings.evidence.measured import Measured, evidence
from readings.findings.adjustment import Adjusted
from readings.findings.base import Finding, FindingError, Value, settle
from readings.findings.checks.curve_mismatch import CurveMismatch
from readings.findings.checks.delay import PictureDelay
from readings.findings.checks.plausibility import Plausibility
from readings.findings.checks.range_mismatch import RangeMismatch
from readings.findings.checks.seen_faults import SeenFaults
from readings.findings.colour.channel_order import ChannelOrder
from readings.findings.colour.colour import Colour
from readings.findings.colour.gamut import Gamut
from readings.findings.corrected import say_what_is_corrected
from readings.findings.grey.clipping import Clipping
from readings.findings.grey.greyscale import Greyscale
from readings.findings.grey.near_black import NearBlack
from readings.findings.grey.near_white import NearWhite
from readings.findings.grey.tone import Tone
from readings.findings.kind import FindingKind
from readings.findings.light.box_contrast import BoxContrast
from readings.findings.light.contrast import Contrast
from readings.findings.light.halo import Halo
from readings.findings.light.over_time import OverTime
from readings.findings.light.uniformity import Uniformity
from readings.findings.light.viewing_angle import ViewingAngle
from readings.findings.light.white_drift import WhiteDrift
from readings.findings.light.window_peak import WindowPeak
from readings.findings.zones import Zones

if TYPE_CHECKING:  # findings know no database
    from readings.visit.visit import Visit

__all__ = [
    "FINDINGS",
    "Finding",
    "FindingError",
    "FindingKind",
    "Value",
    "findings_from",
    "findings_of",
    "settle",
]

_OTHERS: tuple[FindingKind, ...] = (
    Greyscale(),
    Tone(),
    NearBlack(),
    NearWhite(),
    Clipping(),
    RangeMismatch(),
    CurveMismatch(),
    Contrast(),
    BoxContrast(),
    WindowPeak(),
    Halo(),
    ChannelOrder(),
    Colour(),
    Gamut(),
    Uniformity(),
    ViewingAngle(),
    OverTime(),
    WhiteDrift(),
    Adjusted(),
    SeenFaults(),
    PictureDelay(),
    Zones(),
)
FINDINGS: dict[str, FindingKind] = {
    kind.name: kind
    for kind in (Plausibility(frozenset().union(*(k.changing for k in _OTHERS))), *_OTHERS)
}
"""Every finding by the name that sequences, reports and files use, in the order in which a report
tells them: whether the readings hold, then grey and light, then colour, then the rest."""


def findings_from(
    readings: Iterable[Measured], names: Iterable[str] | None = None
) -> list[Finding]:
    """The findings of these names, or all, from readings of one visit, in the order of names.

    Raises:
        FindingError: there is no finding of that name.
    """
    listed = list(readings)
    wanted = sorted(FINDINGS) if names is None else sorted(set(names))
    for name in wanted:
        if name not in FINDINGS:
            known = ", ".join(sorted(FINDINGS))
            raise FindingError(f"There is no finding {name!r}; there are {known}.")
    # absurd light divides by next to nothing: what is not finite is told as not defined
    with np.errstate(over="ignore", divide="ignore", invalid="ignore", under="ignore"):
        found = [each for name in wanted for each in FINDINGS[name].work_out(_for(name, listed))]
    played = {r.run: (r.sequence, str(r.signal.get("transfer", ""))) for r in listed}
    found = [replace(each, played=played.get(each.run, ("", ""))) for each in found]
    return say_what_is_corrected(found, listed)


def _for(name: str, readings: list[Measured]) -> list[Measured]:
    """What a finding may read: while a display is adjusted it is in no state to be judged by."""
    if ADJUSTING in FINDINGS[name].roles():
        return readings
    return [reading for reading in readings if reading.role != ADJUSTING]


def findings_of(visit: Visit, names: Iterable[str] | None = None) -> list[Finding]:
    """The same from a visit's current readings."""
    return findings_from(evidence(visit), names)
