"""What the greys of one run amount to: numbers of each, averages, and what lies farthest off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from readings.bounds import ROUNDED
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.colorimetry.temperature import temperature_drawn
from readings.findings.base import Column, Number, Part, Value
from readings.findings.basis import Basis
from readings.findings.grey.grey_colour import GreyColour
from readings.findings.grey.greys import Greys
from readings.findings.ratio import level_value
from readings.findings.share import (
    NO_UNCERTAINTY,
    average_size_of,
    distances_of,
    farthest_of,
    number_of,
    value_of,
)

PLACES = 4
"""Of a gamma that no error moves."""
FROM, TO = 0.1, 0.9
"""E' between which gamma is averaged: at the ends a small error of light bends it without end."""


def gamma_of(greys: Greys) -> tuple[Floats, Floats]:
    """Gamma of n greys (n,) and its draws (m, n); NaN where it means nothing."""
    if greys.transfer != "bt1886" or greys.white is None:
        nothing = np.full(greys.count, np.nan)
        return nothing, np.broadcast_to(nothing, greys.drawn.shape)
    power = np.where(greys.clear, greys.values, np.nan)
    return (
        exponent(greys.luminance, greys.curve_black, greys.white, power),
        exponent(greys.drawn, greys.drawn_curve_black[:, None], greys.drawn_white[:, None], power),
    )


def gamma_values(greys: Greys) -> list[Value]:
    """Its average from 10 to 90 % of the signal, and beside it what the target gives so."""
    gamma, drawn = gamma_of(greys)
    # 90 % is code 230 of 8 bits, which is 90.196 %: a step is the level that its code rounds to
    quantiser = greys.signal.quantiser
    half = 0.5 / (quantiser.white - quantiser.black) + ROUNDED
    middle = (greys.values >= FROM - half) & (greys.values <= TO + half)
    used = np.flatnonzero(middle & np.isfinite(gamma))
    if not used.size or greys.white is None:
        return []
    value = float(gamma[used].mean())
    means = drawn[:, used].mean(-1)
    spread = greys.lights.spread(value, means, colour=False)
    dark, drawn_dark = greys.curve_black, greys.drawn_curve_black[:, None]
    target = exponent(greys.target, dark, greys.white, greys.values)[used].mean()
    of_target = exponent(greys.drawn_target, drawn_dark, greys.drawn_white[:, None], greys.values)[
        :, used
    ].mean(-1)
    aim = greys.lights.spread(float(target), of_target, colour=False)
    values = [
        value_of(
            "gamma-average",
            f"Gamma, average of {used.size}",
            Number.of(value, spread, means),
            "",
            row="Gamma, average",
            count=used.size,
        )
    ]
    # of BT.1886 without a black it is 2.4, and no news
    if greys.aim.curve is not None or aim is None or float(aim) > NO_UNCERTAINTY:
        label = "Gamma of the target, likewise"
        moved = aim is not None and float(aim) > NO_UNCERTAINTY
        number = Number.of(target, aim, of_target) if moved else Number.of(round(target, PLACES))
        values.append(value_of("gamma-target", label, number, ""))
    return values


def exponent(light: Floats, black: Floats | float, white: Floats | float, signal: Floats) -> Floats:
    """Gamma of steps: log((L - black) / (white - black)) / log E'; NaN where there is none."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (light - black) / (np.asarray(white) - black)
        inside = np.where((signal > 0) & (signal < 1), signal, np.nan)
        return np.asarray(np.log(np.where(share > 0, share, np.nan)) / np.log(inside))


NAMES = ("red", "green", "blue")
COLUMNS = (
    Column("signal", "Signal", "%"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("target-luminance", "Target luminance", "cd/m2"),
    Column("x", "x"),
    Column("y", "y"),
    Column("cct", "CCT", "K"),
    Column("duv", "Duv"),
    Column("red", "Red", "%"),
    Column("green", "Green", "%"),
    Column("blue", "Blue", "%"),
    Column("delta-e-2000", "Delta E 2000"),
    Column("delta-e-itp", "Delta E ITP"),
    Column("gamma", "Gamma"),
    Column("eotf-error", "Luminance off target", "%"),
    Column("delta-e-2000-chromaticity", "Delta E 2000 of chromaticity alone"),
    Column("delta-e-itp-chromaticity", "Delta E ITP of chromaticity alone"),
)


class GreyValues:
    """Values and columns of the greys of one run."""

    def __init__(self, greys: Greys, basis: Basis) -> None:
        self.greys = greys
        self.basis = basis
        self.colour = GreyColour(greys)

    def values(self) -> list[Value]:
        """The values, the main one first."""
        greys = self.greys
        names = ["2000", "itp"] if greys.transfer == "bt1886" else ["itp", "2000"]
        differences = [found for name in names if (found := self._differences(name))]
        # limits are for the kind that fits the signal, where that is known
        others = [replace(value, judged=False) for found in differences[1:] for value in found]
        values = [*(differences[0] if differences else []), *others]
        return [*values, *self._balance(), *gamma_values(greys), *self._eotf(), *self._ends()]

    def columns(self) -> list[list[Number]]:
        greys, colour = self.greys, self.colour
        kelvin = self._temperature()
        gamma, drawn_gamma = gamma_of(greys)
        return [
            [Number.of(100 * float(value)) for value in greys.values],
            greys.luminances(),
            [Number.of(float(each)) for each in greys.target],
            *(greys.numbers(colour.xy[:, n], colour.drawn_xy[..., n], colour=True) for n in (0, 1)),
            *kelvin,
            *(
                greys.numbers(colour.balance[:, n], colour.drawn_balance[..., n], colour=True)
                for n in range(3)
            ),
            *(distances_of(found) for found in colour.total),
            greys.numbers(gamma, drawn_gamma),
            greys.errors(),
            *(distances_of(found) for found in colour.alone),
        ]

    def _temperature(self) -> list[list[Number]]:
        found, drawn = self.colour.temperature
        return [self.greys.numbers(found[:, n], drawn[..., n], colour=True) for n in (0, 1)]

    def _differences(self, name: str) -> list[Value]:
        """Average and largest, with the error of luminance and of chromaticity alone."""
        colour, place = self.colour, {"2000": 0, "itp": 1}[name]
        values = []
        for found, ending, in_words in (
            (colour.total[place], "", "against the target"),
            (colour.alone[place], "-chromaticity", "of chromaticity alone"),
        ):
            # where no colour was read there is no difference, but of what is bounded
            counts = np.flatnonzero(colour.counts_light & np.isfinite(found.value))
            if not counts.size:
                continue
            label = f"Delta E {name.upper()} {in_words}"
            values.append(
                value_of(
                    f"delta-e-{name}{ending}-average",
                    f"{label}, average of {counts.size}",
                    number_of(found.of(counts).mean()),
                    "",
                    row=f"{label}, average",
                    count=counts.size,
                    off=True,
                )
            )
            worst = int(counts[found.of(counts).largest()])
            values.append(
                value_of(
                    f"delta-e-{name}{ending}-largest",
                    f"{label}, largest: {self.greys.first[worst].label}",
                    number_of(found.of(worst)),
                    "",
                    self.greys.where(worst),
                    row=f"{label}, largest",
                    at=self.greys.first[worst].label,
                    count=counts.size,
                    parts=self._parts(label, counts, distances_of(found.of(counts))),
                    off=True,
                )
            )
        return values

    def _parts(
        self, label: str, which: NDArray[np.intp], numbers: Sequence[Number]
    ) -> tuple[Part, ...]:
        """Some greys with their numbers."""
        greys = (self.greys.first[n].label for n in which)
        return tuple(
            Part(f"{label}: {grey}", each) for grey, each in zip(greys, numbers, strict=True)
        )

    def _balance(self) -> list[Value]:
        """The average of each channel, and the channel that is farthest from 100 %."""
        colour, greys = self.colour, self.greys
        counts = np.flatnonzero(colour.counts & np.isfinite(colour.balance).all(-1))
        if not counts.size:
            return []
        values = []
        means, drawn = colour.balance[counts].mean(0), colour.drawn_balance[:, counts].mean(1)
        spreads = greys.lights.spread(means, drawn)
        for n, name in enumerate(NAMES):
            average = f"{name.capitalize()} of the balance, average"
            number = Number.of(means[n], None if spreads is None else spreads[n], drawn[:, n])
            values.append(
                value_of(
                    f"balance-{name}",
                    f"{average} of {counts.size}",
                    number,
                    "%",
                    row=average,
                    count=counts.size,
                )
            )
        off = np.abs(colour.balance[counts] - 100)
        row, channel = np.unravel_index(int(np.argmax(off)), off.shape)
        n = int(counts[row])
        name = NAMES[channel]
        seen, draws = colour.balance[n, channel], colour.drawn_balance[:, n, channel]
        every = [each.reshape(*each.shape[:-2], -1) - 100
                 for each in (colour.balance[counts], colour.drawn_balance[:, counts])]  # fmt: skip
        number = farthest_of(seen, greys.lights.spread(seen, draws), draws, *every)
        return [
            *values,
            value_of(
                "balance-largest",
                f"Balance farthest off: {name}, {greys.first[n].label}",
                number,
                "%",
                greys.where(n) | {"channel": name},
                row="Balance farthest off",
                at=f"{name}, {greys.first[n].label}",
                count=counts.size,
                aim=100.0,
            ),
        ]

    def _eotf(self) -> list[Value]:
        greys = self.greys
        fine = self.colour.counts_light & np.isfinite(greys.error)
        used = np.flatnonzero(fine & (self._free() if greys.transfer != "pq" else fine))
        if not used.size:
            return []
        average = average_size_of(greys.lights, greys.error[used], greys.drawn_error[:, used])
        errors = greys.errors()
        worst = int(used[np.argmax(np.abs(greys.error[used]))])
        error, draws = greys.error[worst], greys.drawn_error[:, worst]
        spread = greys.lights.spread(error, draws, colour=False)
        every = greys.error[used], greys.drawn_error[:, used]
        number = farthest_of(error, spread, draws, *every)
        return [
            value_of(
                "eotf-error-average",
                f"Luminance off target, average size of {used.size}",
                average,
                "%",
                row="Luminance off target, average size",
                count=used.size,
                off=True,
            ),
            value_of(
                "eotf-error-largest",
                f"Luminance off target, most: {greys.first[worst].label}",
                number,
                "%",
                greys.where(worst),
                row="Luminance off target, most",
                at=greys.first[worst].label,
                count=used.size,
                parts=self._parts("Luminance off target", used, [errors[n] for n in used]),
                aim=0.0,
            ),
        ]

    def _free(self) -> NDArray[np.bool_]:
        """Which greys are not the white or the black that make the target."""
        greys = self.greys
        free = np.ones(greys.count, bool)
        for place in (greys.at_white, greys.at_black):
            if place is not None and place < greys.count:
                free[place] = False
        return free

    def _ends(self) -> list[Value]:
        greys, values = self.greys, list[Value]()
        estimates = greys.lights.estimates
        if greys.at_white is not None:
            values.append(
                level_value(
                    "white-luminance",
                    f"White: {greys.white_from.called}",
                    [estimates[greys.at_white]],
                    row="White",
                    at=greys.white_from.called,
                )
            )
            values += [*self._white_off(), *self._white_colour(greys.at_white)]
        if greys.at_black is not None:
            values.append(
                level_value(
                    "black-luminance",
                    f"Black: {greys.black_from.called}",
                    [estimates[greys.at_black]],
                    row="Black",
                    at=greys.black_from.called,
                )
            )
        return values

    def _white_off(self) -> list[Value]:
        """How far white is from the luminance that was stated for it."""
        greys, meant = self.greys, self.greys.aim.white
        if meant is None or greys.white is None or greys.transfer == "pq":
            return []
        lit = np.array(greys.white)
        off, drawn = 100 * (lit / meant - 1), 100 * (greys.drawn_white / meant - 1)
        number = Number.of(off, greys.lights.spread(off, drawn, colour=False), drawn)
        return [value_of("white-off-aim", "Luminance of white off the aim", number, "%", aim=0.0)]

    def _white_colour(self, place: int) -> list[Value]:
        lights = self.greys.lights
        if not lights.coloured[place] or lights.at_floor[place]:
            return []
        if place < self.greys.count:
            own, found, drawn = place, *self.colour.temperature
        else:
            own, here = 0, slice(place, place + 1)
            found, drawn = temperature_drawn(
                xy_of(lights.xyz[here]), xy_of(lights.drawn_xyz[:, here])
            )
        values = []
        for n, (name, label, unit) in enumerate(
            (("white-cct", "CCT of white", "K"), ("white-duv", "Duv of white (D65: +0.0032)", ""))
        ):
            if not np.isfinite(found[own, n]):
                self.basis.warn(
                    "White is too far from any black body for a correlated colour temperature."
                )
                continue
            value, draws = found[own, n], drawn[:, own, n]
            number = Number.of(value, lights.spread(value, draws), draws)
            values.append(value_of(name, label, number, unit))
        return values
