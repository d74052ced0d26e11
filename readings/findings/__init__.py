"""What readings mean. A finding more is one file more and one line in `FINDINGS`."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from readings.evidence import Measured, evidence
from readings.findings.base import Finding, FindingError, Value, settle
from readings.findings.box_contrast import box_contrast
from readings.findings.clipping import clipping
from readings.findings.colour import colour
from readings.findings.contrast import contrast
from readings.findings.corrected import say_what_is_corrected
from readings.findings.delay import delay
from readings.findings.gamut import gamut
from readings.findings.greyscale import greyscale
from readings.findings.halo import halo
from readings.findings.near_black import near_black
from readings.findings.near_white import near_white
from readings.findings.over_time import over_time
from readings.findings.plausibility import plausibility
from readings.findings.range_mismatch import range_mismatch
from readings.findings.tone import tone
from readings.findings.uniformity import uniformity
from readings.findings.viewing_angle import viewing_angle
from readings.findings.window_peak import window_peak
from readings.findings.zones import zones

if TYPE_CHECKING:  # findings know no database
    from readings.visit import Visit

__all__ = [
    "FINDINGS",
    "Finding",
    "FindingError",
    "Value",
    "findings_from",
    "findings_of",
    "settle",
]

FINDINGS: dict[str, Callable[[list[Measured]], list[Finding]]] = {
    "box-contrast": box_contrast,
    "clipping": clipping,
    "colour": colour,
    "contrast": contrast,
    "delay": delay,
    "gamut": gamut,
    "greyscale": greyscale,
    "halo": halo,
    "near-black": near_black,
    "near-white": near_white,
    "over-time": over_time,
    "plausibility": plausibility,
    "range-mismatch": range_mismatch,
    "tone": tone,
    "uniformity": uniformity,
    "viewing-angle": viewing_angle,
    "window-peak": window_peak,
    "zones": zones,
}
"""Every finding by the name that sequences, reports and files use."""


def findings_from(
    readings: Iterable[Measured], names: Iterable[str] | None = None
) -> list[Finding]:
    """The findings of these names, or all, from readings of one visit, in the registry's order.

    Raises:
        FindingError: there is no finding of that name.
    """
    listed = list(readings)
    wanted = list(FINDINGS) if names is None else list(names)
    for name in wanted:
        if name not in FINDINGS:
            raise FindingError(f"There is no finding {name!r}; there are {', '.join(FINDINGS)}.")
    # absurd light divides by next to nothing: what is not finite is told as not defined
    with np.errstate(over="ignore", divide="ignore", invalid="ignore", under="ignore"):
        found = [each for name in FINDINGS if name in wanted for each in FINDINGS[name](listed)]
    played = {r.run: (r.sequence, str(r.signal.get("transfer", ""))) for r in listed}
    found = [replace(each, played=played.get(each.run, ("", ""))) for each in found]
    return say_what_is_corrected(found, listed)


def findings_of(visit: Visit, names: Iterable[str] | None = None) -> list[Finding]:
    """The same from a visit's current readings."""
    return findings_from(evidence(visit), names)
