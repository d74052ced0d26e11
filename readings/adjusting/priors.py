"""What is supposed of a display and its controls before anything was read or turned.

All of it is in drives (`goal.py`), and all widths are choices of our own: wide enough for displays
of many makes, so that readings decide. A control's effect is what one click adds to the drives of
every point: a mean and a covariance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from patterns.control import PRIMARIES, Control, Does
from readings.adjusting.goal import EXPONENT, Goal

Floats = NDArray[np.float64]

SMOOTH, ROUGH = 0.3, 0.06
"""Lengths, in signal, over which errors of a display are alike: of its curve, and of its bumps."""
PANEL = 2.2
"""The power between light and what a set computes with once it has decoded (common practice, no
source)."""
SURE = 0.3
"""Share by which the clicks of one control differ from those of others of its kind."""
FULL: dict[Does, float] = {
    "gain": 0.25,
    "offset": 0.12,
    "point": 0.16,
    "preset": 0.5,
    "hue": 0.35,
    "saturation": 0.35,
    "brightness": 0.35,
}
"""By how much drives change over a control's whole range, where it acts most."""
LIKE_BACKLIGHT = 0.1
"""Share of its range by which a backlight's lowest stands above no light."""


class Effect(NamedTuple):
    """What one click of a control adds to the drives of all points, (3n,) and (3n, 3n)."""

    mean: Floats
    size: Floats
    """Covariance of what is not known of its size: large."""
    shape: Floats
    """Covariance of what is not known of its shape, and of what it does to other channels."""


@dataclass(frozen=True, eq=False)
class Layout:
    """Where the points lie, for arrays over points and channels, each point's three together."""

    signal: Floats
    """(n,) mean signal of each point."""
    drive: Floats
    """(n, 3) wanted drives."""
    slope: Floats
    """(n,) how a grey's drive rises with the signal."""
    grey: NDArray[np.bool_]
    """(n,) whether a point is a grey."""

    @classmethod
    def of(cls, goal: Goal) -> Layout:
        signal = np.array([np.mean(point.signal) for point in goal.points])
        grey = np.array([point.grey for point in goal.points])
        slope = np.ones(len(signal))
        if grey.sum() > 1:
            lit = goal.wanted[grey].mean(1)
            slope[grey] = np.maximum(np.gradient(lit, signal[grey]), 0.02)
        return cls(signal, goal.wanted, slope, grey)

    @property
    def by_light(self) -> Layout:
        """The same where levels are told by what comes out of the decoding, not by the signal."""
        coded = np.maximum(self.drive.mean(1), 0) ** (EXPONENT / PANEL)
        return replace(self, signal=coded, slope=np.ones(len(self.slope)))

    def alike(self, length: float) -> Floats:
        """(n, n) how alike points are: by their signal among greys, and each colour for itself."""
        apart = self.signal[:, None] - self.signal[None]
        near = np.exp(-0.5 * (apart / length) ** 2)
        both = self.grey[:, None] & self.grey[None]
        return np.where(both, near, np.eye(len(near)))


def as_found(layout: Layout) -> tuple[Floats, Floats]:
    """Covariances (3n, 3n) of the drives before anything was turned, about what is wanted: of what
    is alike over the signal, and of bumps."""
    level = np.maximum(layout.drive.max(1), 0)
    spread = np.outer(*(0.012 + 0.065 * level**0.7,) * 2)
    channels = 0.4 * np.ones((3, 3)) + 0.6 * np.eye(3)
    curve = layout.alike(SMOOTH) + 0.08 * layout.alike(SMOOTH / 2)
    bumps = 0.006 * layout.alike(ROUGH) + 0.0003 * np.eye(len(level))
    flat = layout.drive.ravel()
    # a backlight may be set to anything; a channel is seldom off by much
    bright = np.kron(np.ones(curve.shape), 0.25**2 + 0.05**2 * np.eye(3))
    smooth = np.kron(curve * spread, channels) + np.outer(flat, flat) * bright
    return np.asarray(smooth, np.float64), np.asarray(np.kron(bumps * spread, channels), np.float64)


ShareOf = Literal["signal", "light"]


class Hats(NamedTuple):
    """Where the points of a multi-point control act: not every menu's 50 % is the signal's."""

    stretch: float = 1.0
    """The signal that a point acts at most on, by the level that its menu names."""
    width: float = 0.5
    """Deviation of the bell that it acts by, in spacings of the points."""
    of: ShareOf = "signal"
    """What the level is a share of: the signal, or what it is decoded to, where a set's points come
    after that, as PQ's may."""


STRETCHES = (0.83, 0.91, 1.0, 1.09)
WIDTHS = (0.35, 0.5, 0.8, 1.2)


def effects(controls: Sequence[Control], goal: Goal, hats: Hats | None = None) -> list[Effect]:
    """What each control is supposed to do."""
    layout = Layout.of(goal)
    spacing = _spacing(controls)
    return [_effect(control, layout, goal, spacing, hats or Hats()) for control in controls]


def _spacing(controls: Sequence[Control]) -> float:
    """Between the levels of a multi-point control, in signal."""
    levels = sorted({each.level for each in controls if each.level is not None})
    gaps = np.diff(levels)
    return float(np.median(gaps)) / 100 if gaps.size else 0.1


def _effect(control: Control, layout: Layout, goal: Goal, spacing: float, hats: Hats) -> Effect:
    lit = layout.drive.mean(1)
    clicks = (control.highest - control.lowest) / control.step
    if control.menu == "six-colour":
        return _of_colour(control, layout, goal, FULL[control.does] / clicks)
    if control.does == "backlight":
        up = (control.found - control.lowest) / control.step + LIKE_BACKLIGHT * clicks
        return _of_all(lit, 1 / EXPONENT / up, layout, sure=0.2)
    if control.does == "preset":
        curve = -lit * np.log(np.clip(lit, 1e-3, 1.5))
        return _of_all(curve, -FULL["preset"] / clicks, layout, sure=0.4)
    channel = PRIMARIES.index(control.channel or "red")
    size = FULL[control.does] / clicks
    if control.does == "gain":
        return _of_channel(lit, 0.25 + 0.75 * lit, channel, size, layout, (SURE, 0.22, SMOOTH))
    if control.does == "offset":
        profile = 0.3 * layout.slope + 0.7
        shape = (1 - 0.7 * lit) * np.minimum(profile, 1)
        return _of_channel(shape, 0.6 + 0.4 * lit, channel, size, layout, (SURE, 0.35, SMOOTH))
    layout = layout.by_light if hats.of == "light" else layout
    at = hats.stretch * (control.level or 0.0) / 100
    away = (layout.signal - at) / spacing
    hat = layout.slope * np.exp(-0.5 * (away / hats.width) ** 2)
    near = layout.slope * np.exp(-0.5 * (away / (hats.width + 0.6)) ** 2)
    hat, near = (np.where(layout.grey, each, 0.0) for each in (hat, near))
    return _of_channel(hat, near, channel, size, layout, (SURE, 0.2, spacing))


def _of_channel(
    shape: Floats,
    near: Floats,
    channel: int,
    size: float,
    layout: Layout,
    unknown: tuple[float, float, float],
) -> Effect:
    """Of a control that moves one channel, and others a little.

    Args:
        shape: (n,) what it does to its channel, 1 where it acts most.
        near: (n,) where it may do something else than that.
        channel: its channel.
        size: what a click does where it acts most.
        layout: of the points.
        unknown: share of its size that is not known, of its shape, and over which signal alike.
    """
    sure, other, length = unknown
    own = np.eye(3)[channel]
    mean = np.kron(shape, own) * size
    rest = layout.alike(length) * near[:, None] * near[None]
    leak = np.outer(shape, shape) + 0.2 * rest
    mixed = np.diag(1 - own)
    covariance = np.kron(rest, other**2 * np.diag(own)) + np.kron(leak, 0.08**2 * mixed)
    return _made(mean, sure, covariance * size**2)


def _made(mean: ArrayLike, sure: float, shape: ArrayLike) -> Effect:
    """An effect, from its mean, what share of its size is not known, and the rest."""
    moved = np.asarray(mean, np.float64)
    return Effect(moved, np.outer(moved, moved) * sure**2, np.asarray(shape, np.float64))


def _of_all(shape: Floats, size: float, layout: Layout, *, sure: float) -> Effect:
    """Of a control that moves all channels alike, (n,) where it acts most 1."""
    mean = np.kron(shape, np.ones(3)) * size
    rest = layout.alike(SMOOTH) * np.outer(np.abs(shape) + 0.05, np.abs(shape) + 0.05)
    covariance = np.kron(rest, 0.12**2 * np.ones((3, 3)) + 0.04**2 * np.eye(3)) * size**2
    return _made(mean, sure, covariance)


def _of_colour(control: Control, layout: Layout, goal: Goal, size: float) -> Effect:
    """Of a six-colour control: it moves its own colour, in the plane of its hue."""
    bits = {"red": 4, "green": 2, "blue": 1, "cyan": 3, "magenta": 5, "yellow": 6}
    wanted = layout.drive
    mean = np.zeros_like(wanted)
    for place, point in enumerate(goal.points):
        middle = (max(point.signal) + min(point.signal)) / 2
        code = sum((value > middle) << (2 - axis) for axis, value in enumerate(point.signal))
        if point.grey or code != bits[control.channel or "red"]:
            continue
        drive = wanted[place]
        if control.does == "brightness":
            mean[place] = drive
        elif control.does == "saturation":
            mean[place] = drive - drive.max()
        else:
            around = np.cross(np.ones(3), drive - drive.mean()) / np.sqrt(3)
            mean[place] = around
    flat = mean.ravel() * size
    coloured = np.where(layout.grey, 0.0, 1.0)
    touched = (np.abs(mean).sum(1) > 0).astype(float)
    near = touched + 0.1 * coloured * (1 - touched)
    rest = np.kron(np.diag(near**2), np.eye(3)) * (0.3 * size) ** 2
    return _made(flat, 0.8, rest)
