"""The menu of a simulated display: its controls, where they stand, and what they do to the picture.

What the display gives with all controls as found is what its other parameters say. A control acts
by its clicks from there, so that nothing is worked out anew while nobody turns.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import AfterValidator, model_validator
from pydantic import Field as Parameter

from patterns.control import PRIMARIES, Channel, Control, Does
from player.described import one_line
from player.simulated.parts import Part

Floats = NDArray[np.float64]
Reading = Annotated[float, Parameter(ge=-100_000, le=100_000)]
MOST_CONTROLS = 128
"""Ten-point and two-point controls, six colours, backlight and preset are 56."""
_MOST: dict[Does, tuple[float, float]] = {
    "gain": (-1.0, 1.0),
    "offset": (-0.5, 0.5),
    "point": (-0.5, 0.5),
    "backlight": (-0.99, 9.0),
    "preset": (-3.0, 3.0),
    "hue": (-1.0, 1.0),
    "saturation": (-1.0, 1.0),
    "brightness": (-1.0, 1.0),
}
"""The least and the most that all clicks of a control may come to; a choice of our own."""
EXPONENTS = (0.5, 5.0)
"""Bounds of the exponent that a preset may lead to."""
HUES: tuple[Channel, ...] = ("red", "yellow", "green", "cyan", "blue", "magenta")
"""The six colours in the order of their hue."""
_UNITS = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 0], [0, 1, 1], [0, 0, 1], [1, 0, 1]], np.float64)


class SimulatedControl(Part):
    """One control of the menu, and what a click of it does."""

    name: Annotated[str, Parameter(min_length=1, max_length=40), AfterValidator(one_line)]
    does: Does
    channel: Channel | None = None
    level: float | None = None
    """Of a `point`, percent of the signal."""
    lowest: Reading
    highest: Reading
    step: Annotated[float, Parameter(gt=0, le=100_000)]
    """By how much one click changes what the menu reads."""
    found: Reading
    """What the menu reads before anybody turns it; the display's other parameters hold there."""
    click: Annotated[float, Parameter(ge=-1, le=1)]
    """What one click up does: share of the signal (`gain`), part of the signal (`offset`, `point`),
    share of the light (`backlight`), of the exponent (`preset`), of the way to the next hue, of the
    saturation, of the brightness. Below 0 the control is reversed, at 0 it does nothing."""

    @model_validator(mode="after")
    def _possible(self) -> Self:
        control = self.control
        least, most = _MOST[self.does]
        for end in (self.lowest, self.highest):
            does = control.clicks(end) * self.click
            if not least <= does <= most:
                raise ValueError(
                    f"{self.name}: at {end:g} its clicks come to {does:g}, and a {self.does} goes "
                    f"from {least:g} to {most:g}"
                )
        return self

    @cached_property
    def control(self) -> Control:
        """The control as everybody else knows it. Raises ValueError where no menu has it."""
        return Control(
            self.name,
            self.does,
            self.channel,
            self.level,
            self.lowest,
            self.highest,
            self.step,
            self.found,
        )


def each_once(controls: list[SimulatedControl]) -> list[SimulatedControl]:
    """The same; ValueError where two are called the same or move the same."""
    names: set[str] = set()
    moved: dict[tuple[Does, Channel | None, float | None], str] = {}
    for each in controls:
        if each.name in names:
            raise ValueError(f"two controls are called {each.name}")
        names.add(each.name)
        other = moved.setdefault((each.does, each.channel, each.level), each.name)
        if other != each.name:
            raise ValueError(f"{other} and {each.name} are one control")
    return controls


@dataclass(frozen=True, eq=False)
class Menu:
    """The controls of a display, and how many clicks each stands from where it was found.

    Args:
        controls: as described.
        clicks: by name; those that are not named stand as found.
    """

    controls: tuple[SimulatedControl, ...] = ()
    clicks: Mapping[str, float] | None = None

    @property
    def values(self) -> dict[str, float]:
        """What each control reads now, by name, in the menu's order."""
        return {each.name: each.control.value(self._stands(each)) for each in self.controls}

    def turned(self, name: str, value: float) -> Menu:
        """The menu with one control at a value. Raises ValueError: one sentence."""
        described = next((each for each in self.controls if each.name == name), None)
        if described is None:
            known = ", ".join(each.name for each in self.controls) or "none at all"
            raise ValueError(f"There is no control {name!r} in this menu; there are {known}.")
        control = described.control
        if not control.lowest <= value <= control.highest:
            raise ValueError(
                f"{name} goes from {control.lowest:g} to {control.highest:g}, not to {value:g}."
            )
        clicks = control.clicks(value)
        whole = round(clicks)
        if abs(clicks - whole) < 1e-6:
            clicks = float(whole)
        elif value not in (control.lowest, control.highest):
            raise ValueError(
                f"{name} goes by steps of {control.step:g} from {control.found:g}, and never "
                f"reads {value:g}."
            )
        return Menu(self.controls, {**(self.clicks or {}), name: clicks})

    def signals(self, signals: Floats, exponent: float) -> Floats:
        """E' (n, 3) as the tone preset, gains, offsets and points leave them."""
        power = 1 + self._of("preset") / exponent
        if power != 1:
            signals = np.power(np.maximum(signals, 0.0), power)
        if not self._moves("gain", "offset", "point"):
            return signals
        fade = 1 - np.clip(signals, 0.0, 1.0)
        turned = np.empty_like(signals)
        for at, channel in enumerate(PRIMARIES):
            each = signals[:, at]
            turned[:, at] = (
                each * (1 + self._of("gain", channel))
                + fade[:, at] * self._of("offset", channel)
                + self._points(channel, each)
            )
        return turned

    def colours(self, light: Floats, luminances: Floats) -> Floats:
        """Linear RGB (n, 3) of the display as the six-colour controls leave it.

        What is common to the three channels stays; the rest is so much of one primary and so much
        of one secondary, and each of these goes over into its adjusted colour.

        Args:
            light: of the channels, 0 or more.
            luminances: of the three channels at 1, together 1.
        """
        if not self._moves("hue", "saturation", "brightness"):
            return light
        colours = np.array([self._adjusted(at, luminances) for at in range(len(HUES))])
        grey = light.min(axis=1)
        middle = np.median(light, axis=1)
        most = light.max(axis=1)
        # primaries stand at 0, 2, 4 of HUES; the secondary opposite the weakest channel at + 3
        primary = 2 * light.argmax(axis=1)
        secondary = (2 * light.argmin(axis=1) + 3) % len(HUES)
        coloured = (most - middle)[:, np.newaxis] * colours[primary]
        coloured += (middle - grey)[:, np.newaxis] * colours[secondary]
        adjusted: Floats = np.maximum(grey[:, np.newaxis] + coloured, 0.0)
        return adjusted

    @property
    def light(self) -> float:
        """Share of the light that the backlight gives, 1 as found."""
        return 1 + self._of("backlight")

    def _adjusted(self, at: int, luminances: Floats) -> Floats:
        """RGB (3,) of one of the six colours after its controls."""
        colour = HUES[at]
        hue = self._of("hue", colour)
        beside = _UNITS[(at + (1 if hue > 0 else -1)) % len(HUES)]
        unit = (1 - abs(hue)) * _UNITS[at] + abs(hue) * beside
        grey = float(luminances @ unit)
        saturated = grey + (1 + self._of("saturation", colour)) * (unit - grey)
        adjusted: Floats = (1 + self._of("brightness", colour)) * saturated
        return adjusted

    def _points(self, channel: Channel, signals: Floats) -> Floats:
        """What the multi-point controls of a channel add: hats, each 0 at its neighbours."""
        points = [each for each in self.controls if (each.does, each.channel) == ("point", channel)]
        if not points:
            return np.zeros_like(signals)
        adds = {(each.level or 0.0) / 100: self._does(each) for each in points}
        # below the lowest and above the highest it fades towards 0 and 100 %
        places = {0.0: 0.0, 1.0: 0.0} | adds
        levels = sorted(places)
        return np.interp(signals, levels, [places[level] for level in levels])

    def _of(self, does: Does, channel: Channel | None = None) -> float:
        found = (each for each in self.controls if (each.does, each.channel) == (does, channel))
        return sum(map(self._does, found))

    def _moves(self, *does: Does) -> bool:
        return any(each.does in does and self._does(each) for each in self.controls)

    def _does(self, control: SimulatedControl) -> float:
        return self._stands(control) * control.click

    def _stands(self, control: SimulatedControl) -> float:
        return (self.clicks or {}).get(control.name, 0.0)


AS_FOUND = Menu()
"""No control, none turned."""


def within_exponents(controls: Iterable[SimulatedControl], exponent: float) -> bool:
    """Whether no setting of the tone preset leads out of what exponents may be."""
    ends = [
        exponent + each.control.clicks(end) * each.click
        for each in controls
        if each.does == "preset"
        for end in (each.lowest, each.highest)
    ]
    return all(EXPONENTS[0] <= end <= EXPONENTS[1] for end in ends)
