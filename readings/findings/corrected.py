"""What findings say of meter correction: which readings are corrected, and which could not be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from readings.evidence.measured import Measured
from readings.findings.base import Finding
from readings.zones.gather import TRACE_ROLES

MOST_NAMED = 6
"""Readings that a warning names by number; of more it gives the count."""


def say_what_is_corrected(
    findings: Iterable[Finding], readings: Iterable[Measured]
) -> list[Finding]:
    """Each finding with a word on the corrections of the readings that it used."""
    # a meter trace is used as read: its shape alone counts
    by_id = {each.reading: each for each in readings if each.role not in TRACE_ROLES}
    return [
        _with_note(finding, [by_id[number] for number in finding.readings if number in by_id])
        for finding in findings
    ]


def _with_note(finding: Finding, used: Sequence[Measured]) -> Finding:
    method, warnings = finding.method, list(finding.warnings)
    done: dict[tuple[str | None, str, int], int] = {}
    for reading in used:
        if reading.as_read is not None:
            before = reading.as_read
            key = (reading.instrument_name, before.reference, before.correction)
            done[key] = done.get(key, 0) + 1
            doubted = f"Correction {before.correction} was kept against: {' '.join(before.doubts)}"
            if before.doubts and doubted not in warnings:
                warnings.append(doubted)
    for (meter, reference, correction), number in done.items():
        every = "All" if number == len(used) else f"{number} of {len(used)}"
        method += (
            f" {every} readings are those of the {meter}, corrected to the {reference} "
            f"(correction {correction})."
        )
    reasons: dict[tuple[str | None, str], list[int]] = {}
    for reading in used:
        if reading.uncorrected:
            key_of_reason = (reading.instrument_name, reading.uncorrected)
            reasons.setdefault(key_of_reason, []).append(reading.reading)
    for (meter, why), ids in reasons.items():
        which = f"Readings {', '.join(map(str, ids))}" if len(ids) > 1 else f"Reading {ids[0]}"
        if len(ids) > MOST_NAMED:
            which = f"{len(ids)} readings"
        warnings.append(f"{which} of the {meter} {_stands(ids)} uncorrected ({why}).")
    if method == finding.method and len(warnings) == len(finding.warnings):
        return finding
    return replace(finding, method=method, warnings=tuple(warnings))


def _stands(ids: Sequence[int]) -> str:
    return "stands" if len(ids) == 1 else "stand"
