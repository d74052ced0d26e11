"""Readings for tests of the findings of light."""

import csv
from datetime import UTC, datetime, timedelta
from pathlib import Path

from readings.evidence import Measured
from readings.findings import findings_from
from readings.records import Specification

METER = Specification(
    luminance_relative_uncertainty=0.04,
    luminance_floor=0.002,
    luminance_resolution=0.0001,
    luminance_repeatability=0.004,
    chromaticity_uncertainty=0.006,
    chromaticity_repeatability=0.0008,
    chromaticity_resolution=0.0001,
)
SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}
PQ = {"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}
START = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
WHITE, BLACK = (255, 255, 255), (0, 0, 0)


def reading(number, role, luminance, /, **changes):
    """One reading of a full white screen by the spot meter, ten seconds after the one before."""
    given = {
        "reading": number,
        "run": 1,
        "condition": "",
        "sequence": "Lobby wall",
        "step": number,
        "label": f"step {number}",
        "role": role,
        "kind": "field",
        "parameters": {},
        "variables": {},
        "quantity": "luminance",
        "of": None,
        "inks": {"level": WHITE},
        "facts": {},
        "signal": SDR,
        "canvas": (1920, 1080),
        "guard": "verified",
        "guard_why": "",
        "instrument": 1,
        "instrument_name": "spot meter",
        "specification": METER,
        "raw": "" if luminance is None else f"{luminance:g}",
        "luminance": luminance,
        "taken_at": START + timedelta(seconds=10 * number),
    }
    return Measured(**given | changes)


def found(name, readings):
    """The findings of one name."""
    return findings_from(readings, [name])


def only(name, readings):
    """The one finding of a name."""
    (finding,) = found(name, readings)
    return finding


def said(finding):
    """All that it warns of."""
    return " ".join(finding.warnings)


def worked(clause):
    """The two numbers, the result and the tolerance of a worked value of the IDMS."""
    path = Path(__file__).parents[1] / "data" / "idms_worked.csv"
    lines = [line for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    (row,) = (row for row in csv.DictReader(lines) if row["clause"] == clause)
    return tuple(float(row[name]) for name in ("first", "second", "result", "tolerance"))
