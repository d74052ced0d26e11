"""Invented displays with menus: settings, curves of each channel, a panel, and what goes wrong.

Everything here is invented; ranges are our own choice of what televisions might do. Nothing of it
is shared with what advises: gains pivot where a set happens to have them pivot, stages stand in
whatever order they stand, clicks are uneven, and panels end in curves of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.control import CHANNELS, PRIMARIES, Control
from patterns.signal.primaries import PRIMARIES as GAMUTS
from patterns.signal.transfer.pq import eotf

Floats = NDArray[np.float64]
Chance = np.random.Generator

MENUS = ("two-point", "ten-point", "ten-point PQ", "twenty-point", "six-colour")
CODED = 2.2
"""The power between light and what a set computes with."""
D65 = np.array([0.3127, 0.3290])


def xyz_of(xy: ArrayLike, luminance: float = 1.0) -> Floats:
    """XYZ (3,) of a chromaticity and a luminance."""
    x, y = np.asarray(xy, np.float64)
    return luminance / y * np.array([x, y, 1 - x - y])


@dataclass(frozen=True)
class Gains:
    """What a gain g does to a coded value v."""

    acts: Literal["signal", "light", "pivot"]
    pivot: float

    def apply(self, v: Floats, gain: Floats) -> Floats:
        if self.acts == "light":
            return v * np.maximum(1 + CODED * gain, 0) ** (1 / CODED)
        if self.acts == "pivot":
            return self.pivot + (v - self.pivot) * (1 + gain)
        return v * (1 + gain)


@dataclass(frozen=True)
class Offsets:
    """What an offset o does to a coded value v."""

    acts: Literal["everything", "lift", "dark", "light"]
    fall: float
    """How fast it fades towards white, of `dark`."""

    def apply(self, v: Floats, offset: Floats) -> Floats:
        if self.acts == "lift":
            return v + offset * (1 - v)
        if self.acts == "dark":
            return v + offset * np.maximum(1 - v, 0) ** self.fall
        if self.acts == "light":
            return np.maximum(np.maximum(v, 0) ** CODED + 0.1 * offset, 0) ** (1 / CODED)
        return v + offset


@dataclass(frozen=True)
class Points:
    """What the points of a multi-point control do, each around its own place."""

    shape: Literal["linear", "gaussian", "double", "cosine"]
    places: Floats
    width: float
    """Of a Gaussian, in places."""
    scaled: bool
    """Whether it multiplies what it acts on."""
    from_black: bool
    """Whether the lowest acts down to black as it does at its place."""

    by_signal: bool
    """Whether its places are those of the signal, or of what comes out of the stage before."""

    def apply(self, v: Floats, signals: Floats, amounts: Floats) -> Floats:
        """v (b, p, 3) of signals (p, 3) with amounts (b, k, 3)."""
        if self.by_signal:
            added = np.einsum("pck,bkc->bpc", self._weights(signals), amounts)
        else:
            added = np.einsum("bpck,bkc->bpc", self._weights(v), amounts)
        return v * (1 + added) if self.scaled else v + added

    def _weights(self, v: Floats) -> Floats:
        places = self.places
        low = np.diff(places, prepend=0.0)
        low[0] = places[1] - places[0] if self.from_black else places[0]
        high = np.diff(places, append=2 * places[-1] - places[-2])
        away = v[..., None] - places
        away = away / np.where(away < 0, low, high)
        held = away[..., -1] > 0
        if self.shape == "gaussian":
            weights = np.exp(-0.5 * (away / self.width) ** 2)
        elif self.shape == "double":
            weights = np.maximum(1 - np.abs(away) / 2, 0)
        elif self.shape == "cosine":
            weights = 0.5 + 0.5 * np.cos(np.pi * np.clip(away / 1.2, -1, 1))
        else:
            weights = np.maximum(1 - np.abs(away), 0)
        weights[..., -1][held] = 1.0
        if self.from_black:
            weights[..., 0][away[..., 0] < 0] = 1.0
        return np.asarray(weights)


@dataclass(frozen=True)
class SixColours:
    """Hue, saturation and brightness of six colours, turned in a hexagon of coded values."""

    reach: float
    """To how far from its own hue a colour is moved, degrees."""
    smooth: bool
    by_saturation: float
    """The power of the saturation by which it fades towards grey."""
    dims: float
    """How much of a rise in saturation is taken from the brightness."""
    in_light: bool

    def apply(self, v: Floats, hue: Floats, saturation: Floats, brightness: Floats) -> Floats:
        """v (b, p, 3) with amounts (b, 6) each, in the order of CHANNELS."""
        rgb = np.maximum(v, 0) ** CODED if self.in_light else np.maximum(v, 0)
        top, least = rgb.max(-1), rgb.min(-1)
        spread = np.where(top > least, top - least, 1.0)
        red, green, blue = np.moveaxis(rgb, -1, 0)
        angle = np.where(
            top == red,
            (green - blue) / spread,
            np.where(top == green, 2 + (blue - red) / spread, 4 + (red - green) / spread),
        )
        angle = 60 * angle
        full = np.where(top > 0, (top - least) / np.maximum(top, 1e-9), 0)
        own = np.array([0.0, 120.0, 240.0, 180.0, 300.0, 60.0])
        away = np.abs((angle[..., None] - own + 180) % 360 - 180) / self.reach
        near = np.clip(1 - away, 0, 1)
        near = near**2 * (3 - 2 * near) if self.smooth else near
        near = near * full[..., None] ** self.by_saturation
        turn, more, lift = (
            np.einsum("bpk,bk->bp", near, each) for each in (hue, saturation, brightness)
        )
        value = top * (1 + lift) * (1 - self.dims * full * more)
        made = _hexagon(angle + turn, np.maximum(full * (1 + more), 0), value)
        return np.maximum(made, 0) ** (1 / CODED) if self.in_light else made


def _hexagon(angle: Floats, saturation: Floats, value: Floats) -> Floats:
    lacks = []
    for start in (5, 3, 1):
        k = (start + angle / 60) % 6
        lacks.append(np.clip(np.minimum(k, 4 - k), 0, 1))
    return np.asarray(value[..., None] * (1 - saturation[..., None] * np.stack(lacks, -1)))


@dataclass(frozen=True)
class Panel:
    """Drive of the channels to light."""

    power: Floats
    waves: Floats
    """(3, 3): channel, and the first three sine waves of what is left beside the power."""
    mixing: Floats
    matrix: Floats
    """Light of the channels, 1 at a drive of 1, to XYZ in cd/m2."""
    black: Floats
    bits: int
    top: Floats
    """The highest drive of each channel."""
    folds: tuple[int, float, float] | None
    """A channel, from where, and how steeply it goes on from there: below 0 it falls."""

    def light(self, drive: Floats) -> Floats:
        """Light of the channels (..., 3) of drives (..., 3)."""
        steps = 2**self.bits - 1
        u = np.round(np.clip(drive, 0, self.top) * steps) / steps
        if self.folds is not None:
            channel, start, slope = self.folds
            one = u[..., channel]
            u[..., channel] = np.where(one > start, start + slope * (one - start), one)
        turns = np.pi * u
        wave = sum(self.waves[:, k] * np.sin((k + 1) * turns) for k in range(3))
        return np.asarray((u**self.power * np.exp(wave)) @ self.mixing)


@dataclass
class Display:
    """A display and its menu. Times are seconds that never go back."""

    menu: str
    controls: list[Control]
    tables: list[Floats]
    """Of each control, what it does at each of its clicks from the lowest to the highest: a gain,
    an offset and a point in coded values, a backlight as light, a preset as a power."""
    order: tuple[str, ...]
    gains: Gains
    offsets: Offsets
    points: Points | None
    colours: SixColours | None
    coupling: Floats
    """(3, 3): which channels a control of a channel moves, too."""
    gamut: Floats
    """(3, 3): what the set makes of linear red, green and blue before all else."""
    panel: Panel
    peak: float
    """Of PQ, where it ends, cd/m2; white of SDR as made."""
    knee: float
    """Of PQ, share of the peak from which it rolls off."""
    turn_seconds: float
    read_seconds: float
    kinds: set[str] = field(default_factory=set)
    spoilt: dict[int, str] = field(default_factory=dict)
    """Controls that are none of what they should be, and their fault."""
    lag: float = 0.0
    drift: Floats = field(default_factory=lambda: np.zeros(3))
    drift_seconds: float = 1.0
    follows: float = 0.0
    power_limit: float = np.inf
    """Light of the channels, mean of the three, above which all is dimmed."""
    comes_back: tuple[float, int, float] | None = None
    """When, which control, at what."""

    def __post_init__(self) -> None:
        self.at = 0.0
        self.menu_values = [control.found for control in self.controls]
        self._acting = list(self.menu_values)
        self._waiting: list[tuple[float, int, float]] = []

    @property
    def pq(self) -> bool:
        return self.menu == "ten-point PQ"

    def set(self, control: int, value: float, at: float) -> None:
        """The menu of a control is made to read a value, within its range and on a click."""
        self._go_on(at)
        its = self.controls[control]
        clicks = round((min(max(value, its.lowest), its.highest) - its.lowest) / its.step)
        on = min(its.lowest + clicks * its.step, its.highest)
        self.menu_values[control] = on
        self._waiting.append((at + self.lag, control, on))
        self._go_on(at)

    def xyz(self, signal: ArrayLike, at: float) -> Floats:
        """True light (3,) of a picture that is one signal (3,)."""
        self._go_on(at)
        return self.xyz_at(self._acting, np.atleast_2d(np.asarray(signal, np.float64)), at)[0]

    def truth(self, signals: Floats, at: float) -> Floats:
        """True light (p, 3) of pictures (p, 3) once the menu's values have come to act."""
        self._go_on(at)
        return self.xyz_at(self.menu_values, signals, at)

    def xyz_at(self, values: Sequence[float], signals: Floats, at: float = np.inf) -> Floats:
        """Light (p, 3) of signals (p, 3) with the menu at other values; warm where no time."""
        clicks = [(v - c.lowest) / c.step for v, c in zip(values, self.controls, strict=True)]
        return self.many(np.array([clicks]), signals, at)[0]

    def clicks_found(self) -> Floats:
        """(n,): how many clicks above its lowest each was found."""
        return np.array([round((c.found - c.lowest) / c.step) for c in self.controls], np.float64)

    def many(self, clicks: Floats, signals: Floats, at: float = np.inf) -> Floats:
        """Light (b, p, 3) for clicks above the lowest (b, n) and signals (p, 3)."""
        amounts = np.stack(
            [
                np.interp(clicks[:, i], np.arange(len(table)), table)
                for i, table in enumerate(self.tables)
            ],
            1,
        )
        channels = self.panel.light(self._drives(amounts, signals))
        if np.isfinite(at):
            channels = channels * (1 + self.drift * np.exp(-at / self.drift_seconds))
        light = self._single(amounts, "backlight", 1.0)[:, None]
        light = light * (1 - self.follows * (1 - np.sqrt(signals.mean(-1))))
        load = light * channels.mean(-1)
        light = light * np.minimum(1, self.power_limit / np.maximum(load, 1e-12))
        return np.asarray(light[..., None] * (channels @ self.panel.matrix.T) + self.panel.black)

    def _go_on(self, at: float) -> None:
        if at < self.at:
            raise ValueError("time goes back")
        self.at = at
        if self.comes_back is not None and self.comes_back[0] <= at:
            when, control, value = self.comes_back
            self.menu_values[control] = value
            self._waiting.append((when, control, value))
            self.comes_back = None
        self._waiting.sort(key=lambda each: each[0])
        while self._waiting and self._waiting[0][0] <= at:
            _, control, value = self._waiting.pop(0)
            self._acting[control] = value

    def _single(self, amounts: Floats, does: str, without: float) -> Floats:
        found = [i for i, control in enumerate(self.controls) if control.does == does]
        return amounts[:, found[0]] if found else np.full(len(amounts), without)

    def _of_channels(self, amounts: Floats, does: str, level: float | None = None) -> Floats:
        """(b, 3) of a kind of control, with what it moves of the other channels."""
        own = np.zeros((len(amounts), 3))
        for i, control in enumerate(self.controls):
            if control.does == does and control.level == level:
                own[:, CHANNELS.index(control.channel or "red")] = amounts[:, i]
        return own @ self.coupling

    def _of_colours(self, amounts: Floats, does: str) -> Floats:
        own = np.zeros((len(amounts), 6))
        for i, control in enumerate(self.controls):
            if control.does == does and control.channel is not None:
                own[:, CHANNELS.index(control.channel)] = amounts[:, i]
        return own

    def _drives(self, amounts: Floats, signals: Floats) -> Floats:
        v = np.broadcast_to(signals, (len(amounts), *signals.shape))
        if self.colours is not None:
            by = [self._of_colours(amounts, does) for does in ("hue", "saturation", "brightness")]
            v = self.colours.apply(v, *by)
            v = np.maximum(np.maximum(v, 0) ** CODED @ self.gamut.T, 0) ** (1 / CODED)
        for stage in self.order:
            v = self._stage(stage, np.maximum(v, 0), signals, amounts)
        return np.asarray(v)

    def _stage(self, stage: str, v: Floats, signals: Floats, amounts: Floats) -> Floats:
        if stage == "preset":
            return np.asarray(v ** self._single(amounts, "preset", 1.0)[:, None, None])
        if stage == "points" and self.points is not None:
            levels = sorted({c.level for c in self.controls if c.level is not None})
            each = [self._of_channels(amounts, "point", level) for level in levels]
            return self.points.apply(v, signals, np.stack(each, 1))
        if stage == "gains":
            return self.gains.apply(v, self._of_channels(amounts, "gain")[:, None])
        if stage == "offsets":
            return self.offsets.apply(v, self._of_channels(amounts, "offset")[:, None])
        if stage == "decode":
            share = eotf(v) / self.peak
            over = np.maximum(share - self.knee, 0) / (1 - self.knee)
            rolled = np.where(share > self.knee, self.knee + (1 - self.knee) * np.tanh(over), share)
            return np.asarray(rolled ** (1 / CODED))
        return v


class _Maker:
    """Draws one display."""

    def __init__(self, chance: Chance, menu: str) -> None:
        self.chance, self.menu = chance, menu
        self.controls: list[Control] = []
        self.tables: list[Floats] = []
        self.uneven = float(chance.choice([0.03, 0.08, 0.15, 0.25]))

    def one(self, *among: object) -> object:
        return among[int(self.chance.integers(len(among)))]

    def between(self, low: float, high: float) -> float:
        return float(self.chance.uniform(low, high))

    def steps(self, count: int) -> Floats:
        """Sizes of clicks around 1, nearly uniform, growing a little to one side at times."""
        leaning = self.between(-0.3, 0.3) if self.chance.random() < 0.3 else 0.0
        sizes = 1 + self.uneven * self.chance.standard_normal(count)
        return np.asarray(np.maximum(sizes, 0.25) * np.linspace(1 - leaning, 1 + leaning, count))

    def add(self, control: Control, size: float) -> None:
        count = round((control.highest - control.lowest) / control.step)
        table = np.concatenate([[0.0], np.cumsum(self.steps(count))]) * size
        self.controls.append(control)
        self.tables.append(table - table[round((control.found - control.lowest) / control.step)])

    def page(self, *styles: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
        return styles[int(self.chance.integers(len(styles)))]

    def two_point(self, size: float) -> None:
        low, high, step, usual = self.page(
            (-50, 50, 1, 0), (0, 200, 1, 100), (-30, 30, 1, 0), (0, 255, 1, 160), (0, 100, 2, 50)
        )
        half = min(usual - low, high - usual) / step
        for does, total in (("gain", (0.15, 0.35)), ("offset", (0.04, 0.12))):
            of_page = self.between(*total) / half * size
            moved = self.chance.random() < 0.4
            for channel in PRIMARIES:
                away = float(np.round(self.chance.normal(0, 3))) * step if moved else 0.0
                self.add(
                    Control(
                        f"{channel.capitalize()} {does}",
                        "gain" if does == "gain" else "offset",
                        channel,
                        None,
                        low,
                        high,
                        step,
                        min(max(usual + away, low), high),
                    ),
                    of_page * self.between(0.9, 1.1),
                )

    def multi_point(self, levels: Floats, size: float) -> None:
        low, high, step, usual = self.page(
            (-50, 50, 1, 0), (-30, 30, 1, 0), (0, 100, 1, 50), (-20, 20, 0.5, 0)
        )
        for level in levels:
            for channel in PRIMARIES:
                name = f"{level:g} % {channel}"
                self.add(
                    Control(name, "point", channel, float(level), low, high, step, usual),
                    size * self.between(0.85, 1.15),
                )

    def backlight(self) -> None:
        high = float(self.one(20, 50, 100))  # type: ignore[arg-type]
        found = float(round(high * self.between(0.6, 0.95)))
        self.controls.append(Control("Backlight", "backlight", None, None, 0, high, 1, found))
        least, bend = self.between(0.05, 0.25), self.between(0.8, 1.4)
        share = np.concatenate([[0.0], np.cumsum(self.steps(int(high)))])
        light = least + (1 - least) * (share / share[-1]) ** bend
        self.tables.append(light / light[int(found)])

    def preset(self) -> None:
        powers = np.arange(1.8, 2.61, float(self.one(0.1, 0.2)))  # type: ignore[arg-type]
        powers = powers + self.chance.normal(0, 0.012, len(powers))
        found = int(self.chance.integers(1, len(powers) - 1))
        top = len(powers) - 1.0
        self.controls.append(Control("Gamma", "preset", None, None, 0, top, 1, float(found)))
        table = powers / powers[found]
        self.tables.append(table)

    def six_colour(self) -> None:
        low, high, step, usual = self.page((-50, 50, 1, 0), (-30, 30, 1, 0), (0, 100, 1, 50))
        half = (usual - low) / step
        sizes = {
            "hue": self.between(20, 45) / half * float(self.one(1, 1, -1)),  # type: ignore[arg-type]
            "saturation": self.between(0.3, 0.6) / half,
            "brightness": self.between(0.2, 0.45) / half,
        }
        for channel in CHANNELS:
            for does in ("hue", "saturation", "brightness"):
                name = f"{channel.capitalize()} {does}"
                self.add(
                    Control(name, does, channel, None, low, high, step, usual),
                    sizes[does] * self.between(0.85, 1.15),
                )

    def panel(self, peak: float) -> Panel:
        near = np.clip(self.chance.normal(0, 0.012, (3, 2)), -0.03, 0.03)
        wide = self.chance.random() < 0.4 or self.menu == "six-colour"
        known = GAMUTS["p3-d65" if wide else "bt709"]
        corners = np.array(
            [[float(each) for each in point] for point in (known.red, known.green, known.blue)]
        )
        primaries = np.stack([xyz_of(corner) for corner in corners + near], 1)
        matrix = primaries * np.linalg.solve(primaries, xyz_of(D65))
        balance = np.exp(self.chance.normal(0, 0.05, 3))
        mean = CODED if self.menu == "ten-point PQ" else self.between(2.0, 2.6)
        spread = 0.02 if self.menu == "ten-point PQ" else 0.04
        waves = self.chance.normal(0, [0.04, 0.02, 0.01], 3)
        waves = waves + self.chance.normal(0, [0.015, 0.01, 0.006], (3, 3))
        mixing = np.eye(3) + np.abs(self.chance.normal(0, 0.008, (3, 3))) * (1 - np.eye(3))
        pq = self.menu == "ten-point PQ"
        dark = float(10 ** (self.between(-6.3, -4.7) if pq else self.between(-5, -3.1))) * peak
        depths = (12, 12, 14) if pq else (8, 10, 10, 10, 12, 12)
        return Panel(
            power=mean + self.chance.normal(0, spread, 3),
            waves=waves,
            mixing=mixing / mixing.sum(0),
            matrix=peak * matrix * balance,
            black=xyz_of(D65 + self.chance.normal(0, 0.03, 2), dark),
            bits=int(self.chance.choice(depths)),
            top=np.full(3, self.between(1.04, 1.25)),
            folds=None,
        )


def _levels(make: _Maker, peak: float) -> Floats:
    """Where the points of a multi-point control stand, by their names, percent."""
    if make.menu == "twenty-point":
        return np.arange(5.0, 101, 5)
    if make.menu == "ten-point PQ" and make.chance.random() < 0.5:
        grid = np.linspace(0, 1, 4097)
        code = float(np.interp(peak, eotf(grid), grid))
        return np.asarray(np.round(np.arange(1, 11) * 10 * code, 1))
    if make.menu == "ten-point" and make.chance.random() < 0.2:
        return np.array([5.0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100])
    return np.arange(10.0, 101, 10)


def _points(make: _Maker, levels: Floats) -> Points:
    narrow = make.chance.random() < 0.15
    return Points(
        shape=make.one("linear", "linear", "gaussian", "double", "cosine"),  # type: ignore[arg-type]
        places=levels / 100 * (1 / 1.09 if narrow else 1.0),
        width=make.between(0.4, 0.8),
        scaled=make.chance.random() < 0.3,
        from_black=make.chance.random() < 0.3,
        by_signal=make.chance.random() < 0.75,
    )


def _order(make: _Maker) -> tuple[str, ...]:
    two = ("gains", "offsets") if make.chance.random() < 0.7 else ("offsets", "gains")
    if make.menu == "ten-point PQ":
        codes = ("points", "decode") if make.chance.random() < 0.8 else ("decode", "points")
        return (*codes, *two) if make.chance.random() < 0.7 else (*two, *codes)
    orders = (
        ("preset", "points", *two),
        (*two, "preset", "points"),
        ("points", "preset", *two),
        (*two, "points", "preset"),
    )
    return orders[int(make.chance.integers(len(orders)))]


def _coupling(make: _Maker) -> Floats:
    kind = make.chance.random()
    if kind < 0.7:
        return np.eye(3)
    if kind < 0.85:  # luminance is kept nearly: the others go the other way
        part = np.array([0.2126, 0.7152, 0.0722])
        return np.asarray(np.eye(3) - make.between(0.2, 0.6) * np.outer(part, np.ones(3)))
    return np.asarray(np.eye(3) + make.between(0.05, 0.2) * (1 - np.eye(3)))


def _gamut(make: _Maker, panel: Panel) -> Floats:
    """What the set believes to bring its signal to its panel."""
    if make.menu != "six-colour":
        return np.eye(3)
    signal = np.array(GAMUTS["bt709"].matrix, np.float64)
    right = np.linalg.solve(panel.matrix / panel.matrix[1].sum(), signal)
    right = right / right.sum(1, keepdims=True)
    strength = make.between(0.6, 1.0)
    made = strength * right + (1 - strength) * np.eye(3)
    made = made + make.chance.normal(0, 0.015, (3, 3)) * (1 - np.eye(3))
    return np.asarray(made / made.sum(1, keepdims=True))


def display_of(seed: int, menu: str = "ten-point", nasty: bool | None = None) -> Display:
    """The display of a number: always the same one.

    Args:
        seed: 0 or more.
        menu: one of MENUS.
        nasty: whether something is wrong with it; every second one where not said.
    """
    chance = np.random.default_rng([seed, MENUS.index(menu), 20_631])
    make = _Maker(chance, menu)
    pq = menu == "ten-point PQ"
    peak = make.between(500, 1500) if pq else make.between(110, 400)
    panel, order = make.panel(peak), _order(make)
    points = None
    if menu != "six-colour":
        coded = pq and order.index("gains") < order.index("decode")
        make.two_point(0.25 if coded else 1.0)
        if menu != "two-point":
            levels = _levels(make, peak)
            points = _points(make, levels)
            size = make.between(0.003, 0.01) if points.scaled else make.between(0.001, 0.004)
            make.multi_point(levels, size * (0.4 if pq else 1.0))
        if chance.random() < 0.5:
            make.backlight()
        if not pq and chance.random() < 0.5:
            make.preset()
    else:
        make.six_colour()
    display = Display(
        menu=menu,
        controls=make.controls,
        tables=make.tables,
        order=order,
        gains=Gains(make.one("signal", "light", "pivot"), make.between(0.02, 0.3)),  # type: ignore[arg-type]
        offsets=Offsets(make.one("everything", "lift", "dark", "light"), make.between(1.5, 6)),  # type: ignore[arg-type]
        points=points,
        colours=SixColours(
            make.between(50, 75),
            bool(chance.random() < 0.5),
            make.between(0.3, 1.0),
            make.between(0, 0.4),
            bool(chance.random() < 0.4),
        )
        if menu == "six-colour"
        else None,
        coupling=_coupling(make),
        gamut=_gamut(make, panel),
        panel=panel,
        peak=peak,
        knee=make.between(0.75, 0.95),
        turn_seconds=make.between(5, 15),
        read_seconds=make.between(1, 10),
    )
    if seed % 2 == 1 if nasty is None else nasty:
        for kind in chance.choice(NASTY, 1 + int(chance.random() < 0.3), replace=False):
            display.kinds.add(str(kind))
            SPOILED[str(kind)](display, make)
    return display


def _any_control(display: Display, make: _Maker) -> int:
    return int(make.chance.choice([i for i, c in enumerate(display.controls) if c.channel]))


def _does_nothing(display: Display, make: _Maker) -> None:
    one = _any_control(display, make)
    display.tables[one] = np.zeros_like(display.tables[one])
    display.spoilt[one] = "does nothing"


def _reversed(display: Display, make: _Maker) -> None:
    one = _any_control(display, make)
    display.tables[one] = -display.tables[one]
    display.spoilt[one] = "reversed"


def _dead_zone(display: Display, make: _Maker) -> None:
    """Some clicks about where it was found do nothing."""
    one = _any_control(display, make)
    table, found = display.tables[one], round(display.clicks_found()[one])
    long = int(make.chance.integers(4, 10))
    start = max(found - int(make.chance.integers(0, long + 1)), 0)
    sizes = np.diff(table)
    sizes[start : start + long] = 0
    changed = np.concatenate([[0.0], np.cumsum(sizes)])
    display.tables[one] = changed - changed[found]
    display.spoilt[one] = "dead zone"


def _ceiling(display: Display, make: _Maker) -> None:
    top = display.panel.top.copy()
    top[int(make.chance.integers(3))] = make.between(0.99, 1.01)
    display.panel = replace(display.panel, top=top)


def _folds_back(display: Display, make: _Maker) -> None:
    folds = (int(make.chance.integers(3)), make.between(0.88, 0.97), make.between(-0.3, 0.15))
    display.panel = replace(display.panel, folds=folds)


def _warms_up(display: Display, make: _Maker) -> None:
    together = float(make.one(-1, 1)) * make.between(0.02, 0.07)  # type: ignore[arg-type]
    display.drift = together + make.chance.normal(0, 0.012, 3)
    display.drift_seconds = make.between(400, 1200)


def _follows(display: Display, make: _Maker) -> None:
    display.follows = make.between(0.03, 0.12)


def _power_limit(display: Display, make: _Maker) -> None:
    display.power_limit = make.between(0.75, 0.98)


def _lags(display: Display, make: _Maker) -> None:
    display.lag = make.between(2, 8)


def _comes_back(display: Display, make: _Maker) -> None:
    one = _any_control(display, make)
    its = display.controls[one]
    away = float(make.one(-1, 1)) * its.step * float(make.chance.integers(3, 9))  # type: ignore[arg-type]
    value = min(max(its.found + away, its.lowest), its.highest)
    display.comes_back = (make.between(200, 900), one, value)


SPOILED: dict[str, Callable[[Display, _Maker], None]] = {
    "does nothing": _does_nothing,
    "reversed": _reversed,
    "dead zone": _dead_zone,
    "ceiling": _ceiling,
    "folds back": _folds_back,
    "warm-up": _warms_up,
    "follows the picture": _follows,
    "power limit": _power_limit,
    "lags": _lags,
    "comes back changed": _comes_back,
}
NASTY = tuple(SPOILED)
