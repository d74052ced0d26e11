"""Contrast: full white over full black, one after the other; checkerboards beside it."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence import Measured
from readings.findings.base import Finding, Value
from readings.findings.basis import Basis, by_run, grouped, light, with_light
from readings.findings.checkerboard import checkerboards
from readings.findings.kind import OWN, Drawn, FindingKind, Limit, Reads
from readings.findings.ratio import Naming, contrast_values, level_value
from readings.shown import area_of
from readings.uncertainty import written

DRIFT = 0.02
"""A limit of our own: a change of full white within one run that is worth a warning."""
SOURCE = (
    "ICDM IDMS, an edition before v1.3, 15.5 (sequential contrast) and 5.6 (a black of 0 is "
    "undefined), both seen"
)


class Contrast(FindingKind):
    """Sequential contrast and checkerboard contrasts, per run.

    Reads the roles `white` and `black` on full screens, `lit` and `dark` on checkerboards.
    """

    name = "contrast"
    subject = "contrast of full white to full black, and of checkerboards"
    reads = (
        Reads(("white", "black"), "a `field`, or a `window` of 100 %", together=True),
        Reads(
            ("lit", "dark"),
            "a `checkerboard`; with `box 1`, `box 2` ... in what is read (from left to right, then "
            "down) the boxes around the centre are worked out too",
            together=True,
        ),
    )
    limits = (
        Limit(
            ("sequential-contrast", "sequential-contrast-at-floor"),
            "at least",
            1000.0,
            ":1",
            OWN,
            "Black is deep against full white",
            "Black is raised against full white",
            "Whether black is deep against full white cannot be told",
        ),
        Limit(
            ("checkerboard-contrast", "checkerboard-contrast-at-floor"),
            "at least",
            100.0,
            ":1",
            OWN,
            "Black stays dark beside white",
            "Black is grey beside white",
            "Whether black stays dark beside white cannot be told",
        ),
    )
    pictures = (Drawn("contrasts"),)
    changing = frozenset()
    main = ("full-white-luminance", "full-black-luminance")

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        findings = []
        for mine in by_run(readings).values():
            sequential = _sequential(mine)
            if sequential is not None:
                findings.append(sequential)
            findings += checkerboards(mine)
        return findings


def _sequential(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    full = with_light([reading for reading in mine if _fills_the_screen(reading)], basis)
    whites = [reading for reading in full if reading.role == "white"]
    blacks = [reading for reading in full if reading.role == "black"]
    # a black beside other readings is theirs: it was not read for a contrast
    if not whites and (not blacks or any(reading.role != "black" for reading in mine)):
        return None
    whites = _one_level(whites, basis, "full white", highest=True)
    blacks = _one_level(blacks, basis, "full black", highest=False)
    values: list[Value] = []
    note = ""
    naming = Naming("sequential-contrast", "Sequential contrast", "full white", "full black", {})
    lit = [basis.estimate(whites)] if whites else []
    dark = [basis.estimate(blacks)] if blacks else []
    if lit and dark:
        values, note = contrast_values(basis, lit, dark, naming)
    else:
        values.append(Value(naming.name, naming.label, None, ":1"))
        missing = naming.lit if blacks else naming.dark
        basis.warn(f"No {missing} was read, so the sequential contrast is undefined.")
    if lit:
        values.append(level_value("full-white-luminance", "Full white", lit))
    if dark:
        values.append(level_value("full-black-luminance", "Full black", dark))
    _look_for_drift(whites, basis)
    return basis.finding(
        "contrast",
        mine[0],
        title="Sequential contrast",
        values=values,
        method=f"Luminance of full white over luminance of full black, one after the other.{note}",
        source=SOURCE,
    )


def _fills_the_screen(reading: Measured) -> bool:
    return area_of(reading) == 100


def _one_level(
    readings: list[Measured], basis: Basis, what: str, *, highest: bool
) -> list[Measured]:
    """Those at the highest or lowest codes shown; a white of another level is no repeat."""
    levels = grouped(readings, lambda reading: sum(max(reading.inks.values(), default=(0, 0, 0))))
    if len(levels) < 2:
        return readings
    basis.warn(
        f"The {what} was read at {len(levels)} levels; only the "
        f"{'highest' if highest else 'lowest'} counts."
    )
    return levels[max(levels) if highest else min(levels)]


def _look_for_drift(whites: Sequence[Measured], basis: Basis) -> None:
    used = {reading.reading for reading in basis.used}
    timed = sorted(
        (reading for reading in whites if reading.reading in used),
        key=lambda reading: (reading.taken_at, reading.reading),
    )
    if len(timed) < 2 or light(timed[0]) <= 0:
        return
    change = light(timed[-1]) / light(timed[0]) - 1
    if abs(change) > DRIFT:
        minutes = (timed[-1].taken_at - timed[0].taken_at).total_seconds() / 60
        percent, _ = written(100 * abs(change), 1.0)
        basis.warn(
            f"Full white {'rose' if change > 0 else 'fell'} by {percent} % from the first to the "
            f"last reading, {minutes:.0f} min apart: the display may not have settled (our own "
            f"limit is {100 * DRIFT:.0f} %)."
        )
