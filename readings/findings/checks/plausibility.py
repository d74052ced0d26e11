"""Readings against each other: what cannot be, or can hardly be, is said before it is believed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from math import inf

import numpy as np

from readings.colorimetry.chromaticity import D65, uv_distance, xyz_of
from readings.colorimetry.locus import may_be_light
from readings.evidence.measured import Measured
from readings.evidence.shown import area_of, codes_of, grey_value, is_grey, signal_of, values_of
from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE, Estimate, ratio_of, written
from readings.findings.base import Doubt, Finding, Judgement, Value
from readings.findings.basis import (
    Basis,
    by_run,
    grouped,
    last_digit,
    light,
    only_found,
    with_light,
)
from readings.findings.checks.shown_as_black import shown_as_black
from readings.findings.checks.standing_still import doubted, look_for_a_meter_that_stood_still
from readings.findings.kind import FindingKind, Reads
from readings.findings.share import (
    asked_of,
    has_colour,
    plain_number,
    room_for,
    with_possible_colour,
)

KINDS = {"field", "window", "ebu-grey"}
"""Pictures of one grey on black or on nothing; those of one kind and area are alike."""
UNKNOWN, DIGITS = 0.05, 3
"""A fall that counts where nothing is known of the meter: that share, and so many of its last
digits. Our own."""


def look_for_steps_down(lit: Sequence[Measured], basis: Basis, quiet: Basis) -> None:
    """Warn where a higher code reads darker, by more than chance makes of so many comparisons.

    First differences of ICDM IDMS 6.14, an edition before v1.3 (seen). Where none of them is large
    enough by itself, the two steps farther apart that go down most clearly are told.

    Args:
        lit: of one run, with a luminance; none that was read to see a change.
        basis: gets the warnings and the readings that they are about.
        quiet: gets what the estimates warn of.
    """
    greys = [r for r in lit if r.kind in KINDS and grey_value(r) is not None]
    ladders = []
    for alike in grouped(greys, _picture).values():
        steps = grouped(alike, lambda r: grey_value(r) or 0.0)
        estimates = [(value, quiet.estimate(steps[value])) for value in sorted(steps)]
        ladders.append(
            [_Step(v, e, steps[v]) for v, e in estimates if e.value > 0 and not e.at_floor]
        )
    count = sum(len(ladder) * (len(ladder) - 1) // 2 for ladder in ladders)
    for ladder in ladders:
        told = [(a, b) for a, b in pairwise(ladder) if _fall(a, b, count) > 1]
        if not told:
            falls = [(_fall(a, b, count), a, b) for a, b in combinations(ladder, 2)]
            most = max(falls, key=lambda each: each[0], default=None)
            told = [most[1:]] if most is not None and most[0] > 1 else []
        for below, above in told:
            basis.used += [*below.repeats, *above.repeats]
            names = " and ".join(f"{written(100 * each.value)[0]} %" for each in (below, above))
            low, high = (written(e.light.value, e.light.expanded)[0] for e in (below, above))
            basis.warn(f"Grey goes down between {names} of the signal: {high} after {low} cd/m2.")


@dataclass(frozen=True, eq=False)
class _Step:
    """One grey of a ladder, brighter than nothing and than the meter's floor."""

    value: float
    """E'."""
    light: Estimate
    repeats: list[Measured]


def _fall(below: _Step, above: _Step, count: int) -> float:
    """How far the higher of two greys reads below the lower one, over what chance makes of it.

    Args:
        below: the one of the lower signal.
        above: the other.
        count: how many comparisons are made in the run.
    """
    low, high = below.light, above.light
    if high.value >= low.value:
        return 0.0
    share = ratio_of([high], [low])
    if share.expanded is None:
        digit = last_digit([*below.repeats, *above.repeats]) or 0.0
        room = max(UNKNOWN, DIGITS * digit / low.value)
    else:
        room = share.expanded / COVERAGE * surely(count, min(low.degrees, high.degrees))
    return (1 - share.value) / room if room > 0 else inf


def _picture(reading: Measured) -> tuple[str, float, str]:
    area = area_of(reading)
    rest = {name: codes for name, codes in reading.inks.items() if name != "level"}
    return reading.kind, round(area or 0.0, 1), str(sorted(rest.items()))


ENOUGH = 3
"""Pictures that differ from which on one and the same reading is no chance."""
DIM, APART = 0.5, 0.1
"""Signal values: a display that clips shows bright greys alike, and none below `DIM`."""


def look_for_a_stuck_meter(lit: Sequence[Measured], basis: Basis) -> None:
    """Warn where pictures of plainly different codes were all read exactly alike."""
    same = grouped(
        [r for r in lit if light(r) > 0 and codes_of(r) is not None],
        lambda r: (r.instrument, r.luminance, r.x, r.y),
    )
    for (_, luminance, _, _), group in same.items():
        if luminance is None or not _differ(group):
            continue
        basis.used += group
        shown = len({codes_of(r) for r in group})
        basis.warn(
            f"{len(group)} readings of {shown} different pictures are all exactly "
            f"{written(luminance)[0]} cd/m2: does the meter measure anew each time?"
        )


def _differ(group: Sequence[Measured]) -> bool:
    """Whether the pictures cannot have looked alike: dim greys apart, or colours of all kinds."""
    codes = {codes_of(reading) for reading in group}
    if len(codes) < ENOUGH:
        return False
    greys = [value for r in group if (value := grey_value(r)) is not None]
    dim = [value for value in greys if value < DIM]
    if dim and max(greys) - min(dim) > APART:
        return True
    # which channels are the highest: red, yellow, grey ... stand for a colour each
    hues = {tuple(c > 0 and c == max(each) for c in each) for each in codes if each}
    return len(hues) >= ENOUGH


NAMES = ("red", "green", "blue")
STILL = 0.25
"""A channel stands still that rises by less than this share of what the others rise by. Our own."""
RISE = 0.10
"""What the others have to rise by, so that standing still can be told from scatter. Our own."""
CHANNEL_KINDS = {"field", "window", "patch"}


def look_for_clipped_channels(lit: Sequence[Measured], basis: Basis, quiet: Basis) -> None:
    """Warn where one of red, green, blue does not rise with its code and the others do.

    Looks at pure primaries of several levels, and at greys read with their colour, taken apart
    with the signal's own primaries: a display with others mixes the channels a little, which a
    limit as wide as a quarter bears.
    """
    plain = [r for r in lit if r.kind in CHANNEL_KINDS]
    _primaries(plain, basis, quiet)
    greys = [
        r for r in with_possible_colour(plain) if grey_value(r) is not None and r.x is not None
    ]
    for alike in grouped(greys, lambda r: (r.kind, round(area_of(r) or 0.0, 1))).values():
        _greys(alike, basis)


def _primaries(plain: Sequence[Measured], basis: Basis, quiet: Basis) -> None:
    """Pure red, green, blue: each one's highest step over the next lower one."""
    ladders: dict[int, dict[float, list[Measured]]] = {}
    for reading in plain:
        codes, values = codes_of(reading), values_of(reading)
        if codes is None or values is None:
            continue
        on = [n for n in range(3) if values[n] > 0]
        if len(on) == 1:
            ladders.setdefault(on[0], {}).setdefault(float(values[on[0]]), []).append(reading)
    rises: dict[int, tuple[float, float, list[Measured]]] = {}
    for channel, steps in ladders.items():
        if len(steps) < 2:
            continue
        low, high = sorted(steps)[-2:]
        below, above = quiet.estimate(steps[low]), quiet.estimate(steps[high])
        if below.value <= 0 or below.at_floor:
            continue
        share = ratio_of([above], [below])
        readings = [*steps[low], *steps[high]]
        rises[channel] = share.value - 1, share.expanded or 0.0, readings
    for channel, (rise, spread, readings) in sorted(rises.items()):
        others = [other for n, (other, _, _) in rises.items() if n != channel]
        least = min(others, default=0.0)
        if least > RISE and rise < STILL * least and rise + spread < least:
            basis.used += readings
            basis.warn(
                f"{NAMES[channel].capitalize()} rises by {written(100 * rise, 1.0)[0]} % to its "
                f"highest step, the other channels by {written(100 * least, 1.0)[0]} % or more: "
                "it is clipped."
            )


def _greys(alike: Sequence[Measured], basis: Basis) -> None:
    """Grey steps one after the other, the lowest step first at which a channel stands still."""
    signal = signal_of(alike[0])
    if signal is None:
        return
    steps = grouped(alike, lambda r: grey_value(r) or 0.0)
    # darker, the meter's noise makes one channel fall and the others rise
    ordered = [v for v in sorted(steps) if v > 0 and min(map(light, steps[v])) >= COLOURED]
    to_rgb = np.linalg.inv(signal.primaries.matrix)
    found = [to_rgb @ _mean(steps[value]) for value in ordered]
    for lower, higher, below, above in zip(ordered, ordered[1:], found, found[1:], strict=False):
        if below.min() <= 0:
            continue
        rises = above / below - 1
        channel = int(np.argmin(rises))
        least = float(np.delete(rises, channel).min())
        if least > RISE and rises[channel] < STILL * least:
            basis.used += [*steps[lower], *steps[higher]]
            basis.warn(
                f"Between {written(100 * lower)[0]} % and {written(100 * higher)[0]} % of grey "
                f"{NAMES[channel]} rises by {written(100 * float(rises[channel]), 1.0)[0]} %, the "
                f"other channels by {written(100 * least, 1.0)[0]} % or more: it is clipped."
            )
            return


def _mean(repeats: Sequence[Measured]) -> np.ndarray:
    xyz = [xyz_of(light(r), (r.x, r.y)) for r in repeats if r.x is not None and r.y is not None]
    return np.asarray(np.mean(xyz, axis=0))


SOURCE = (
    "Our own checks and limits; steps of grey by first differences after ICDM IDMS, an edition "
    "before v1.3, 6.14 (seen)"
)
DRIFT = 0.02
"""Change of one thing between its first and its last reading that is worth a sentence."""
ABOVE = 1.05
"""By what factor a PQ reading may lie above its code, beyond its uncertainty."""
COLOURED = 1.0
"""cd/m2 below which the colour of a grey is the meter's noise."""
OFF_WHITE, WHITE = 0.012, 0.006
"""u'v' from D65: far off, and near it."""
LIKE_XY = (0.15, 0.45)
"""What x and y of a grey lie between; as cd/m2 that is odd where readings alike are 100 times as
high."""
ONE_LIGHT = {"field", "window", "uniformity", "patch", "ebu-grey"}
"""Pictures of which a meter is pointed at one code alone, wherever it stands."""
FEW_NAMED = 4
"""Readings that a sentence names one by one."""


class Plausibility(FindingKind):
    """What speaks against the readings of a run; no finding where nothing does."""

    name = "plausibility"
    subject = "whether the readings agree with each other"
    reads = (Reads((), "anything"),)
    limits = ()
    pictures = ()
    changing = frozenset()
    all_well = "Checks of the readings against each other find nothing"

    def __init__(self, moved: frozenset[str]) -> None:
        """Check readings of all roles but `moved`, which are taken to see a change, for changes."""
        self.moved = moved

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        found = only_found(
            _finding(mine, readings, self.moved) for mine in by_run(readings).values()
        )
        if not found:
            return found
        lit = with_light(readings, Basis())
        nothing = doubted(lit)
        return [
            replace(each, doubt=Doubt(STOOD, nothing[each.run], wholly=True))
            if each.run in nothing
            else each
            for each in found
        ]


STOOD = "the meter seems not to have been moved to the places that were to be read"


def _finding(
    mine: Sequence[Measured], everything: Sequence[Measured], moved: frozenset[str]
) -> Finding | None:
    basis, quiet = Basis(), Basis()
    lit = with_light(mine, basis)
    sound = {reading.reading for reading in lit}
    basis.used += [r for r in mine if r.luminance is not None and r.reading not in sound]
    values: list[Value] = []
    look_for_a_meter_that_stood_still(lit, basis)
    look_at_units(lit, basis)
    look_at_colour(lit, basis)
    look_above(lit, basis)
    # what is at the floor because blacks are crushed is a fault of the display, told as that
    low = shown_as_black(at_the_floor(lit), mine, everything)
    told = [reading for reading in lit if reading.reading not in low]
    look_at_the_floor(told, basis)
    look_for_a_stuck_meter(told, basis)
    still = [reading for reading in lit if reading.role not in moved]
    look_for_steps_down(still, basis, quiet)
    look_for_clipped_channels(lit, basis, quiet)
    values += look_for_drift(still, basis, quiet)
    look_at_the_way(mine, basis)
    if not basis.warnings:
        return None
    for warning in quiet.warnings if values else []:
        basis.warn(warning)
    finding = basis.finding(
        "plausibility",
        mine[0],
        title="What speaks against the readings",
        values=values,
        method=(
            "Readings of a run compared with each other and with the codes shown: units and "
            "chromaticities that no light has, more light than a code stands for, the meter's "
            "floor, one reading for pictures that differ or for places that do, grey steps that go "
            "down, a channel that stops while the others rise, change between repeats, and "
            "readings taken while the picture was altered. Whether the range of the link is right "
            "is a finding of its own."
        ),
        source=SOURCE,
        guards=False,
    )
    judgement = Judgement("bad", "Some readings are hardly plausible", by_warnings=True)
    return replace(finding, judgement=judgement)


def look_at_units(lit: Sequence[Measured], basis: Basis) -> None:
    """Chromaticity in the place of luminance, or the other way about."""
    _say(
        basis,
        [r for r in lit if r.x is not None and r.y is not None and not has_colour(r)],
        "gives x, y that are no chromaticity: were the columns of Y, x and y exchanged?",
        "give x, y that are no chromaticity: were the columns of Y, x and y exchanged?",
    )
    greys = [r for r in lit if is_grey(r)]
    for group in grouped(greys, _one_light).values():
        usual = float(np.median([light(r) for r in group]))
        odd = [r for r in group if LIKE_XY[0] < light(r) < LIKE_XY[1] and usual > 100 * light(r)]
        _say(
            basis,
            odd,
            "looks like a chromaticity in the place of the luminance.",
            "look like chromaticities in the place of luminances.",
        )


def _one_light(reading: Measured) -> tuple[object, ...]:
    """Equal for readings of one code of one kind of picture, from one side.

    A picture of several lights has several codes, and only its role or its place says which of
    them was read: a dark box of a checkerboard is no reading of its lit ones.
    """
    alike = (codes_of(reading), reading.kind, _side(reading))
    if reading.kind in ONE_LIGHT:
        return alike
    role = reading.role or ""
    told = role.endswith(("lit", "dark"))
    place = "" if told else (reading.of or "").lower()
    return (*alike, str(sorted(reading.inks.items())), role, place)


def look_at_colour(lit: Sequence[Measured], basis: Basis) -> None:
    """Outside the spectral locus; or a grey that is white only once x and y change places."""
    coloured = [
        (r, (r.x, r.y))
        for r in lit
        if r.x is not None and r.y is not None and has_colour(r) and light(r) >= COLOURED
    ]
    if not coloured:
        return
    points = np.array([xy for _, xy in coloured])
    outside = ~may_be_light(points, np.array([room_for(reading) for reading, _ in coloured]))
    _say(
        basis,
        [reading for (reading, _), wrong in zip(coloured, outside, strict=True) if wrong],
        "has a chromaticity outside the spectral locus, which no light has.",
        "have chromaticities outside the spectral locus, which no light has.",
    )
    away, exchanged = uv_distance(points, D65), uv_distance(points[:, ::-1], D65)
    _say(
        basis,
        [
            reading
            for (reading, _), far, near in zip(coloured, away, exchanged, strict=True)
            if is_grey(reading) and far > OFF_WHITE and near < WHITE
        ],
        "is a grey far off white, and white once x and y change places.",
        "are greys far off white, and white once x and y change places.",
    )


def look_above(lit: Sequence[Measured], basis: Basis) -> None:
    """PQ is absolute: more light than the code stands for, beyond the uncertainty."""
    above = []
    for reading in lit:
        if not _plain(reading):
            continue
        target = asked_of(reading, codes_of(reading))
        specification = reading.specification
        stated = specification.luminance_relative_uncertainty if specification else None
        limit = ABOVE * (1 + (stated or 0.0))
        if target is not None and target >= COLOURED and light(reading) > limit * target:
            above.append(reading)
    _say(
        basis,
        above,
        "is brighter than its code stands for (PQ is absolute): is the range of the link right, "
        "and is tone mapping off?",
        "are brighter than their codes stand for (PQ is absolute): is the range of the link "
        "right, and is tone mapping off?",
    )


def _plain(reading: Measured) -> bool:
    return reading.kind in {"field", "window", "uniformity"}


def look_at_the_floor(lit: Sequence[Measured], basis: Basis) -> None:
    """Say which readings are no brighter than the meter is specified for, where light is coded."""
    _say(
        basis,
        at_the_floor(lit),
        "is no brighter than the meter is specified for: it says `at most`, not how much.",
        "are no brighter than the meter is specified for: they say `at most`, not how much.",
    )


def at_the_floor(lit: Sequence[Measured]) -> list[Measured]:
    """Readings no brighter than the meter is specified for, where light is coded.

    A black at the floor is nothing odd: what becomes of it is told where it is used.
    """
    return [
        r
        for r in lit
        if r.specification is not None
        and r.specification.luminance_floor is not None
        and light(r) <= r.specification.luminance_floor
        and _plain(r)
        and any(codes_of(r) or ())
        and grey_value(r) != 0
    ]


def look_for_drift(lit: Sequence[Measured], basis: Basis, quiet: Basis) -> list[Value]:
    """One thing read twice or more, with other things between: its change from first to last."""
    values = []
    for repeats in grouped(lit, _thing).values():
        kept = quiet.one_meter(repeats)
        ordered = sorted(kept, key=lambda r: (r.taken_at, r.reading))
        if len(ordered) < 2 or light(ordered[0]) <= 0 or light(ordered[-1]) <= 0:
            continue
        start, end = (quiet.estimate([each]) for each in (ordered[0], ordered[-1]))
        if start.at_floor or end.at_floor:
            continue
        share = ratio_of([end], [start])
        change, spread = 100 * (share.value - 1), share.expanded
        if abs(change) <= max(100 * DRIFT, 100 * (spread or 0.0)):
            continue
        minutes = (ordered[-1].taken_at - ordered[0].taken_at).total_seconds() / 60
        basis.used += [ordered[0], ordered[-1]]
        step = ordered[0].label
        number = None if spread is None else 100 * spread
        where = {"minutes": round(minutes, 1), "step": step}
        label = f"Change of {step}"
        values.append(Value("drift", label, change, "%", number or None, where=where, at=step))
        basis.warn(
            f"{ordered[0].label} read again after {minutes:.0f} min had changed by "
            f"{written(change, 1.0)[0]} %: what was read between is that uncertain."
        )
    return values


def _thing(reading: Measured) -> str:
    """Equal for readings of one place of one picture from one side."""
    return (
        f"{reading.kind} {sorted(reading.inks.items())} {(reading.of or '').lower()} "
        f"{_side(reading)} {reading.facts.get('box', '')} "
        f"{sorted(reading.parameters.items(), key=str)}"
    )


def _side(reading: Measured) -> str:
    """From where it was read; empty of the straight view."""
    angle = plain_number(reading.variables.get("angle", ""))
    return f"{angle} {reading.variables.get('direction', '')}" if angle else ""


def look_at_the_way(mine: Sequence[Measured], basis: Basis) -> None:
    """Readings taken while a guard had found the picture altered."""
    _say(
        basis,
        [r for r in mine if r.guard == "altered"],
        "was taken while the picture was altered on its way.",
        "were taken while the picture was altered on its way.",
    )


def _say(basis: Basis, wrong: Sequence[Measured], one: str, more: str) -> None:
    """One sentence for all readings of a kind, which become part of the finding."""
    if not wrong:
        return
    basis.used += wrong
    named = ", ".join(f"{reading.reading} ({reading.label})" for reading in wrong[:FEW_NAMED])
    if len(wrong) == 1:
        basis.warn(f"Reading {named} {one}")
        return
    rest = "" if len(wrong) <= FEW_NAMED else f" and {len(wrong) - FEW_NAMED} others"
    basis.warn(f"Readings {named}{rest} {more}")
