"""Uniformity: how luminance, colour and contrast differ from place to place."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import cast

import numpy as np

from patterns.picture.spots import POINTS, SOURCES, Count
from readings.colorimetry.chromaticity import xy_of
from readings.evidence.distance import WithDraws, largest_delta_uv_of, non_uniformity_of
from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.shown import grey_value
from readings.evidence.uncertainty import written
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, with_light
from readings.findings.kind import OWN, Drawn, Few, FindingKind, Limit, Reads
from readings.findings.ratio import level_number
from readings.findings.share import (
    number_of,
    of_the_highest,
    percent_of,
    shifts_from,
    value_of,
    with_possible_colour,
    without_colour,
)

Place = tuple[float, float]
"""% of the width and of the height."""


def place_of(reading: Measured) -> Place | None:
    """Where the meter was pointed, from the number of the point or place."""
    number: int | None
    if reading.kind == "window":
        number = whole_number(reading.parameters.get("place"))
        points = POINTS[25]
    else:
        if reading.kind == "ebu-square":
            count, number = 13, whole_number(reading.parameters.get("point"))
        else:
            found = re.search(r"\bpoint\s+(\d{1,3})\b", reading.of or "", re.IGNORECASE)
            count = whole_number(reading.parameters.get("points")) or 0
            number = int(found[1]) if found else whole_number(reading.variables.get("point"))
        points = POINTS.get(cast(Count, count), ())
    if number is None or not 1 <= number <= len(points):
        return None
    x, y = points[number - 1]
    return float(100 * x), float(100 * y)


def whole_number(value: object) -> int | None:
    """A number of one to three digits, however it was written."""
    text = str(value).strip()
    return int(text) if text.isdecimal() and len(text) < 4 else None


def how_many(reading: Measured) -> int | None:
    """How many places the picture has; None where it is not told."""
    return {"window": 25, "ebu-square": 13}.get(
        reading.kind, whole_number(reading.parameters.get("points"))
    )


def of_idms(reading: Measured) -> bool:
    """Whether the places are those of IDMS 8.1."""
    return reading.kind == "uniformity" and how_many(reading) in {5, 9}


def source_of(reading: Measured) -> str:
    """Whose places they are, for the method."""
    if reading.kind == "window":
        return "a window in one box of a 5 x 5 grid after the other, our own"
    if reading.kind == "ebu-square":
        return "squares of EBU_3, EBU Tech 3325 v2.0 (2022), second-hand"
    return SOURCES.get(cast(Count, how_many(reading)), "not known")


def level_of(reading: Measured) -> str:
    """What was shown, and at how many places, for people."""
    value = grey_value(reading)
    size = f", {how_many(reading)} places" if how_many(reading) else ""
    if value is None:
        codes = max(reading.inks.values(), key=sum, default=())
        return f"codes {', '.join(map(str, codes))}{size}"
    name = {1.0: "white", 0.0: "black"}.get(value, f"grey {written(100 * value)[0]} %")
    return f"{name}{size}"


def where_of(place: Place, reading: Measured) -> dict[str, object]:
    """The place and the signal, for a value or a row."""
    value = grey_value(reading)
    signal = {} if value is None else {"signal_percent": round(100 * value, 3)}
    return {"place_x_percent": place[0], "place_y_percent": place[1], **signal}


def off_centre(place: Place) -> float:
    """Distance from the centre, in percent of width and height."""
    return float(np.hypot(place[0] - 50, place[1] - 50))


Picture = tuple[str, int | None, str]
"""Kind, how many points, and the codes shown: what one uniformity is made of."""


def contrasts(levels: Mapping[Picture, list[Measured]]) -> list[Finding]:
    """IDMS 8.1.3: the contrast of white to black at each place, and how much it differs."""
    findings = []
    ends: dict[tuple[str, int | None, float], list[Measured]] = {}
    for (kind, count, _), group in levels.items():
        value = grey_value(group[0])
        if kind == "uniformity" and value in (0.0, 1.0):
            ends[kind, count, value] = group
    for (kind, count, value), whites in ends.items():
        blacks = ends.get((kind, count, 0.0))
        if value == 1.0 and blacks:
            finding = _contrast_uniformity(whites, blacks)
            if finding is not None:
                findings.append(finding)
    return findings


def _contrast_uniformity(whites: Sequence[Measured], blacks: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    sides = [
        grouped(
            (r for r in without_colour(with_light(each, basis)) if place_of(r) is not None),
            place_of,
        )
        for each in (whites, blacks)
    ]
    both = [place for place in sides[0] if place in sides[1]]
    if len(both) < 2:
        return None
    # together, so that white and black of one meter draw the same gain
    lights = lights_of([side[place] for side in sides for place in both], basis)
    value = _of_contrast(lights, len(both), basis)
    return basis.finding(
        "uniformity",
        whites[0],
        title="Uniformity of contrast",
        values=[value],
        method="Contrast of white to black at each place: N = 100 % × (1 − lowest / highest).",
        source="ICDM IDMS, an edition before v1.3, 8.1.3 (seen)",
    )


def _of_contrast(lights: Lights, count: int, basis: Basis) -> Value:
    """Of whites, and then as many blacks of the same places."""
    name, label = "contrast-non-uniformity", "Non-uniformity of contrast"
    where = {"places": count}
    light, drawn = lights.luminance, lights.drawn_luminance
    if any(lights.at_floor) or light.min() <= 0:
        basis.warn(
            "Some places are at the meter's floor, or at 0, so the contrast there is not known, "
            "and neither is its uniformity."
        )
        return Value(name, label, None, "%", where=where)
    with np.errstate(divide="ignore"):
        contrast = WithDraws(light[:count] / light[count:], drawn[:, :count] / drawn[:, count:])
    found = non_uniformity_of(contrast, known=lights.knows(colour=False))
    return value_of(name, label, number_of(found), "%", where)


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
