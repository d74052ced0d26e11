"""Near white: the highest codes told from white by eye, and their light against the target."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.findings.base import Finding
from readings.findings.grey.near_ends import End, near
from readings.findings.kind import FindingKind, Reads

END = End("near-white", "Near white", "white", 1.0, "lower")


class NearWhite(FindingKind):
    """Per run. Reads the roles `near-white` by meter, `near-white-patches` by eye, and `white`."""

    name = "near-white"
    subject = "the steps just below white"
    reads = (
        Reads(("near-white",), "any grey", beside=("white",)),
        Reads(("near-white-patches",), "a `near-white`", ("count",)),
    )
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return near(END, readings)
