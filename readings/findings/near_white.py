"""Near white: the highest codes told from white by eye, and their light against the target."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence import Measured
from readings.findings.base import Finding
from readings.findings.near_ends import End, near

END = End("near-white", "Near white", "white", 1.0, "lower")


def near_white(readings: Sequence[Measured]) -> list[Finding]:
    """Per run. Reads the roles `near-white` by meter, `near-white-patches` by eye, and `white`."""
    return near(END, readings)
