"""What the finding of colour says beside its values: the method, the series, the warnings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from readings.colorimetry.chromaticity import Floats, xy_of
from readings.evidence import Measured
from readings.findings.base import Column, Row, Series
from readings.findings.basis import Basis, with_light
from readings.findings.colour_judged import Judged, xy_with_spread
from readings.findings.colour_patches import Group, Patch
from readings.findings.greys import numbers_of
from readings.findings.ratio import ALIKE
from readings.references import Reference, black_of, white_of
from readings.uncertainty import written

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
    said = (
        "Each patch against what its codes as shown stand for, with white D65: "
        f"{_target_of(transfer, beside)}. "
    )
    if transfer in ("pq", "hlg"):
        said += (
            "Delta E ITP only: CIEDE2000 is made for surface colours under one white, and these "
            "pictures go far above it. Lightness, chroma and hue are those of I, T, P, in units of "
            "delta E ITP."
        )
    else:
        said += (
            "CIEDE2000 and L*a*b* are relative to D65 at the luminance of the measured white, so "
            "an error of white's colour counts in every patch; delta E ITP is worked out in cd/m2."
        )
    return said + (
        " Averages count every patch alike. The uncertainty is worked out from draws of what the "
        "readings may really have been. That of the largest is of the patch that reads largest: "
        "chosen for that, it lies rather too high than too low."
    )


def _target_of(transfer: object, beside: References) -> str:
    if transfer == "pq":
        return "PQ, in absolute cd/m2"
    white = beside.white.called or "white (not read)"
    black = beside.black.called if beside.black.readings else "a black of 0"
    if transfer == "hlg":
        return f"HLG for a nominal peak of {white}, with {black}"
    return f"BT.1886 between {white} and {black}"


def series_of(found: Judged, patches: Sequence[Patch], group: Group) -> Series:
    """All numbers of each patch."""
    lights, count = found.lights, found.count
    x, y = xy_with_spread(found)
    aimed = xy_of(found.target)
    nothing: Floats = np.full(count, np.nan)
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
        (
            Column("delta-e-2000", "Delta E 2000"),
            (nothing, None) if relative is None else (relative.value, relative.expanded()),
        ),
        (Column("delta-e-itp", "Delta E ITP"), (found.itp.value, found.itp.expanded())),
    ]
    spread = lights.spread(found.parts, found.drawn_parts)
    for place, name in enumerate(("lightness", "chroma", "hue")):
        column = Column(name, f"Difference of {name} ({of_what})")
        columns.append(
            (column, (found.parts[:, place], None if spread is None else spread[:, place]))
        )
    numbers = [numbers_of(*told) for _, told in columns]
    rows = [
        Row(
            patch.first.label,
            tuple(each[n] for each in numbers),
            {**patch.where, "clipped": True} if patch.clipped else patch.where,
            tuple(sorted(reading.reading for reading in lights.things[n])),
        )
        for n, patch in enumerate(patches)
    ]
    return Series(group.series, group.title, tuple(column for column, _ in columns), tuple(rows))


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
    if not beside.black.readings:
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
