"""What the front page holds findings against: each limit with its source, all in one table.

docs/report.md shows the same table. A limit that no document gives says so: trade limits are
"common practice, no source", the others are our own, to sort what is worth a second look from what
is not. They are no verdict on what a display is good for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from readings.findings import Finding, Value

COMMON = "common practice, no source"
OWN = "a limit of our own"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit: which values it is for, and how it is told."""

    finding: str
    """The finding's name in the registry."""
    values: tuple[str, ...]
    """Names of its values; of several that are there, each is judged."""
    way: Literal["at most", "at least"]
    limit: float
    unit: str
    source: str
    good: str
    """What is so where it is kept, as a sentence without its full stop."""
    bad: str
    """What is so where it is not."""
    unsure: str
    """What cannot be said where the uncertainty spans it."""
    size: bool = False
    """Whether the sign of the value does not matter."""
    transfers: tuple[str, ...] = ()
    """Only signals of these transfers; none named means all."""
    where: tuple[tuple[str, object], ...] = ()
    """Only values that belong to these, such as a colour space."""
    of: str = ""
    """What it is judged at many of, such as `step`: of few, the sentence speaks for those alone."""

    def applies(self, finding: Finding, value: Value, transfer: str) -> bool:
        """Whether this value is to be held against it."""
        return (
            finding.name == self.finding
            and value.name in self.values
            and (not self.transfers or transfer in self.transfers)
            and all(value.where.get(key) == wanted for key, wanted in self.where)
        )


VISIBLE = Limit(
    "colour", ("delta-e-2000-average", "delta-e-itp-average"), "at most", 3.0, "", COMMON,
    "Colours are near their targets on average",
    "Colours are off their targets on average",
    "Whether colours are near their targets on average cannot be told",
    of="patch",
)  # fmt: skip
"""Delta E 3: usually taken for the least that is plain to see."""

LIMITS: tuple[Limit, ...] = (
    Limit(
        "greyscale",
        ("delta-e-2000-chromaticity-largest", "delta-e-itp-chromaticity-largest"),
        "at most",
        3.0,
        "",
        COMMON,
        "Grey is neutral at every step",
        "Grey has a tint",
        "Whether grey is neutral at every step cannot be told",
        of="step",
    ),
    Limit(
        "greyscale",
        ("delta-e-2000-average", "delta-e-itp-average"),
        "at most",
        3.0,
        "",
        COMMON,
        "Grey is near its target on average, in light and colour",
        "Grey is off its target on average, in light or colour",
        "Whether grey is near its target on average cannot be told",
        of="step",
    ),
    Limit(
        "greyscale",
        ("eotf-error-average",),
        "at most",
        10.0,
        "%",
        OWN,
        "Greys are on average as bright as the signal's curve wants them",
        "Greys are on average not as bright as the signal's curve wants them",
        "Whether greys are on average as bright as the signal's curve wants them cannot be told",
        of="step",
    ),
    Limit(
        "greyscale",
        ("eotf-error-largest",),
        "at most",
        12.0,
        "%",
        OWN + ": what a gamma off by 0.05 makes of a grey of 10 %",
        "No grey is far brighter or darker than the signal's curve wants it",
        "Some grey is far brighter or darker than the signal's curve wants it",
        "Whether each grey is about as bright as the signal's curve wants it cannot be told",
        size=True,
        of="step",
    ),
    Limit(
        "tone",
        ("tone-error-size",),
        "at most",
        10.0,
        "%",
        OWN,
        "Below its roll-off the display follows the signal's curve",
        "The display leaves the signal's curve",
        "Whether the display follows the signal's curve cannot be told",
        of="step",
    ),
    Limit(
        "contrast",
        ("sequential-contrast", "sequential-contrast-at-floor"),
        "at least",
        1000.0,
        ":1",
        OWN,
        "Black is deep against full white",
        "Black is raised against full white",
        "Whether black is deep against full white cannot be told",
    ),
    Limit(
        "contrast",
        ("checkerboard-contrast", "checkerboard-contrast-at-floor"),
        "at least",
        100.0,
        ":1",
        OWN,
        "Black stays dark beside white",
        "Black is grey beside white",
        "Whether black stays dark beside white cannot be told",
    ),
    Limit(
        "window-peak",
        ("peak-luminance",),
        "at least",
        1000.0,
        "cd/m2",
        "Rec. ITU-R BT.2100-3, reference viewing, from memory",
        "Highlights reach what HDR is judged at",
        "Highlights stay below what HDR is judged at",
        "Whether highlights reach what HDR is judged at cannot be told",
        transfers=("pq", "hlg"),
    ),
    VISIBLE,
    Limit(
        "colour",
        ("delta-e-2000-largest", "delta-e-itp-largest"),
        "at most",
        5.0,
        "",
        OWN,
        "No colour that was read is far off",
        "Some colour that was read is far off",
        "Whether some colour is far off cannot be told",
    ),
    Limit(
        "gamut",
        ("coverage-xy",),
        "at least",
        95.0,
        "%",
        OWN,
        "The colours of BT.709 are there",
        "Some colours of BT.709 are missing",
        "Whether all colours of BT.709 are there cannot be told",
        where=(("space", "bt709"),),
    ),
    Limit(
        "gamut",
        ("coverage-xy",),
        "at least",
        90.0,
        "%",
        OWN,
        "The colours of P3 are there",
        "Many colours of P3 are missing",
        "Whether the colours of P3 are there cannot be told",
        transfers=("pq", "hlg"),
        where=(("space", "p3-d65"),),
    ),
    Limit(
        "uniformity",
        ("non-uniformity",),
        "at most",
        25.0,
        "%",
        OWN,
        "The screen is evenly bright",
        "The screen is unevenly bright",
        "Whether the screen is evenly bright cannot be told",
        of="place",
    ),
    Limit(
        "uniformity",
        ("colour-non-uniformity",),
        "at most",
        0.010,
        "",
        OWN,
        "The screen has one colour all over",
        "The screen changes colour from place to place",
        "Whether the screen has one colour all over cannot be told",
        of="place",
    ),
    Limit(
        "over-time",
        ("drop",),
        "at most",
        10.0,
        "%",
        OWN,
        "A standing picture keeps its luminance",
        "A standing picture changes its luminance",
        "Whether a standing picture keeps its luminance cannot be told",
        size=True,
    ),
    Limit(
        "delay",
        ("delay-less-frame",),
        "at most",
        45.0,
        "ms",
        "Rec. ITU-R BT.1359-1: sound ahead of the picture is noticed from there on; from memory",
        "The picture is not late enough to be noticed against its sound",
        "The picture is late enough to be noticed against its sound",
        "Whether the picture is noticeably late against its sound cannot be told",
    ),
)
"""Every limit, in the order in which the front page tells them."""
