"""Near black: the lowest codes told from black by eye, and their light against the target."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence import Measured
from readings.findings.base import Finding
from readings.findings.near_ends import End, near

END = End("near-black", "Near black", "black", 0.0, "upper")


def near_black(readings: Sequence[Measured]) -> list[Finding]:
    """Per run. Reads the roles `near-black` by meter, `near-black-patches` by eye, and `black`."""
    return near(END, readings)
