"""Colour: how far charts, sweeps and primaries lie from what their codes stand for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from readings.colorimetry.chromaticity import xy_of
from readings.colorimetry.difference import OUTSIDE, VISIBLE
from readings.evidence.aim import Aimed
from readings.evidence.distance import Distance, WithDraws
from readings.evidence.measured import Measured
from readings.evidence.references import Reference, black_of, white_of
from readings.evidence.uncertainty import written
from readings.findings.base import Column, Finding, Number, Part, Row, Series, Value
from readings.findings.basis import Basis, by_run, with_light
from readings.findings.colour.channel_order import warn_of_order
from readings.findings.colour.judged import Judged, judged, xy_with_spread
from readings.findings.colour.patches import GROUPS, Group, Patch, patches_of
from readings.findings.kind import COMMON, OWN, Drawn, Few, FindingKind, Limit, Reads
from readings.findings.ratio import ALIKE
from readings.findings.share import (
    NO_UNCERTAINTY,
    distances_of,
    number_of,
    numbers_of,
    value_of,
)

TOO_BRIGHT = 1.2
"""A patch brighter than white by this factor is worth a question: a limit of our own."""


@dataclass(frozen=True, slots=True)
class References:
    """The white and the black of a run, where its signal needs them."""

    white: Reference
    black: Reference
    run: int
    relative: bool
    """Whether targets need them: in PQ, which is absolute, white says only what is in reach."""

    @classmethod
    def of(cls, mine: Sequence[Measured], readings: Sequence[Measured], basis: Basis) -> References:
        """Those of a run, from all readings of its visit."""
        relative = mine[0].signal.get("transfer") != "pq"
        black = black_of(mine, readings) if relative else Reference()
        white = white_of(mine, readings)
        return cls(_with_light(white, basis), _with_light(black, basis), mine[0].run, relative)


def _with_light(found: Reference, basis: Basis) -> Reference:
    """Without their colours, which no target needs: they may be absurd."""
    kept = with_light(found.readings, basis)
    return replace(found, readings=tuple(replace(each, x=None, y=None) for each in kept))


def method_of(first: Measured, beside: References) -> str:
    """How the patches were judged, for people."""
    transfer = first.signal.get("transfer")
    method = (
        "Each patch against what its codes as shown stand for, with white "
        f"{first.aim.told_white_point()}: "
        f"{_target_of(first, beside)}. "
    )
    if transfer in ("pq", "hlg"):
        method += (
            "Delta E ITP only: CIEDE2000 is made for surface colours under one white, and these "
            "pictures go far above it. Lightness, chroma and hue are those of I, T, P, in units of "
            "delta E ITP."
        )
    else:
        method += (
            "CIEDE2000 and L*a*b* are relative to that white at the luminance of the measured one, "
            "so an error of white's colour counts in every patch; delta E ITP is worked out in "
            "cd/m2."
        )
    return method + (
        f" {OUTSIDE} Averages count every patch alike. The uncertainty is worked out from draws of "
        "what the readings may really have been. That of the largest is of the patch that reads "
        "largest: chosen for that, it lies rather too high than too low."
    )


def _target_of(first: Measured, beside: References) -> str:
    white = beside.white.called or "white (not read)"
    black = beside.black.called if beside.black.readings else "a black of 0"
    return Aimed.of(first).told_curve(white, black)


def series_of(found: Judged, patches: Sequence[Patch], group: Group) -> Series:
    """All numbers of each patch."""
    lights, count = found.lights, found.count
    x, y = xy_with_spread(found)
    aimed = xy_of(found.target)
    luminance = (
        lights.luminance[:count],
        lights.spread(lights.luminance[:count], lights.drawn_luminance[:, :count], colour=False),
    )
    relative = found.de2000
    in_lab = relative is not None
    of_what = "L*, C*, H* of CIELAB" if in_lab else "I, T, P in units of delta E ITP"
    columns = [
        (Column("luminance", "Luminance", "cd/m2"), luminance),
        (Column("x", "x"), x),
        (Column("y", "y"), y),
        (Column("target-luminance", "Target", "cd/m2"), (found.target[:, 1], None)),
        (Column("target-x", "Target x"), (aimed[:, 0], None)),
        (Column("target-y", "Target y"), (aimed[:, 1], None)),
    ]
    differences = [
        (
            Column("delta-e-2000", "Delta E 2000"),
            [Number(None)] * count if relative is None else distances_of(relative),
        ),
        (Column("delta-e-itp", "Delta E ITP"), distances_of(found.itp)),
    ]
    spread = lights.spread(found.parts, found.drawn_parts)
    by_part = [
        (
            Column(name, f"Difference of {name} ({of_what})"),
            numbers_of(found.parts[:, place], None if spread is None else spread[:, place]),
        )
        for place, name in enumerate(("lightness", "chroma", "hue"))
    ]
    filled = [
        *((column, numbers_of(*each)) for column, each in columns),
        *differences,
        *by_part,
    ]
    numbers = [each for _, each in filled]
    rows = [
        Row(
            patch.first.label,
            tuple(each[n] for each in numbers),
            {**patch.where, "clipped": True} if patch.clipped else patch.where,
            tuple(sorted(reading.reading for reading in lights.things[n])),
        )
        for n, patch in enumerate(patches)
    ]
    return Series(group.series, group.title, tuple(column for column, _ in filled), tuple(rows))


def warn_of(
    found: Judged | None,
    patches: Sequence[Patch],
    group: Group,
    beside: References,
    basis: Basis,
) -> None:
    """What is missing, partial or absurd."""
    if found is None:
        basis.warn("No patch was read with its colour, so no difference of colour is known.")
        return
    shown = len(patches)
    if group.size is not None and shown < group.size:
        basis.warn(
            f"{shown} of {group.size} patches were read: the average and the largest are of those."
        )
    clipped = [patch.called for patch in patches if patch.clipped]
    if clipped:
        lies = "lies" if len(clipped) == 1 else "lie"
        basis.warn(
            f"What the signal cannot hold ({', '.join(clipped)}) was shown as the nearest that it "
            f"holds, and is judged by the codes shown: how far the colour asked for {lies} off is "
            "not counted."
        )
    beyond = [patch.called for patch, ok in zip(patches, found.reached, strict=True) if not ok]
    if beyond:
        peak = written(float(found.lights.luminance[shown]))[0]
        basis.warn(
            f"{len(beyond)} of {shown} patches ask for more light than the display's white has "
            f"({peak} cd/m2): {', '.join(beyond[:6])}{', …' if len(beyond) > 6 else ''}. They "
            "tell of its peak and not of its colour, and count in no average."
        )
    unknown = int((~np.isfinite(found.target).all(-1)).sum())
    if beside.relative:
        _warn_of_references(found, beside, basis)
    if unknown and (beside.white.readings or not beside.relative):
        basis.warn(
            f"What the codes of {unknown} patches stand for is not known, so their differences of "
            "colour are not."
        )
    floor = sum(found.lights.at_floor[:shown])
    if floor:
        basis.warn(
            f"{floor} of {shown} patches are no brighter than the meter is specified for: their "
            "colours mean little."
        )


def _warn_of_references(found: Judged, beside: References, basis: Basis) -> None:
    if not beside.white.readings:
        basis.warn(
            "No white was read, in this run or another of the same condition: what the codes "
            "stand for is not known, so there are no differences of colour."
        )
        return
    elsewhere = [
        each.called
        for each in (beside.white, beside.black)
        if each.readings and each.elsewhere is not None
    ]
    if elsewhere:
        basis.warn(
            f"Taken from another run: {' and '.join(elsewhere)}. What the display drifted since "
            "counts as its error."
        )
    place = found.count
    white = float(found.lights.luminance[place])
    if not found.lights.first[0].aim.takes_black:
        pass
    elif not beside.black.readings:
        basis.warn(
            "No black was read: targets take it as 0, so a display with a raised black seems too "
            "light in dark and middle tones."
        )
    elif float(found.lights.luminance[-1]) < 0:
        basis.warn("Black reads below 0; targets take it as 0.")
    if white <= max(float(found.lights.luminance[-1]) if beside.black.readings else 0.0, 0.0):
        basis.warn("White reads no brighter than black: were they swapped? There are no targets.")
    elif beside.black.readings and white <= ALIKE * float(found.lights.luminance[-1]):
        basis.warn(
            "White is hardly brighter than black: is the display showing the patterns? What the "
            "codes stand for means little."
        )
    elif float(found.lights.luminance[:place].max()) > TOO_BRIGHT * white:
        basis.warn(
            "A patch is brighter than white: was white mistyped, or read in another state of the "
            "display?"
        )


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
            aims=("curve", "white point"),
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
            each="colour",
            aims=("curve", "white point"),
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
    basis = Basis(aimed=Aimed.of(mine[0]))
    patches = patches_of(mine, group, basis)
    beside = References.of(mine, readings, basis)
    found = None
    values: list[Value] = [Value("delta-e-itp-average", "Average delta E ITP", None, "")]
    if patches:
        repeats = [patch.repeats for patch in patches]
        found = judged(repeats, beside.white.readings, beside.black.readings, basis)
        values = _values(found, patches)
    warn_of_order(mine, basis)
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
    hue = number_of(turned.mean())
    # a grey aims at no hue, so of greys alone there is none, whatever the meter errs by
    if hue.interval is None or hue.interval[1] - hue.interval[0] > NO_UNCERTAINTY:
        label = "Average size of the difference of hue"
        values.append(value_of("hue-difference-average", label, hue, ""))
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
            parts=tuple(
                Part(f"Delta E {which}: {patch.called}", each)
                for patch, each in zip(patches, distances_of(distance), strict=True)
            ),
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
    ends = average.interval()
    if ends is not None and np.isfinite(average.value) and ends[0] <= 0:
        alone = float(average.errors())
        basis.warn(
            f"Errors of the meter alone could make an average like this. They only ever add to "
            f"a delta E: this one would find about {alone:.1f} (delta E {which}) on a display "
            "without any error, so the true average may be far smaller."
        )
