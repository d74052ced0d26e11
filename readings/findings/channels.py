"""A channel that stops rising while the others still do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from readings.colorimetry.chromaticity import xyz_of
from readings.evidence import Measured
from readings.findings.basis import Basis, grouped, light
from readings.findings.share import with_possible_colour
from readings.shown import area_of, codes_of, grey_value, signal_of, values_of
from readings.uncertainty import ratio_of, written

NAMES = ("red", "green", "blue")
STILL = 0.25
"""A channel stands still that rises by less than this share of what the others rise by. Our own."""
RISE = 0.10
"""What the others have to rise by, so that standing still can be told from scatter. Our own."""
KINDS = {"field", "window", "patch"}


def look_for_clipped_channels(lit: Sequence[Measured], basis: Basis, quiet: Basis) -> None:
    """Warn where one of red, green, blue does not rise with its code and the others do.

    Looks at pure primaries of several levels, and at greys read with their colour, taken apart
    with the signal's own primaries: a display with others mixes the channels a little, which a
    limit as wide as a quarter bears.
    """
    plain = [r for r in lit if r.kind in KINDS]
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
    ordered = [value for value in sorted(steps) if value > 0]
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
