"""Near black: the lowest codes told from black by eye, and their light against the target."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.findings.base import Finding
from readings.findings.grey.near_ends import End, near
from readings.findings.kind import Drawn, FindingKind, Reads

END = End("near-black", "Near black", "black", 0.0, "upper")


class NearBlack(FindingKind):
    """Per run. Reads the roles `near-black` by meter, `near-black-patches` by eye, and `black`."""

    name = "near-black"
    subject = "the steps just above black"
    reads = (
        Reads(("near-black",), "any grey", beside=("black", "white")),
        Reads(("near-black-patches",), "a `near-black`", ("count",)),
    )
    limits = ()
    pictures = (Drawn("eotf_log", 3),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return near(END, readings)
