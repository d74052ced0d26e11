"""Greyscale: colour and light of greys, step by step, against white and the curve aimed at."""

from __future__ import annotations

from collections.abc import Sequence

from patterns.aim import Aim
from patterns.signal.signal import Signal
from readings.colorimetry.difference import OUTSIDE, VISIBLE
from readings.colorimetry.temperature import METHOD
from readings.evidence.aim import Aimed
from readings.evidence.measured import Measured
from readings.evidence.shown import area_of
from readings.findings.base import Finding, Series
from readings.findings.basis import Basis, by_run, grouped, only_found
from readings.findings.grey.crushed import METHOD as CRUSHED
from readings.findings.grey.crushed import crushed_values, with_crushed
from readings.findings.grey.grey_values import COLUMNS, GreyValues
from readings.findings.grey.greys import FAR, gathered, warn_of_references
from readings.findings.kind import COMMON, OWN, Drawn, Few, FindingKind, Limit, Reads

ROLES = {"grey": "Greyscale", "grey-at-mean": "Greyscale at a constant mean level"}
SOURCE = (
    "Rec. ITU-R BT.1886 (03/2011) Annex 1 and BT.2100-3 (second-hand); sRGB: IEC 61966-2-1:1999 "
    "(from memory); CIEDE2000: CIE 15:2018; "
    "delta E ITP: Rec. ITU-R BT.2124-0 (both second-hand); CCT and Duv: Ohno, LEUKOS 10 (2014) "
    "47-55, by colour-science; balance and gamma: common practice, no source; averages are our own"
)


class Greyscale(FindingKind):
    """Chromaticity, balance, colour differences, gamma and EOTF error of greys, per run.

    Reads the roles `grey` and `grey-at-mean`; greys of another area are a finding of their own.
    """

    name = "greyscale"
    subject = "the greys: balance, delta E, gamma"
    reads = (
        Reads(
            ("grey", "grey-at-mean"),
            "any grey: a `window`, a `field`, an `ebu-grey`",
            ("colour", "luminance"),
            beside=("white", "black"),
        ),
    )
    limits = (
        Limit(
            ("delta-e-2000-chromaticity-largest", "delta-e-itp-chromaticity-largest"),
            "at most",
            VISIBLE,
            "",
            COMMON,
            "Grey is neutral at every step",
            "Grey has a tint",
            "Whether grey is neutral at every step cannot be told",
            few=Few("step", "Grey is neutral", "Grey has a tint"),
            each="tint",
            aims=("white point",),
        ),
        Limit(
            ("delta-e-2000-average", "delta-e-itp-average"),
            "at most",
            VISIBLE,
            "",
            COMMON,
            "Grey is near its target on average, in light and colour",
            "Grey is off its target on average, in light or colour",
            "Whether grey is near its target on average cannot be told",
            few=Few(
                "step",
                "Grey is near its target, in light and colour",
                "Grey is off its target, in light or colour",
            ),
            aims=("curve", "white point"),
        ),
        Limit(
            ("eotf-error-average",),
            "at most",
            10.0,
            "%",
            OWN,
            "Greys are on average as bright as the curve wants them",
            "Greys are on average not as bright as the curve wants them",
            "Whether greys are on average as bright as the curve wants them cannot be told",
            few=Few(
                "step",
                "Greys are as bright as the curve wants them",
                "Greys are not as bright as the curve wants them",
            ),
            aims=("curve",),
        ),
        Limit(
            ("eotf-error-largest",),
            "at most",
            12.0,
            "%",
            OWN + ": what a gamma off by 0.05 makes of a grey of 10 %",
            "No grey is far brighter or darker than the curve wants it",
            "Some grey is far brighter or darker than the curve wants it",
            "Whether each grey is about as bright as the curve wants it cannot be told",
            size=True,
            few=Few(
                "step",
                "No grey is far brighter or darker than the curve wants it",
                "Some grey is far brighter or darker than the curve wants it",
            ),
            each="light",
            aims=("curve",),
        ),
        Limit(
            ("white-off-aim",),
            "at most",
            10.0,
            "%",
            OWN,
            "White is as bright as it was meant to be",
            "White is not as bright as it was meant to be",
            "Whether white is as bright as it was meant to be cannot be told",
            size=True,
            each="white",
            aims=("white",),
        ),
    )
    pictures = (
        Drawn("greyscale_balance"),
        Drawn("grey_errors"),
        Drawn("eotf_log", 2),
        Drawn("eotf_pq", 2),
        Drawn("chromaticity_uv", 3),
        Drawn("chromaticity_xy", 3),
    )
    changing = frozenset()
    main = ("balance-largest", "gamma-average", "white-cct")
    pictures_beside = ("greyscale_balance", "grey_light")

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        found = list[Finding | None]()
        for mine in by_run(readings).values():
            for role, title in ROLES.items():
                listed = [reading for reading in mine if reading.role == role]
                areas = grouped(listed, lambda reading: round(area_of(reading) or 0.0))
                several = len(areas) > 1
                found += [
                    _finding(title, group, mine, readings, several=several)
                    for group in areas.values()
                ]
        return only_found(found)


def _finding(
    title: str,
    group: Sequence[Measured],
    mine: Sequence[Measured],
    everything: Sequence[Measured],
    *,
    several: bool,
) -> Finding | None:
    basis = Basis(aimed=Aimed.of(group[0]))
    greys = gathered(group, mine, everything, basis)
    if greys is None:
        return None
    warn_of_references(greys, basis)
    if not greys.lights.coloured[: greys.count].any():
        basis.warn("No colour was read of these greys, only luminance.")
    work = GreyValues(greys, basis)
    values = [*crushed_values(greys), *work.values()]
    series = Series("greyscale", "Greyscale", COLUMNS, greys.rows(work.columns()))
    area = area_of(group[0])
    # so that the greys of SDR and of HDR never stand in one table as if they were alike
    title += {"pq": ", PQ", "hlg": ", HLG"}.get(greys.transfer, "")
    finding = basis.finding(
        "greyscale",
        group[0],
        title=title if not several or area is None else f"{title}, {area:.3g} % of the screen",
        values=values,
        method=method_of(greys.signal, greys.aim),
        source=SOURCE,
        series=[series],
    )
    return with_crushed(finding)


def method_of(signal: Signal, aim: Aim) -> str:
    """How it was worked out, for people."""
    transfer, white = signal.transfer.name, aim.told_white_point()
    curve = Aimed(aim, transfer).told_curve("the measured white", "the measured black")
    differences = (
        "Delta E 2000 (L*a*b* relative to that white at the luminance of the measured one) and "
        "delta E ITP have the error of luminance in them; what is"
        if transfer == "bt1886"
        else "Delta E ITP has the error of luminance in it (no delta E 2000: it is made for "
        "surface colours under one white, which HDR greys outshine); what is"
    )
    gamma = (
        " Gamma is log((L - black) / (white - black)) / log E', averaged from 10 to 90 %, where "
        f"black is {'the measured one' if aim.takes_black else 'that of the curve'}; beside it "
        "what the target gives so."
        if transfer == "bt1886"
        else ""
    )
    return (
        f"Targets are those of the codes shown: {curve}, with white {white}. {differences} "
        "of chromaticity alone compares with a neutral grey of the luminance read. Averages leave "
        "out black, what lies above white, what the meter does not reach (but not what is surely "
        f"less than 1/{FAR:g} of its target: it counts as anything from nothing up to what it is "
        "at most, and as neutral), and with PQ what is brighter than the display. "
        f"{OUTSIDE} The uncertainty of the largest is that of the step that "
        "reads largest: chosen for that, it lies rather too high than too low. "
        f"Balance: XYZ to linear {signal.primaries.name} red, green, blue, in percent of what a "
        f"neutral grey of the same luminance has.{gamma} CCT and Duv by {METHOD}; D65 itself "
        f"has a Duv of +0.0032.{CRUSHED}"
    )
