"""Uniformity: how luminance, colour and contrast differ from place to place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from readings.colorimetry.chromaticity import xy_of
from readings.distance import WithDraws, largest_delta_uv_of, non_uniformity_of
from readings.evidence import Measured
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, with_light
from readings.findings.kind import OWN, Drawn, Few, FindingKind, Limit, Reads
from readings.findings.places import (
    Place,
    how_many,
    level_of,
    of_idms,
    off_centre,
    place_of,
    source_of,
    where_of,
    whole_number,
)
from readings.findings.ratio import level_number
from readings.findings.share import (
    number_of,
    of_the_highest,
    percent_of,
    shifts_from,
    value_of,
    with_possible_colour,
)
from readings.findings.uniformity_contrast import Picture, contrasts
from readings.lights import Lights, lights_of
from readings.uncertainty import written

ROLES = {"uniformity", "place", "ebu-3"}
DRIFT = 2.0
"""%: a limit of our own for what the first place may change while the others are read."""
IDMS = "ICDM IDMS, an edition before v1.3, 8.1 (sampled uniformity; seen)"
COLUMNS = (
    Column("place-x", "Place across", "% of the width"),
    Column("place-y", "Place down", "% of the height"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("share", "Share of the brightest", "%"),
    Column("delta-uv", "Δu′v′ from the centre"),
)


class Uniformity(FindingKind):
    """Non-uniformity of luminance and of colour, per run and level; of contrast, per run.

    Reads the roles `uniformity` on a `uniformity`, `place` on a `window` in one of its places,
    `ebu-3` on an `ebu-square`, and `drift` beside them.
    """

    name = "uniformity"
    subject = "uniformity over the screen"
    reads = (
        Reads(
            ("uniformity",),
            "a `uniformity`, with `point 1`, `point 2` ... in what is read",
            beside=("drift",),
        ),
        Reads(("place",), "a `window` with a `place`", beside=("drift",)),
        Reads(("ebu-3",), "an `ebu-square`"),
    )
    limits = (
        Limit(
            ("non-uniformity",),
            "at most",
            25.0,
            "%",
            OWN,
            "The screen is evenly bright",
            "The screen is unevenly bright",
            "Whether the screen is evenly bright cannot be told",
            few=Few("place", "The screen is evenly bright", "The screen is unevenly bright"),
        ),
        Limit(
            ("colour-non-uniformity",),
            "at most",
            0.010,
            "",
            OWN,
            "The screen has one colour all over",
            "The screen changes colour from place to place",
            "Whether the screen has one colour all over cannot be told",
            few=Few(
                "place",
                "The screen has one colour",
                "The screen changes colour from place to place",
            ),
        ),
    )
    pictures = (Drawn("uniformity"),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        findings = []
        for mine in by_run(readings).values():
            read = [r for r in mine if r.role in ROLES and _counts(r)]
            levels = grouped(read, _picture)
            for group in levels.values():
                finding = _finding(group, mine)
                if finding is not None:
                    findings.append(finding)
            findings += contrasts(levels)
        return findings


def _counts(reading: Measured) -> bool:
    return reading.kind in {"uniformity", "window", "ebu-square"}


def _picture(reading: Measured) -> Picture:
    codes = str(sorted(reading.inks.items()))
    return reading.kind, whole_number(reading.parameters.get("points")), codes


def _finding(group: Sequence[Measured], mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    level = level_of(group[0])
    row = "Non-uniformity of luminance"
    undefined = Value("non-uniformity", f"{row}, {level}", None, "%", row=row)
    source = IDMS if of_idms(group[0]) else f"After {IDMS}, at other places"
    places, lights = _lights(group, basis)
    if lights is None:
        return basis.nothing(
            "uniformity", group[0], title=f"Uniformity, {level}", value=undefined, source=source
        )
    if len(places) < 2:
        basis.warn("Only one place was read, so nothing can be said of uniformity.")
        basis.used += [reading for thing in lights.things for reading in thing]
        return basis.nothing(
            "uniformity", group[0], title=f"Uniformity, {level}", value=undefined, source=source
        )
    values = [_of_luminance(places, lights, level, basis)]
    values += _of_colour(lights, basis)
    ends = (np.argmin(lights.luminance), np.argmax(lights.luminance))
    for name, label, n in zip(
        ("lowest", "highest"), ("Darkest place", "Brightest place"), ends, strict=True
    ):
        light = level_number([lights.estimates[int(n)]])
        where = where_of(places[int(n)], group[0])
        values.append(value_of(f"{name}-luminance", label, light, "cd/m2", where))
    values += _drift(group, mine, basis)
    wanted = how_many(group[0])
    if wanted and len(places) < wanted:
        basis.warn(f"{len(places)} of {wanted} places were read.")
    return basis.finding(
        "uniformity",
        group[0],
        title=f"Uniformity, {level}",
        values=values,
        method=(
            f"Luminance at {len(places)} places: N = 100 % × (1 − lowest / highest). Colour: the "
            f"largest Δu′v′ over all pairs of places. Places: {source_of(group[0])}. Scatter of "
            "the meter makes both figures larger rather than smaller; the uncertainty includes "
            "that."
        ),
        source=source,
        series=[_series(places, lights, group)],
    )


def _lights(group: Sequence[Measured], basis: Basis) -> tuple[list[Place], Lights | None]:
    shown = grouped(with_possible_colour(with_light(group, basis)), place_of)
    if None in shown:
        basis.warn("Some readings do not say at which place they were taken and do not count.")
    found = {place: repeats for place, repeats in shown.items() if place is not None}
    places = sorted(found, key=lambda place: (place[1], place[0]))
    return places, lights_of([found[place] for place in places], basis) if places else None


def _of_luminance(places: Sequence[Place], lights: Lights, level: str, basis: Basis) -> Value:
    name, row = "non-uniformity", "Non-uniformity of luminance"
    label, count = f"{row}, {level}", len(places)
    light, drawn = lights.luminance, lights.drawn_luminance
    if any(lights.at_floor):
        basis.warn("Some places are at the meter's floor, so no non-uniformity is worked out.")
        return Value(name, label, None, "%", row=row, count=count)
    if not light.max() > 0:
        basis.warn("No place gives light, so its non-uniformity is undefined.")
        return Value(name, label, None, "%", row=row, count=count)
    found = non_uniformity_of(WithDraws(light, drawn), known=lights.knows(colour=False))
    where = {"places": count}
    return value_of(name, label, number_of(found), "%", where, row=row, count=count)


def _of_colour(lights: Lights, basis: Basis) -> list[Value]:
    coloured = np.flatnonzero(lights.coloured)
    if not lights.coloured.any():
        return []
    if len(coloured) < len(lights.things):
        basis.warn("Not every place was read with its colour: those without do not count there.")
    if len(coloured) < 2:
        return []
    xy = WithDraws(lights.xy[coloured], xy_of(lights.drawn_xyz[:, coloured]))
    found = largest_delta_uv_of(xy, known=lights.knows())
    label, count = "Largest Δu′v′ between two places", len(coloured)
    where = {"places": count}
    name = "colour-non-uniformity"
    return [value_of(name, label, number_of(found), "", where, count=count)]


def _drift(group: Sequence[Measured], mine: Sequence[Measured], basis: Basis) -> list[Value]:
    """The first place read again at the end."""
    picture, values = _picture(group[0]), []
    again = [r for r in mine if r.role == "drift" and _counts(r) and _picture(r) == picture]
    for place, repeats in grouped(with_light(again, basis), place_of).items():
        first = with_light([r for r in group if place is not None and place_of(r) == place], basis)
        if not first:
            continue
        share = percent_of([basis.estimate(repeats)], [basis.estimate(first)], basis, "the place")
        if share.value is None or share.bound:
            continue
        change = share.value - 100
        values.append(
            value_of("drift", "Change of the place read again at the end",
                     Number(change, share.uncertainty), "%", where_of(place or (0, 0), group[0]))
        )  # fmt: skip
        if abs(change) > max(DRIFT, share.uncertainty or 0.0):
            basis.warn(
                f"The place read again at the end had changed by {written(change, 1.0)[0]} %: some "
                "of what looks like non-uniformity may be drift."
            )
    return values


def _series(places: Sequence[Place], lights: Lights, group: Sequence[Measured]) -> Series:
    quiet = Basis()  # what there is to warn of is said by the values
    brightest = lights.estimates[int(np.argmax(lights.luminance))]
    centre = min(range(len(places)), key=lambda n: (off_centre(places[n]), n))
    shifts: list[Number] = [Number(None)] * len(places)
    if off_centre(places[centre]) < 1 and lights.coloured[centre]:
        shifts = shifts_from(lights, centre)
    rows = []
    for n, (x, y) in enumerate(places):
        estimate = lights.estimates[n]
        share = Number(100.0)
        if estimate is not brightest:
            share = percent_of([estimate], [brightest], quiet, "the brightest place")
            share = of_the_highest(share, estimate, brightest, lights.estimates)
        numbers = (Number(x), Number(y), level_number([estimate]), share, shifts[n])
        used = tuple(sorted(reading.reading for reading in lights.things[n]))
        label = lights.things[n][0].of or lights.things[n][0].label
        rows.append(Row(label, numbers, where_of((x, y), group[0]), used))
    return Series("uniformity", "Place by place", COLUMNS, tuple(rows))
