"""Trials of findings: random displays, a meter that keeps its promises, and the light itself.

Each display is played through sequences with a meter whose errors are drawn from what its
specification promises. The same findings are then worked out from the light that really stood
before the meter: that is the truth that a stated interval has to hold. The findings see neither
the display's parameters nor the meter's errors.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

import sequences
from patterns.picture.canvas import Canvas
from player.meters.base import MeterReading
from player.meters.simulated import CENTRE, MeterTraits, SimulatedMeter
from player.outputs.simulated import SimulatedOutput
from player.simulated import SimulatedDisplay
from player.simulated.parameters import DisplayParameters
from player.simulated_play import play_simulated
from readings.evidence.measured import Measured, evidence
from readings.findings import Finding, Value, findings_from
from readings.report.tables import gap, rows_of
from readings.visit.records import Specification
from readings.visit.visit import Visit

CANVAS = Canvas(640, 360)
TRAITS = MeterTraits(
    name="spot meter",
    repeatability=0.002,
    noise=0.0002,
    xy_noise=0.0004,
    digits=5,
    floor=0.002,
    resolution=0.0001,
    uncertainty=0.04,
    xy_uncertainty=0.004,
)
EXACT = Specification(
    luminance_relative_uncertainty=1e-9,
    luminance_floor=1e-9,
    luminance_resolution=1e-9,
    chromaticity_uncertainty=1e-9,
    luminance_repeatability=1e-9,
    chromaticity_repeatability=1e-9,
)
"""Of the light itself. Not zero, which a specification does not know."""
NOTHING = 1e-9
"""A truth below this is 0: what is left is of the computer's arithmetic."""
WAVES = 12
"""Of which a meter's error of chromaticity is made: enough for their sum to be near normal."""


Truth = list[tuple[str, np.ndarray, np.ndarray]]
"""What the meter said, the display's own XYZ where it was to be read, and what came into the meter;
in their order."""


class TrialMeter(SimulatedMeter):
    """A meter with one error of gain, and an error of x, y that changes smoothly with colour.

    Over many meters, both have the size that the specification promises, at every colour. How far
    errors of chromaticity reach in u', v' is drawn too: no maker says it.

    Args:
        display: what it looks at: its `light_at`, `mean_light` where light strays, and `wait`.
        seed: of its errors.
        truth: gets what it says, and the light that it should have read.
        scatter: tells apart what repeats of one meter scatter by, from visit to visit.
        traits: what it promises; `glare` strays in, unevenly, unless it is `masked`.
        stuck: it says that it moves, and stays in the middle.
        still: it says that it does not move.
        bend: how far its gain changes over a decade; `linearity` is what it promises of that.
        beyond: it tells a colour whose x and y make more than 1, too.
    """

    def __init__(  # noqa: PLR0913 - what a meter may be like, each by its name
        self,
        display: SimulatedDisplay,
        seed: int,
        truth: Truth,
        scatter: int = 0,
        *,
        traits: MeterTraits = TRAITS,
        stuck: bool = False,
        still: bool = False,
        bend: float = 0.0,
        linearity: float | None = None,
        beyond: bool = False,
    ) -> None:
        super().__init__(display, traits, seed + scatter, moves="no" if still else "yes")
        self.specification = replace(self.specification, luminance_linearity=linearity)
        own = np.random.default_rng((20310504, seed))
        self._gain = 1 + traits.uncertainty / 2 * own.standard_normal()
        reach = own.uniform(0.05, 0.3)
        self._waves = own.standard_normal((2, WAVES, 2)) / reach
        self._phases = own.uniform(0, 2 * np.pi, (2, WAVES))
        self._truth = truth
        self._stuck, self._bend, self._beyond = stuck, bend, beyond
        self._stray = np.random.default_rng((20310505, seed))
        self._strays: dict[tuple[float, float], float] = {}
        self.masked: float | None = None
        """What a mask before the screen lets through of what strays; None without one."""

    def measure(self) -> MeterReading:
        traits = self._traits
        light = self._display.light_at(*self._at, traits.spot)
        enters = self._display.light_at(*CENTRE, traits.spot) if self._stuck else light
        if traits.glare:
            through = 1.0 if self.masked is None else self.masked
            enters = enters + traits.glare * self._unevenly() * through * self._display.mean_light()
        errors = self._errors
        scale = self._gain * (1 + traits.repeatability * errors.standard_normal())
        if self._bend and enters[1] > 0:
            scale *= 1 + self._bend * float(np.log10(enters[1] / 50))
        xy = enters[:2] / enters.sum() if enters.sum() > 0 else np.array([0.3127, 0.3290])
        uv = xy * [4, 9] / (-2 * xy[0] + 12 * xy[1] + 3)
        common = np.cos(self._waves @ uv + self._phases).sum(-1) * np.sqrt(2 / WAVES)
        xy = xy + traits.xy_uncertainty / 2 * common
        xy = xy + traits.xy_noise * errors.standard_normal(2)
        total = enters[1] * scale / xy[1]
        seen = np.array([xy[0], xy[1], 1 - xy.sum()]) * total
        seen = seen + traits.noise * errors.standard_normal(3)
        self._display.wait(traits.seconds)
        luminance = round(max(float(seen[1]), 0.0), 4)
        raw, x, y = f"Y {luminance}", None, None
        least = seen[:2].min() if self._beyond else seen.min()
        if luminance >= traits.floor and least > 0:
            x, y = (round(float(each), 4) for each in seen[:2] / seen.sum())
            raw = f"Yxy {luminance} {x} {y}"
        self._truth.append((raw, light, enters))
        return MeterReading(raw, luminance, x, y)

    def _unevenly(self) -> float:
        """What strays in here, over what does so on average: the same again at the same place."""
        if self._at not in self._strays:
            self._strays[self._at] = 1 + 0.2 * self._stray.uniform(-1, 1)
        return self._strays[self._at]


def random_display(random: np.random.Generator) -> DisplayParameters:
    """A display with parameters of its own: zoned or emissive, warm, settled quickly."""
    peak = float(random.uniform(300, 2000))
    sdr = float(min(random.uniform(90, 300), peak))
    zoned = random.random() < 0.6

    def near(x: float, y: float, by: float) -> list[float]:
        return [float(x + random.normal(0, by)), float(y + random.normal(0, by))]

    gains = [float(gain) for gain in random.uniform(0.94, 1.0, 3)]
    light: dict[str, object] = {"kind": "emissive", "leakage": float(random.uniform(0, 0.003))}
    if zoned:
        light = {
            "kind": "zoned",
            "contrast": float(np.exp(random.uniform(np.log(800), np.log(8000)))),
            "columns": int(random.integers(4, 20)),
            "rows": int(random.integers(3, 12)),
            "dimming": bool(random.random() < 0.7),
            "halos": [{"radius": 5, "share": 0.6}, {"radius": 25, "share": 0.4}],
            "lowest": float(random.choice([0.0, 0.02])),
        }
    full = float(peak * random.uniform(0.35, 0.9))
    response = {
        "gain": gains,
        "offset": [float(each) for each in random.uniform(-0.002, 0.004, 3)],
        "convert": bool(random.random() < 0.7),
    }
    return DisplayParameters.model_validate(
        {
            "name": "trial",
            "peak": peak,
            "gamut": {
                "red": near(0.665, 0.322, 0.012),
                "green": near(0.275, 0.650, 0.015),
                "blue": near(0.150, 0.055, 0.005),
                "white": near(0.3127, 0.3290, 0.006),
            },
            "responses": {
                "bt1886": response | {"white": sdr, "exponent": float(random.uniform(2.0, 2.6))},
                "pq": response
                | {
                    "white": peak,
                    "top": str(random.choice(["clip", "roll off"])),
                    "knee": float(random.uniform(0.5, 0.9)),
                },
            },
            "light": light,
            "power": [{"lit": 10, "white": peak}, {"lit": 100, "white": full}],
            "reflected": float(random.uniform(0, 0.02)),
            "time": {"settle": 0.1},
        }
    )


@dataclass
class Told:
    """One value that was stated, and the truth."""

    display: int
    value: float
    truth: float
    reach: tuple[float, float] | None
    """What the truth is said to be between; None where that is not known."""
    bound: str | None

    @property
    def inside(self) -> bool:
        """Whether the stated interval, or bound, holds the truth."""
        low, high = self.reach or (self.value, self.value)
        if self.bound == "lower":
            return self.truth >= low
        if self.bound == "upper":
            return self.truth <= high
        return low <= self.truth <= high

    @property
    def half(self) -> float:
        """Half of what it is said to be between; 0 where that is not known."""
        return 0.0 if self.reach is None else (self.reach[1] - self.reach[0]) / 2


Key = tuple[str, str]
"""Finding and value."""


@dataclass
class Trials:
    """What was stated of some displays, by finding and value."""

    told: dict[Key, list[Told]] = field(default_factory=lambda: defaultdict(list))

    def coverage(self, key: Key) -> tuple[int, int]:
        """How many intervals hold the truth, and how many there are."""
        stated = [t for t in self.told[key] if t.reach is not None and t.bound is None]
        return sum(t.inside for t in stated), len(stated)

    def bias(self, key: Key) -> float:
        """Mean error in the unit of the value."""
        stated = [t for t in self.told[key] if t.reach is not None and t.bound is None]
        return float(np.mean([t.value - t.truth for t in stated])) if stated else 0.0

    def bias_share(self, key: Key) -> float:
        """Mean error as a share of the expanded uncertainty, where the truth is not 0.

        What is never below 0 and 0 in truth, such as the non-uniformity of an even screen, is its
        own error, and a large share of any interval that is no wider than it should be: the mean
        range of nine normal deviates is 0.68 of what 95 % of such ranges stay below (2.970 and
        4.387: tables of the range, from memory, and SciPy). How often its interval holds 0 says
        enough.
        """
        stated = [
            t for t in self.told[key] if t.half and t.bound is None and abs(t.truth) > NOTHING
        ]
        return float(np.mean([(t.value - t.truth) / t.half for t in stated])) if stated else 0.0

    def bounds(self, key: Key) -> tuple[int, int]:
        """How many bounds hold, and how many there are."""
        stated = [t for t in self.told[key] if t.bound is not None]
        return sum(t.inside for t in stated), len(stated)

    def merge(self, other: Trials) -> None:
        for key, listed in other.told.items():
            self.told[key] += listed


def trial(number: int, names: Sequence[str], seed: int) -> Trials:
    """One display through the sequences of these names."""
    random = np.random.default_rng((seed, number))
    parameters = random_display(random)
    stated, true = visited(parameters, names, number, int(random.integers(2**31)))
    trials = Trials()
    for key, pair in pairs_of(stated, true):
        trials.told[key].append(replace(pair, display=number))
    return trials


def trial_of_changes(number: int, names: Sequence[str], seed: int) -> Trials:
    """A display before and after an adjustment, read with one meter: the changes of its values."""
    random = np.random.default_rng((seed, number))
    before = random_display(random)
    after = adjusted(before, random)
    meter = int(random.integers(2**31))
    visits = [
        visited(each, names, number, meter, scatter=n) for n, each in enumerate((before, after))
    ]
    (first, true_first), (later, true_later) = (
        [{(f.name, f.title, f.run): f for f in found} for found in pair] for pair in visits
    )
    trials = Trials()
    for key in first.keys() & later.keys() & true_first.keys() & true_later.keys():
        for row in rows_of([first[key], later[key]]):
            start, end = row.values
            ends = [
                replace(value, value=_truth(value, true[key])) if value else None
                for value, true in ((start, true_first), (end, true_later))
            ]
            change = gap(start, end) if start and end else None
            true = gap(ends[0], ends[1]) if ends[0] and ends[1] else None
            if change and true and change.value is not None and true.value is not None:
                told = Told(number, change.value, true.value, change.reach, None)
                trials.told[key[0], row.name].append(told)
    return trials


def adjusted(display: DisplayParameters, random: np.random.Generator) -> DisplayParameters:
    """The same display with other gains, and another exponent and white of SDR."""
    plain = display.model_dump(exclude_defaults=True)
    for response in plain["responses"].values():
        response["gain"] = [float(gain) for gain in random.uniform(0.94, 1.0, 3)]
    plain["responses"]["bt1886"]["exponent"] = float(random.uniform(2.0, 2.6))
    plain["responses"]["bt1886"]["white"] *= float(random.uniform(0.95, 1.0))
    return DisplayParameters.model_validate(plain)


def visited(
    parameters: DisplayParameters, names: Sequence[str], number: int, meter: int, scatter: int = 0
) -> tuple[list[Finding], list[Finding]]:
    """What is found of a display through some sequences, and what is true.

    Args:
        parameters: of the display.
        names: of the sequences.
        number: of the display.
        meter: a number that makes the meter's errors.
        scatter: tells apart what repeats of one meter scatter by, from visit to visit.
    """
    display = SimulatedDisplay(parameters)
    truths: Truth = []
    # one meter for the whole visit: its errors are the same in every run
    one = TrialMeter(display, meter, truths, scatter)

    def of(_output: SimulatedOutput, _seed: int) -> TrialMeter:
        return one

    with TemporaryDirectory() as folder:
        path = Path(folder) / "trial.visit"
        with Visit.create(path, display="trial") as visit:
            for name in names:
                play_simulated(
                    sequences.load(name), visit, display, canvas=CANVAS, seed=number, meter=of
                )
            measured = evidence(visit)
    return findings_from(measured), findings_from(as_true(measured, truths))


def as_true(
    measured: Iterable[Measured], truths: Truth, *, entering: bool = False
) -> list[Measured]:
    """The same readings with the light that stood before the meter.

    What the run refused, such as a colour that was too dark to tell, has a truth and no reading.
    With `entering`, what strays into the meter is in it.
    """
    lights = iter(truths)
    found = []
    for reading in measured:
        if reading.quantity not in {"luminance", "colour"}:
            found.append(reading)
            continue
        own, seen = next(both for raw, *both in lights if raw == reading.raw)
        xyz = seen if entering else own
        coloured = reading.x is not None
        found.append(
            replace(
                reading,
                luminance=float(xyz[1]),
                x=float(xyz[0] / xyz.sum()) if coloured else None,
                y=float(xyz[1] / xyz.sum()) if coloured else None,
                specification=EXACT,
                raw=repr(float(xyz[1])),
                text=None,
            )
        )
    return found


def pairs_of(stated: Sequence[Finding], true: Sequence[Finding]) -> Iterator[tuple[Key, Told]]:
    """Values and numbers of series that both have, stated and true."""
    truly = {(finding.name, finding.title, finding.run): finding for finding in true}
    for finding in stated:
        other = truly.get((finding.name, finding.title, finding.run))
        if other is None:
            continue
        for value in finding.values:
            truth = _truth(value, other)
            if truth is not None and value.value is not None:
                yield (
                    (finding.name, value.name),
                    Told(0, value.value, truth, value.reach, value.bound),
                )
        yield from _numbers(finding, other)


def _truth(value: Value, true: Finding) -> float | None:
    """What the value of this name is in truth; of several the one of this label and place.

    A bound has a truth only where the light itself is no bound. A value that names its step and
    channel is held against that very place, though in truth another one may be farther off.
    """
    if value.name == "balance-largest":
        step, channel = value.where.get("step"), str(value.where.get("channel"))
        for series in true.series:
            for row, number in zip(series.rows, series.column(channel), strict=True):
                if step in {row.label, row.where.get("step")}:
                    return number.value
        return None
    named = [other for other in true.values if other.name == value.name]
    if len(named) > 1:
        named = [n for n in named if (n.label, n.where) == (value.label, value.where)]
    return named[0].value if len(named) == 1 and named[0].bound is None else None


def _numbers(finding: Finding, other: Finding) -> Iterator[tuple[Key, Told]]:
    rows = {(s.name, row.label): row for s in other.series for row in s.rows}
    for series in finding.series:
        for row in series.rows:
            same = rows.get((series.name, row.label))
            if same is None:
                continue
            for column, number, truth in zip(
                series.columns, row.numbers, same.numbers, strict=True
            ):
                if number.value is not None and truth.value is not None and not truth.bound:
                    yield (
                        (finding.name, f"{series.name}: {column.name}"),
                        Told(0, number.value, truth.value, number.reach, number.bound),
                    )
