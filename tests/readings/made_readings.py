"""Readings made up for tests, and what every finding keeps to whatever was read."""

import json
import math
from datetime import UTC, datetime, timedelta

from readings.evidence.measured import Measured
from readings.findings import FINDINGS, findings_from, settle
from readings.visit.records import Specification

START = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
PQ = {"transfer": "pq", "primaries": "bt2020", "bits": 10, "range": "narrow"}
HLG = {"transfer": "hlg", "primaries": "bt2020", "bits": 10, "range": "narrow"}
METER = Specification(
    luminance_relative_uncertainty=0.04,
    luminance_floor=0.002,
    luminance_resolution=0.0001,
    luminance_repeatability=0.004,
    luminance_noise=0.0004,
    chromaticity_uncertainty=0.006,
    chromaticity_resolution=0.0001,
    chromaticity_repeatability=0.0008,
)


def made(number, /, **changes):
    """One reading of a screen by the spot meter, ten seconds after the one before."""
    given = {
        "reading": number,
        "run": 1,
        "condition": "",
        "sequence": "Lobby wall",
        "step": number,
        "label": f"Step {number}",
        "role": None,
        "kind": "field",
        "parameters": {},
        "variables": {},
        "quantity": "luminance",
        "of": None,
        "inks": {},
        "facts": {},
        "signal": PQ,
        "canvas": (1920, 1080),
        "guard": "verified",
        "guard_why": "",
        "instrument": 1,
        "instrument_name": "spot meter",
        "specification": METER,
        "raw": "",
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


def _sound(number, least=0.0):
    """Whether an interval has ends about its value, of what is never below the least."""
    low, high = number.interval
    return least <= low <= number.value <= high < math.inf and number.uncertainty is None


def _least(name):
    """What a value or a column of a name is never below: only a change has a sign."""
    return -math.inf if name.split("-")[-1] == "change" else 0.0


def checked(readings, names=None):
    """The findings of these names, or all, once seen to keep to what every finding keeps to."""
    found = findings_from(readings, names)
    text = json.dumps(settle(found), allow_nan=False)
    assert json.dumps(settle(findings_from(readings[::-1], names)), allow_nan=False) == text
    for finding in found:
        assert finding.name in FINDINGS
        assert finding.method
        assert finding.source
        assert set(finding.readings) <= {reading.reading for reading in readings}
        assert list(finding.readings) == sorted(set(finding.readings))
        for series in finding.series:
            for row in series.rows:
                assert len(row.numbers) == len(series.columns)
                assert set(row.readings) <= set(finding.readings)
                for column, number in zip(series.columns, row.numbers, strict=True):
                    assert number.value is None or math.isfinite(number.value)
                    assert number.uncertainty is None or 0 < number.uncertainty < math.inf
                    assert number.interval is None or _sound(number, _least(column.name))
        warned = " ".join(finding.warnings)
        for value in finding.values:
            assert value.written()
            assert value.value is None or math.isfinite(value.value)
            assert value.value is not None or value.among or warned
            assert value.uncertainty is None or 0 < value.uncertainty < math.inf
            bounded = value.bound is not None or value.among
            assert value.interval is None or _sound(value, _least(value.name))
            if value.value is not None and value.reach is None and not bounded:
                assert "not known" in warned
    return found
