"""Greyscale: colour and light of greys, step by step, against D65 and the signal's curve."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from patterns.signal import Signal
from readings.colorimetry.chromaticity import Floats, xy_of
from readings.colorimetry.temperature import METHOD, temperature_drawn
from readings.evidence import Measured
from readings.findings.base import Column, Finding, Number, Series, Value
from readings.findings.basis import Basis, by_run, grouped
from readings.findings.grey_colour import GreyColour
from readings.findings.greys import LEAST, Greys, gathered, numbers_of, warn_of_references
from readings.findings.ratio import level_value
from readings.shown import area_of

ROLES = {"grey": "Greyscale", "grey-at-mean": "Greyscale at a constant mean level"}
GAMMA_FROM, GAMMA_TO = 0.1, 0.9
"""E' between which gamma is averaged: at the ends a small error of light bends it without end."""
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
    Column("delta-e-2000", "ΔE 2000"),
    Column("delta-e-itp", "ΔE ITP"),
    Column("gamma", "Gamma"),
    Column("eotf-error", "Luminance off target", "%"),
    Column("delta-e-2000-chromaticity", "ΔE 2000 of chromaticity alone"),
    Column("delta-e-itp-chromaticity", "ΔE ITP of chromaticity alone"),
)
CURVES = {
    "bt1886": "Rec. ITU-R BT.1886 between the measured black and white",
    "pq": "PQ of Rec. ITU-R BT.2100-3, which is absolute",
    "hlg": "HLG of Rec. ITU-R BT.2100-3 with the measured white as nominal peak, and the measured "
    "black",
}
SOURCE = (
    "Rec. ITU-R BT.1886 (03/2011) Annex 1 and BT.2100-3 (second-hand); CIEDE2000: CIE 15:2018; "
    "ΔE ITP: Rec. ITU-R BT.2124-0 (both second-hand); CCT and Duv: Ohno, LEUKOS 10 (2014) 47-55, "
    "by colour-science; balance and gamma: common practice, no source; averages are our own"
)


def greyscale(readings: Sequence[Measured]) -> list[Finding]:
    """Chromaticity, balance, colour differences, gamma and EOTF error of greys, per run.

    Reads the roles `grey` and `grey-at-mean`; greys of another area are a finding of their own.
    """
    found = []
    for mine in by_run(readings).values():
        for role, title in ROLES.items():
            listed = [reading for reading in mine if reading.role == role]
            areas = grouped(listed, lambda reading: round(area_of(reading) or 0.0))
            for group in areas.values():
                finding = _finding(title, group, mine, readings, several=len(areas) > 1)
                found += [] if finding is None else [finding]
    return found


def _finding(
    title: str,
    group: Sequence[Measured],
    mine: Sequence[Measured],
    everything: Sequence[Measured],
    *,
    several: bool,
) -> Finding | None:
    basis = Basis()
    greys = gathered(group, mine, everything, basis)
    if greys is None:
        return None
    warn_of_references(greys, basis)
    if not greys.lights.coloured[: greys.count].any():
        basis.warn("No colour was read of these greys, only luminance.")
    values, series = Work(greys, basis).out()
    area = area_of(group[0])
    # so that the greys of SDR and of HDR never stand in one table as if they were alike
    title += {"pq": ", PQ", "hlg": ", HLG"}.get(greys.transfer, "")
    basis.look_at_guards()
    return Finding(
        name="greyscale",
        title=title if not several or area is None else f"{title}, {area:.3g} % of the screen",
        condition=group[0].condition,
        run=group[0].run,
        values=tuple(values),
        method=method_of(greys.signal, greys.transfer),
        source=SOURCE,
        readings=basis.ids(),
        warnings=tuple(basis.warnings),
        series=(series,),
    )


def method_of(signal: Signal, transfer: str) -> str:
    """How it was worked out, for people."""
    differences = (
        "ΔE 2000 (L*a*b* relative to D65 at the luminance of the measured white) and ΔE ITP have "
        "the error of luminance in them; what is"
        if transfer == "bt1886"
        else "ΔE ITP has the error of luminance in it (no ΔE 2000: it is made for surface colours "
        "under one white, which HDR greys outshine); what is"
    )
    gamma = (
        " Gamma is log((L - black) / (white - black)) / log E', averaged from 10 to 90 %: the "
        "exponent above the display's own black; beside it what the target gives so."
        if transfer == "bt1886"
        else ""
    )
    return (
        f"Targets are those of the codes shown: {CURVES[transfer]}, in D65. {differences} of "
        "chromaticity alone compares with a D65 grey of the luminance read. Averages leave out "
        "black, what lies above white, what the meter does not reach, and with PQ what is brighter "
        "than the display. "
        f"Balance: XYZ to linear {signal.primaries.name} red, green, blue, in percent of what a "
        f"D65 grey of the same luminance has.{gamma} CCT and Duv by {METHOD}; D65 itself "
        "has a Duv of +0.0032."
    )


class Work:
    """Values and series of the greys of one run."""

    def __init__(self, greys: Greys, basis: Basis) -> None:
        self.greys = greys
        self.basis = basis
        self.colour = GreyColour(greys)

    def out(self) -> tuple[list[Value], Series]:
        """Values, the main one first, and the series."""
        greys = self.greys
        names = ["2000", "itp"] if greys.transfer == "bt1886" else ["itp", "2000"]
        values = [value for name in names for value in self._differences(name)]
        values += [*self._balance(), *self._gamma(), *self._eotf(), *self._ends()]
        return values, Series("greyscale", "Greyscale", COLUMNS, greys.rows(self._columns()))

    def _columns(self) -> list[list[Number]]:
        greys, colour, lights = self.greys, self.colour, self.greys.lights
        kelvin = self._temperature()
        gamma, drawn_gamma = self._gammas()
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
            *(numbers_of(found.value, found.spread(lights)) for found in colour.total()),
            greys.numbers(gamma, drawn_gamma),
            greys.numbers(np.where(greys.clear, greys.error, np.nan), greys.drawn_error),
            *(numbers_of(found.value, found.spread(lights)) for found in colour.alone()),
        ]

    def _temperature(self) -> list[list[Number]]:
        found, drawn = self.colour.temperature
        return [self.greys.numbers(found[:, n], drawn[..., n], colour=True) for n in (0, 1)]

    def _differences(self, name: str) -> list[Value]:
        """Average and largest, with the error of luminance and of chromaticity alone."""
        colour, lights = self.colour, self.greys.lights
        place = {"2000": 0, "itp": 1}[name]
        values = []
        for found, ending, said in (
            (colour.total()[place], "", "against the target"),
            (colour.alone()[place], "-chromaticity", "of chromaticity alone"),
        ):
            counts = np.flatnonzero(colour.counts & np.isfinite(found.value))
            if not counts.size:
                continue
            label = f"ΔE {name.upper()} {said}"
            mean = found.mean(counts)
            spread = mean.spread(lights)
            values.append(
                _value(
                    f"delta-e-{name}{ending}-average",
                    f"{label}, average of {counts.size}",
                    float(mean.value),
                    None if spread is None else float(spread),
                )
            )
            worst = int(counts[np.argmax(found.value[counts])])
            spreads = found.spread(lights)
            values.append(
                _value(
                    f"delta-e-{name}{ending}-largest",
                    f"{label}, largest: {self.greys.first[worst].label}",
                    float(found.value[worst]),
                    None if spreads is None else float(spreads[worst]),
                    where=self.greys.where(worst),
                )
            )
        return values

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
            spread = None if spreads is None else float(spreads[n])
            label = f"{name.capitalize()} of the balance, average of {counts.size}"
            values.append(_value(f"balance-{name}", label, float(means[n]), spread, "%"))
        off = np.abs(colour.balance[counts] - 100)
        row, channel = np.unravel_index(int(np.argmax(off)), off.shape)
        n = int(counts[row])
        name = NAMES[channel]
        number = greys.numbers(
            colour.balance[:, channel], colour.drawn_balance[..., channel], colour=True
        )[n]
        return [
            *values,
            _value(
                "balance-largest",
                f"Balance farthest off: {name}, {greys.first[n].label}",
                number.value or 0.0,
                number.uncertainty,
                "%",
                greys.where(n) | {"channel": name},
            ),
        ]

    def _gammas(self) -> tuple[Floats, Floats]:
        """(n,) and its draws (m, n); NaN where gamma means nothing."""
        greys = self.greys
        if greys.transfer != "bt1886" or greys.white is None:
            nothing = np.full(greys.count, np.nan)
            return nothing, np.broadcast_to(nothing, greys.drawn.shape)
        inside = greys.clear & (greys.values > 0) & (greys.values < 1)
        power = np.where(inside, greys.values, np.nan)
        return (
            exponent(greys.luminance, greys.black, greys.white, power),
            exponent(greys.drawn, greys.drawn_black[:, None], greys.drawn_white[:, None], power),
        )

    def _gamma(self) -> list[Value]:
        greys = self.greys
        gamma, drawn = self._gammas()
        middle = (greys.values >= GAMMA_FROM - 1e-3) & (greys.values <= GAMMA_TO + 1e-3)
        used = np.flatnonzero(middle & np.isfinite(gamma))
        if not used.size or greys.white is None:
            return []
        value = float(gamma[used].mean())
        spread = greys.lights.spread(value, drawn[:, used].mean(-1), colour=False)
        target = exponent(greys.target, greys.black, greys.white, greys.values)[used].mean()
        of_target = exponent(
            greys.drawn_target,
            greys.drawn_black[:, None],
            greys.drawn_white[:, None],
            greys.values,
        )[:, used].mean(-1)
        aim = greys.lights.spread(float(target), of_target, colour=False)
        values = [_value("gamma-average", f"Gamma, average of {used.size}", value, _float(spread))]
        if aim is None or float(aim) > LEAST:  # without a black it is 2.4, and no news
            label = "Gamma of the target, likewise"
            values.append(_value("gamma-target", label, float(target), _float(aim)))
        return values

    def _eotf(self) -> list[Value]:
        greys = self.greys
        fine = self.colour.counts_light & np.isfinite(greys.error)
        used = np.flatnonzero(fine & (self._free() if greys.transfer != "pq" else fine))
        if not used.size:
            return []
        size, drawn = np.abs(greys.error[used]), np.abs(greys.drawn_error[:, used])
        apart = np.abs(greys.drawn_error[:, used] - greys.error[used])
        lights = greys.lights
        average = float(size.mean())
        spread = lights.spread_of_distance(average, drawn.mean(-1), apart.mean(-1), colour=False)
        worst = int(used[np.argmax(size)])
        number = greys.numbers(greys.error, greys.drawn_error)[worst]
        return [
            _value(
                "eotf-error-average",
                f"Luminance off target, average size of {used.size}",
                average,
                _float(spread),
                "%",
            ),
            _value(
                "eotf-error-largest",
                f"Luminance off target, most: {greys.first[worst].label}",
                number.value or 0.0,
                number.uncertainty,
                "%",
                greys.where(worst),
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
                    "white-luminance", f"White: {greys.white_told}", [estimates[greys.at_white]]
                )
            )
            values += self._white_colour(greys.at_white)
        if greys.at_black is not None:
            values.append(
                level_value(
                    "black-luminance", f"Black: {greys.black_told}", [estimates[greys.at_black]]
                )
            )
        return values

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
            value = float(found[own, n])
            spread = lights.spread(value, drawn[:, own, n])
            values.append(_value(name, label, value, _float(spread), unit))
        return values


def exponent(light: Floats, black: Floats | float, white: Floats | float, signal: Floats) -> Floats:
    """Gamma of steps: log((L - black) / (white - black)) / log E'; NaN where there is none."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (light - black) / (np.asarray(white) - black)
        inside = np.where((signal > 0) & (signal < 1), signal, np.nan)
        return np.asarray(np.log(np.where(share > 0, share, np.nan)) / np.log(inside))


def _float(spread: Floats | None) -> float | None:
    return None if spread is None else float(spread)


def _value(
    name: str,
    label: str,
    value: float,
    spread: float | None,
    unit: str = "",
    where: dict[str, object] | None = None,
) -> Value:
    known = Number.of(value, spread)
    return Value(name, label, known.value, unit, known.uncertainty, where=where or {})
