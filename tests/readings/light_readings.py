"""Readings for tests of the findings of light."""

import csv
from pathlib import Path

from tests.readings.made_readings import made

SDR = {"transfer": "bt1886", "primaries": "bt709", "bits": 8, "range": "full"}
WHITE, BLACK = (255, 255, 255), (0, 0, 0)


def reading(number, role, luminance, /, **changes):
    """One reading of a full white screen by the spot meter, ten seconds after the one before."""
    given = {
        "role": role,
        "inks": {"level": WHITE},
        "signal": SDR,
        "raw": "" if luminance is None else f"{luminance:g}",
        "luminance": luminance,
    }
    return made(number, **given | changes)


def worked(clause):
    """The two numbers, the result and the tolerance of a worked value of the IDMS."""
    path = Path(__file__).parents[1] / "data" / "idms_worked.csv"
    lines = [line for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    (row,) = (row for row in csv.DictReader(lines) if row["clause"] == clause)
    return tuple(float(row[name]) for name in ("first", "second", "result", "tolerance"))
