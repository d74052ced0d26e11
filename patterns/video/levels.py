"""HEVC levels and tiers: the least whose limits a stream keeps.

Rec. ITU-T H.265 Tables A.8 (general limits), A.9 (bit rates) and A.10 (profiles), clauses A.4.1
and A.4.2. All numbers from memory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from patterns.video.settings import Settings

SMALLEST_BLOCK = 16
"""Coded pictures are whole numbers of the smallest coding block that the encoder uses."""


@dataclass(frozen=True)
class Level:
    """One level in one tier: luma samples of a picture, a second; kbit/s; least compression."""

    number: str
    high: bool
    picture: int
    second: int
    kbits: int
    compression: int

    @property
    def idc(self) -> int:
        """general_level_idc: thirty times the number."""
        return int(30 * Fraction(self.number))

    @property
    def tier(self) -> str:
        """Its name."""
        return "High" if self.high else "Main"

    def __str__(self) -> str:
        return f"{self.number} {self.tier}"


_TABLE: tuple[tuple[str, int, int, int, int, int], ...] = (
    # number, MaxLumaPs, MaxLumaSr, MaxBR Main, MaxBR High, MinCrBase Main
    ("1", 36_864, 552_960, 128, 0, 2),
    ("2", 122_880, 3_686_400, 1_500, 0, 2),
    ("2.1", 245_760, 7_372_800, 3_000, 0, 2),
    ("3", 552_960, 16_588_800, 6_000, 0, 2),
    ("3.1", 983_040, 33_177_600, 10_000, 0, 2),
    ("4", 2_228_224, 66_846_720, 12_000, 30_000, 4),
    ("4.1", 2_228_224, 133_693_440, 20_000, 50_000, 4),
    ("5", 8_912_896, 267_386_880, 25_000, 100_000, 6),
    ("5.1", 8_912_896, 534_773_760, 40_000, 160_000, 8),
    ("5.2", 8_912_896, 1_069_547_520, 60_000, 240_000, 8),
    ("6", 35_651_584, 1_069_547_520, 60_000, 240_000, 8),
    ("6.1", 35_651_584, 2_139_095_040, 120_000, 480_000, 8),
    ("6.2", 35_651_584, 4_278_190_080, 240_000, 800_000, 6),
)
HIGH_COMPRESSION = 4
"""MinCrBase of the High tier."""

LEVELS = tuple(
    Level(number, high, picture, second, (main, top)[high], (least, HIGH_COMPRESSION)[high])
    for number, picture, second, main, top, least in _TABLE
    for high in (False, True)
    if not high or top
)
"""From the lowest; within a level Main comes before High."""

UNLIMITED = Level("8.5", False, 0, 0, 0, 0)
"""The level that sets no limits: general_level_idc 255."""

_PROFILE_FACTORS: dict[str, tuple[int, Fraction, Fraction]] = {
    # CpbVclFactor (bits for a kbit), FormatCapabilityFactor (bytes a sample), MinCrScaleFactor
    "Main": (1000, Fraction(3, 2), Fraction(1)),
    "Main 10": (1000, Fraction(15, 8), Fraction(1)),
    "Main 12": (1500, Fraction(9, 4), Fraction(1)),
    "Main 4:4:4": (2000, Fraction(3), Fraction(1, 2)),
    "Main 4:4:4 10": (2500, Fraction(15, 4), Fraction(1, 2)),
    "Main 4:4:4 12": (3000, Fraction(9, 2), Fraction(1, 2)),
}


def fits(level: Level, settings: Settings, sizes: Sequence[int] = ()) -> bool:
    """Whether pictures of this size and rate, coded in ``sizes`` bytes each, keep the limits."""
    width, height = coded_size(settings)
    samples = width * height
    if samples > level.picture or max(width, height) ** 2 > 8 * level.picture:
        return False
    if samples * settings.rate > level.second:
        return False
    first, most = largest_units(level, settings)
    if any(size > most for size in sizes[1:]) or any(size > first for size in sizes[:1]):
        return False
    buffer = Buffer(level, settings)
    return all(buffer.takes(size) for size in sizes)


def coded_size(settings: Settings) -> tuple[int, int]:
    """Width and height in whole coding blocks, pixels."""
    width, height = (
        ceil(side / SMALLEST_BLOCK) * SMALLEST_BLOCK
        for side in (settings.canvas.width, settings.canvas.height)
    )
    return width, height


def largest_units(level: Level, settings: Settings) -> tuple[Fraction, Fraction]:
    """Bytes that the first coded picture, and any other, may have: clause A.4.2."""
    _, capability, scale = _PROFILE_FACTORS[settings.profile]
    compression = max(Fraction(1), level.compression * scale)
    width, height = coded_size(settings)
    start = max(Fraction(width * height), Fraction(level.second, 300))
    return capability * start / compression, capability * level.second / settings.rate / compression


class Buffer:
    """The decoder's buffer of Annex C with its longest initial delay, as pictures go through.

    It holds a second at the level's bit rate, and is filled at that rate. All of a picture is
    counted, the SEI too. ``share`` makes both smaller.
    """

    def __init__(self, level: Level, settings: Settings, share: Fraction = Fraction(1)) -> None:
        bits = share * level.kbits * _PROFILE_FACTORS[settings.profile][0]
        self._full = self._held = bits
        self._refill = bits / settings.rate

    def takes(self, size: int) -> bool:
        """Take the next picture of so many bytes; False where it would not be there in time."""
        self._held -= 8 * size
        if self._held < 0:
            return False
        self._held = min(self._full, self._held + self._refill)
        return True


def level_for(settings: Settings, sizes: Sequence[int] = ()) -> Level:
    """The lowest level, and of its tiers the lower, that holds; :data:`UNLIMITED` if none does."""
    return next((each for each in LEVELS if fits(each, settings, sizes)), UNLIMITED)
