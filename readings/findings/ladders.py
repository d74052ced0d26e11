"""Steps of grey that go down where the signal goes up."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from readings.evidence import Measured
from readings.findings.basis import Basis, grouped, light
from readings.shown import area_of, grey_value
from readings.uncertainty import ratio_of, written

KINDS = {"field", "window", "ebu-grey"}
"""Pictures of one grey on black or on nothing; those of one kind and area are alike."""


def look_for_steps_down(lit: Sequence[Measured], basis: Basis, quiet: Basis) -> None:
    """Warn where a higher code reads darker, beyond the uncertainty.

    First differences of ICDM IDMS 6.14, an edition before v1.3 (seen).

    Args:
        lit: of one run, with a luminance; none that was read to see a change.
        basis: gets the warnings and the readings that they are about.
        quiet: gets what the estimates warn of.
    """
    greys = [r for r in lit if r.kind in KINDS and grey_value(r) is not None]
    for alike in grouped(greys, _picture).values():
        steps = grouped(alike, lambda r: grey_value(r) or 0.0)
        ordered = sorted(steps)
        for lower, higher in pairwise(ordered):
            _compare(steps[lower], steps[higher], (lower, higher), basis, quiet)


def _picture(reading: Measured) -> tuple[str, float, str]:
    area = area_of(reading)
    rest = {name: codes for name, codes in reading.inks.items() if name != "level"}
    return reading.kind, round(area or 0.0, 1), str(sorted(rest.items()))


def _compare(
    below: list[Measured],
    above: list[Measured],
    at: tuple[float, float],
    basis: Basis,
    quiet: Basis,
) -> None:
    low, high = quiet.estimate(below), quiet.estimate(above)
    if low.value <= 0 or low.at_floor or high.at_floor or high.value >= low.value:
        return
    share = ratio_of([high], [low])
    if share.value + (share.expanded or 0.0) >= 1:
        return
    basis.used += [*below, *above]
    names = " and ".join(f"{written(100 * each)[0]} %" for each in at)
    basis.warn(
        f"Grey goes down between {names} of the signal: {written(light(above[0]), None)[0]} after "
        f"{written(light(below[0]), None)[0]} cd/m2."
    )
