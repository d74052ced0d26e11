"""Colour: how far charts, sweeps and primaries lie from what their codes stand for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from readings.colorimetry.difference import VISIBLE
from readings.distance import Distance, WithDraws
from readings.evidence import Measured
from readings.findings.base import Finding, Number, Value
from readings.findings.basis import Basis, by_run
from readings.findings.colour_judged import Judged, judged
from readings.findings.colour_patches import GROUPS, Group, Patch, patches_of
from readings.findings.colour_told import References, method_of, series_of, warn_of
from readings.findings.kind import COMMON, OWN, Drawn, Few, FindingKind, Limit, Reads
from readings.findings.share import number_of, value_of

SURE = 95.0
"""Percent of the draws that the set of a count holds."""
SOURCE = (
    "CIE 15:2018 (CIEDE2000, CIE 1976 L*a*b*), Rec. ITU-R BT.2124-0 (delta E ITP), Rec. ITU-R "
    "BT.1886 and BT.2100-3 (targets), second-hand; the limit of 3 is common practice, no source"
)


class Colour(FindingKind):
    """Differences of colour, one finding for each group of patches and run.

    Reads the roles `chart-24`, `chart-140`, `skin`, `ebu-colour`, `ebu-primary`, `saturation`,
    and `red`, `green`, `blue`, `cyan`, `magenta`, `yellow`; white and black beside them.
    """

    name = "colour"
    subject = "colours of a chart, saturations, primaries"
    reads = (
        Reads(
            ("chart-24", "chart-140", "skin"),
            "a `chart-patch`, a `skin`",
            ("colour",),
            beside=("white", "black"),
        ),
        Reads(("saturation",), "a `saturation`", ("colour",), beside=("white", "black")),
        Reads(
            ("red", "green", "blue", "cyan", "magenta", "yellow"),
            "a `patch`",
            ("colour",),
            beside=("white", "black"),
        ),
        Reads(
            ("ebu-colour", "ebu-primary"),
            "an `ebu-colour`",
            ("colour",),
            beside=("white", "black"),
        ),
    )
    limits = (
        Limit(
            ("delta-e-2000-average", "delta-e-itp-average"),
            "at most",
            VISIBLE,
            "",
            COMMON,
            "Colours are near their targets on average",
            "Colours are off their targets on average",
            "Whether colours are near their targets on average cannot be told",
            few=Few("patch", "Colours are near their targets", "Colours are off their targets"),
        ),
        Limit(
            ("delta-e-2000-largest", "delta-e-itp-largest"),
            "at most",
            5.0,
            "",
            OWN,
            "No colour that was read is far off",
            "Some colour that was read is far off",
            "Whether some colour is far off cannot be told",
        ),
    )
    pictures = (Drawn("chromaticity_uv", 2), Drawn("chromaticity_xy", 2), Drawn("colour_errors"))
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return [
            _finding(mine, readings, group)
            for mine in by_run(readings).values()
            for group in GROUPS
            if any(r.role in group.roles and r.luminance is not None for r in mine)
        ]


def _finding(mine: Sequence[Measured], readings: Sequence[Measured], group: Group) -> Finding:
    basis = Basis()
    patches = patches_of(mine, group, basis)
    beside = References.of(mine, readings, basis)
    found = None
    values: list[Value] = [Value("delta-e-itp-average", "Average delta E ITP", None, "")]
    if patches:
        repeats = [patch.repeats for patch in patches]
        found = judged(repeats, beside.white.readings, beside.black.readings, basis)
        values = _values(found, patches)
    warn_of(found, patches, group, beside, basis)
    if found is not None:
        _warn_of_bias(found, basis)
    return basis.finding(
        "colour",
        mine[0],
        title=group.title,
        values=values,
        method=method_of(mine[0], beside),
        source=SOURCE,
        series=() if found is None else (series_of(found, patches, group),),
    )


def _values(found: Judged, patches: Sequence[Patch]) -> list[Value]:
    values: list[Value] = []
    kept = [patch for patch, ok in zip(patches, found.reached, strict=True) if ok]
    if not kept:
        return [Value("delta-e-itp-average", "Average delta E ITP", None, "")]
    if found.de2000 is not None:
        values += _of_distance(found.de2000.of(found.reached), kept, "2000", fits=True)
    fits = found.de2000 is None
    values += _of_distance(found.itp.of(found.reached), kept, "ITP", fits=fits)
    parts, drawn = found.parts[found.reached], found.drawn_parts[:, found.reached]
    for place, (name, label) in enumerate(
        (
            ("lightness", "Average difference of lightness (+: too light)"),
            ("chroma", "Average difference of chroma (+: too colourful)"),
        )
    ):
        mean, means = parts[:, place].mean(), drawn[..., place].mean(-1)
        number = Number.of(mean, found.lights.spread(mean, means), means)
        values.append(value_of(f"{name}-difference-average", label, number, ""))
    turned = Distance.of_vectors(WithDraws(parts[:, 2:], drawn[..., 2:]), known=found.itp.known)
    label = "Average size of the difference of hue"
    values.append(value_of("hue-difference-average", label, number_of(turned.mean()), ""))
    return values


def _of_distance(
    distance: Distance, patches: Sequence[Patch], which: str, *, fits: bool
) -> list[Value]:
    """The average, the largest and where, and how many are above the limit.

    With `fits` it is the one that fits the signal: limits are for it, and patches counted by it.
    """
    name = which.lower()
    average = distance.mean()
    if not np.isfinite(average.value):
        label = f"Average delta E {which}"
        return [Value(f"delta-e-{name}-average", label, None, "", judged=fits)]
    most = distance.largest()
    called = patches[most].called
    where = {**patches[most].where, "step": patches[most].first.label}
    values = [
        value_of(
            f"delta-e-{name}-average",
            f"Average delta E {which}",
            number_of(average),
            "",
            count=len(patches),
            judged=fits,
            off=True,
        ),
        value_of(
            f"delta-e-{name}-largest",
            f"Largest delta E {which}: {called}",
            number_of(distance.of(most)),
            "",
            where,
            row=f"Largest delta E {which}",
            at=called,
            count=len(patches),
            judged=fits,
            off=True,
        ),
    ]
    return [*values, _count_above(distance, which)] if fits else values


def _count_above(distance: Distance, which: str) -> Value:
    """How many patches are above the limit; a set of counts where the meter leaves that open."""
    name, several = f"delta-e-{which.lower()}-above-3", len(distance.value)
    count = int((distance.value > VISIBLE).sum())
    row = f"Patches above a delta E {which} of {VISIBLE:g}"
    label = f"{row} (as read, {count} of {several})"
    fine = distance.drawn[np.isfinite(distance.drawn).all(-1)]
    if not distance.known or not len(fine):
        return Value(name, label, count, "", row=row)
    rest = (100 - SURE) / 2
    counts = (fine > VISIBLE).sum(-1)
    low, high = np.percentile(counts, [rest, 100 - rest], method="nearest").astype(int)
    among = tuple(range(min(low, count), max(high, count) + 1))
    return Value(name, label, count if len(among) == 1 else None, "", among=among, row=row)


def _warn_of_bias(found: Judged, basis: Basis) -> None:
    """A delta E is never below 0, so errors of the meter add to it on the average."""
    distance, which = (found.itp, "ITP") if found.de2000 is None else (found.de2000, "2000")
    if not found.reached.any():
        return
    average = distance.of(found.reached).mean()
    spread = average.expanded()
    if spread is not None and np.isfinite(average.value) and spread >= average.value:
        alone = float(average.errors())
        basis.warn(
            f"The average is no larger than its uncertainty. Errors of the meter only ever add to "
            f"a delta E: this one would find about {alone:.1f} (delta E {which}) on a display "
            "without any error, so the true average may be far smaller."
        )
