"""Tone: how greys of PQ and HLG follow their curve, where they leave it, and where it ends.

How a display shortens highlights is left to its maker. Report ITU-R BT.2390 gives one curve for it,
which serves as a reference for this display's own peak and black.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.eetf import eetf
from readings.evidence.aim import Aimed
from readings.evidence.measured import Measured
from readings.evidence.shown import area_of
from readings.findings.base import Column, Finding, Number, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found
from readings.findings.grey.clip_fit import METHOD as CLIPS
from readings.findings.grey.crushed import METHOD as CRUSHED
from readings.findings.grey.crushed import crushed_values, with_crushed
from readings.findings.grey.greys import Greys, gathered, percent_off, warn_of_references
from readings.findings.grey.tone_curve import DIM, FAITHFUL, Curve
from readings.findings.kind import OWN, Drawn, Few, FindingKind, Limit, Reads
from readings.findings.ratio import level_value
from readings.findings.share import average_of, average_size_of, value_of

ROLE = "grey"
TRANSFERS = ("pq", "hlg")
MASTERS = (1000.0, 4000.0, 10_000.0)
"""cd/m2: peaks of masters that displays are made to expect (common practice, no source); 10,000 is
all of PQ."""
COLUMNS = (
    Column("signal", "Signal", "%"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("target-luminance", "Target luminance", "cd/m2"),
    Column("reference-curve-luminance", "BT.2390 curve for this display", "cd/m2"),
    Column("error", "Luminance off target", "%"),
)
SOURCE = (
    "Rec. ITU-R BT.2100-3 (02/2025) tables 4 and 5 (second-hand); reference curve: Report ITU-R "
    "BT.2390, clause 5.4.1 (second-hand); where a curve bends and ends are definitions of our own"
)


class Tone(FindingKind):
    """How greys of PQ and HLG follow the curve, per run. Reads the role `grey`."""

    name = "tone"
    subject = "tracking of the signal's curve"
    reads = (Reads((ROLE,), "any grey of a PQ or HLG signal"),)
    limits = (
        Limit(
            ("tone-error-size",),
            "at most",
            10.0,
            "%",
            OWN,
            "Below its roll-off the display follows the signal's curve",
            "The display leaves the signal's curve",
            "Whether the display follows the signal's curve cannot be told",
            few=Few(
                "step",
                "Below its roll-off the display follows the signal's curve",
                "The display leaves the signal's curve",
            ),
            aims=("curve",),
        ),
    )
    pictures = (Drawn("eotf_log"), Drawn("eotf_pq"))
    changing = frozenset()
    main = ("tone-peak",)

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(
            _finding(group, mine, readings)
            for mine in by_run(readings).values()
            for group in _groups(mine)
        )


def _groups(mine: Sequence[Measured]) -> list[list[Measured]]:
    """The readings of one run that show its tone curve, one area each."""
    listed = [r for r in mine if r.role == ROLE and r.signal.get("transfer") in TRANSFERS]
    return list(grouped(listed, lambda reading: round(area_of(reading) or 0.0)).values())


def _finding(
    group: Sequence[Measured], mine: Sequence[Measured], everything: Sequence[Measured]
) -> Finding | None:
    basis = Basis(aimed=Aimed.of(group[0]))
    greys = gathered(group, mine, everything, basis)
    if greys is None or greys.count < 2:
        return None
    warn_of_references(greys, basis)
    curve = Curve(greys)
    values = [
        *crushed_values(greys),
        *_peak(greys),
        *curve.bend(basis),
        *curve.end(basis),
        *_errors(greys, curve),
    ]
    reference = np.full(greys.count, np.nan)
    if greys.transfer == "pq":
        reference = _reference(greys, MASTERS[-1])
        values += _against_reference(greys)
    name = greys.transfer.upper()
    series = Series(
        "tone",
        f"{name} tracking",
        COLUMNS,
        greys.rows(
            [
                [Number.of(100 * float(value)) for value in greys.values],
                greys.luminances(),
                [Number.of(float(each)) for each in greys.target],
                [Number.of(float(each)) for each in reference],
                greys.errors(),
            ]
        ),
    )
    area = area_of(group[0])
    finding = basis.finding(
        "tone",
        group[0],
        title=f"{name} tracking" + ("" if area is None else f", {area:.3g} % of the screen"),
        values=values,
        method=_method(greys.transfer),
        source=SOURCE,
        series=(series,),
    )
    return with_crushed(finding)


def _method(transfer: str) -> str:
    curve = {
        "pq": "PQ, which is absolute",
        "hlg": "HLG with the measured white as nominal peak, and the measured black",
    }[transfer]
    method = (
        f"Luminance of greys against {curve}, for the codes shown. The level of the curve is the "
        f"median of luminance / target from {DIM:g} cd/m2 to a quarter of the peak; the roll-off "
        f"starts between the last grey within {FAITHFUL:g} % (or its uncertainty) below that, "
        f"and the next. {CLIPS} The meter's error of gain cancels in both."
    )
    if transfer == "pq":
        method += (
            " The reference curve is that of BT.2390 for a master from 0 to 10,000 cd/m2 on a "
            "display of the highest luminance read and of the black read; its differences are "
            f"averages of their sizes over greys from {DIM:g} cd/m2, for several masters."
        )
    return method + CRUSHED


def _peak(greys: Greys) -> list[Value]:
    top = int(np.argmax(greys.luminance))
    row, at = "Highest luminance", greys.first[top].label
    estimates = [greys.lights.estimates[top]]
    return [level_value("tone-peak", f"{row}: {at}", estimates, greys.where(top), row=row, at=at)]


def _errors(greys: Greys, curve: Curve) -> list[Value]:
    """Signed and in size, over the greys that follow the curve; or, where none does, all."""
    last = greys.count if curve.follows_to is None else curve.follows_to
    inside = greys.comparable & (greys.target >= DIM) & (np.arange(greys.count) <= last)
    if greys.transfer == "hlg" and greys.at_white is not None and greys.at_white < greys.count:
        inside[greys.at_white] = False  # it makes the target
    used = np.flatnonzero(inside & np.isfinite(greys.error))
    if not used.size:
        return []
    off = greys.lights, greys.error[used], greys.drawn_error[:, used]
    to = "up" if curve.follows_to is None else "to the roll-off"
    rest = f"from {DIM:g} cd/m2 {to}"
    named = (
        ("tone-error", "Luminance off target, average", average_of(*off)),
        ("tone-error-size", "Luminance off target, size, average", average_size_of(*off)),
    )
    return [
        *curve.level(),
        *(
            value_of(
                name,
                f"{what} of {used.size} {rest}",
                number,
                "%",
                row=f"{what} {rest}",
                count=used.size,
                off=name == "tone-error-size",
            )
            for name, what, number in named
        ),
    ]


def _reference(greys: Greys, master: float) -> Floats:
    """(n,) cd/m2 of the reference curve for a master of that peak."""
    return eetf(greys.target, greys.luminance.max(), greys.black, master)


def _against_reference(greys: Greys) -> list[Value]:
    """How far off the reference curve greys are on average, by the master's peak."""
    values = []
    peaks = greys.drawn.max(-1)[:, None]
    for master in MASTERS:
        curve = _reference(greys, master)
        used = np.flatnonzero(greys.clear & (greys.target >= DIM) & (curve > 0))
        if not used.size:
            continue
        drawn_curve = eetf(greys.target[used], peaks, greys.drawn_black[:, None], master)
        off = percent_off(greys.luminance[used], curve[used])
        drawn = percent_off(greys.drawn[:, used], drawn_curve)
        values.append(
            value_of(
                "reference-curve-difference",
                f"From BT.2390's curve for a master of {master:,.0f} cd/m2, average size",
                average_size_of(greys.lights, off, drawn),
                "%",
                {"master_peak": master},
            )
        )
    return values
