"""Uncertainty of luminance readings and their ratios, and the digits that it leaves.

After JCGM 100:2008 (GUM), clauses cited from memory of the text. Uncertainties named `standard`
are standard uncertainties (one sigma); `expanded` ones are k = 2 unless a k is given. None means
that an uncertainty is not known; it is never taken as zero.

How readings of one meter hang together: what a maker specifies as relative uncertainty is taken
as an error of gain, the same for every reading of that meter. In a mean of several readings it
does not average out. In a ratio of two readings it cancels (5.2.2; F.1.2.3: readings of one
instrument are correlated), but only where it is known what does not cancel, from repeats or from
a repeatability that the maker specifies: with a single reading above or below and neither, the
relative uncertainty is all there is, and it counts in full for both.
Repeatability and resolution never cancel. Nor does a gain that changes with the level: where the
maker says by how much over a decade, that is included; where nobody does, the gain of levels far
apart, as above and below a contrast, is not taken to be one and the same (`FAR`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Context, Decimal
from statistics import fmean

COVERAGE = 2.0
"""k: about 95 % for a normal distribution (6.2, 6.3.3)."""
ENOUGH_FREEDOM = 10
"""Below these effective degrees of freedom, k = 2 covers clearly less than 95 % (table G.2)."""
FAR = 1.0
"""Decades of luminance between two readings from which on their errors of gain are independent, of
a meter of unknown linearity; nearer they hang together in proportion. A choice of our own."""
_ROOMY = Context(prec=700, rounding=ROUND_HALF_UP)
Part = tuple[float, float | None]
"""A contribution to a combined standard uncertainty, and its degrees of freedom (None: exact)."""


def type_a(values: Sequence[float]) -> float | None:
    """The standard uncertainty of the mean of repeats, s / sqrt(n) (4.2.3); None with one."""
    if len(values) < 2:
        return None
    mean = fmean(values)
    variance = math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)
    return math.sqrt(variance / len(values))


def rectangular(width: float) -> float:
    """The standard uncertainty of a resolution or a band of full `width` (4.3.7, F.2.2.1)."""
    return width / math.sqrt(12)


def standard_from(expanded: float, k: float = COVERAGE) -> float:
    """The standard uncertainty behind a stated expanded one (4.3.3)."""
    return expanded / k


def combined(parts: Iterable[tuple[float, float]]) -> float:
    """The combined standard uncertainty of independent parts (5.1.2).

    Args:
        parts: (sensitivity, standard uncertainty) of each.
    """
    return math.sqrt(math.fsum((slope * part) ** 2 for slope, part in parts))


def effective_freedom(parts: Iterable[Part]) -> float:
    """Effective degrees of freedom (Welch-Satterthwaite, G.4.1); infinite without type A parts.

    Args:
        parts: (contribution to the combined standard uncertainty, its degrees of freedom; None
            for a specification, taken as known exactly, G.4.3).
    """
    listed = list(parts)
    total = math.fsum(part**2 for part, _ in listed) ** 2
    weak = math.fsum(part**4 / degrees for part, degrees in listed if degrees is not None)
    return total / weak if weak > 0 else math.inf


def repeatability_of(
    luminance: float, relative: float | None, noise: float | None, k: float = COVERAGE
) -> float | None:
    """The standard uncertainty of one reading by itself, cd/m2; None where nothing is specified.

    Args:
        luminance: cd/m2.
        relative: specified repeatability in good light, expanded, 0.005 for 0.5 %.
        noise: specified repeatability in the dark, expanded, cd/m2.
        k: the coverage factor that both are stated with.
    """
    if relative is None:
        return None
    return math.hypot(relative * luminance, noise or 0.0) / k


@dataclass(frozen=True, slots=True)
class Estimate:
    """The mean of repeats of one thing with one meter, and what is known of its errors."""

    value: float
    """cd/m2."""
    count: int
    repeat: float | None
    """Of the mean, standard, cd/m2: the larger of what repeats show (type A) and what the maker
    specifies (type B); None with a single reading of a meter without such a specification."""
    resolution: float | None
    """Standard, cd/m2. Not smaller in a mean: repeats round alike."""
    gain: float | None
    """Relative, standard; common to all readings of the meter."""
    meter: str | None
    """Which meter: equal names share their gain."""
    floor: float | None = None
    """The lowest luminance that the meter is specified for, cd/m2."""
    freedom: int | None = None
    """Degrees of freedom of `repeat`; None where the maker's word stands for it."""
    seed: int = 0
    """Of the draws of its own errors; the same readings have the same."""
    promised: bool = False
    """Whether something is known of one reading by itself, beside what repeats show."""
    linearity: float | None = None
    """The most by which the gain changes over a decade, relative; None where it is not known."""
    digit: float | None = None
    """The last digit of the readings, cd/m2: as specified, else as typed or received; None where
    neither is known."""

    @classmethod
    def of(
        cls,
        values: Sequence[float],
        *,
        meter: str | None,
        relative: float | None,
        resolution: float | None,
        floor: float | None = None,
        single: float | None = None,
        seed: int = 0,
        k: float = COVERAGE,
    ) -> Estimate:
        """From the values in cd/m2, at least one, and the meter's specification.

        Args:
            values: the repeats.
            meter: which meter.
            relative: expanded relative uncertainty, 0.02 for 2 %.
            resolution: full step of the last digit, cd/m2.
            floor: lowest specified luminance, cd/m2.
            single: standard uncertainty of one reading by itself, cd/m2, as `repeatability_of`
                works it out; None where nothing is known of it.
            seed: of the draws of its own errors.
            k: the coverage factor that `relative` is stated with.
        """
        shown, promised = type_a(values), None
        if single is not None:
            promised = single / math.sqrt(len(values))
        by_repeats = shown is not None and (promised is None or shown > promised)
        return cls(
            value=fmean(values),
            count=len(values),
            repeat=shown if by_repeats else promised,
            freedom=len(values) - 1 if by_repeats else None,
            resolution=None if resolution is None else rectangular(resolution),
            gain=None if relative is None else standard_from(relative, k),
            meter=meter,
            floor=floor,
            seed=seed,
            promised=single is not None,
        )

    @property
    def degrees(self) -> float:
        """Degrees of freedom that chance has to be reckoned with: those of repeats that have
        nothing but themselves to say how they scatter; else infinite."""
        return math.inf if self.promised or self.freedom is None else self.freedom

    @property
    def known(self) -> bool:
        """Whether the meter's part of the uncertainty is known."""
        return self.resolution is not None and self.gain is not None

    @property
    def at_floor(self) -> bool:
        """Whether the value is no higher than the meter is specified for."""
        return self.floor is not None and self.value <= self.floor

    @property
    def hidden(self) -> bool:
        """Whether it tells only that there is no more light than the meter shows: at or below its
        floor, or 0 or less."""
        return self.at_floor or self.value <= 0

    @property
    def scatter(self) -> float:
        """What never cancels, standard, cd/m2: repeatability and resolution."""
        return math.hypot(self.repeat or 0.0, self.resolution or 0.0)

    @property
    def expanded(self) -> float | None:
        """Expanded uncertainty, cd/m2."""
        return mean_of([self]).expanded


@dataclass(frozen=True, slots=True)
class Result:
    """A value worked out from estimates."""

    value: float
    expanded: float | None
    """Expanded uncertainty (k = 2), in the unit of the value."""
    freedom: float = math.inf
    """Effective degrees of freedom."""
    cancels: bool = False
    """Whether the gain of a meter was left out because it cancels."""
    linear: bool = False
    """Whether how linear the meter is was known, and is included."""

    @property
    def thin(self) -> bool:
        """Whether too few repeats carry the uncertainty for k = 2 to mean 95 %."""
        return self.expanded is not None and self.freedom < ENOUGH_FREEDOM


def mean_of(estimates: Sequence[Estimate]) -> Result:
    """The mean of one or more estimates, cd/m2, each counting alike."""
    value = fmean(estimate.value for estimate in estimates)
    if not all(estimate.known for estimate in estimates):
        return Result(value, None)
    share = 1 / len(estimates)
    parts = _scatter_parts(estimates, share)
    parts += [(abs(gain), None) for gain in _gains(estimates, share).values()]
    return _result(value, parts)


def decades_between(above: float, below: float) -> float:
    """How many decades two luminances lie apart; 0 where one of them is no light."""
    return abs(math.log10(above / below)) if above > 0 and below > 0 else 0.0


def ratio_of(top: Sequence[Estimate], bottom: Sequence[Estimate], *, far: bool = False) -> Result:
    """The mean of `top` over the mean of `bottom`, no unit; linearised (5.1.2).

    With `far`, the gain of a meter whose linearity is not known cancels only as far as the two lie
    near each other (`FAR`).

    Raises:
        ZeroDivisionError: the mean of `bottom` is 0; ask before.
    """
    above, below = fmean(e.value for e in top), fmean(e.value for e in bottom)
    value = above / below
    everything = [*top, *bottom]
    if not all(estimate.known for estimate in everything):
        return Result(value, None)
    over, under = 1 / (len(top) * below), value / (len(bottom) * below)
    parts = _scatter_parts(top, over) + _scatter_parts(bottom, under)
    gains_over, gains_under = _gains(top, over), _gains(bottom, under)
    repeated = all(estimate.repeat is not None for estimate in everything)
    cancels = linear = False
    apart = decades_between(above, below)
    bends = {estimate.meter: estimate.linearity for estimate in everything}
    for meter in sorted({*gains_over, *gains_under}, key=str):
        over_part, under_part = gains_over.get(meter, 0.0), gains_under.get(meter, 0.0)
        bend = bends.get(meter)
        if repeated and meter is not None:
            both = over_part != 0 and under_part != 0
            if bend is not None and both:
                linear = True
                parts.append((abs(value) * rectangular(2 * bend) * apart, None))
            alike = 1 - min(apart / FAR, 1.0) if far and bend is None else 1.0
            cancels = cancels or (both and alike > 0)
            parts.append((math.sqrt(alike) * abs(over_part - under_part), None))
            parts.append((math.sqrt(1 - alike) * math.hypot(over_part, under_part), None))
        else:
            parts.append((math.hypot(over_part, under_part), None))
    return replace(_result(value, parts, cancels=cancels), linear=linear)


def _scatter_parts(estimates: Sequence[Estimate], slope: float) -> list[Part]:
    parts: list[Part] = []
    for estimate in estimates:
        if estimate.repeat is not None:
            parts.append((slope * estimate.repeat, estimate.freedom))
        parts.append((slope * (estimate.resolution or 0.0), None))
    return parts


def _gains(estimates: Sequence[Estimate], slope: float) -> dict[str | None, float]:
    """What each meter's gain does to the sum: added linearly, being one and the same error."""
    gains: dict[str | None, float] = {}
    for estimate in estimates:
        part = slope * estimate.value * (estimate.gain or 0.0)
        gains[estimate.meter] = gains.get(estimate.meter, 0.0) + part
    return gains


def _result(value: float, parts: list[Part], *, cancels: bool = False) -> Result:
    standard = combined([(1.0, part) for part, _ in parts])
    return Result(value, COVERAGE * standard, effective_freedom(parts), cancels)


def digits(value: float, uncertainty: float | None) -> tuple[Decimal, Decimal | None]:
    """A value and its uncertainty with the digits that may be printed.

    The uncertainty keeps two significant digits and the value ends at the same place (7.2.6);
    halves go away from zero. A value of unknown uncertainty, or of none, keeps at most three.
    """
    exact = Decimal(repr(float(value)))
    if uncertainty is None or not uncertainty > 0:
        return _significant(exact, 3).normalize(), None
    spread = _significant(Decimal(repr(float(uncertainty))), 2)
    place = Decimal(1).scaleb(spread.adjusted() - 1)
    return exact.quantize(place, context=_ROOMY), spread


def written(value: float, uncertainty: float | None = None) -> tuple[str, str | None]:
    """The same as texts, never with an exponent: ("1140", "73")."""
    number, spread = digits(value, uncertainty)
    return f"{number:f}", None if spread is None else f"{spread:f}"


def significant(value: float, count: int) -> Decimal:
    """A value with so many significant digits, halves away from zero."""
    return _significant(Decimal(repr(float(value))), count).normalize()


def _significant(number: Decimal, count: int) -> Decimal:
    if not number:
        return Decimal(0)
    for _ in range(2):  # rounding 0.0996 up to 0.100 moves the first digit
        place = Decimal(1).scaleb(number.adjusted() - count + 1)
        number = number.quantize(place, context=_ROOMY)
    return number
