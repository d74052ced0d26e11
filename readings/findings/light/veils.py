"""Steps for stray light: a dark place read through a mask, and with its surround blacked out."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence.measured import Measured
from readings.evidence.stray import Veil
from readings.evidence.uncertainty import Estimate
from readings.findings.basis import Basis

MASKED, BLACK = "stray-masked", "stray-black"
STEPS = (MASKED, BLACK)
"""The roles of such readings."""


def veil_of(plain: Estimate, readings: Sequence[Measured], basis: Basis) -> Veil | None:
    """What readings of one place for stray light tell; None where they tell nothing.

    Args:
        plain: the same place, read as it is.
        readings: with a luminance, of the roles `STEPS`; those of another meter do not count.
        basis: keeps those that are used, and is warned.
    """
    found: dict[str, Estimate] = {}
    for role in STEPS:
        mine = [r for r in readings if r.role == role and r.meter == plain.meter]
        if mine:
            found[role] = basis.estimate(mine)
    if not found:
        basis.warn("What was read for stray light was read with another meter and does not count.")
        return None
    veil = Veil(plain, found.get(MASKED), found.get(BLACK))
    if veil.masked is not None and not veil.masks:
        basis.warn(
            "The mask took no light away: there is no stray light to speak of, or it was not "
            "there. Only what was read with all blacked out bounds the stray light."
        )
    return veil
