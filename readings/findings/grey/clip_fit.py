"""Where greys end: the curve that they follow, a knee or none, and a plateau.

A clip is the level of the signal from which on a display gives no more light. Pairs of greys tell
it badly: among the dozens on a plateau one rises by chance. So the plateau is found first, from the
top down, and its level is the mean of all its greys. Whatever way the curve comes up to it:

- where a grey surely lies below the plateau by more than a share `left`, the clip lies above, and
  by as much as a curve takes that rises no steeper than `STEEP` times the signal's;
- from the lowest grey on from which all surely lie nearer to the plateau than that, it clips.

Surely is by all greys together, so that these two hold the clip in 95 %. Where a straight line up
to a hard clip fits all greys from `DEEP` of the peak on, their least squares say where that is. All
of it is our own; everything is worked out in logarithms of light, in which the meter's error of
gain is one and the same for all.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from math import exp, hypot, sqrt

import numpy as np

from patterns.signal.transfer.pq import PEAK
from readings.colorimetry.chromaticity import Floats
from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE, Estimate
from readings.findings.base import Bound, Value
from readings.findings.grey.greys import Greys, level_of

LEFT = 0.01
"""Share of the plateau that may still be missing where a display is said to clip; more where the
meter does not tell so little."""
DEEP = 0.125
"""Share of the peak from which on greys are fitted."""
SMOOTH, LEVEL = 0.005, 0.001
"""Relative, standard: how far displays leave a smooth curve from grey to grey, and a plateau."""
STEADY = 0.01
"""Relative, standard: how well readings repeat where nothing is known of the meter."""
SLOPE = 0.1
"""How far the slope of the curve is from that of the signal, standard."""
STEEP = 1.2
"""The most that it is."""
OUTSIDE = 0.05
"""How often the clip may lie outside its interval."""
ASKED = 3.0
"""Times `left` that the signal has to ask for along a plateau, for its want to mean anything."""
FALLS = 3.0
"""Standard deviations that the largest fall of several greys on one level comes to, about."""
FEWEST = 4
"""Greys without which there is nothing to find."""
GRID, ZOOMS = 200, 3
"""Hard clips that are tried at once, and how often between the best ones."""


METHOD = (
    "The display clips where no more than 1 % of its highest plateau is missing (or as much as the "
    "meter tells): above greys that surely lie lower, by as much as a curve no steeper than "
    f"{STEEP:g} times the signal's needs, and at or below the lowest grey from which on all surely "
    "lie nearer; that holds in 95 %. Without a bend before it, the clip is fitted by least squares "
    "to all greys from an eighth of the peak on."
)


@dataclass(frozen=True, slots=True)
class Clip:
    """Where a display clips, as light that the signal asks for, cd/m2."""

    low: float
    """The 95 % interval, whatever way the curve comes up to the plateau."""
    high: float
    left: float
    """Share of the plateau that may still be missing there."""
    hard: tuple[float, float] | None
    """Where a hard clip is as good an explanation as any: its level, and its expanded uncertainty
    if it is one; None where the curve bends before its plateau."""


def clip_of(greys: Greys) -> Clip | None:
    """Where these greys clip; None where they still rise, or are too few to tell."""
    usable = greys.clear & (greys.target > 0)
    if not usable.any():
        return None
    usable &= greys.luminance >= DEEP * greys.luminance[usable].max()
    places = np.flatnonzero(usable)
    if places.size < FEWEST:
        return None
    asked, light = np.log(greys.target[places]), np.log(greys.luminance[places])
    noise = np.array([_noise(greys.lights.estimates[n]) for n in places])
    return _found(asked, light, noise, greys.lights.freedom)


def clip_values(greys: Greys, clip: Clip) -> list[Value]:
    """Between which levels of the signal the display clips, and where a hard clip would."""
    low, high = clip_range(greys, clip)
    below = int(np.flatnonzero(greys.values <= low + 1e-9)[-1])
    above = int(np.argmax(greys.values >= high - 1e-9)) or greys.count - 1
    where = {"left_percent": round(100 * clip.left, 2)}
    named: tuple[tuple[str, str, float, Bound, int], ...] = (
        ("clips-above", "By meter, clips above", low, "lower", below),
        ("clips-below", "By meter, clips at or below", high, "upper", above),
    )
    values = [
        level_of(greys.signal, name, label, value, bound, greys.where(place) | where)
        for name, label, value, bound, place in named
    ]
    if clip.hard is not None:
        level, spread = clip.hard
        unit = "cd/m2"
        if greys.transfer != "pq":
            ends = _signal_of(greys, np.array([level - spread, level, level + spread]))
            level, spread, unit = 100 * ends[1], 50 * (ends[2] - ends[0]), "%"
        label = "By meter, if it clips without a bend before: at"
        values.append(Value("clip-level", label, float(level), unit, float(spread)))
    return values


def clip_range(greys: Greys, clip: Clip) -> tuple[float, float]:
    """E' between which the display clips, within the greys that were read."""
    low, high = _signal_of(greys, np.array([clip.low, clip.high]))
    return float(low), float(high)


def _signal_of(greys: Greys, asked: Floats) -> Floats:
    """E' (m,) that asks for so much light (m,), cd/m2; between two greys along a straight line of
    its logarithm where the signal is not absolute."""
    if greys.transfer == "pq":
        lights = [Decimal(repr(min(float(each), PEAK))) for each in asked]
        encode = greys.signal.transfer.encode
        return np.array([float(encode((light, light, light))[0]) for light in lights])
    lit = np.flatnonzero(greys.target > 0)
    return np.interp(np.log(asked), np.log(greys.target[lit]), greys.values[lit])


def _noise(estimate: Estimate) -> float:
    """Relative, standard, of one grey against the others of its meter."""
    if not estimate.known:
        return STEADY
    alone = estimate.scatter / estimate.value
    return alone if estimate.repeat is not None else hypot(alone, estimate.gain or 0.0)


def _found(asked: Floats, light: Floats, noise: Floats, freedom: float) -> Clip | None:
    """A clip out of logarithms (n,), rising in what is asked, and their uncertainties."""
    own = np.hypot(noise, LEVEL)
    k = surely(len(light), freedom)
    falls = np.maximum.accumulate(light) - light
    if (falls > k * sqrt(2) * own).any():
        own = np.hypot(own, falls.max() / FALLS)  # it scatters by more than the meter does
    first = _plateau(light, own, k)
    if first > len(light) - 2:
        return None  # one grey makes no plateau
    weight = 1 / own[first:] ** 2
    top, spread = float((weight @ light[first:]) / weight.sum()), 1 / sqrt(weight.sum())
    # on the plateau, what a grey and the mean have in common is no difference
    room = surely(len(light), freedom, both=True, chance=OUTSIDE) * np.hypot(own, spread)
    left = max(LEFT, 2 * float(np.median(room[first:])))
    if asked[-1] - asked[first] < ASKED * left:
        return None
    missing = top - light
    below = missing - room - left
    rising = np.flatnonzero(below > 0)
    if not rising.size:
        return None  # all of them lie on it: where it begins is not seen
    near = missing + room <= left
    ends = len(near) - int(np.argmin(near[::-1])) if not near.all() else 0
    if ends >= len(near):
        ends = len(near) - 1
    low = float((asked[rising] + below[rising] / STEEP).max())
    high = max(float(asked[ends]), low)
    hard = _hard(asked, light, np.hypot(noise, SMOOTH))
    if hard is None:
        return Clip(exp(low), exp(high), left, None)
    level, error = hard
    # the last of the rise may hide in what a grey may lie below the plateau
    low, high = min(low, level), max(high, level + COVERAGE * error)
    return Clip(exp(low), exp(high), left, (exp(level), COVERAGE * error * exp(level)))


def _plateau(light: Floats, own: Floats, k: float) -> int:
    """The first place (from below) of those that lie on one level with all above."""
    first = len(light) - 1
    for n in range(len(light) - 2, -1, -1):
        weight = 1 / own[first:] ** 2
        above = float((weight @ light[first:]) / weight.sum())
        if abs(above - light[n]) > k * hypot(own[n], 1 / sqrt(weight.sum())):
            break
        first = n
    return first


def _hard(asked: Floats, light: Floats, noise: Floats) -> tuple[float, float] | None:
    """ln of the best hard clip and its standard uncertainty; None where it does not fit."""
    ends, misfit = np.linspace(asked[0], asked[-1], GRID), np.empty(0)
    for _ in range(ZOOMS):
        misfit = _misfit(np.minimum(asked, ends[:, None]), light, noise)
        best = int(np.argmin(misfit))
        step = ends[1] - ends[0]
        if step * 4 < 1e-4:
            break
        ends = np.linspace(ends[best] - 3 * step, ends[best] + 3 * step, GRID)
    misfit = _misfit(np.minimum(asked, ends[:, None]), light, noise)
    best = int(np.argmin(misfit))
    freedom = len(asked) - 3
    if misfit[best] > freedom + 3 * sqrt(2 * freedom):
        return None
    scale = max(1.0, float(misfit[best]) / freedom)
    # on one side the kink lies between two greys: how the misfit grows says how well it is known
    wide = np.linspace(ends[best] - 0.05, ends[best] + 0.05, 1001)
    grown = _misfit(np.minimum(asked, wide[:, None]), light, noise) - misfit[best]
    inside = wide[grown <= scale]
    error = max(inside.max() - ends[best], ends[best] - inside.min())
    return float(ends[best]), float(error)


def _misfit(shape: Floats, light: Floats, noise: Floats) -> Floats:
    """Chi squared (m,) of light = level + slope * shape (m, n), both fitted; the slope about 1."""
    weight = 1 / noise**2
    total = weight.sum()
    off = shape - (shape @ weight / total)[:, None]
    apart = light - weight @ light / total
    prior = 1 / SLOPE**2
    slope = (off @ (weight * apart) + prior) / (off**2 @ weight + prior)
    rest = apart - slope[:, None] * off
    return np.asarray(rest**2 @ weight + prior * (slope - 1) ** 2)
