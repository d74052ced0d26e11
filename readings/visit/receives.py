"""What a display reports that it receives, as an operator reads it off the display."""

from __future__ import annotations

from collections.abc import Iterable

from readings.visit.records import Showing

RECEIVES = "display_receives"
"""The fact of a showing that holds it: one of `RECEIVED`."""
NOT_ASKED = "not asked"
RECEIVED = {
    "pq": "HDR PQ",
    "hlg": "HDR HLG",
    "sdr": "SDR",
    "unknown": "it does not say",
    NOT_ASKED: "not asked",
}
"""Each answer, as people read it."""


def received_of(showings: Iterable[Showing]) -> tuple[str, ...]:
    """What was kept with these showings, each once, in their order."""
    kept = (str(showing.facts[RECEIVES]) for showing in showings if RECEIVES in showing.facts)
    return tuple(dict.fromkeys(kept))
