"""What readings mean. A finding more is one file more and one line in `FINDINGS`."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from readings.evidence import Measured, evidence
from readings.findings.base import Finding, FindingError, Value, settle
from readings.findings.contrast import contrast
from readings.findings.corrected import say_what_is_corrected
from readings.findings.greyscale import greyscale
from readings.findings.range_mismatch import range_mismatch
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
    "contrast": contrast,
    "greyscale": greyscale,
    "range-mismatch": range_mismatch,
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
    found = [each for name in FINDINGS if name in wanted for each in FINDINGS[name](listed)]
    return say_what_is_corrected(found, listed)


def findings_of(visit: Visit, names: Iterable[str] | None = None) -> list[Finding]:
    """The same from a visit's current readings."""
    return findings_from(evidence(visit), names)
