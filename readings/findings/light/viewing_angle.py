"""Viewing angle: what luminance and colour become when seen from the side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from readings.evidence.lights import Lights, lights_of
from readings.evidence.measured import Measured
from readings.evidence.shown import grey_value
from readings.evidence.uncertainty import written
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import Drawn, FindingKind, Reads
from readings.findings.ratio import level_number
from readings.findings.share import (
    percent_of,
    plain_number,
    shifts_from,
    value_of,
    with_possible_colour,
)

THRESHOLDS = (0.010, 0.015, 0.020)
"""Of delta u'v' against the straight view: ICDM IDMS 9.6, an edition before v1.3 (seen)."""
STEEPEST = 90.0
"""Degrees: from farther round there is no picture to see."""
SOURCE = (
    "ICDM IDMS, an edition before v1.3, 9.4 (luminance) and 9.6 (colour: limits .010, .015 and "
    ".020), both seen"
)
COLUMNS = (
    Column("angle", "Angle from the straight view", "°"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("loss", "Loss of luminance", "%"),
    Column("delta-uv", "Δu′v′ from the straight view"),
)
View = tuple[str, float]
"""Direction (empty for the straight view) and angle, degrees."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One view beside the straight one."""

    view: View
    light: Number
    loss: Number
    shift: Number
    readings: tuple[int, ...]


class ViewingAngle(FindingKind):
    """Loss of luminance and shift of colour against the straight view, per run and codes.

    Reads the role `viewing-angle` with the variables `angle` and `direction`.
    """

    name = "viewing-angle"
    subject = "the view from the side"
    reads = (
        Reads(
            ("viewing-angle",),
            "anything, with `angle` (degrees, 0 straight on) and `direction` in `each`",
            ("colour", "luminance"),
        ),
    )
    limits = ()
    pictures = (Drawn("viewing_angle"),)
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(
            _finding(group)
            for mine in by_run(readings).values()
            for group in grouped(
                (r for r in mine if r.role == "viewing-angle"),
                lambda r: (r.kind, str(sorted(r.inks.items()))),
            ).values()
        )


def _finding(group: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    shown = grouped(with_possible_colour(with_light(group, basis)), view_of)
    if None in shown:
        basis.warn(
            "Some readings do not say at which angle they were taken (a variable angle, 0 to 90 "
            "degrees) and do not count."
        )
    placed = {view: repeats for view, repeats in shown.items() if view is not None}
    views = sorted(placed, key=lambda view: (view[1] != 0, view[0], view[1]))
    title = f"Viewing angle, {_level(group[0])}"
    unknown = Value("viewing-loss", "Loss of luminance", None, "%")
    if not views:
        return basis.nothing("viewing-angle", group[0], title=title, value=unknown, source=SOURCE)
    lights = lights_of([placed[view] for view in views], basis)
    values: list[Value] = []
    seen: list[Seen] = []
    if views[0][1] != 0:
        basis.warn("The straight view was not read, so there is nothing to compare with.")
        values.append(unknown)
        seen = [_alone(view, lights, n) for n, view in enumerate(views)]
    else:
        if lights.luminance[0] <= 0 or lights.at_floor[0]:
            basis.warn("The straight view reads at the meter's floor, or 0: nothing is lost of it.")
        seen = _compared(views, lights, basis)
        for direction in dict.fromkeys(each.view[0] for each in seen[1:]):
            side = [each for each in seen[1:] if each.view[0] == direction]
            values += _of_direction(direction, side)
        if len(views) == 1:
            basis.warn("Only the straight view was read.")
    straight = [each for each in seen if each.view[1] == 0]
    values += [value_of("straight-luminance", "Straight view", s.light, "cd/m2") for s in straight]
    return basis.finding(
        "viewing-angle",
        group[0],
        title=title,
        values=values,
        method=(
            "Loss of luminance = (straight view − view) / straight view; Δu′v′ against the "
            "straight view. The largest angle within a limit is the largest one read up to which "
            "all angles of that direction are within it; what lies between two angles is not known."
        ),
        source=SOURCE,
        series=(_series(seen),),
    )


def view_of(reading: Measured) -> View | None:
    """Direction and angle; None where no angle is told."""
    angle = plain_number(reading.variables.get("angle", ""))
    if angle is None or not 0 <= abs(angle) <= STEEPEST:
        return None
    direction = str(reading.variables.get("direction", "")).strip()
    if angle == 0:
        return "", 0.0
    if angle < 0:
        direction = f"{direction} negative".strip()
    return direction or "side", abs(angle)


def _level(reading: Measured) -> str:
    value = grey_value(reading)
    if value is None:
        return reading.kind
    return {1.0: "white", 0.0: "black"}.get(value, f"grey {written(100 * value)[0]} %")


def _alone(view: View, lights: Lights, n: int) -> Seen:
    light = level_number([lights.estimates[n]])
    return Seen(view, light, Number(None), Number(None), _used(lights, n))


def _used(lights: Lights, n: int) -> tuple[int, ...]:
    return tuple(sorted(reading.reading for reading in lights.things[n]))


def _compared(views: Sequence[View], lights: Lights, basis: Basis) -> list[Seen]:
    """All views against the first one, the straight one."""
    shifts = _shifts(lights)
    straight = lights.estimates[0]
    seen = [Seen(views[0], level_number([straight]), Number(0.0), shifts[0], _used(lights, 0))]
    for n, view in enumerate(views[1:], 1):
        estimate = lights.estimates[n]
        share = percent_of([estimate], [straight], basis, "the straight view")
        lost = None if share.value is None else 100 - share.value
        loss = Number(lost, share.uncertainty, "lower" if share.bound else None)
        seen.append(Seen(view, level_number([estimate]), loss, shifts[n], _used(lights, n)))
    return seen


def _shifts(lights: Lights) -> list[Number]:
    """Distance in u', v' of each view from the first; not defined where colour is missing."""
    if not lights.coloured[0]:
        return [Number(None)] * len(lights.things)
    return shifts_from(lights, 0)


def _of_direction(direction: str, side: Sequence[Seen]) -> list[Value]:
    """Of the largest angle, and how far the limits of colour are kept."""
    farthest = side[-1]
    angle = farthest.view[1]
    where: dict[str, object] = {"direction": direction, "angle_degrees": angle}
    place = f"{direction} {written(angle)[0]}°"
    values = []
    if farthest.loss.value is not None:
        values.append(
            value_of("viewing-loss", f"Loss of luminance, {place}", farthest.loss, "%", where)
        )
    if farthest.shift.value is not None:
        values.append(value_of("viewing-shift", f"Δu′v′, {place}", farthest.shift, "", where))
    shifts = [(each.view[1], each.shift.value) for each in side]
    if all(shift is not None for _, shift in shifts):
        values += _within(direction, shifts)
    return values


def _within(direction: str, shifts: Sequence[tuple[float, float | None]]) -> list[Value]:
    """The largest angle read up to which all shifts lie within a limit, a lower bound.

    Told of the tightest limit, and of a wider one where it reaches farther.
    """
    values = []
    before = -1.0
    for limit in THRESHOLDS:
        kept = 0.0
        for angle, shift in shifts:
            if shift is None or shift > limit:
                break
            kept = angle
        if kept > before:
            label = f"Δu′v′ within {limit:.3f}, {direction}"
            where = {"direction": direction, "limit": limit}
            values.append(Value("viewing-within", label, kept, "°", None, "lower", where))
        before = kept
    return values


def _series(seen: Sequence[Seen]) -> Series:
    rows = [
        Row(
            "straight" if each.view[1] == 0 else f"{each.view[0]} {written(each.view[1])[0]}°",
            (Number(each.view[1]), each.light, each.loss, each.shift),
            {"direction": each.view[0] or "straight", "angle_degrees": each.view[1]},
            each.readings,
        )
        for each in seen
    ]
    return Series("viewing-angle", "View by view", COLUMNS, tuple(rows))
