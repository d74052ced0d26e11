"""Tables of numbers from outside, in tests/data, for the tests of readings."""

import csv
from pathlib import Path

DATA = Path(__file__).parents[1] / "data"


def rows_of(name):
    """The rows of tests/data/NAME.csv below its lines about the source."""
    lines = (DATA / f"{name}.csv").read_text("utf-8").splitlines()
    said = [line.split(":")[0][2:] for line in lines if line.startswith("# ")]
    assert said == ["document", "table", "trust", "tolerance"]
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def tolerance_of(printed):
    """Half of the last digit of a number as printed, and a breath for the floating point."""
    return 0.5001 * 10.0 ** -len(printed.partition(".")[2])
