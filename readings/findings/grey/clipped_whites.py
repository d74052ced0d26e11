"""Clipped whites: bright codes that are shown as white, and from which code on.

A picture that is sent in one range and shown in another loses them, and so does a display whose
contrast setting is too high. Only of signals whose white is the display's own: how PQ and HLG end
is left to the display (`clip_fit`).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from readings.evidence.surely import surely
from readings.evidence.uncertainty import COVERAGE
from readings.findings.base import Finding, Judgement, Value
from readings.findings.grey.greys import Greys

SHARE = 0.25
"""Whites are clipped where a grey lies below white by less than this share of what it is asked to:
a limit of our own, as that of crushed blacks."""
FLAT = 1.2
"""By what factor a display may come to its clip less steeply than the signal's curve: our own."""
METHOD = (
    f" Whites are clipped where a grey surely lies below white by less than {100 * SHARE:g} % of "
    "what its code asks for. Such a grey, and what may still be missing there on a curve less "
    f"steep than the signal's by a factor of {FLAT:g}, bound the clip from above; the highest grey "
    "that surely is darker than white bounds it from below."
)


def clipped_values(greys: Greys) -> list[Value]:
    """From which code on greys are shown as white, and up to which they are not; or nothing."""
    if greys.transfer != "bt1886" or greys.white is None:
        return []
    below = (greys.values > 0) & (greys.values < 1)
    asked, drawn_asked = greys.white - greys.target, greys.drawn_white[:, None] - greys.drawn_target
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (greys.white - greys.luminance) / np.where(asked > 0, asked, np.nan)
        drawn = (greys.drawn_white[:, None] - greys.drawn) / drawn_asked
    spread = greys.lights.spread(share, drawn, colour=False)
    if spread is None:
        return []  # nothing is known of the meter
    usable = below & np.isfinite(share)
    room = surely(int(usable.sum()), greys.lights.freedom) / COVERAGE * spread
    with np.errstate(invalid="ignore"):
        darker = np.flatnonzero(usable & (share - room > 0))
        white = usable & (share + room < SHARE)
        ends = greys.values + FLAT * (share + room) * (1 - greys.values)
    if not white.any():
        return []
    beyond = np.flatnonzero(below & (greys.values >= ends[white].min()))
    if not beyond.size or (darker.size and darker[-1] >= beyond[0]):
        return []  # nothing was read above it, or what was is not all white
    values = [
        greys.level_at("clipped-from", "Clipped: shown as white from", int(beyond[0]), "upper")
    ]
    if darker.size:
        label = "Clipped: not yet at"
        values.append(greys.level_at("clipped-above", label, int(darker[-1]), "lower"))
    return values


def with_clipped(finding: Finding) -> Finding:
    """The finding, which says by itself where whites are clipped."""
    if finding.value("clipped-from") is None:
        return finding
    sentence = "Whites are clipped: bright steps are shown as white"
    return replace(finding, judgement=Judgement("bad", sentence))
