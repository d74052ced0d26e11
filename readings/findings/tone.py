"""Tone: how greys of PQ and HLG follow their curve, where they leave it, and where it ends.

How a display shortens highlights is left to its maker. Report ITU-R BT.2390 gives one curve for it,
which serves as a reference for this display's own peak and black.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from readings.colorimetry.chromaticity import Floats
from readings.colorimetry.eetf import eetf
from readings.evidence import Measured
from readings.findings.base import Column, Finding, Number, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found
from readings.findings.greys import (
    Greys,
    gathered,
    percent_off,
    warn_of_references,
)
from readings.findings.ratio import level_value
from readings.findings.share import average_of, average_size_of, value_of
from readings.shown import area_of

ROLE = "grey"
TRANSFERS = ("pq", "hlg")
FAITHFUL = 5.0
"""Percent below the curve that still counts as following it: a limit of our own."""
DIM = 1.0
"""cd/m2: darker greys are near-black's business, and do not enter averages here."""
ASTRAY = 1.3
"""Highest over lowest of luminance / target among them from which there is no curve to speak of."""
LOW = 0.25
"""Share of the peak up to which greys are taken as untouched by a roll-off."""
STEADY = 0.02
"""A rise that counts as one where the meter's own uncertainty is not known."""
SURELY = 1.5
"""Times the expanded uncertainty (so k = 3) that a rise has to exceed: many pairs are compared, and
at k = 2 one of them would often seem to rise by chance."""
MASTERS = (1000.0, 4000.0, 10_000.0)
"""cd/m2: peaks of masters that displays are made to expect; 10,000 is all of PQ."""
COLUMNS = (
    Column("signal", "Signal", "%"),
    Column("luminance", "Luminance", "cd/m2"),
    Column("target-luminance", "Target luminance", "cd/m2"),
    Column("reference-curve-luminance", "BT.2390 curve for this display", "cd/m2"),
    Column("error", "Luminance off target", "%"),
)
SOURCE = (
    "Rec. ITU-R BT.2100-3 (02/2025) tables 4 and 5 (second-hand); reference curve: Report ITU-R "
    "BT.2390, clause 5.4.1 (second-hand); where a curve bends and ends are definitions of our own"
)


def tone(readings: Sequence[Measured]) -> list[Finding]:
    """How greys of PQ and HLG follow the curve, per run. Reads the role `grey`."""
    return only_found(
        _finding(group, mine, readings)
        for mine in by_run(readings).values()
        for group in tone_groups(mine)
    )


def tone_groups(mine: Sequence[Measured]) -> list[list[Measured]]:
    """The readings of one run that show its tone curve, one area each."""
    listed = [r for r in mine if r.role == ROLE and r.signal.get("transfer") in TRANSFERS]
    return list(grouped(listed, lambda reading: round(area_of(reading) or 0.0)).values())


def _finding(
    group: Sequence[Measured], mine: Sequence[Measured], everything: Sequence[Measured]
) -> Finding | None:
    basis = Basis()
    greys = gathered(group, mine, everything, basis)
    if greys is None or greys.count < 2:
        return None
    warn_of_references(greys, basis)
    curve = Curve(greys)
    values = [*_peak(greys), *curve.bend(basis), *curve.end(basis), *_errors(greys, curve)]
    reference = np.full(greys.count, np.nan)
    if greys.transfer == "pq":
        reference = _reference(greys, MASTERS[-1])
        values += _against_reference(greys)
    name = greys.transfer.upper()
    series = Series(
        "tone",
        f"{name} tracking",
        COLUMNS,
        greys.rows(
            [
                [Number.of(100 * float(value)) for value in greys.values],
                greys.luminances(),
                [Number.of(float(each)) for each in greys.target],
                [Number.of(float(each)) for each in reference],
                greys.numbers(np.where(greys.clear, greys.error, np.nan), greys.drawn_error),
            ]
        ),
    )
    area = area_of(group[0])
    return basis.finding(
        "tone",
        group[0],
        title=f"{name} tracking" + ("" if area is None else f", {area:.3g} % of the screen"),
        values=values,
        method=_method(greys.transfer),
        source=SOURCE,
        series=(series,),
    )


def _method(transfer: str) -> str:
    curve = {
        "pq": "PQ, which is absolute",
        "hlg": "HLG with the measured white as nominal peak, and the measured black",
    }[transfer]
    method = (
        f"Luminance of greys against {curve}, for the codes shown. The level of the curve is the "
        f"median of luminance / target from {DIM:g} cd/m2 to a quarter of the peak; the roll-off "
        f"starts between the last grey within {FAITHFUL:g} % (or its uncertainty) below that, "
        "and the next. The display clips between the last grey that is darker than the brightest "
        "ones by more than 1.5 times the uncertainty of the difference (k = 3), and the next: from "
        "there on a higher code brings no more light. The meter's error of gain cancels in both."
    )
    if transfer == "pq":
        method += (
            " The reference curve is that of BT.2390 for a master from 0 to 10,000 cd/m2 on a "
            "display of the highest luminance read and of the black read; its differences are "
            f"averages of their sizes over greys from {DIM:g} cd/m2, for several masters."
        )
    return method


class Curve:
    """Where greys bend away from their curve, and where they stop to rise."""

    def __init__(self, greys: Greys) -> None:
        self.greys = greys
        self.usable: NDArray[np.bool_] = greys.clear & (greys.target > 0)
        self.low = self._low()
        self.ratio = self._ratio(greys.luminance, greys.target)
        self.drawn_ratio = self._ratio(greys.drawn, greys.drawn_target)
        self.astray = bool(
            self.low.any() and self.ratio[self.low].max() > ASTRAY * self.ratio[self.low].min()
        )
        follows = np.array([], np.intp) if self.astray else self._follows()
        self.follows_to: int | None = int(follows[-1]) if follows.size else None
        """The last grey that follows the curve."""

    def _follows(self) -> NDArray[np.intp]:
        greys, low = self.greys, self.low
        if not low.any():
            return np.array([], np.intp)
        short = 100 * (1 - self.ratio / np.median(self.ratio[low]))
        drawn_short = 100 * (
            1 - self.drawn_ratio / np.median(self.drawn_ratio[:, low], -1)[:, None]
        )
        spread = greys.lights.spread(short, drawn_short, colour=False)
        room = np.full(greys.count, FAITHFUL)
        if spread is not None:
            room = np.fmax(room, spread)
        return np.flatnonzero(self.usable & (short <= room))

    def _low(self) -> NDArray[np.bool_]:
        greys = self.greys
        peak = greys.luminance.max()
        for least in (DIM, 0.0):
            low = self.usable & (greys.target >= least) & (greys.luminance <= LOW * peak)
            if low.any():
                return np.asarray(low)
        return np.zeros(greys.count, bool)

    def _ratio(self, light: Floats, target: Floats) -> Floats:
        return np.asarray(light / np.where(self.usable, target, np.nan))

    def bend(self, basis: Basis) -> list[Value]:
        """Up to where the curve is followed, and from where greys are too dark for it."""
        greys, last = self.greys, self.follows_to
        if self.astray:
            low, high = (100 * pick(self.ratio[self.low]) for pick in (np.min, np.max))
            basis.warn(
                "Greys well below the peak do not keep to the curve: they have "
                f"{low:.0f} to {high:.0f} % of the luminance asked for. Where the display leaves "
                "it is not worked out; is it in the right mode?"
            )
            return []
        if last is None:
            basis.warn("Too few greys were read to see where the display leaves its curve.")
            return []
        values = [greys.level("follows-up-to", "Follows the curve up to", last, "lower")]
        if last + 1 < greys.count:
            values.append(greys.level("roll-off-below", "Rolls off below", last + 1, "upper"))
        return values

    def end(self, basis: Basis) -> list[Value]:
        """From where on no more light comes."""
        ends = clips(self.greys)
        if ends is None:
            basis.warn("The highest greys read still rise: where the display clips is not seen.")
            return []
        return clip_values(self.greys, ends)


def clip_values(greys: Greys, ends: int) -> list[Value]:
    """Between which levels the display clips, where `clips` gave that place."""
    values = []
    if ends > 0:
        values.append(greys.level("clips-above", "By meter, still rises at", ends - 1, "lower"))
    return [*values, greys.level("clips-below", "By meter, clips at or below", ends, "upper")]


def clips(greys: Greys) -> int | None:
    """The lowest grey from which no brighter one surely is brighter; None where there is none.

    The signal has to ask for more than that uncertainty for its want to mean anything.
    """
    light, drawn = greys.luminance, greys.drawn
    found = None
    for n in range(greys.count - 2, -1, -1):
        if not greys.clear[n]:
            break
        rise = percent_off(light[n + 1 :], light[n])
        spread = greys.lights.spread(
            rise, percent_off(drawn[:, n + 1 :], drawn[:, n : n + 1]), colour=False
        )
        room = np.full(rise.shape, 100 * STEADY) if spread is None else SURELY * spread
        if (rise > room).any():
            break
        asked = percent_off(greys.target[-1:], greys.target[n])
        if not np.isfinite(asked).all() or (asked > 2 * room.max()).all():
            found = n
    return found


def _peak(greys: Greys) -> list[Value]:
    top = int(np.argmax(greys.luminance))
    label = f"Highest luminance: {greys.first[top].label}"
    return [level_value("tone-peak", label, [greys.lights.estimates[top]], greys.where(top))]


def _errors(greys: Greys, curve: Curve) -> list[Value]:
    """Signed and in size, over the greys that follow the curve; or, where none does, all."""
    last = greys.count if curve.follows_to is None else curve.follows_to
    inside = curve.usable & (greys.target >= DIM) & (np.arange(greys.count) <= last)
    if greys.transfer == "hlg" and greys.at_white is not None and greys.at_white < greys.count:
        inside[greys.at_white] = False  # it makes the target
    used = np.flatnonzero(inside & np.isfinite(greys.error))
    if not used.size:
        return []
    off = greys.lights, greys.error[used], greys.drawn_error[:, used]
    to = "up" if curve.follows_to is None else "to the roll-off"
    of = f"average of {used.size} from {DIM:g} cd/m2 {to}"
    return [
        *_level(greys, curve),
        value_of("tone-error", f"Luminance off target, {of}", average_of(*off), "%"),
        value_of(
            "tone-error-size", f"Luminance off target, size, {of}", average_size_of(*off), "%"
        ),
    ]


def _level(greys: Greys, curve: Curve) -> list[Value]:
    """How bright the lower part of the curve is shown, all in all."""
    if curve.astray or not curve.low.any():
        return []
    level = 100 * float(np.median(curve.ratio[curve.low]))
    drawn = 100 * np.median(curve.drawn_ratio[:, curve.low], -1)
    spread = greys.lights.spread(level, drawn, colour=False)
    label = "Level of the curve, of what is asked for"
    return [value_of("tone-level", label, Number.of(level, spread), "%")]


def _reference(greys: Greys, master: float) -> Floats:
    """(n,) cd/m2 of the reference curve for a master of that peak."""
    return eetf(greys.target, greys.luminance.max(), greys.black, master)


def _against_reference(greys: Greys) -> list[Value]:
    """How far off the reference curve greys are on average, by the master's peak."""
    values = []
    peaks = greys.drawn.max(-1)[:, None]
    for master in MASTERS:
        curve = _reference(greys, master)
        used = np.flatnonzero(greys.clear & (greys.target >= DIM) & (curve > 0))
        if not used.size:
            continue
        drawn_curve = eetf(greys.target[used], peaks, greys.drawn_black[:, None], master)
        off = percent_off(greys.luminance[used], curve[used])
        drawn = percent_off(greys.drawn[:, used], drawn_curve)
        values.append(
            value_of(
                "reference-curve-difference",
                f"From BT.2390's curve for a master of {master:,.0f} cd/m2, average size",
                average_size_of(greys.lights, off, drawn),
                "%",
                {"master_peak": master},
            )
        )
    return values
