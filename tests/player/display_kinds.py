"""Displays that no part of Litfield makes: their light is written here from published formulas.

A display is a curve from the signal to light, three primaries, the way codes come to it, and how
its light differs from place to place. Each kind draws such displays with the fault that it is named
after, and a meter before them. What is said of them is held against the light of the formula.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from patterns.control import Control
from patterns.picture.frame import Frame
from player.simulated import SimulatedError
from tests.player.findings_trials import TRAITS, TrialMeter, Truth

Floats = NDArray[np.float64]
Curve = Callable[[Floats], Floats]
"""From E' to cd/m2 of the channel, as of a white of all three; black is in it."""
Shade = Callable[[float, float], float]
"""The share of its light at a place, in shares of the width and of the height."""
XY = tuple[float, float]

D65: XY = (0.3127, 0.3290)
PRIMARIES: dict[str, tuple[XY, ...]] = {
    # Rec. ITU-R BT.709-6, SMPTE RP 431-2, Rec. ITU-R BT.2020-2: from memory
    "bt709": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),
    "p3-d65": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
    "bt2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
}
ON_THE_LOCUS = (*PRIMARIES["bt2020"], PRIMARIES["p3-d65"][0])
"""What lies beyond these is no light: a display may only be less pure."""


def bt1886(white: float, black: float, exponent: float = 2.4) -> Curve:
    """Rec. ITU-R BT.1886, Annex 1 (from memory)."""
    low, high = black ** (1 / exponent), white ** (1 / exponent)
    gain, lift = (high - low) ** exponent, low / (high - low)
    return lambda signal: np.asarray(gain * np.maximum(signal + lift, 0.0) ** exponent)


def power(white: float, black: float, exponent: float) -> Curve:
    """A power law over a black."""
    return lambda signal: np.asarray(black + (white - black) * np.maximum(signal, 0.0) ** exponent)


def srgb(white: float, black: float) -> Curve:
    """IEC 61966-2-1 (from memory) over a black."""

    def light(signal: Floats) -> Floats:
        high = ((np.maximum(signal, 0.0) + 0.055) / 1.055) ** 2.4
        return np.asarray(
            black + (white - black) * np.where(signal <= 0.04045, signal / 12.92, high)
        )

    return light


def pq(signal: Floats) -> Floats:
    """cd/m2 that PQ asks for: SMPTE ST 2084, Rec. ITU-R BT.2100-2 table 4 (from memory)."""
    m1, m2 = 2610 / 16384, 2523 / 4096 * 128
    c1, c2, c3 = 3424 / 4096, 2413 / 4096 * 32, 2392 / 4096 * 32
    root = np.clip(signal, 0.0, 1.0) ** (1 / m2)
    return np.asarray(10_000 * (np.maximum(root - c1, 0.0) / (c2 - c3 * root)) ** (1 / m1))


def pq_clipped(peak: float, black: float, level: float = 1.0) -> Curve:
    """PQ up to a peak, and no more."""
    return lambda signal: np.asarray(black + np.minimum(level * pq(signal), peak))


def pq_rolled(peak: float, black: float, knee: float) -> Curve:
    """PQ up to a share of the peak, and an exponential way up to it from there."""

    def light(signal: Floats) -> Floats:
        asked, start = pq(signal), knee * peak
        rest = peak - start
        bent = peak - rest * np.exp(-np.maximum(asked - start, 0.0) / rest)
        return np.asarray(black + np.where(asked < start, asked, bent))

    return light


@dataclass(kw_only=True)
class FormulaDisplay:
    """A display of a formula, in the place of a simulated one; it is warm, and settles at once."""

    curves: Mapping[str, Curve]
    """By the transfer of the signal."""
    corners: Mapping[str, tuple[XY, ...]]
    """Its red, green and blue, by the primaries of the signal."""
    white: XY = D65
    order: tuple[int, int, int] = (0, 1, 2)
    """Which channel of the code its red, green and blue show."""
    takes: str = ""
    """The range that it takes codes to be of; empty where as they are sent."""
    headroom: bool = False
    """Whether it shows narrow range above its white."""
    shade: Shade = lambda _x, _y: 1.0
    name: str = "display"
    controls: tuple[Control, ...] = ()
    """What its menu has."""
    _frame: Frame | None = None
    _mean: Floats | None = None

    def show(self, frame: Frame) -> None:
        """Put a frame up."""
        if frame is not self._frame:
            self._frame, self._mean = frame, None

    def blackout(self) -> None:
        """Nothing is read meanwhile."""

    def wait(self, seconds: float) -> None:
        """Nothing changes with time."""

    def zone_light(self) -> Floats:
        """It has no zones."""
        raise SimulatedError("It has no zones.")

    def light_at(self, x: float, y: float, diameter: float) -> Floats:
        """XYZ (3,) in cd/m2, the mean over a spot; `diameter` in percent of the height."""
        frame = self._shown()
        radius = diameter / 200 * frame.height
        across, down = x * frame.width, y * frame.height
        columns = np.arange(
            max(int(across - radius), 0), min(int(across + radius) + 1, frame.width)
        )
        rows = np.arange(max(int(down - radius), 0), min(int(down + radius) + 1, frame.height))
        far = np.hypot(columns + 0.5 - across, rows[:, None] + 0.5 - down)
        inside = far <= max(radius, far.min())
        seen = frame.rows[frame.order[rows]][:, columns][inside]
        return self._of(*np.unique(seen, axis=0, return_counts=True)) * self.shade(x, y)

    def mean_light(self) -> Floats:
        """Mean XYZ (3,) of the whole screen, as if it were even."""
        if self._mean is None:
            frame = self._shown()
            parts = [np.unique(row, axis=0, return_counts=True) for row in frame.rows]
            of_rows = np.array([self._of(*part) for part in parts])
            self._mean = of_rows[frame.order].mean(0)
        return self._mean

    def _shown(self) -> Frame:
        if self._frame is None:
            raise SimulatedError("Nothing is shown.")
        return self._frame

    def _of(self, codes: NDArray[np.uint16], counts: NDArray[np.int64]) -> Floats:
        """XYZ (3,) of codes (k, 3), as often as they are there."""
        signal = self._shown().signal
        values = self.signal_of(codes, signal.bits, signal.range)[:, list(self.order)]
        light = self.curves[signal.transfer.name](values)
        return np.asarray(
            counts / counts.sum() @ light @ self.matrix(signal.primaries.name).T, np.float64
        )

    def signal_of(self, codes: NDArray[np.uint16], bits: int, sent_in: str) -> Floats:
        """E' of codes; Rec. ITU-R BT.709-6, 5.6, BT.2100-2 table 9 (from memory)."""
        if (self.takes or sent_in) == "full":
            return codes / (2.0**bits - 1)
        values = np.maximum((codes / 2.0 ** (bits - 8) - 16) / 219, 0.0)
        return values if self.headroom else np.minimum(values, 1.0)

    def matrix(self, primaries: str) -> Floats:
        """XYZ (3, 3) of its channels, a column each; all together have a Y of 1."""
        columns = np.array([[x, y, 1 - x - y] for x, y in self.corners[primaries]]).T
        x, y = self.white
        return np.asarray(columns * np.linalg.solve(columns, [x / y, 1.0, (1 - x - y) / y]))


@dataclass(frozen=True, kw_only=True)
class Site:
    """A display with the meter before it, what is played, and what the formula knows of it."""

    kind: str
    display: FormulaDisplay
    played: tuple[str, ...]
    """Names of shipped sequences; `NAME in PRIMARIES` has its signal in other primaries."""
    fault: tuple[str, ...] = ()
    """What the front page is to name: how a sentence of it begins, any of these."""
    told: str = ""
    """What stands with that sentence."""
    aim: str = ""
    """What the sequences state that the display is meant to do, as they write it."""
    slight: bool = False
    """Whether it is so little that it may go unnamed."""
    truths: Mapping[tuple[str, str, str], float] = field(default_factory=dict)
    """By finding, value and unit: what the formula says, where no light tells."""
    veil: float = 0.0
    mask: float | None = None
    """What a mask lets through of the veil; None where nobody holds one."""
    bend: float = 0.0
    linearity: float | None = None
    stuck: bool = False
    still: bool = False
    beyond: bool = False

    def meter(self, seed: int, truth: Truth) -> TrialMeter:
        """The meter before it, with errors of its own."""
        return TrialMeter(
            self.display,  # type: ignore[arg-type]  # it gives light as a simulated one does
            seed,
            truth,
            traits=replace(TRAITS, glare=self.veil),
            stuck=self.stuck,
            still=self.still,
            bend=self.bend,
            linearity=self.linearity,
            beyond=self.beyond,
        )


Draw = Callable[[np.random.Generator], Site]
KINDS: dict[str, Draw] = {}
"""Every kind of site, by its name."""


def kind(draw: Draw) -> Draw:
    """Lists a kind by the name of its function."""
    KINDS[draw.__name__.replace("_", " ")] = draw
    return draw


def near(random: np.random.Generator, points: Sequence[XY], by: float) -> tuple[XY, ...]:
    """Chromaticities a little off, none beyond what light can be."""

    def moved(x: float, y: float) -> XY:
        if (x, y) in ON_THE_LOCUS:
            white = abs(float(random.normal(0, 3 * by)))
            return x + white * (D65[0] - x), y + white * (D65[1] - y)
        return float(x + random.normal(0, by)), float(y + random.normal(0, by))

    return tuple(moved(*each) for each in points)


def good(random: np.random.Generator, **changes: object) -> FormulaDisplay:
    """An ordinary display that does what it is asked to: each kind changes something of it."""
    white = float(random.uniform(90, 300))
    black = white / float(np.exp(random.uniform(np.log(1500), np.log(50_000))))
    peak = float(random.uniform(1100, 2500))
    hdr_black = float(np.exp(random.uniform(np.log(0.0005), np.log(0.05))))
    rolled = pq_rolled(peak, hdr_black, float(random.uniform(0.8, 0.95)))
    curves = {
        "bt1886": bt1886(white, black, float(random.uniform(2.37, 2.43))),
        "pq": rolled if random.random() < 0.5 else pq_clipped(peak, hdr_black),
    }
    corners = {name: near(random, points, 0.002) for name, points in PRIMARIES.items()}
    x, y = random.normal(D65, 0.001)
    given = {"curves": curves, "corners": corners, "white": (float(x), float(y))}
    # what may be changed is any of its fields, whose types a mapping cannot tell
    return FormulaDisplay(**{**given, **changes})  # type: ignore[arg-type]


def tilted(random: np.random.Generator, most: float) -> Shade:
    """Brighter on one side, and less towards the corners, each by up to a share."""
    turn, tilt = random.uniform(0, 2 * np.pi), random.uniform(0, most)
    bowl = random.uniform(0, most)

    def shade(x: float, y: float) -> float:
        along = (x - 0.5) * np.cos(turn) + (y - 0.5) * np.sin(turn)
        return float((1 + tilt * along) * (1 - bowl * 2 * ((x - 0.5) ** 2 + (y - 0.5) ** 2)))

    return shade


@kind
def right(random: np.random.Generator) -> Site:
    """Ordinary and good, with nothing that is listed as a fault."""
    listed = [
        ("black-and-contrast", "greyscale-11", "primaries"),
        ("near-black", "near-white", "chart-24"),
        ("tone-pq", "peak-by-area", "near-black-pq"),
        ("path-check-8", "path-check-10", "uniformity-9"),
    ]
    played = listed[random.integers(len(listed))]
    return Site(
        kind="right", display=good(random, shade=tilted(random, 0.08)), played=played, mask=0.0
    )


@kind
def nearly_perfect(random: np.random.Generator) -> Site:
    """All that is off is less than what the meter can tell."""
    by = TRAITS.xy_uncertainty / 4
    white = float(random.uniform(90, 300))
    display = good(
        random,
        curves={
            "bt1886": bt1886(white, white / 20_000, float(random.normal(2.4, 0.01))),
            "pq": pq_clipped(10_000.0, 0.0005, 1 + float(random.normal(0, 0.005))),
        },
        corners={name: near(random, points, by) for name, points in PRIMARIES.items()},
        white=tuple(random.normal(D65, by / 2)),
    )
    listed = [("greyscale-11", "primaries"), ("chart-24",), ("tone-pq",), ("uniformity-9",)]
    played = listed[random.integers(len(listed))]
    return Site(kind="nearly perfect", display=display, played=played)


DCI: XY = (0.314, 0.351)
"""White of SMPTE RP 431-2, from memory."""
LAWS: dict[str, Callable[[float, float], Curve]] = {
    "power 2.2": lambda white, black: power(white, black, 2.2),
    "power 2.4": lambda white, black: power(white, black, 2.4),
    "srgb": srgb,
}


def aiming(random: np.random.Generator, shown: str, **changes: object) -> Site:
    """A display of the law `shown` and the white that is aimed at."""
    aimed = str(changes.pop("aimed", shown))
    white, point = float(round(random.uniform(90, 300))), (D65, DCI)[random.integers(2)]
    x, y = random.normal(point, 0.001)
    curves = {"bt1886": LAWS[shown](white * float(random.uniform(0.98, 1.02)), white / 30_000)}
    played = [("greyscale-11",), ("chart-24",), ("primaries", "greyscale-21")]
    given: dict[str, object] = {
        "kind": "aimed",
        "display": good(random, curves=curves, white=(float(x), float(y))),
        "played": played[random.integers(len(played))],
        "aim": f"{{curve: {aimed}, white: {white:g} cd/m2, white_point: [{point[0]}, {point[1]}]}}",
    }
    # as above: any of its fields
    return Site(**{**given, **changes})  # type: ignore[arg-type]


@kind
def aimed(random: np.random.Generator) -> Site:
    """A power law or sRGB, and a white of its own, as it is meant to be."""
    return aiming(random, str(random.choice(list(LAWS))))


@kind
def off_its_aim(random: np.random.Generator) -> Site:
    """Another law than the one that is aimed at."""
    shown, wanted = random.choice(list(LAWS), 2, replace=False)
    return aiming(
        random,
        str(shown),
        aimed=str(wanted),
        kind="off its aim",
        played=("greyscale-11",),
        fault=("Some grey is far brighter or darker than",),
    )


@kind
def uneven(random: np.random.Generator) -> Site:
    """A tilt and a bowl of up to 40 % each."""
    shade = tilted(random, 0.4)
    points = [shade(x, y) for x in (0.1, 0.5, 0.9) for y in (0.1, 0.5, 0.9)]
    lacks = 100 * (1 - min(points) / max(points))
    return Site(
        kind="uneven",
        display=good(random, shade=shade),
        played=("uniformity-9", "path-check-8", "black-and-contrast"),
        mask=0.0,
        # what lies at the limit of 25 % cannot be told
        fault=("The screen is unevenly bright",) if lacks > 25 else (),
        slight=lacks < 27,
    )


@kind
def veiled(random: np.random.Generator) -> Site:
    """A veil of up to 1 % of the mean light, and a meter that is not quite linear."""
    return Site(
        kind="veiled",
        display=good(random, shade=tilted(random, 0.05)),
        played=("black-and-contrast", "contrast-by-boxes"),
        veil=float(random.uniform(0, 0.01)),
        # half of the visits have a mask, which lets a little through
        mask=float(random.uniform(0, 0.08)) if random.random() < 0.5 else None,
        bend=float(random.uniform(-0.005, 0.005)),
        linearity=0.005,
    )


@kind
def crushed(random: np.random.Generator) -> Site:
    """Dark codes are shown as black, in SDR and in PQ."""
    plain = good(random)
    code, asked = int(random.integers(6, 21)), float(np.exp(random.uniform(np.log(0.06), 0)))
    from_sdr = (code - 0.5) / 255
    # a code that asks for less than the black is black on a right display, too
    darkest = pq_clipped(1500.0, float(random.uniform(0, asked / 20)))

    def cut(curve: Curve, lit: Callable[[Floats], NDArray[np.bool_]]) -> Curve:
        return lambda signal: np.where(lit(signal), curve(signal), curve(np.zeros(1)))

    curves = {
        "bt1886": cut(plain.curves["bt1886"], lambda signal: signal >= from_sdr),
        "pq": cut(darkest, lambda signal: pq(signal) >= asked),
    }
    near_black = {
        ("near-black", name, unit): truth
        for name in ("crushed-up-to", "crushed-below")
        for unit, truth in (("%", 100 * from_sdr), ("cd/m2", asked))
    }
    return Site(
        kind="crushed",
        display=replace(plain, curves=curves),
        played=(("near-black",), ("near-black-pq",))[random.integers(2)],
        fault=("Blacks are crushed",),
        truths=near_black,
    )


@kind
def clipped_in_PQ(random: np.random.Generator) -> Site:  # noqa: N802 - as it is written
    """PQ that stops hard, far below what the display should reach."""
    peak = float(random.uniform(350, 950))
    level = float(random.uniform(0.9, 1.05))
    display = good(random)
    clip = peak / level
    curves = {**display.curves, "pq": pq_clipped(peak, 0.001, level)}
    named = {("tone", name, "cd/m2"): clip for name in ("clips-above", "clips-below", "clip-level")}
    return Site(
        kind="clipped in PQ",
        display=replace(display, curves=curves),
        played=("tone-pq", "peak-by-area"),
        fault=("Highlights stay below what HDR is judged at",),
        truths=named,
    )


@kind
def clipped_near_white(random: np.random.Generator) -> Site:
    """The highest codes of SDR are shown as white."""
    display, code = good(random), int(random.integers(233, 253))
    curve, end = display.curves["bt1886"], code / 255
    curves = {**display.curves, "bt1886": lambda signal: curve(np.minimum(signal, end))}
    return Site(
        kind="clipped near white",
        display=replace(display, curves=curves),
        played=("near-white",),
        # a clip at 250 or above lies in the scatter of the meter
        fault=("Whites are clipped",),
        slight=code >= 248,
        truths={
            ("near-white", name, "%"): 100 * end
            for name in ("near-white-by-meter", "clipped-from", "clipped-above")
        },
    )


EXCHANGED = {
    (2, 1, 0): "Red and blue are exchanged",
    (1, 0, 2): "Red and green are exchanged",
    (0, 2, 1): "Green and blue are exchanged",
    (1, 2, 0): "What is sent as red is shown as blue, green as red, blue as green",
    (2, 0, 1): "What is sent as red is shown as green, green as blue, blue as red",
}


@kind
def exchanged(random: np.random.Generator) -> Site:
    """Red, green and blue in every other order."""
    orders = list(EXCHANGED)
    order = orders[random.integers(len(orders))]
    played = [("primaries",), ("chart-24",), ("gamut-samples",), ("saturation-sweeps",)]
    return Site(
        kind="exchanged",
        display=good(random, order=order),
        played=played[random.integers(len(played))],
        fault=(EXCHANGED[order],),
    )


@kind
def stuck(random: np.random.Generator) -> Site:
    """A meter that is said to move, and is not moved."""
    return Site(
        kind="stuck",
        display=good(random, shade=tilted(random, 0.3)),
        played=("black-and-contrast", "uniformity-9"),
        stuck=True,
        mask=0.0,
        fault=("Some readings are hardly plausible",),
        told="was the meter moved to each place",
    )


@kind
def still(random: np.random.Generator) -> Site:
    """A meter that stays in the middle, and says so: what lies elsewhere is not read."""
    return Site(
        kind="still",
        display=good(random, shade=tilted(random, 0.3)),
        played=("black-and-contrast", "uniformity-9"),
        still=True,
        mask=0.0,
    )


@kind
def wide(random: np.random.Generator) -> Site:
    """Primaries of P3 or BT.2020, whose red has no Z: x and y of it make 1."""
    name = ("p3-d65", "bt2020")[random.integers(2)]
    red, *rest = PRIMARIES[name]
    along = float(random.normal(0, 0.002))
    corners = ((red[0] + along, red[1] - along), *near(random, rest, 0.003))
    played = [("primaries",), ("saturation-sweeps",), ("gamut-samples",)]
    return Site(
        kind="wide",
        display=good(random, corners={name: corners}),
        played=tuple(f"{each} in {name}" for each in played[random.integers(len(played))]),
        beyond=True,
    )


@kind
def range_mismatch(random: np.random.Generator) -> Site:
    """Full range shown as narrow, and narrow as full."""
    sent_full = bool(random.random() < 0.5)
    display = good(
        random,
        takes="narrow" if sent_full else "full",
        headroom=bool(random.random() < 0.5),
        shade=tilted(random, 0.3),
    )
    sent, shown = ("full", "narrow") if sent_full else ("narrow", "full")
    return Site(
        kind="range mismatch",
        display=display,
        played=("path-check-8" if sent_full else "path-check-10",),
        fault=(f"Range: {sent} is set, what arrives looks like {shown}",),
    )


@kind
def PQ_on_SDR(random: np.random.Generator) -> Site:  # noqa: N802 - as it is written
    """PQ codes that are shown as those of an SDR picture."""
    white = float(np.exp(random.uniform(np.log(100), np.log(500))))
    black = white / float(np.exp(random.uniform(np.log(400), np.log(10_000))))
    exponent = float(random.uniform(2.0, 2.6))
    curves = (bt1886(white, black, exponent), power(white, black, exponent), srgb(white, black))
    display = good(random)
    curve = curves[random.integers(3)]
    return Site(
        kind="PQ on SDR",
        display=replace(display, curves={"bt1886": curve, "pq": curve}),
        played=("peak-by-area", "tone-pq"),
        fault=("Curve: PQ is sent, what is shown looks like SDR",),
    )
