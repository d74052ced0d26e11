"""A meter that says the same whatever is shown."""

from __future__ import annotations

from collections.abc import Sequence

from readings.evidence import Measured
from readings.findings.basis import Basis, grouped, light
from readings.shown import codes_of, grey_value
from readings.uncertainty import written

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
