"""Reference charts of 24 and 140 patches, and the skin tones among them, under the signal's white.

The colours are published measurements of charts made after November 2014, CIE 1931 2 degrees,
x, y, Y under the ICC's D50; they come from colour-science (BSD-3-Clause), which is imported when
a chart is first asked for. They are adapted to the white of the signal by a linear transform in
exact fractions, A = M^-1 diag(M white / M source white) M, with M of

- Bradford: Lam 1985; printed in ICC.1:2022 Annex E (both from memory; numbers by colour-science),
- CAT02: CIE 159:2004 (second-hand), under complete adaptation.

This is colorimetry carried over from D50. Integrating reflectances under D65 is another way, which
gives slightly other colours; it is not taken here.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from types import ModuleType
from typing import Literal, SupportsFloat

from patterns.signal.colours import light_at, luminance_of
from patterns.signal.primaries import Matrix, Point, apply, invert
from patterns.signal.signal import Signal
from patterns.signal.transfer import Light, Pq

Size = Literal[24, 140]
Adaptation = Literal["bradford", "cat02"]

# how colour-science knows the data and the matrices
_DATA = {
    24: "ColorChecker24 - After November 2014",
    140: "ColorCheckerSG - After November 2014",
}
_MATRICES = {"bradford": "Bradford", "cat02": "CAT02"}
NAMES = {"bradford": "Bradford", "cat02": "CAT02"}

_SKIN: dict[Size, tuple[int, ...]] = {24: (1, 2), 140: (*range(88, 95), *range(102, 109))}
"""Patches with skin tones: of 140 seven each in the seventh and eighth row (which ones: from
memory; all lie between red and yellow, at the chroma of skin)."""

PQ_WHITE = Fraction(203)
"""HDR reference white in cd/m2: Report ITU-R BT.2408-9 (03/2026) Table 1, second-hand."""
HLG_WHITE = Fraction(3, 4)
"""The same white as HLG signal, whatever the peak: the same table."""

Xyz = tuple[Fraction, Fraction, Fraction]


@dataclass(frozen=True)
class ChartPatch:
    """One patch: its place on its chart, and its colour relative to a perfect diffuser."""

    chart: Size
    number: int
    """From 1, from left to right, then down."""
    key: str
    """How the data calls it; what is shown and kept calls it by its number."""
    x: Fraction
    y: Fraction
    luminance: Fraction
    """Y under the source's white; a perfect diffuser has 1."""

    def __str__(self) -> str:
        return f"patch {self.number} of the {self.chart}-patch chart"

    @property
    def xyz(self) -> Xyz:
        """XYZ under the source's white."""
        return _xyz((self.x, self.y), self.luminance)


@dataclass(frozen=True)
class Chart:
    """All patches of a chart, in the order of their numbers, and how they are laid out."""

    size: Size
    columns: int
    rows: int
    white: Point
    """White that the data is for: the ICC's D50."""
    patches: tuple[ChartPatch, ...]


@cache
def colour_science() -> ModuleType:
    """colour-science, imported when it is first needed: it takes a second or two."""
    with warnings.catch_warnings():
        # it warns where the library for its plots is missing, which nothing here needs
        warnings.simplefilter("ignore")
        import colour
    module: ModuleType = colour
    return module


@cache
def chart(size: Size) -> Chart:
    """The chart of 24 or 140 patches. The first call imports colour-science: a second or two."""
    data = colour_science().CCS_COLOURCHECKERS[_DATA[size]]
    patches = []
    for number, (key, values) in enumerate(data.data.items(), 1):
        x, y, luminance = (_fraction(value) for value in values)
        patches.append(ChartPatch(size, number, key, x, y, luminance))
    white = _fraction(data.illuminant[0]), _fraction(data.illuminant[1])
    return Chart(size, data.columns, data.rows, white, tuple(patches))


@cache
def skin_tones() -> tuple[ChartPatch, ...]:
    """Sixteen skin tones of the two charts, the lightest first."""
    found = [
        chart(size).patches[number - 1] for size, numbers in _SKIN.items() for number in numbers
    ]
    return tuple(sorted(found, key=lambda each: -each.luminance))


@cache
def adaptation(method: Adaptation, source: Point, target: Point) -> Matrix:
    """Exact matrix from XYZ under the source white to XYZ under the target white."""
    cells = colour_science().CHROMATIC_ADAPTATION_TRANSFORMS[_MATRICES[method]]
    rows = [tuple(_fraction(cell) for cell in row) for row in cells]
    cones: Matrix = tuple((row[0], row[1], row[2]) for row in rows)
    before = apply(cones, _xyz(source, Fraction(1)))
    after = apply(cones, _xyz(target, Fraction(1)))
    gains = [b / a for a, b in zip(before, after, strict=True)]
    scaled: Matrix = tuple(
        (gain * row[0], gain * row[1], gain * row[2])
        for gain, row in zip(gains, cones, strict=True)
    )
    back = invert(cones)
    columns = [apply(back, (scaled[0][i], scaled[1][i], scaled[2][i])) for i in range(3)]
    return tuple((columns[0][i], columns[1][i], columns[2][i]) for i in range(3))


@cache
def adapted(patch: ChartPatch, method: Adaptation, white: Point) -> Xyz:
    """XYZ of a patch under another white; a perfect diffuser has Y = 1."""
    return apply(adaptation(method, chart(patch.chart).white, white), patch.xyz)


def chart_light(
    signal: Signal, patch: ChartPatch, method: Adaptation, white: Fraction
) -> tuple[Light, Point, Fraction]:
    """Light of R, G, B in cd/m2 (unclipped), x, y and luminance of a patch.

    ``white`` is the luminance of a perfect diffuser, cd/m2: a patch has Y times that.
    """
    x, y, z = adapted(patch, method, signal.primaries.white)
    point, luminance = (x / (x + y + z), y / (x + y + z)), y * white
    return signal.channel_light(*point, luminance), point, luminance


def reference_white(signal: Signal) -> Fraction:
    """Luminance of a perfect diffuser where nothing else is asked, cd/m2.

    100 % signal under BT.1886, 203 cd/m2 in PQ, and 75 % signal in HLG.
    """
    if isinstance(signal.transfer, Pq):
        return PQ_WHITE
    if signal.transfer.name == "hlg":
        return luminance_of(signal, light_at(signal, signal.primaries.white, HLG_WHITE))
    return Fraction(signal.transfer.peak)


def chart_facts(method: Adaptation, white: Fraction) -> dict[str, object]:
    """What a record keeps of where the colours of a chart come from."""
    return {
        "data": "chart measurements after November 2014 under D50, from colour-science",
        "adaptation": f"{NAMES[method]}, D50 to D65",
        "white_cd_m2": float(white),
    }


def _fraction(value: SupportsFloat) -> Fraction:
    """The shortest decimal that a float stands for, as printed in the data, exactly."""
    return Fraction(Decimal(repr(float(value))))


def _xyz(point: Point, luminance: Fraction) -> Xyz:
    x, y = point
    return x * luminance / y, luminance, (1 - x - y) * luminance / y
