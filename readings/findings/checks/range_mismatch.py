"""Whether what arrives at the display looks like the range that is set, from a few luminances."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import hypot, inf
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from patterns.words import figures
from readings.evidence.measured import Measured
from readings.evidence.shown import place_of, signal_of
from readings.evidence.uncertainty import COVERAGE, Estimate, ratio_of, written
from readings.findings.base import Finding, Judgement, Value, Verdict
from readings.findings.basis import (
    Basis,
    by_run,
    doubting,
    grouped,
    last_digit,
    only_found,
    scatter_of,
    with_light,
)
from readings.findings.kind import FindingKind, Reads
from readings.findings.ratio import level_value

Floats = NDArray[np.float64]
Family = Literal["full", "narrow"]

EXPONENTS = np.arange(1.8, 2.81, 0.05)
"""Of the display's power law."""
BRIGHT_LAW, DARK_LAW = 0.02, 0.3
"""Shares by which displays leave a power law, for bright and for dark codes. Our own."""
DARK_CODES = 64
"""Codes below this, of 8 bits, are dark."""
HALO, HALO_ALONE = 0.3, 0.1
"""Shares of the black level by which it may differ beside brighter patches, and from one patch
alone to the next in the same place. Our own."""
UNEVEN = 0.15
"""Share by which two places of a screen may differ in luminance, standard: a screen that our own
limit calls even may differ by a quarter. Our own."""
READING = 0.01
"""A reading is no better than this share, whatever its meter says. Our own."""


@dataclass(frozen=True, slots=True)
class Light:
    """What was read at one code."""

    code: float
    """In steps of 8 bits: the code divided by 2^(bits - 8)."""
    luminance: float
    """cd/m2."""
    scatter: float
    """Standard uncertainty but for the meter's gain, cd/m2."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """A way of taking codes."""

    name: str
    family: Family
    says: str
    signal: Callable[[Floats, float], Floats]
    """From codes in steps of 8 bits, and the highest code, to the share of the display's signal."""


SQUEEZED = "squeezed"

ARRIVALS = (
    Arrival("full", "full", "full range", lambda code, top: code / top),
    Arrival(
        "narrow",
        "narrow",
        "narrow range",
        lambda code, _: np.clip((code - 16) / 219, 0.0, 1.0),
    ),
    Arrival(
        "narrow with headroom",
        "narrow",
        "narrow range that shows whites above white",
        lambda code, _: np.maximum((code - 16) / 219, 0.0),
    ),
    # full range with a raised black: six luminances hardly tell it from a display of low contrast
    Arrival(
        SQUEEZED,
        "full",
        "codes squeezed into narrow range on the way and shown as full",
        lambda code, top: (16 + 219 * code / top) / top,
    ),
)


@dataclass(frozen=True, slots=True)
class Fit:
    """How well a way of taking codes explains what was read."""

    arrival: Arrival
    exponent: float
    misfit: float
    """Chi squared."""


def fitted(lights: Sequence[Light], bits: int, *, apart: bool = False) -> list[Fit]:
    """Every way of taking codes, the best first.

    Args:
        lights: three codes or more.
        bits: depth of the codes.
        apart: whether they stood in several places, beside each other.
    """
    codes = np.array([light.code for light in lights])
    read = np.array([light.luminance for light in lights])
    scatter = np.array([light.scatter for light in lights])
    # nothing is surer than a ten-millionth of white: three zeros at the dark end prove little
    least = 1e-7 * max(float(read.max()), 1e-6)
    halo, reading = (HALO, UNEVEN) if apart else (HALO_ALONE, READING)
    dark = np.where(codes < DARK_CODES, halo * max(float(read.min()), 0.0), 0.0)
    spread = np.sqrt(scatter**2 + (reading * read) ** 2 + dark**2 + least**2)
    return sorted(
        (_fit(arrival, codes, read, spread, bits) for arrival in ARRIVALS),
        key=lambda fit: fit.misfit,
    )


def _fit(arrival: Arrival, codes: Floats, read: Floats, spread: Floats, bits: int) -> Fit:
    """The exponent, gain and black level that explain it best; black is not below 0."""
    signal = arrival.signal(codes, _top(bits))
    best = Fit(arrival, float(EXPONENTS[0]), inf)
    for exponent in EXPONENTS:
        shape = signal**exponent
        # where this way of taking codes gives no light, no display may leave its law for some
        law = np.where(codes < DARK_CODES, DARK_LAW, BRIGHT_LAW) * shape * read.max() / shape.max()
        wide = np.hypot(spread, law)
        left = np.stack([shape, np.ones_like(shape)], axis=1) / wide[:, np.newaxis]
        gain, black = np.linalg.lstsq(left, read / wide, rcond=None)[0]
        if black < 0:
            gain, black = float((left[:, 0] @ (read / wide)) / (left[:, 0] @ left[:, 0])), 0.0
        misfit = float((((gain * shape + black) - read) ** 2 / wide**2).sum())
        if misfit < best.misfit:
            best = Fit(arrival, float(exponent), misfit)
    return best


def light_at(fit: Fit, code: float, bits: int) -> float:
    """Light of a code in steps of 8 bits, over black; 1 is the display's own white."""
    signal: Floats = fit.arrival.signal(np.array([code]), _top(bits))
    return float(np.power(signal, fit.exponent)[0])


def _top(bits: int) -> float:
    return ((1 << bits) - 1) / float(1 << (bits - 8))


ROLE = "range-light"
LOW, BLACK, DARK = 1, 16, 28
WHITE, HIGH = 235, 254
"""Codes of 8 bits that the steps are looked at between; of other depths the nearest to them."""
SURE, LIKELY = 12.0, 6.0
"""How much worse another explanation has to fit (chi squared) to be sure, or to call it likely."""
RAISED = 1 / 3000
"""Share of white from which black is high enough to have been raised on the way."""
POOR = 20.0
"""Chi squared above which even the best explanation is none; like those above, our own limits."""
SOURCE = (
    "Litfield's own method, described in docs/findings.md; the codes of narrow range after Rec. "
    "ITU-R BT.709-6, 5.6 (from memory)"
)
LIMITS = (
    "It cannot tell where on the way the range is changed; a display whose brightness or contrast "
    "setting crushes dark codes or clips bright ones looks alike."
)


class RangeMismatch(FindingKind):
    """What range the signal looks like where it arrives, per run.

    Reads the role `range-light` on the patches of a `range-check`. Only BT.1886 signals: the others
    ask for a luminance that the display bends as it likes.
    """

    name = "range-mismatch"
    subject = "whether the range that arrives is the one that is set"
    reads = (
        Reads(
            (ROLE,),
            "a `range-check`, patch by patch: `dark 1`, `dark 5`, `dark 8`, `bright 8`, "
            "`bright 6`, `bright 1`",
        ),
    )
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        found = only_found(_finding(mine) for mine in by_run(readings).values())
        return [doubting(each, found, readings, _link, WHY) for each in found]


WHY = "the range that arrived was not the one that is set"


def _link(reading: Measured) -> tuple[object, object]:
    """The range that a run was shown in, and what to: what a mismatch is one of."""
    return reading.signal.get("range"), reading.output


def _finding(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    lit = with_light([reading for reading in mine if reading.role == ROLE], basis)
    coded = [reading for reading in lit if _code(reading) is not None]
    signal = signal_of(coded[0]) if coded else None
    if signal is None or signal.transfer.name != "bt1886":
        return None
    bits, set_as = signal.bits, signal.range
    estimates = {
        code: basis.estimate(repeats)
        for code, repeats in sorted(grouped(coded, lambda each: _code(each) or 0).items())
    }
    typed = last_digit(coded) or 0.0
    lights = [
        Light(_in_8_bits(code, bits), each.value, scatter_of(each, typed))
        for code, each in estimates.items()
    ]
    values = [
        level_value("range-luminance", f"Code {code}", [estimate], {"code": code})
        for code, estimate in estimates.items()
    ]
    at = {wanted: _nearest(estimates, wanted, bits) for wanted in (LOW, BLACK, DARK, WHITE, HIGH)}
    values = [*_steps(at), *values]
    if apart := _apart(coded):
        basis.warn(
            "The codes were read in several places: a screen that is not even looks like another "
            "range, so this is less sure than in one place. Play the path check of today again."
        )
    title, method, verdict = _verdict(lights, bits, set_as, values, basis, apart=apart)
    finding = basis.finding(
        "range-mismatch",
        coded[0],
        title=title,
        values=values,
        method=method,
        source=SOURCE,
    )
    return replace(finding, judgement=Judgement(verdict))


def _code(reading: Measured) -> int | None:
    """The code of the patch that was read."""
    codes = reading.inks.get(reading.of or "")
    return None if codes is None else codes[1]


def _apart(coded: Sequence[Measured]) -> bool:
    """Whether they were read in several places, or it is not known where."""
    places = [place_of(reading) for reading in coded]
    first = places[0]
    return first is None or any(each is None or not each.near(first) for each in places)


def _nearest(estimates: dict[int, Estimate], wanted: int, bits: int) -> Estimate | None:
    # codes of other depths lie between those of 8 bits
    close = [code for code in estimates if abs(_in_8_bits(code, bits) - wanted) < 1.5]
    return estimates[min(close)] if close else None


def _in_8_bits(code: int, bits: int) -> float:
    """A code in steps of 8 bits."""
    return float(code / 2 ** (bits - 8))


def _steps(at: dict[int, Estimate | None]) -> list[Value]:
    """How the codes of 16 and 235 stand between their neighbours, percent."""
    values = []
    low, black, dark = at[LOW], at[BLACK], at[DARK]
    if low and black and dark and dark.value > low.value:
        span = dark.value - low.value
        share = (black.value - low.value) / span
        slopes = [(black, 1 / span), (dark, -share / span), (low, (share - 1) / span)]
        spread = None
        if all(each.known for each, _ in slopes):
            # the meter's gain cancels, but only repeats show what does not
            repeated = all(each.repeat is not None for each, _ in slopes)
            spread = (
                100
                * COVERAGE
                * hypot(
                    *(
                        slope
                        * hypot(each.scatter, 0.0 if repeated else each.value * (each.gain or 0.0))
                        for each, slope in slopes
                    )
                )
            )
        label = "Code 16 between codes 1 and 28"
        values.append(Value("range-dark-step", label, 100 * share, "%", spread))
    white, high = at[WHITE], at[HIGH]
    if white and high and high.value > 0:
        ratio = ratio_of([white], [high])
        spread = None if ratio.expanded is None else 100 * ratio.expanded
        label = "Code 235 of code 254"
        values.append(Value("range-white-step", label, 100 * ratio.value, "%", spread))
    return values


def _verdict(
    lights: Sequence[Light],
    bits: int,
    set_as: str,
    values: list[Value],
    basis: Basis,
    *,
    apart: bool,
) -> tuple[str, str, Verdict]:
    """Title, method and verdict; what a mismatch costs is added to the values."""
    begins = "Luminance of patches at both ends of the codes"
    dark = [each for each in lights if each.code < DARK_CODES]
    if len(dark) < 3 or len(lights) - len(dark) < 2:
        basis.warn(
            "Too few codes were read to tell the range: it takes codes 1, 16 and 28, 235 and 254 "
            "(of 8 bits)."
        )
        return "Range: not known", f"{begins}. {LIMITS}", "unsure"
    lowest, highest = dark[0], dark[-1]
    halo = (HALO if apart else HALO_ALONE) * lowest.luminance
    least_step = max(halo, 0.0) + COVERAGE * hypot(lowest.scatter, highest.scatter)
    if highest.luminance - lowest.luminance <= least_step:
        basis.warn(
            "The dark codes read alike, from the lowest to code 28 (of 8 bits), which no range "
            "makes of them: does the display crush its blacks, or did the meter not see them?"
        )
        return f"Range: set to {set_as}, what arrives is unsure", f"{begins}. {LIMITS}", "unsure"
    fits = fitted(lights, bits, apart=apart)
    least = fits[0]
    best = next(
        fit
        for fit in fits
        if fit.arrival.family == least.arrival.family and fit.arrival.name != SQUEEZED
    )
    other = next(fit for fit in fits if fit.arrival.family != best.arrival.family)
    gap = other.misfit - least.misfit
    sure = "sure" if gap >= SURE else "likely" if gap >= LIKELY else "unsure"
    if least.misfit > POOR:
        sure = "unsure"
    if best.arrival.name == "narrow with headroom" and sure == "sure":
        sure = "likely"  # a full range with crushed blacks is the same
    matches = best.arrival.family == set_as
    method = (
        f"{begins}, against what {len(ARRIVALS)} ways of taking the codes would give with a power "
        f"law of exponent 1.8 to 2.8. Best: {best.arrival.says} (chi squared "
        f"{figures(best.misfit, 3)}, exponent {best.exponent:.2f}); next: {other.arrival.says} "
        f"({figures(other.misfit, 3)}). {LIMITS}"
    )
    if sure == "unsure":
        basis.warn(
            f"What arrives fits {best.arrival.says} and {other.arrival.says} about alike, or none "
            "well: look at the range check by eye."
        )
        return f"Range: set to {set_as}, what arrives is unsure", method, "unsure"
    squeezed = next(fit for fit in fits if fit.arrival.name == SQUEEZED)
    darkest, whitest = (pick(each.luminance for each in lights) for pick in (min, max))
    if (
        best.arrival.family == "full"
        and darkest > RAISED * whitest
        and squeezed.misfit < best.misfit + LIKELY
    ):
        basis.warn(
            f"The lowest code gives 1/{whitest / darkest:.0f} of the highest: this may be the "
            "display's own black, or codes that the driver squeezes into narrow range on the way "
            "(limited range) while the display takes full."
        )
    if matches:
        title = f"Range: what arrives looks like {set_as}, as it is set ({sure})"
        return title, method, "good"
    _cost(best, bits, set_as, sure, values, basis)
    title = f"Range: {set_as} is set, what arrives looks like {best.arrival.says} ({sure})"
    return title, method, "bad"


def _cost(fit: Fit, bits: int, set_as: str, sure: str, values: list[Value], basis: Basis) -> None:
    """How far white and a mid-grey are off, and what it looks like."""
    top, base = (235.0, 16.0) if set_as == "narrow" else ((2**bits - 1) / 2 ** (bits - 8), 0.0)
    white = light_at(fit, top, bits)
    grey = light_at(fit, (top + base) / 2, bits)
    errors = {
        "range-white-error": ("White, against a display that takes the range as set", white - 1),
        "range-grey-error": (
            "Grey of 50 %, relative to white as it is shown",
            grey / white / 0.5**fit.exponent - 1,
        ),
    }
    for name, (label, error) in errors.items():
        values.append(Value(name, label, 100 * error, "%"))
    percents = {name: _signed(100 * error) for name, (_, error) in errors.items()}
    looks = {
        "narrow": "blacks are crushed, and whites are clipped or too bright",
        "full": "black is raised and white is dim",
    }[fit.arrival.family]
    basis.warn(
        f"Range mismatch ({sure}): {set_as} range is set, and it is taken as {fit.arrival.says}: "
        f"{looks}. White is off by {percents['range-white-error']} %, a grey of 50 % by "
        f"{percents['range-grey-error']} % against it. Set the range of the player, the driver and "
        "the display alike, then measure again."
    )
    basis.warn(
        "The errors by a mismatch come from the fitted curve: their uncertainty is not known."
    )


def _signed(number: float) -> str:
    return f"{'+' if number > 0 else ''}{written(number)[0]}"
