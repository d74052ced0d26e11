"""Dimming zones: columns, rows and their product, each with the counts that it may be."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.findings.base import Bound, Finding, Value
from readings.findings.basis import Basis, by_run, grouped, with_light
from readings.findings.kind import Drawn, FindingKind, Reads
from readings.findings.ratio import level_value
from readings.zones.combine import AxisCount, ZoneCount
from readings.zones.gather import WAYS, AxisEvidence, Way, counted, gathered

HALO = "zone-halo"
"""Role of a luminance read in the dark beside a lit zone."""
SOURCE = "Litfield's own method, described in docs/zones.md"


class Zones(FindingKind):
    """The number of dimming zones, per run.

    Reads tallies along edges, rows and columns, the groups counted in combs, the roles
    `trace-columns` and `trace-rows` of a meter at a fixed spot, and `zone-halo` beside a lit zone.
    """

    name = "zones"
    subject = "the number of dimming zones"
    reads = (
        Reads((), "a `moving-box` along an edge, a row or a column", ("tally",), kind="moving-box"),
        Reads((), "a `comb`", ("count",), kind="comb"),
        Reads(
            ("trace-columns", "trace-rows"),
            "a `single-box` at one place after another, the meter at a fixed dark spot",
        ),
        Reads((HALO,), "anything that lights one zone"),
    )
    limits = ()
    pictures = (Drawn("zones"),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        findings = []
        for mine in by_run(readings).values():
            evidence = gathered(mine)
            if evidence:
                findings.append(_finding(mine, evidence))
        return findings


def _finding(mine: Sequence[Measured], evidence: dict[Way, AxisEvidence]) -> Finding:
    basis = Basis()
    count = counted(evidence)
    axes = {"columns": count.columns, "rows": count.rows}
    values = [_product(count)]
    for way in WAYS:
        axis = axes[way]
        values.append(_axis(way, axis))
        if axis is None:
            basis.warn(f"{way.capitalize()}: nobody looked along them, so they are not known.")
            continue
        basis.used += evidence[way].readings
        for sentence in (*axis.doubts(), axis.advice()):
            if sentence:
                basis.warn(f"{way.capitalize()}: {sentence}")
        if evidence[way].typed:
            typed = _many(len(evidence[way].typed), "number was", "numbers were")
            basis.warn(
                f"{way.capitalize()}: {typed} typed without presses; where the box was is not "
                "known, so it does not count."
            )
    halo = with_light([reading for reading in mine if reading.role == HALO], basis)
    for repeats in grouped(halo, lambda reading: (reading.label, reading.of)).values():
        label = f"Beside the lit zone, {repeats[0].of or repeats[0].label}"
        values.append(level_value("zone-halo-luminance", label, [basis.estimate(repeats)]))
    return basis.finding(
        "zones",
        mine[0],
        title="Dimming zones",
        values=values,
        method=f"{count.kind()} {_rests_on(axes)}",
        source=SOURCE,
    )


def _product(count: ZoneCount) -> Value:
    among = count.set95 or ()
    number = _number(count.count)
    return Value("zones", "Zones", number, "", bound=_bound(count), among=among, titled=True)


def _axis(way: Way, axis: AxisCount | None) -> Value:
    name, label = f"zone-{way}", f"{way.capitalize()} of zones"
    if axis is None:
        return Value(name, label, None, "")
    return Value(name, label, _number(axis.count), "", bound=_bound(axis), among=axis.set95)


def _bound(found: AxisCount | ZoneCount) -> Bound | None:
    return "lower" if found.open else None


def _number(count: int | None) -> float | None:
    return None if count is None else float(count)


def _rests_on(axes: dict[str, AxisCount | None]) -> str:
    """What each count rests on, in a sentence."""
    parts = []
    for way, axis in axes.items():
        if axis is None:
            continue
        rests = []
        if axis.passes:
            rests.append(
                f"{_many(axis.presses, 'press', 'presses')} in "
                f"{_many(axis.passes, 'pass', 'passes')} of a crawling box"
            )
        if axis.combs:
            rests.append(_many(axis.combs, "answer to a comb", "answers to combs"))
        if axis.traced:
            rests.append("a meter trace")
        parts.append(f"the {way} on {', '.join(rests) or 'nothing'}")
    return f"The count rests for {'; for '.join(parts)}."


def _many(number: int, one: str, more: str) -> str:
    return f"{number} {one if number == 1 else more}"
