"""Whether a display takes PQ or HLG codes as such, or as those of an SDR picture.

By its greys, and by what the operator read off the display: what it reports that it receives.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import hypot

import numpy as np

from patterns.signal.transfer.hlg import inverse_oetf
from patterns.signal.transfer.pq import eotf
from patterns.words import count, figures
from readings.colorimetry.chromaticity import Floats
from readings.evidence.measured import Measured
from readings.evidence.shown import area_of, grey_value
from readings.evidence.uncertainty import COVERAGE, written
from readings.findings.base import Finding, Interval, Judgement, Value, Verdict
from readings.findings.basis import (
    Basis,
    by_run,
    doubting,
    grouped,
    last_digit,
    only_found,
    scatter_of,
    with_light,
)
from readings.findings.kind import FindingKind, Reads
from readings.visit.receives import RECEIVED, RECEIVES

ROLES = ("grey", "grey-at-mean", "window", "white", "near-black", "near-white")
BLACK_ROLE = "black"
KINDS = {"field", "window", "ebu-grey"}
"""Pictures of one grey, of which a meter is pointed at one code alone."""
SENT = {"pq": "PQ", "hlg": "HLG"}
KINDS_OF_SIGNAL = (*SENT, "sdr")
"""Answers that say what a display receives, as `readings.visit.receives` has them."""
LEAST, SPAN = 4, 0.3
"""Codes above black, from `FAINT` on, that it takes to tell, and the E' that they have to span."""
FAINT = 0.08
"""E' below which a display's black and a meter's floor say more than its curve."""
DARK = 0.25
"""E' below which displays leave any law farther, and sRGB leaves a power law."""
SDR_LAW, SDR_DARK = 0.05, 0.3
"""Shares, standard, by which an SDR display may leave its power law, above and below `DARK`."""
HDR_LAW, HDR_DARK = 0.10, 0.3
"""The same for displays that take the curve as sent."""
EXPONENTS = np.arange(1.8, 2.81, 0.05)
LEVELS = np.geomspace(0.6, 1.6, 21)
"""How bright a display may show PQ all over, of what is asked for."""
PEAKS = np.array([1.0, 1.1, 1.25, 1.5, 2.0, 3.0, 5.0, 10.0])
"""Where its curve ends, over the highest luminance read."""
NOMINAL = np.geomspace(1.0, 2.5, 12)
"""Nominal peak of an HLG display, over the highest luminance read."""
GAMMAS = np.arange(0.9, 1.51, 0.05)
"""System gammas of HLG, of nominal peaks from 200 cd/m2 far down and far up."""
BLACKS = np.array([0.0, 0.25, 0.5, 0.75, 0.9, 1.0])
"""Its black, over the lowest luminance read."""
READING = 0.01
"""A reading is no better than this share, whatever its meter says."""
SURE, LIKELY = 12.0, 6.0
"""How much worse the other explanation has to fit (chi squared) to be sure, or to call it likely.
All of these are our own."""
ONE = 3.84
"""Chi squared of one quantity that is passed in 5 % of cases."""
SOURCE = (
    "Litfield's own method, described in docs/findings.md; the curves: Rec. ITU-R BT.2100-3 "
    "(02/2025) tables 4 and 5 (second-hand), and the power law of Rec. ITU-R BT.1886 (second-hand)"
)


@dataclass(frozen=True, eq=False)
class Explained:
    """How well one way of taking the codes explains what was read, at its best."""

    misfit: float
    """Chi squared."""
    says: float
    """The exponent of the power law, or the level of the curve as sent."""
    reach: Interval
    """Of that, with about 95 %."""
    white: float = 0.0
    """cd/m2 of the highest signal, by the power law."""
    white_reach: Interval = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Ladder:
    """n greys of one kind of picture, rising."""

    transfer: str
    values: Floats
    """(n,) E'."""
    read: Floats
    """(n,) cd/m2."""
    scatter: Floats
    """(n,) cd/m2: standard, but for the meter's gain, which any level takes up."""
    gain: float = 0.0
    """Standard, relative: the error of the meter's gain, which is in every level."""

    @property
    def most(self) -> float:
        """The misfit up to which an explanation holds: three standard deviations of chi squared."""
        return float(len(self.values) + 3 * np.sqrt(2 * len(self.values)))

    def _apart(self, low: Floats, high: Floats, bright: float, dark: float) -> Floats:
        """Chi squared (...) of what was read from bounds (..., n) cd/m2, with room about them."""
        nearest = np.clip(self.read, low, high)
        law = np.where(self.values < DARK, dark, bright) * nearest
        # nothing is surer than a ten-millionth of the highest: zeros at the dark end prove little
        least = 1e-7 * max(float(self.read.max()), 1e-6)
        wide = law**2 + self.scatter**2 + (READING * self.read) ** 2 + least**2
        return np.asarray(((nearest - self.read) ** 2 / wide).sum(-1))

    def _blacks(self) -> Floats:
        return BLACKS * max(float(self.read.min()), 0.0)

    @cached_property
    def sdr(self) -> Explained:
        """As a power law over black, at the gain that fits it best."""
        signal = np.maximum(self.values, 0.0)
        blacks = self._blacks()[:, None, None]
        # exponents, blacks, gains, greys; the gain about the median of what each grey asks for
        shape = signal[None, None, None, :] ** EXPONENTS[:, None, None, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            asked = (self.read - blacks) / np.where(self.values > DARK, shape, np.nan)
        gain = np.nanmedian(asked, -1, keepdims=True) * np.linspace(0.85, 1.15, 31)[:, None]
        light = gain * shape + blacks
        misfit = self._apart(light, light, SDR_LAW, SDR_DARK)
        best = np.unravel_index(int(np.argmin(misfit)), misfit.shape)
        least = float(misfit[best])
        held = misfit <= least + ONE
        exponents = np.broadcast_to(EXPONENTS[:, None, None], misfit.shape)
        whites = np.broadcast_to((gain + blacks)[..., 0], misfit.shape)
        return Explained(
            least,
            float(exponents[best]),
            _ends(exponents[held]),
            float(whites[best]),
            _ends(whites[held]),
        )

    @cached_property
    def as_sent(self) -> Explained:
        """As the curve that was sent, however hard or softly the display ends it at its peak.

        Between the curve up to its end, g T, and the softest way there, P g T / (P + g T).
        """
        return self._sent(soft=True)

    @cached_property
    def plainly(self) -> Explained:
        """As the curve that was sent, by what only it would give.

        HLG that is rolled off softly is a power law nearly everywhere, so it has to be followed.
        """
        return self.as_sent if self.transfer == "pq" else self._sent(soft=False)

    def _sent(self, *, soft: bool) -> Explained:
        top = float(self.read.max())
        peaks = (top * PEAKS)[:, None, None]
        blacks = self._blacks()[:, None]
        if self.transfer == "pq":
            levels = LEVELS
            asked = levels[:, None] * eotf(self.values)
        else:
            # relative: of whatever nominal peak, from the one read to where it ends at 40 %
            levels = NOMINAL
            scene = inverse_oetf(self.values) ** GAMMAS[:, None, None]
            asked = top * levels[:, None] * scene
        asked = asked[..., None, None, :]
        hard = np.minimum(asked, peaks)
        low = peaks * asked / (peaks + asked) if soft else hard
        misfit = self._apart(low + blacks, hard + blacks, HDR_LAW, HDR_DARK).min((-1, -2))
        misfit = misfit.reshape(-1, len(levels)).min(0)
        best = int(np.argmin(misfit))
        held = misfit <= misfit[best] + ONE
        return Explained(float(misfit[best]), float(levels[best]), _ends(levels[held]))


def _ends(values: Floats) -> Interval:
    return float(values.min()), float(values.max())


class CurveMismatch(FindingKind):
    """Whether PQ and HLG codes are shown as such, per run, of whatever greys it has.

    Where the display was reported to receive something else, that is told without any.
    """

    name = "curve-mismatch"
    subject = "whether PQ and HLG are shown as such, or as SDR"
    reads = (Reads(ROLES, "four greys or more of a PQ or HLG signal", beside=(BLACK_ROLE,)),)
    limits = ()
    pictures = ()
    changing = frozenset()

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        told = [_told(mine) for mine in by_run(readings).values()]
        found = only_found(None if each is None else each.finding for each in told)
        return [_doubted(each, found, readings) for each in told if each is not None]


WHY = "the display showed the codes as those of an SDR picture"


@dataclass(frozen=True, slots=True)
class _Told:
    """What is found of one run."""

    finding: Finding
    why: str
    """What is wrong with its readings, where anything is."""
    reported_alone: bool
    """Whether only what the display reported says so, and its greys do not."""


def _doubted(told: _Told, found: Sequence[Finding], readings: Sequence[Measured]) -> Finding:
    """With what it puts in doubt; what a report alone does leaves out what was read under a right
    one."""
    finding = doubting(told.finding, found, readings, _link, told.why)
    if finding.doubt is None or not told.reported_alone:
        return finding
    right = {reading.reading for reading in readings if _reported_right(reading)}
    return replace(finding, doubt=replace(finding.doubt, readings=finding.doubt.readings - right))


def _reported(reading: Measured) -> str | None:
    """What the display was reported to receive at a reading; None where it is not known."""
    answer = reading.facts.get(RECEIVES)
    return str(answer) if answer in KINDS_OF_SIGNAL else None


def _reported_right(reading: Measured) -> bool:
    return _reported(reading) == reading.signal.get("transfer")


def _reported_wrong(reading: Measured) -> bool:
    return _reported(reading) is not None and not _reported_right(reading)


def _link(reading: Measured) -> tuple[object, object]:
    """What was sent, and what to: a display may take PQ as it is and HLG not."""
    return reading.signal.get("transfer"), reading.output


def _told(mine: Sequence[Measured]) -> _Told | None:
    transfer = str(mine[0].signal.get("transfer"))
    if transfer not in SENT:
        return None
    reported = [reading for reading in mine if _reported_wrong(reading)]
    greys = _by_greys(transfer, mine)
    if not reported:
        return None if greys is None else _Told(greys.finding, WHY, reported_alone=False)
    verdict = None if greys is None else greys.verdict
    names = " and ".join(dict.fromkeys(RECEIVED[_reported(each) or ""] for each in reported))
    title = f"Curve: {SENT[transfer]} is sent, and the display reported that it receives {names}"
    if greys is not None and verdict == "bad":
        title += f"; {greys.looks}"
    said = Basis(used=[*(greys.basis.used if greys else ()), *reported])
    said.warn(_of_report(SENT[transfer], names, len(reported), verdict))
    for warning in greys.basis.warnings if greys else ():
        said.warn(warning)
    number = len(reported)
    label = f"Readings while the display reported {names}"
    value = Value("curve-reported", label, number, "", among=(number,))
    method = "What the operator read off the display of what it receives, against what was sent."
    found = said.finding(
        "curve-mismatch",
        reported[0],
        title=title,
        values=[value, *(greys.finding.values if greys else ())],
        method=f"{method} {greys.finding.method}" if greys else method,
        source=SOURCE if greys else "What the display reports, as the operator read it",
    )
    found = replace(found, judgement=Judgement("bad", by_warnings=True))
    if verdict == "bad":
        return _Told(found, WHY, reported_alone=False)
    why = f"the display reported that it receives {names} while {SENT[transfer]} was sent"
    return _Told(found, why, reported_alone=True)


def _of_report(sent: str, names: str, number: int, verdict: Verdict | None) -> str:
    """The sentence on what was reported, with what to do where the greys do not say it."""
    said = (
        f"At {count(number, 'reading')} the display reported that it receives {names}, and {sent} "
        "was sent"
    )
    if verdict == "bad":
        return f"{said}."
    greys = f" Its greys look like {sent} all the same." if verdict == "good" else ""
    return (
        f"{said}.{greys} Look at the display's HDR setting for this input and at the HDR mode of "
        "the operating system, which takes a window for SDR; then measure again."
    )


@dataclass(frozen=True, slots=True)
class _ByGreys:
    """What the greys of a run say."""

    finding: Finding
    looks: str
    """What is shown, as a part of a sentence."""
    verdict: Verdict
    basis: Basis


def _by_greys(transfer: str, mine: Sequence[Measured]) -> _ByGreys | None:
    """What the greys of a run say; None where they are too few."""
    basis = Basis()
    greys = [
        reading
        for reading in with_light(mine, basis)
        if reading.kind in KINDS
        and reading.role in (*ROLES, BLACK_ROLE)
        and grey_value(reading) is not None
    ]
    ladder = _ladder(transfer, greys, basis)
    if ladder is None:
        return None
    looks, verdict = _verdict(ladder, basis)
    sent = SENT[transfer]
    title = f"Curve: {looks}" if verdict == "good" else f"Curve: {sent} is sent, {looks}"
    finding = basis.finding(
        "curve-mismatch",
        greys[0],
        title=title,
        values=_values(ladder, verdict),
        method=_method(ladder),
        source=SOURCE,
    )
    judgement = Judgement(verdict, by_warnings=verdict == "bad")
    return _ByGreys(replace(finding, judgement=judgement), looks, verdict, basis)


def _ladder(transfer: str, greys: Sequence[Measured], basis: Basis) -> Ladder | None:
    """The pictures of one kind and area that have most codes, and black of any; None of too few."""
    alike = grouped(greys, lambda r: (r.kind, round(area_of(r) or 0.0)))
    codes = {key: {grey_value(r) for r in group} for key, group in alike.items()}
    most = max(codes, key=lambda key: len(codes[key]), default=None)
    if most is None:
        return None
    used = alike[most]
    if 0.0 not in codes[most]:
        blacks = grouped((r for r in greys if grey_value(r) == 0.0), lambda r: (r.kind, area_of(r)))
        used = [*used, *next(iter(blacks.values()), [])]
    steps = grouped(used, lambda reading: grey_value(reading) or 0.0)
    told = [value for value in steps if value >= FAINT]
    if len(told) < LEAST or max(told) - min(told) < SPAN:
        return None
    typed = last_digit(used) or 0.0
    values = sorted(value for value in steps if value >= 0)
    estimates = [basis.estimate(steps[value]) for value in values]
    ladder = Ladder(
        transfer,
        np.array(values),
        np.array([each.value for each in estimates]),
        np.array([scatter_of(each, typed) for each in estimates]),
        max(each.gain or 0.0 for each in estimates),
    )
    return ladder if ladder.read[-1] > 0 and ladder.read.max() > 2 * ladder.read.min() else None


def _verdict(ladder: Ladder, basis: Basis) -> tuple[str, Verdict]:
    """What is shown, as a part of a sentence, and whether that is as it should be."""
    sent, sdr = SENT[ladder.transfer], ladder.sdr
    for_sent, for_sdr = sdr.misfit - ladder.plainly.misfit, ladder.as_sent.misfit - sdr.misfit
    if for_sent >= LIKELY and ladder.plainly.misfit <= ladder.most:
        return f"what is shown looks like {sent}, as it is sent ({_sure(for_sent)})", "good"
    if for_sdr < LIKELY or sdr.misfit > ladder.most:
        if min(sdr.misfit, ladder.as_sent.misfit) > ladder.most:
            told = f"The greys fit neither {sent} nor the power law of an SDR display well."
        else:
            told = f"The greys fit {sent} and the power law of an SDR display about alike."
        basis.warn(f"{told} Look at what the display says that it receives.")
        return "what it is shown as is unsure", "unsure"
    sure = _sure(for_sdr)
    basis.warn(
        f"{sent} codes seem to be shown as those of an SDR picture ({sure}): the greys follow a "
        f"power law of exponent {sdr.says:.2f} with a white of {written(sdr.white)[0]} cd/m2, and "
        f"not {sent}. Look at the display's HDR setting for this input and at what it says that it "
        "receives, and at the HDR mode of the operating system, which takes a window for SDR; then "
        "measure again."
    )
    return f"what is shown looks like SDR ({sure})", "bad"


def _sure(gap: float) -> str:
    return "sure" if gap >= SURE else "likely"


def _values(ladder: Ladder, verdict: Verdict) -> list[Value]:
    """Of the explanation that holds; of both where none does."""
    sdr, as_sent = ladder.sdr, ladder.plainly
    what = {
        "pq": "Level of the curve as sent, before it rolls off",
        "hlg": "Nominal peak of the curve as sent, of the highest luminance read",
    }[ladder.transfer]
    level = 100 * as_sent.says
    # of HLG it is of what was read with the same meter
    gain = ladder.gain if ladder.transfer == "pq" else 0.0
    low, high = _with_gain(as_sent.says, as_sent.reach, gain)
    followed = [Value("curve-level", what, level, "%", interval=(100 * low, 100 * high))]
    power = [
        Value(
            "curve-sdr-exponent",
            "Exponent of the power law that fits",
            sdr.says,
            "",
            interval=sdr.reach,
        ),
        Value(
            "curve-sdr-white",
            "White of the power law that fits",
            sdr.white,
            "cd/m2",
            interval=_with_gain(sdr.white, sdr.white_reach, ladder.gain),
        ),
    ]
    return {"good": followed, "bad": power}.get(verdict, [*followed, *power])


def _with_gain(value: float, reach: Interval, gain: float) -> Interval:
    """The ends of an absolute level, with the error of the meter's gain by squares."""
    room = COVERAGE * gain * value
    return value - hypot(value - reach[0], room), value + hypot(reach[1] - value, room)


def _method(ladder: Ladder) -> str:
    sent = SENT[ladder.transfer]
    return (
        f"Luminance of greys of {len(ladder.values)} codes against what two ways of taking the "
        f"codes would give: {sent} up to a peak, as hard or as softly as displays go there; and "
        f"a power law of exponent {EXPONENTS[0]:g} to {EXPONENTS[-1]:g} over a black. Chi squared "
        f"as {sent}: {figures(ladder.as_sent.misfit, 3)}; as SDR: "
        f"{figures(ladder.sdr.misfit, 3)}; it holds up to {figures(ladder.most, 3)}. Intervals are "
        f"what fits worse by no more than {ONE:g}; the meter's error of gain is in those of levels."
    )
