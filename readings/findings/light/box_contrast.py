"""Contrast of dark beside light: boxes in the corners, a centre in a surround, EBU_1 and EBU_2."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from readings.evidence.measured import Measured
from readings.evidence.uncertainty import Estimate, written
from readings.findings.base import Column, Finding, Number, Row, Series, Value
from readings.findings.basis import Basis, by_run, grouped, only_found, with_light
from readings.findings.kind import Drawn, FindingKind, Reads
from readings.findings.light.veils import BLACK, STEPS, veil_of
from readings.findings.ratio import (
    STRAY,
    Beside,
    Naming,
    contrast_values,
    level_number,
    level_value,
)
from readings.visit.records import Codes

ROLES = {
    *("corner-boxes-dark", "corner-boxes-lit", "edge-boxes-dark", "edge-boxes-lit"),
    *("surround-dark", "surround-lit", "reverse-dark", "reverse-lit", "ebu-1", "ebu-2"),
}
INKS = {
    "corner-boxes": ("background", "level"),
    "surround": ("level", "surround"),
    "ebu-boxes": ("white", "black"),
}
"""By kind: the ink of the centre, and that of the other places that are read."""
AREAS = ("centre_area_percent", "box_area_percent")
"""The facts that say how large a place is."""
TITLE = "Contrast by boxes and surrounds"
SOURCE = (
    "The geometry of boxes and surrounds is our own; EBU_1 and EBU_2 are patterns of EBU Tech "
    "3325 v2.0 (2022), second-hand, and which places to read there is our own choice"
)
COLUMNS = (
    Column("area", "Area of a box, or of the centre", "%"),
    Column("dark-luminance", "Dark", "cd/m2"),
    Column("lit-luminance", "Lit", "cd/m2"),
    Column("contrast", "Contrast", ":1"),
)


@dataclass(frozen=True, slots=True)
class Geometry:
    """One picture: readings of it belong together."""

    name: str
    """Stable, such as `black-in-white`."""
    title: str
    area: float | None
    """% of the canvas: of one box, or of the centre; None where it has none."""
    codes: tuple[Codes, Codes]
    """Of the dark and of the lit place."""


class BoxContrast(FindingKind):
    """Contrast of each geometry, per run.

    Reads the roles of dark and lit places in `corner-boxes`, `surround` and `ebu-boxes`.
    """

    name = "box-contrast"
    subject = "contrast of dark places beside light ones"
    reads = (
        Reads(
            ("corner-boxes-dark", "corner-boxes-lit", "edge-boxes-dark", "edge-boxes-lit"),
            "a `corner-boxes`; what is read names the place, such as `centre` or `top left`",
            beside=STEPS,
        ),
        Reads(
            ("surround-dark", "surround-lit", "reverse-dark", "reverse-lit"),
            "a `surround`; what is read names the place, such as `centre` or `above`",
            beside=STEPS,
        ),
        Reads(
            ("ebu-1", "ebu-2"),
            "an `ebu-boxes`; what is read names the place, such as `centre` or `top square`",
            beside=STEPS,
        ),
    )
    limits = ()
    pictures = (Drawn("contrasts", 2),)
    changing = frozenset(STEPS)

    def work_out(self, readings: Sequence[Measured]) -> list[Finding]:
        return only_found(_finding(mine) for mine in by_run(readings).values())


def _finding(mine: Sequence[Measured]) -> Finding | None:
    basis = Basis()
    shown = with_light([r for r in mine if r.role in ROLES and r.kind in INKS], basis)
    stray = with_light([r for r in mine if r.role in STEPS and r.kind in INKS], basis)
    placed = [(reading, geometry_of(reading)) for reading in shown]
    if any(geometry is None for _, geometry in placed):
        basis.warn("Some readings do not say which codes were under the meter and do not count.")
    known = [reading for reading, geometry in placed if geometry is not None]
    values: list[Value] = []
    rows: list[Row] = []
    note = ""
    for geometry, group in grouped(known, geometry_of).items():
        if geometry is not None:
            found, row, gain = _contrast(geometry, group, stray, basis)
            values, note = values + found, note or gain
            rows.append(row)
    if rows and not values:
        basis.warn("Of no picture a dark place was read, so there is no contrast.")
    if not values:
        unknown = Value("box-contrast", "Contrast", None, ":1", titled=True)
        return basis.nothing("box-contrast", mine[0], title=TITLE, value=unknown, source=SOURCE)
    contrasts = [value for value in values if value.name.startswith("box-contrast")]
    return basis.finding(
        "box-contrast",
        mine[0],
        title=TITLE,
        values=contrasts + [value for value in values if value not in contrasts],
        method=(
            "Mean luminance of the lit places over that of the dark ones, for each picture by "
            "itself; places of one picture are averaged before the quotient is taken. Where only "
            "one of the two was read, its luminance is given and no contrast. The numbers compare "
            f"with other visits, not with a standard's.{STRAY}{note}"
        ),
        source=SOURCE,
        series=(Series("box-contrast", "Dark beside light", COLUMNS, tuple(rows)),),
    )


def _contrast(
    geometry: Geometry, group: Sequence[Measured], stray: Sequence[Measured], basis: Basis
) -> tuple[list[Value], Row, str]:
    sides: dict[bool, list[Estimate]] = {True: [], False: []}
    veil = None
    for (lit, of), repeats in grouped(group, lambda r: (_lit(r, geometry), r.of or "")).items():
        sides[lit].append(basis.estimate(repeats))
        here = [] if lit else [r for r in stray if _tells(r, repeats[0], geometry, of)]
        if here and veil is None:
            veil = veil_of(sides[lit][-1], here, basis)
    wrong = sorted({r.label for r in group if _named(r, geometry) != _lit(r, geometry)})
    if wrong:
        basis.warn(
            f"{'; '.join(wrong)}: the role says dark or lit, and the codes under the meter say "
            "otherwise; the codes count."
        )
    where: dict[str, object] = {"geometry": geometry.name}
    if geometry.area is not None:
        where["area_percent"] = round(geometry.area, 6)
    title = geometry.title
    values: list[Value] = []
    contrast, note = Number(None), ""
    if sides[True] and sides[False]:
        sides_of = f"lit side of {title}", f"dark side of {title}"
        naming = Naming("box-contrast", "Contrast", *sides_of, where)
        beside = Beside(veil)
        found, note = contrast_values(basis, sides[True], sides[False], naming, beside)
        values = [replace(value, label=f"{value.label}, {title}") for value in found]
        first = values[0]
        contrast = Number(first.value, first.uncertainty, first.bound, first.interval)
    if sides[False]:
        values.append(
            level_value("box-dark-luminance", f"{title}, dark, as read", sides[False], where)
        )
    numbers = (
        Number(geometry.area),
        level_number(sides[False]) if sides[False] else Number(None),
        level_number(sides[True]) if sides[True] else Number(None),
        contrast,
    )
    ids = tuple(sorted({r.reading for r in group} & set(basis.ids())))
    return values, Row(title[:1].upper() + title[1:], numbers, where, ids), note


def _tells(stray: Measured, plain: Measured, geometry: Geometry, of: str) -> bool:
    """Whether a reading for stray light is of this place of this picture, or of it all dark."""
    if stray.kind != plain.kind or (stray.of or "") != of:
        return False
    if stray.role == BLACK:
        alike = all(stray.facts.get(f) == plain.facts.get(f) for f in AREAS)
        return alike and {stray.inks[ink] for ink in INKS[stray.kind]} == {geometry.codes[0]}
    return geometry_of(stray) == geometry


def geometry_of(reading: Measured) -> Geometry | None:
    """The picture under the meter; None where its codes are not told."""
    centre, other = (reading.inks.get(ink) for ink in INKS[reading.kind])
    if centre is None or other is None or centre == other:
        return None
    codes = (min(centre, other, key=sum), max(centre, other, key=sum))
    black_centre = sum(centre) < sum(other)
    if reading.kind == "ebu-boxes":
        pattern = str(reading.facts.get("pattern") or reading.role or "").replace("ebu-", "EBU_")
        return Geometry(pattern.lower().replace("_", "-"), pattern, None, codes)
    if reading.kind == "surround":
        area = _share(reading.facts.get("centre_area_percent"))
        size = "" if area is None else f" of {written(area)[0]} %"
        if black_centre:
            return Geometry("black-in-white", f"a dark centre{size} in light", area, codes)
        return Geometry("white-in-black", f"a lit centre{size} in the dark", area, codes)
    area = _share(reading.facts.get("box_area_percent"))
    size = "" if area is None else f" of {written(area)[0]} % each"
    if reading.parameters.get("edges") is True:
        return Geometry("lit-corners-and-edges", f"lit corners and edges{size}", area, codes)
    return Geometry("lit-corners", f"lit corners{size}", area, codes)


def _share(fact: object) -> float | None:
    return float(fact) if isinstance(fact, int | float) and 0 < fact <= 100 else None


def _lit(reading: Measured, geometry: Geometry) -> bool:
    """Whether the place under the meter was the lit one, by its codes."""
    centre, other = INKS[reading.kind]
    ink = centre if (reading.of or "centre").strip().lower() == "centre" else other
    return reading.inks[ink] == geometry.codes[1]


def _named(reading: Measured, geometry: Geometry) -> bool:
    """The same by its role; that of EBU_1 and 2 does not say."""
    role = str(reading.role)
    if role.startswith("ebu"):
        return _lit(reading, geometry)
    return role.endswith("-lit")
