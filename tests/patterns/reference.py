"""The standards' formulas at 50 digits, written from the documents and not from patterns.

All numbers are those of one mpmath context, so that nothing else changes its precision.
Sources: Rec. ITU-R BT.2100-3 (02/2025) Tables 4, 5 and 9; Report ITU-R BT.2390 (HLG gamma
outside 400 to 2000 cd/m2; clause 6.2, from memory); Rec. ITU-R BT.1886 (03/2011) Annex 1;
SMPTE RP 177 (matrix from primaries).
"""

from decimal import Decimal
from fractions import Fraction

import mpmath

REAL = mpmath.MPContext()
REAL.dps = 50
real, log, exp, sqrt = REAL.mpf, REAL.ln, REAL.exp, REAL.sqrt
Real = mpmath.mpf
Three = tuple[Real, Real, Real]

DOUBT = REAL.mpf(10) ** -35
"""A value this near to a half could be rounded either way by 50 digits; none is expected."""


def number(text: object) -> Real:
    """Give a printed decimal, a fraction or an integer at 50 digits."""
    if isinstance(text, Fraction):
        return real(text.numerator) / text.denominator
    return real(str(text))


def as_decimal(value: Real) -> Decimal:
    """Give all 50 digits as a decimal."""
    return Decimal(REAL.nstr(value, 50, strip_zeros=False))


def rounded(value: Real) -> int:
    """Round(x) = sign(x) * floor(|x| + 0.5); refuses what 50 digits cannot decide."""
    size = abs(value)
    whole = int(REAL.floor(size))
    assert abs(size - whole - real("0.5")) > DOUBT, f"{value} lies on a half"
    near = whole + (1 if size - whole > real("0.5") else 0)
    return near if value >= 0 else -near


def rounded_ratio(value: Fraction) -> int:
    """Round(x) of an exact ratio, halves away from zero."""
    size = (2 * abs(value.numerator) + value.denominator) // (2 * value.denominator)
    return size if value >= 0 else -size


def code(signal: Real, bits: int, range_: str) -> int:
    """BT.2100 Table 9, R'G'B': E' to an integer code."""
    if range_ == "narrow":
        return rounded((219 * signal + 16) * 2 ** (bits - 8))
    return rounded((2**bits - 1) * signal)


def code_of_percent(percent: Fraction, bits: int, range_: str) -> int:
    """BT.2100 Table 9 for an exact percentage, where halves do occur."""
    signal = percent / 100
    if range_ == "narrow":
        return rounded_ratio((219 * signal + 16) * 2 ** (bits - 8))
    return rounded_ratio((2**bits - 1) * signal)


def signal(code: int, bits: int, range_: str) -> Real:
    """BT.2100 Table 9 read backwards: an integer code to E'."""
    if range_ == "narrow":
        return (real(code) / 2 ** (bits - 8) - 16) / 219
    return real(code) / (2**bits - 1)


def video_codes(bits: int, range_: str) -> range:
    """Codes of video data: BT.2100 Table 9 gives 4-1019 and 16-4079 for narrow range."""
    if range_ == "narrow":
        return range(2 ** (bits - 8), 2**bits - 2 ** (bits - 8))
    return range(2**bits)


# PQ: BT.2100 Table 4
M1, M2 = real(2610) / 16384, real(2523) / 4096 * 128
C1, C2, C3 = real(3424) / 4096, real(2413) / 4096 * 32, real(2392) / 4096 * 32


def pq_eotf(signal: Real) -> Real:
    """E' to cd/m2; the project ends the curve at 0 and 100 %, which BT.2100 leaves open."""
    root = min(max(signal, real(0)), real(1)) ** (1 / M2)
    return 10000 * (max(root - C1, real(0)) / (C2 - C3 * root)) ** (1 / M1)


def pq_inverse(luminance: Real) -> Real:
    """Luminance in cd/m2 to E'."""
    y = (luminance / 10000) ** M1
    return ((C1 + C2 * y) / (1 + C3 * y)) ** M2


# HLG: BT.2100 Table 5
A = real("0.17883277")
B = 1 - 4 * A
C = real("0.5") - A * log(4 * A)
WEIGHTS = (real("0.2627"), real("0.6780"), real("0.0593"))


class Hlg:
    """HLG on a display of a nominal peak and black, cd/m2."""

    def __init__(self, peak: object = 1000, black: object = 0) -> None:
        self.peak, self.black = number(peak), number(black)
        ratio = self.peak / 1000
        if 400 <= self.peak <= 2000:
            self.gamma = real("1.2") + real("0.42") * log(ratio) / log(real(10))
        else:
            self.gamma = real("1.2") * real("1.111") ** (log(ratio) / log(real(2)))
        self.beta = sqrt(3 * (self.black / self.peak) ** (1 / self.gamma))

    def scene(self, signal: Real) -> Real:
        """Inverse OETF of E' with the black lift."""
        lifted = max(real(0), (1 - self.beta) * signal + self.beta)
        return lifted**2 / 3 if 2 * lifted <= 1 else (exp((lifted - C) / A) + B) / 12

    def display(self, scene: Three) -> Three:
        """OOTF: scene light 0 to 1 to display light in cd/m2."""
        luminance = sum(weight * each for weight, each in zip(WEIGHTS, scene, strict=True))
        gain = self.peak * luminance ** (self.gamma - 1) if luminance > 0 else real(0)
        red, green, blue = scene
        return gain * red, gain * green, gain * blue

    def light(self, signals: Three) -> Three:
        """Display light of the three channels in cd/m2."""
        red, green, blue = signals
        return self.display((self.scene(red), self.scene(green), self.scene(blue)))

    def eotf(self, signal: Real) -> Real:
        """Luminance of a grey in cd/m2: the OOTF of equal channels, Lw E ** gamma."""
        return self.peak * self.scene(signal) ** self.gamma

    def inverse(self, luminance: Real) -> Real:
        """E' of a grey of this luminance in cd/m2."""
        scene = (luminance / self.peak) ** (1 / self.gamma)
        lifted = sqrt(3 * scene) if 12 * scene <= 1 else A * log(12 * scene - B) + C
        return (lifted - self.beta) / (1 - self.beta)


class Bt1886:
    """BT.1886 Annex 1 with the luminance of white and black, cd/m2."""

    def __init__(self, white: object = 100, black: object = 0) -> None:
        self.white, self.black = number(white), number(black)
        self.gamma = real("2.4")
        bright, dark = self.white ** (1 / self.gamma), self.black ** (1 / self.gamma)
        self.a = (bright - dark) ** self.gamma
        self.b = dark / (bright - dark)

    def eotf(self, signal: Real) -> Real:
        """V to luminance in cd/m2."""
        return self.a * max(signal + self.b, real(0)) ** self.gamma

    def inverse(self, luminance: Real) -> Real:
        """Luminance in cd/m2 to V."""
        return (luminance / self.a) ** (1 / self.gamma) - self.b


# Primaries: BT.709-6 items 1.3 and 1.4, SMPTE EG 432-1, BT.2020-2 Table 3
PRIMARIES = {
    "bt709": ((".640", ".330"), (".300", ".600"), (".150", ".060")),
    "p3-d65": ((".680", ".320"), (".265", ".690"), (".150", ".060")),
    "bt2020": ((".708", ".292"), (".170", ".797"), (".131", ".046")),
}


def rgb_to_xyz(primaries: str) -> "mpmath.matrix":
    """SMPTE RP 177: solve for the channel gains that make white, then scale the columns."""
    points = [(number(x), number(y)) for x, y in PRIMARIES[primaries]]
    x, y = real("0.3127"), real("0.3290")
    white = REAL.matrix([x / y, 1, (1 - x - y) / y])
    columns = REAL.matrix(3, 3)
    for column, (px, py) in enumerate(points):
        for row, value in enumerate((px, py, 1 - px - py)):
            columns[row, column] = value
    gains = REAL.lu_solve(columns, white)
    for row in range(3):
        for column in range(3):
            columns[row, column] *= gains[column]
    return columns
