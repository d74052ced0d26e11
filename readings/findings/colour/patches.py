"""Which readings of a run are patches of a chart, a sweep or the primaries, and what each is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from readings.evidence.measured import Measured
from readings.evidence.shown import codes_of, values_of
from readings.findings.basis import Basis, grouped, with_light
from readings.findings.share import has_colour

SIX = ("red", "green", "blue", "cyan", "magenta", "yellow")


@dataclass(frozen=True, slots=True)
class Group:
    """Patches that are judged together."""

    title: str
    series: str
    """The stable name of their series."""
    roles: tuple[str, ...]
    chart: str = ""
    """What `where.chart` calls it; empty where it is no chart."""
    size: int | None = None
    """How many patches there are; None where that is open."""


GROUPS = (
    Group("Reference chart, 24 patches", "chart", ("chart-24",), "24", 24),
    Group("Reference chart, 140 patches", "chart", ("chart-140",), "140", 140),
    Group("Skin tones", "chart", ("skin",), "skin", 16),
    Group("EBU Tech 3325 colours", "chart", ("ebu-colour", "ebu-primary"), "EBU_5", 18),
    Group("Saturation sweeps", "saturation", ("saturation",)),
    Group("Primaries and secondaries", "primaries", SIX),
)


@dataclass(frozen=True, slots=True)
class Patch:
    """One colour shown, and its repeats."""

    repeats: tuple[Measured, ...]
    where: Mapping[str, object]
    called: str
    """Within a sentence, such as `patch 14`."""

    @property
    def first(self) -> Measured:
        """The reading that says what was shown."""
        return self.repeats[0]

    @property
    def clipped(self) -> bool:
        """Whether the signal could not hold the colour that was asked for."""
        return bool(self.first.facts.get("clipped"))


def patches_of(readings: Iterable[Measured], group: Group, basis: Basis) -> list[Patch]:
    """The patches of a group that were read with light and colour, in their order."""
    mine = [reading for reading in readings if reading.role in group.roles]
    shown = with_colour(mine, basis)
    found = grouped(shown, lambda reading: (codes_of(reading), _called(reading, group)))
    return [
        Patch(tuple(repeats), _where(repeats[0], group), called)
        for (_, called), repeats in found.items()
    ]


def with_colour(readings: Sequence[Measured], basis: Basis) -> list[Measured]:
    """Those that carry a luminance and a chromaticity that light can have."""
    kept = []
    plain: list[Measured] = []
    dark: list[Measured] = []
    for reading in with_light(readings, basis):
        if reading.x is None or reading.y is None:
            plain.append(reading)
        elif not has_colour(reading):
            at = f"x {reading.x:g}, y {reading.y:g}"
            basis.warn(
                f"Reading {reading.reading} ({reading.label}): {at} is no colour of "
                "light, so it does not count; were its columns swapped?"
            )
        elif reading.luminance is None or reading.luminance <= 0:
            dark.append(reading)
        else:
            kept.append(reading)
    for left, why in ((plain, "without a colour"), (dark, "without light")):
        if left:
            names = ", ".join(dict.fromkeys(reading.label for reading in left[:3]))
            more = ", …" if len(left) > 3 else ""
            which = "One reading is" if len(left) == 1 else f"{len(left)} readings are"
            counts = "does" if len(left) == 1 else "do"
            basis.warn(f"{which} {why} and {counts} not count: {names}{more}.")
    return kept


def _where(reading: Measured, group: Group) -> dict[str, object]:
    where: dict[str, object] = {"codes": list(codes_of(reading) or ())}
    if group.chart:
        where |= {"chart": group.chart, "patch": _place(reading)}
    elif group.series == "saturation":
        where |= {"colour": _asked(reading, "colour"), "saturation": _percent(reading)}
    else:
        where |= {"colour": str(reading.role), "level": _level(reading)}
    return where


def _called(reading: Measured, group: Group) -> str:
    if group.chart == "skin":
        return f"tone {_place(reading)}"
    if group.chart:
        place = _place(reading)
        return f"patch {place}" if isinstance(place, int) else place
    if group.series == "saturation":
        share = _percent(reading)
        return reading.label if share is None else f"{_asked(reading, 'colour')} at {share:g} %"
    level = _level(reading)
    return str(reading.role) if level is None else f"{reading.role} at {level} %"


def _place(reading: Measured) -> int | str:
    """The number of a patch or a tone, or the name of a colour; else the step's number."""
    for name in ("patch", "tone", "colour"):
        found = _asked(reading, name)
        if found:
            return int(found) if re.fullmatch(r"\d{1,6}", found) else found
    return reading.step


def _asked(reading: Measured, name: str) -> str:
    """A parameter of the pattern, or else a value that `each` gave the step; or nothing."""
    found = reading.parameters.get(name)
    if found is None:
        found = reading.variables.get(name)
    return "" if found is None else str(found)


def _percent(reading: Measured) -> float | None:
    found = re.fullmatch(r"\s*(\d{1,3}(?:\.\d{1,6})?)\s*%\s*", _asked(reading, "saturation"))
    return float(found[1]) if found else None


def _level(reading: Measured) -> int | None:
    """Percent of the signal of the strongest channel, as shown."""
    values = values_of(reading)
    return None if values is None else round(100 * float(values.max()))
