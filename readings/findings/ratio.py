"""A contrast from lit and dark estimates: defined, a bound, or undefined; never infinite."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isfinite
from statistics import fmean

import numpy as np

from patterns.words import figures
from readings.colorimetry.chromaticity import Floats
from readings.evidence.assumed import FLOOR
from readings.evidence.lights import drawn_mean
from readings.evidence.stray import PLACES, TAIL, THROUGH, Veil, drawn_contrasts
from readings.evidence.uncertainty import COVERAGE, Estimate, Result, mean_of, ratio_of, written
from readings.findings.base import Number, Value
from readings.findings.basis import Basis

LOPSIDED = 0.3
"""Relative expanded uncertainty of the dark side from which the quotient is clearly lopsided: a
limit of our own."""

ADVICE = (
    "To know more, read it again with all the digits that the meter has, in its slowest mode, or "
    "with a meter that reads darker."
)
"""What to do about a reading of 0."""
ALIKE = 1.1
"""Two lights are about the same below this factor: no contrast of a picture. A limit of our own."""


STRAY = (
    " What the meter's lens and the room scatter from lit places onto dark ones is read as the "
    "display's. So the contrast is a lower bound, which holds in 97.5 %; unless a dark place was "
    "read through a mask with a hole, or with its surround blacked out. Then what is scattered is "
    f"taken away: with a mask that lets through at most {100 * THROUGH:g} % of it, on other places "
    f"of the picture as much to within {100 * PLACES:g} %, and no more than leaves what is there "
    "with all blacked out; the interval (95 %) is from draws."
)
"""For the method of every contrast within one picture."""
AS_READ = "-as-read"
"""What the name of a contrast within one picture ends in that has the stray light in it."""


@dataclass(frozen=True, slots=True)
class Beside:
    """That dark places lie beside lit ones, and what is known of their stray light."""

    veil: Veil | None = None


@dataclass(frozen=True, slots=True)
class Naming:
    """How a contrast is called."""

    name: str
    label: str
    lit: str
    """Such as `full white`."""
    dark: str
    where: Mapping[str, object]


def contrast_values(
    basis: Basis,
    lit: Sequence[Estimate],
    dark: Sequence[Estimate],
    naming: Naming,
    beside: Beside | None = None,
) -> tuple[list[Value], str]:
    """The mean of `lit` over the mean of `dark`, and how the meter's gain entered.

    Within one picture, where light strays from lit places onto dark ones (`beside`), the contrast
    is a lower bound, or what a step for stray light leaves of it; the quotient as read follows.

    The quotient over a dark side of 0 or less is undefined (IDMS 5.6, seen); it is below what the
    meter shows, and the contrast a lower bound. So it is at or below the meter's floor, and where
    the dark side does not stand clear of its own uncertainty. A contrast of about 1:1 is worked
    out, and doubted.
    """
    dark_mean = mean_of(dark)
    if mean_of(lit).value <= 0:
        basis.warn(f"The {naming.lit} reads 0 or less, so the contrast means nothing.")
        if dark_mean.value <= 0:
            _look_for_the_pattern(basis, mean_of(lit).value, dark_mean.value, naming)
        return [_undefined(naming)], ""
    _look_for_the_pattern(basis, mean_of(lit).value, dark_mean.value, naming)
    if any(estimate.hidden for estimate in dark):
        return [_over_hidden(basis, lit, dark, naming)], ""
    spread = dark_mean.expanded
    if spread is not None and spread >= dark_mean.value:
        basis.warn(
            f"The {naming.dark} does not stand clear of its uncertainty "
            f"({_pair(dark_mean)} cd/m2): the {naming.label.lower()} is a lower bound."
        )
        exact = _exact(dark[0], dark_mean.value + spread)
        return [_bound(naming, ratio_of(lit, [exact], far=True))], ""
    result = ratio_of(lit, dark, far=True)
    _look_at(basis, result, dark_mean, mean_of(lit).value, naming)
    value = Value(
        naming.name, naming.label, result.value, ":1", result.expanded, where=naming.where
    )
    if beside is None:
        return [value], gain_note(result)
    as_read = replace(
        value,
        name=f"{naming.name}{AS_READ}",
        label=f"{naming.label}, as read with stray light",
    )
    drawn = drawn_contrasts(lit, dark, beside.veil)
    return [_within(value, drawn, beside), as_read], gain_note(result)


def _within(value: Value, drawn: Floats | None, beside: Beside) -> Value:
    """A contrast within one picture: what is left of it once stray light is reckoned with."""
    if drawn is None:  # of a meter of which nothing is known
        return replace(value, uncertainty=None, bound="lower")
    low, middle, high = (
        float(np.quantile(drawn, part, method="inverted_cdf")) for part in (TAIL, 0.5, 1 - TAIL)
    )
    if beside.veil is not None and (alone := drawn[beside.veil.unlit]).size:
        # where lit places add nothing the truth lies at this end: it holds for those by themselves
        high = max(high, float(np.quantile(alone, 1 - TAIL, method="inverted_cdf")))
    if beside.veil is None or not beside.veil.known or not isfinite(high):
        return replace(value, value=low, uncertainty=None, bound="lower")
    return replace(value, value=middle, uncertainty=None, interval=(low, high))


def gain_note(result: Result) -> str:
    """How the meter's specification entered a ratio, as a sentence for the method."""
    if result.expanded is None:
        return ""
    if result.cancels:
        return (
            " What does not cancel is known, from repeats or from the specified repeatability; "
            "the meter's relative uncertainty, taken as an error of gain common to both, cancels; "
            + (
                "its linearity is included as specified."
                if result.linear
                else "its linearity is not specified, so it cancels only as far as the two lie "
                "within a decade of each other."
            )
        )
    return (
        " With single readings, with two meters, or a decade apart and more with one whose "
        "linearity is not specified, the specified relative uncertainty counts in full above and "
        "below, as if independent."
    )


def _over_hidden(
    basis: Basis, lit: Sequence[Estimate], dark: Sequence[Estimate], naming: Naming
) -> Value:
    """A lower bound over a dark side that is, all or in part, below what the meter shows."""
    least = _bound(naming, ratio_of(lit, _lifted(dark), far=True))
    bounded = f"the {naming.label.lower()} is a lower bound"
    nothing = mean_of(dark).value <= 0
    unknown = any(estimate.hidden and estimate.floor is None for estimate in dark)
    if not nothing and not unknown:
        basis.warn(
            f"The {naming.dark} is at or below the lowest luminance that the meter is specified "
            f"for ({_floors(dark)} cd/m2): {bounded}."
        )
        return least
    what = f"The {naming.dark} reads 0" if nothing else f"A part of the {naming.dark} reads 0"
    most = figures(max(_ceiling(estimate) for estimate in dark if estimate.hidden))
    told = "the least that the meter is specified for and shows"
    if unknown:
        told = "assumed, as how dark the meter reads is not known"
    basis.warn(
        f"{what}, which is below what the meter shows and not without light: {bounded}, with "
        f"{most} cd/m2 in place of the reading ({told}). {ADVICE}"
    )
    note = f"the {naming.dark} is below what the meter shows: {ADVICE[0].lower()}{ADVICE[1:-1]}"
    return replace(least, assumed=unknown, note=note)


def _look_for_the_pattern(basis: Basis, lit: float, dark: float, naming: Naming) -> None:
    """Warn where the lit side is no brighter than the dark one: cd/m2, of any sign."""
    if lit > ALIKE * max(dark, 0.0):
        return
    if dark >= ALIKE * lit > 0:
        basis.warn(f"The {naming.lit} reads below the {naming.dark}: were they swapped?")
        return
    basis.warn(
        f"The {naming.lit} is hardly brighter than the {naming.dark}, or not at all: is the "
        "display showing the pattern?"
    )


def _look_at(basis: Basis, result: Result, dark: Result, lit: float, naming: Naming) -> None:
    basis.look_at(result)
    if dark.expanded is not None and dark.expanded > LOPSIDED * dark.value:
        low, _ = written(lit / (dark.value + dark.expanded))
        high, _ = written(lit / (dark.value - dark.expanded))
        basis.warn(
            f"The uncertainty of the {naming.dark} ({_pair(dark)} cd/m2) is so large that the "
            f"{naming.label.lower()} may lie anywhere from {low}:1 to {high}:1, not evenly around "
            "its value."
        )


def _undefined(naming: Naming) -> Value:
    return Value(naming.name, naming.label, None, ":1", where=naming.where)


def _bound(naming: Naming, result: Result) -> Value:
    """A lower bound; what is uncertain of it is the lit side."""
    return Value(
        naming.name, naming.label, result.value, ":1", result.expanded, "lower", naming.where
    )


def _lifted(dark: Sequence[Estimate]) -> list[Estimate]:
    """Readings that the meter cannot show taken as the most that they may be."""
    return [_exact(each, _ceiling(each)) if each.hidden else each for each in dark]


def _ceiling(estimate: Estimate) -> float:
    """The floor, or the one that is assumed; or more, where the reading's noise, or the last digit
    of one that reads nothing, may have hidden it."""
    floor = FLOOR if estimate.floor is None else estimate.floor
    noise = COVERAGE * (estimate.repeat or 0.0)
    digit = estimate.digit or 0.0 if estimate.value <= 0 else 0.0
    return max(floor, estimate.value + noise, digit)


def _exact(estimate: Estimate, value: float) -> Estimate:
    return replace(estimate, value=value, count=1, repeat=None, resolution=0.0, gain=0.0)


def _floors(estimates: Sequence[Estimate]) -> str:
    floors = {each.floor for each in estimates if each.hidden and each.floor is not None}
    return ", ".join(figures(floor) for floor in sorted(floors))


def _pair(result: Result) -> str:
    number, spread = written(result.value, result.expanded)
    return number if spread is None else f"{number} ± {spread}"


def level_value(
    name: str,
    label: str,
    estimates: Sequence[Estimate],
    where: Mapping[str, object] | None = None,
    *,
    row: str = "",
    at: str = "",
) -> Value:
    """A mean luminance, cd/m2, as `level_number` gives it, with its draws.

    Args:
        name: of the value.
        label: of the value.
        estimates: of one level.
        where: what it belongs to.
        row: the label without what differs from run to run.
        at: that.
    """
    level = level_number(estimates)
    drawn = None if level.uncertainty is None else drawn_mean(estimates)
    return Value(
        name,
        label,
        level.value,
        "cd/m2",
        level.uncertainty,
        level.bound,
        where or {},
        drawn=drawn,
        row=row,
        at=at,
    )


def level_number(estimates: Sequence[Estimate]) -> Number:
    """A mean luminance, cd/m2; where it is below what the meter shows, an upper bound: the floor,
    or the one that is assumed, or a little more where the reading's own noise or its last digit
    reaches beyond it."""
    if any(estimate.hidden for estimate in estimates):
        return Number(fmean(estimate.value for estimate in _lifted(estimates)), None, "upper")
    result = mean_of(estimates)
    return Number(result.value, result.expanded or None)
